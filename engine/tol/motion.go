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
