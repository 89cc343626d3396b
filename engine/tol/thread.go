package tol

// ThreadSimplifyMM is how far (mm) a level line may be simplified. Reason: at a
// radius of 1.5 mm a chord that leaves its arc by 0.002 turns by 3°, the most
// that lines of a field may leave their lay by. User: thread.
const ThreadSimplifyMM = 0.002

// ThreadLevelMM is the error (mm) of interpolating a level line on the grid
// from which it is located again on the field itself. Reason: a fifth of the
// 0.01 mm within which lines lie on their level. User: thread.
const ThreadLevelMM = 0.002

// ThreadNodesPerLine is how many grid nodes a field is sampled with per line.
// Reason: two keep every line apart from its neighbours where lines crowd to
// 0.6 of their spacing, and a 100 mm face within 60,000 levels. User: thread.
const ThreadNodesPerLine = 2.0

// ThreadShortLoopLines is the length (in lines) under which a loop is left
// out. Reason: two lines round, it is a dot of less than a bead's width, and
// bridges cannot reach it. User: thread.
const ThreadShortLoopLines = 2.0

// ThreadRayLines is how far (in lines) a bead looks to its sides for its
// neighbours. Reason: a neighbour two lines away leaves a gap that no width
// within the limits closes. User: thread.
const ThreadRayLines = 1.8

// ThreadTailLines is the least distance (in lines) to other bead at which a
// bead that ends at the border goes on along it. Reason: nearer, more than a
// third of it would be laid twice. User: thread.
const ThreadTailLines = 0.65

// ThreadOverlapCost weighs a strip laid twice against one left bare when bead
// is led along a border. Reason: bare plate shows, a bead laid half twice is
// only a little higher. User: thread.
const ThreadOverlapCost = 0.5

// ThreadGiveWayMM is how far (mm) the border gives way where lines run along it
// by chance and beads would touch. Reason: the hundredth of a millimetre that
// simplified lines may be off. User: thread.
const ThreadGiveWayMM = 0.011

// ThreadBorderMM is how much narrower (mm) than nominal bead along a border is.
// Reason: it follows the whole of some borders, where tol.FillOverhangMM counts
// on two thirds. User: thread.
const ThreadBorderMM = 0.01

// ThreadRelaxRounds is how often lines near the border are moved to the middle
// between their neighbours. Reason: each round halves what is left. User: thread.
const ThreadRelaxRounds = 3

// ThreadRelaxLines is how deep (in lines) inside the inset lines are moved.
// Reason: half a line more lies outside the inset, and lines deeper than two
// widths keep their lay exactly. User: thread.
const ThreadRelaxLines = 1.5

// ThreadRelaxMostLines bounds one move (in lines). Reason: a third of a line
// cannot pass a neighbour. User: thread.
const ThreadRelaxMostLines = 0.15

// ThreadWallLines is the least distance (in lines) of a whole ring of bead from
// the border of the face. Reason: bridges keep 0.45 lines from it. User: thread.
const ThreadWallLines = 0.455

// ThreadSliverLines and ThreadSliverThick are the length and the mean thickness
// (in lines) under which a closed bead is left out. Reason: its two sides lie
// nearer than a bridge may come to other bead, and a stroke of its own would
// cost a travel for 2 mm² at most. User: thread.
const (
	ThreadSliverLines = 20.0
	ThreadSliverThick = 0.5
)

// ThreadRelaxSlope is how much the move of a level line may change over the way
// along it. Reason: it turns the line by as many radians, 6°, and only within
// two widths of a border; on a letter 0.05 leaves 0.15 % of the face more in
// open gaps, and free moves cost arc tiles 10 points of their lay. User: thread.
const ThreadRelaxSlope = 0.1

// ThreadGrowMM is how much wider (mm) than the room between its neighbour and a
// bare border a level line may become. Reason: 0.04 covers 0.1 points more of
// fields on cut outlines and lays as much twice; 0.4 of them at 0.08.
// User: thread.
const ThreadGrowMM = 0.04

// ThreadNarrowGap, ThreadCloseRoom and ThreadClosestRoom are of the bridges (in
// lines: length cut out of each bead, distance from other bead and from the
// border) that are tried where the usual ones leave beads of a curve apart.
// Reason: in a neck of three lines, where each of them gets through, two links
// of less than a line beside each other show less than a travel. User: thread.
const (
	ThreadNarrowGap   = 0.7
	ThreadCloseRoom   = 0.36
	ThreadClosestRoom = 0.24
)

// ThreadSpacingShare is how far the spacing of level lines may leave the limits
// of the width before it counts, as a share of the limit. Reason: the squeeze of
// a bead closes as much. User: thread.
const ThreadSpacingShare = 0.05

// ThreadSpacingMM2 is the area (mm²) of lines that stand too far apart or too
// near from which it is reported. Reason: a spot of a millimetre across is the
// smallest that is seen as one. User: thread.
const ThreadSpacingMM2 = 1.0

// ThreadTrialMM2 is the area (mm²) up to which a zone is laid in two ways to keep
// the better one. Reason: a tile of 12 mm; the lines at the end of a larger one
// are too small a part of it to be worth the time. User: thread.
const ThreadTrialMM2 = 150.0

// ThreadTrialPixel is the pixel (in lines) by which those ways are compared.
// Reason: ways differ by strips of half a line. User: thread.
const ThreadTrialPixel = 0.15

// ThreadSteepest is how many times nearer than their spacing the lines of a
// field may stand (root of the mean square over the zone) before it is refused.
// Reason: at twice, most bead lies on bead, which is reported; at four times
// nothing of the pattern is left, and laying it takes sixteen times as long.
// User: thread.
const ThreadSteepest = 4.0

// ThreadFoldLines is the least length (in lines) of a stretch on which level
// lines are put in or left out. Reason: its turns take three lines of it, and a
// shorter one would be more turn than line. User: thread.
const ThreadFoldLines = 8.0

// ThreadTurn is the turn (tangent) of a level line between two segments from
// which it gets a corner more. Reason: at the ends of its segments a line then
// leaves its lay by 2.9° at most, and 3° are allowed. User: thread.
const ThreadTurn = 0.1

// ThreadOverrunMM is how much farther (mm) than drawn a hairpin of a curve
// reaches. Reason: as far as a simplified line may be off anyway; it covers 0.2 to
// 0.7 points more of curves on a square grid and lays 0.5 more twice, and twice as
// much would lay 1.1 more twice. User: thread.
const ThreadOverrunMM = 0.01
