package tol

// MotionStraight is the difference of two unit directions under which a corner
// counts as straight. Reason: 1e-6 rad at 1 m/s is a jump of 0.001 mm/s, far
// under any machine's limit, while the corner formulas divide by it. User:
// motion.
const MotionStraight = 1e-6

// MotionShortest is the length (mm) under which a move has no direction of its
// own. Reason: files carry at most six decimals; anything shorter is rounding.
// User: motion.
const MotionShortest = 1e-7

// MotionFarthest is the length (mm) of move or filament beyond which a move is
// no move of a machine. Reason: a kilometre; with MotionLongest and
// MotionSlowest it keeps every sum of times finite. User: motion.
const MotionFarthest = 1e6

// MotionLongest is the pause (s) beyond which a file is not waiting but wrong:
// 115 days. User: motion.
const MotionLongest = 1e7

// MotionSlowest is the feed (mm/min) under which a move would not end: at
// 0.001 mm/min a bead's width takes seven hours. User: motion.
const MotionSlowest = 0.001
