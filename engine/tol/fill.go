package tol

import "math"

// FillProbesPerLine is how many probe rows a cell's outline is traced with for
// each line that will be laid. Reason: at 0.42 mm lines a quarter is 0.1 mm,
// under the 0.13 mm that a thin slanted strip of two beads may move sideways
// between probes. User: fill.
const FillProbesPerLine = 4

// FillPairMM is the least distance (mm) of two beads that pass a narrow place
// side by side. Reason: two beads of the least width 0.30 overlapping by a
// sixth still lie flat, and a neck of 0.7 mm passes. User: fill.
const FillPairMM = 0.25

// FillEventMM is how closely (mm) the height at which rows split, merge, begin
// or end is located. Reason: half of tol.Coincident. User: fill.
const FillEventMM = 0.00025

// FillSimplifyMM is how far (mm) a simplified path may lie from the path as
// built. Reason: a fortieth of a bead cannot be seen. User: fill.
const FillSimplifyMM = 0.01

// FillShortestMM is the least length (mm) of a segment. Reason: shorter moves
// starve the machine's motion planner and carry no direction to the eye.
// User: fill.
const FillShortestMM = 0.05

// FillJumpLines is the sideways jump of a row's end (in lines, from one probe
// to the next) from which a border counts as parallel to the rows, so that
// the cell is split there. Reason: 4 lines over a quarter line is a border
// within 3.6° of the rows: followed by a connector it would be laid twice.
// User: fill.
const FillJumpLines = 4.0

// FillCollapseLines is the length (in lines) under which the zigzag of a comb
// beside its spine is drawn out straight. Reason: a turn needs two thirds of a
// line to be more than a blob. User: fill.
const FillCollapseLines = 0.3

// FillNearerMM is how much nearer (mm) than half a spacing the beads of a zone
// come to its border with another zone. Reason: a zigzag closes only every
// second gap there; measured on 10 mm blocks, each 0.01 mm covers 0.14 points
// more and lays 0.33 points twice, and 0.025 keeps within 99.0 and 1.2 %.
// User: fill.
const FillNearerMM = 0.025

// FillOverhangMM bounds how far (mm) beads may reach over the border of the
// face. Reason: a print's own first layer spreads by more. User: fill.
const FillOverhangMM = 0.03

// FillSpillShare times area over perimeter is how far beads may reach over the
// border of the face. Reason: spilled bead is to stay under 0.2 % of the face
// also where rows follow the whole border. User: fill.
const FillSpillShare = 0.0019

// FillNotchShare is the part of the notches between rows at a border (their
// loss is (w/4)(1 − (π/4) sin θ) per mm) that extra flow on connectors fills.
// Reason: more lays bead twice faster than it closes gaps. User: fill.
const FillNotchShare = 0.1

// FillTipLean is how far (mm for each mm across the rows) a border must run out
// along the rows for beads to be drawn out into the tips of the rows' strips.
// Reason: 0.95 takes in a border at 45° to the rows; at steeper ones it costs
// 0.3 points of the lay for 0.1 points covered, measured on rhombs at 60°.
// User: fill.
const FillTipLean = 0.95

// FillTipFold is how far a border must run out for the bead to go on along it
// beyond the end of a row and fold back. Reason: 1.3 is a border within 38° of
// the rows; at a steeper one, where the row alone is drawn out, the fold would
// cost four times as much of the lay for each mm² it covers. User: fill.
const FillTipFold = 1.3

// FillTipOutShare is how far towards a border a thin bead moves out from where
// a nominal one runs, as a share of half the difference of their widths. Reason:
// at 1 it reaches as far as the nominal one, which lies twice where the
// neighbour's does too; measured on mitred borders, a half balances what is
// left bare against what is laid twice. User: fill.
const FillTipOutShare = 0.5

// FillTipMostMM is the greatest length (mm) of a tip. Reason: the two legs of a
// longer one lie on each other for more than is laid twice by definition.
// User: fill.
const FillTipMostMM = 1.5

// FillTipBendLines is how far (in lines) a border may bend between two rows
// whose tips are drawn out. Reason: the arc of a circle of 20 lines at a lean of
// four does by a quarter; more is a corner. User: fill.
const FillTipBendLines = 0.3

// FillTipRowShare is the share of the way to a thin bead at the border by which
// the rows themselves are drawn out. Reason: keeps the turn off its row, and
// every bit of it runs along the lay. User: fill.
const FillTipRowShare = 0.3

// FillStemGapLines is the least length (in lines) of a stem, and its distance
// from the first row. Reason: less is covered by the row's own width. User:
// fill.
const FillStemGapLines = 0.1

// FillStemWideLines is the width (in lines) of a cell half a line from its end
// from which the thin part beyond is covered by rows and their tips. Reason: a
// stem through the middle of a blunt end would lie on the row. User: fill.
const FillStemWideLines = 3.0

// FillFlareLines is how much longer (in lines) the strip of a cell's first row
// must be on one side than the row for the bead to go on along the border.
// Reason: less is covered by the bead's round end. User: fill.
const FillFlareLines = 1.0

// FillFlareFarLines is the length (in lines) from which a flare has a corner of
// its own. Reason: a shorter one can be tied from the row's end. User: fill.
const FillFlareFarLines = 2.0

// FillLeastMM is the least length (mm) of a stretch of the inset that counts as
// room for a bead. Reason: rounding and chords of flattened curves leave
// stretches shorter than that. User: fill.
const FillLeastMM = 0.03

// FillThinLines is the least length (in lines) of a part with room for one
// bead only that is laid on its own. Reason: a shorter one is the tip of a
// corner, which the bead's round end fills as well as it can. User: fill.
const FillThinLines = 2.5

// FillCrumbLines is the length (in lines) of a loop that is left out, with its
// area reported, rather than laid as a separate stroke when it cannot be
// joined. Reason: 12 lines are 5 mm of bead, 2 mm² bare, which is less to see
// than the scar of a travel. User: fill.
const FillCrumbLines = 12.0

// FillSmallLines is the size (in lines, either way) under which the inset of a
// cell is laid as a plain ring. Reason: two and a half lines of 0.42 mm inside
// an edge of half a line each leave no line deeper than two widths. User: fill.
const FillSmallLines = 2.5

// FillSilentMM2 is the area (mm²) up to which a part without room for bead is
// counted but not reported. Reason: less than a third of a dot of the nozzle;
// one finding for each would bury the rest. User: fill.
const FillSilentMM2 = 0.05

// FillBesideMM is how far (mm) outside a border the neighbour is looked for.
// Reason: well over rounding, well under the thinnest zone worth naming.
// User: fill.
const FillBesideMM = 0.005

// FillRoomLines is the thickness (in lines) from which merged slivers have room
// for a cell of their own. Reason: two beads, and half a line for what the
// estimate from area and border misses. User: fill.
const FillRoomLines = 2.5

// FillBareShare is the share of an island that may stay bare without a finding;
// twice that is a caution. Reason: 98 % covered is the aim for any pattern, and
// half of what is missing there closes when the bead is squeezed. User: fill.
const FillBareShare = 0.04

// FillBareMostMM2 is the area (mm²) of the largest island that is looked at for
// that. Reason: a little more than 22 mm square, where borders are still a large
// share; looking takes up to 2 ms. User: fill.
const FillBareMostMM2 = 500

// FillBarePitchLines is the distance (in lines) of the lines along which bare
// area is measured, and FillBareRows the number of lines that go over a square
// island at least. Reason: errs by less than 0.4 points on islands of a few
// lines. User: fill.
const (
	FillBarePitchLines = 0.25
	FillBareRows       = 100
)

// FillBarePatchMM is the size (mm) of the squares in which bare area is gathered
// to find the worst place. Reason: about two lines. User: fill.
const FillBarePatchMM = 1.0

// FillFoldMM is how far (mm) two cells may differ for the rows of one to go on
// into those of the other. Reason: a twentieth of a line; what the border
// between them is bent by cannot be seen. User: fill.
const FillFoldMM = 0.02

// FillFoldLeastTurn is the least angle (radians) between rows and the border
// over which they go on, 15°. Reason: the bead turns by 150° there; at a sharper
// turn its two sides lie on each other for more than is laid twice by
// definition. User: fill.
const FillFoldLeastTurn = math.Pi / 12

// FillFoldLeastLines is the least height (in lines) over which rows of two
// cells go on into each other. Reason: fewer lines save less border bead than
// the longer zigzag may cost. User: fill.
const FillFoldLeastLines = 4.0

// FillFoldTipLines is by how much (in lines) one of two cells may reach farther
// than the other where that runs out in a tip. Reason: the inset of a corner of
// 30° lies one line and a half farther in than that of a straight end; and it
// bounds the distance of the two sides. User: fill.
const FillFoldTipLines = 3.0

// FillHomeMM is the step (mm) that coordinates and levels are rounded to before
// beads are laid, a power of two. Reason: four million times the rounding of
// coordinates on a 2 m bed, which so changes next to none of them; and a
// hundredth of the least that a simplified line may be off. User: fill.
const FillHomeMM = 1.0 / (1 << 20)
