package tol

// FootprintPixelShare is the pixel of the footprint's grid as a share of the
// line width. Reason: it decides only which side of a loop is open, at points a
// quarter of a line beyond the bead; outlines come from the loops themselves.
// User: footprint.
const FootprintPixelShare = 0.125

// FootprintFinest is the smallest pixel (mm) of the footprint's grid. Reason: an
// eighth of the finest line that is laid, 0.2 mm; a width misread as less must
// not cost minutes. User: footprint.
const FootprintFinest = 0.025

// FootprintCoarsest is the largest pixel, as a share of the line width, with which
// a footprint is still read. Reason: the places asked lie a quarter of a line
// beyond a bead; reached by a piece more than about a metre wide. User: footprint.
const FootprintCoarsest = 0.35

// FootprintClosePixelShare is the finer pixel, as a share of the line width,
// where an outline must be taken from beads because there are no walls. Reason:
// the outline then lies within 0.75 pixel, 0.04 mm, of the beads' border. User:
// footprint.
const FootprintClosePixelShare = 0.1

// FootprintSeam is the gap, as a share of the line width, between the ends of a
// stroke that still counts as a closed loop. Reason: seams are left open by up
// to half a bead so that the ends do not pile up. User: footprint.
const FootprintSeam = 0.8

// FootprintCoast is the longest gap (mm) between the ends of a loop whose last
// stretch is travelled while the nozzle runs out. Reason: up to 0.2 mm³ is left to
// run out, 2.2 mm of a usual line (common practice, no published source). User:
// footprint.
const FootprintCoast = 3

// FootprintOverrun is the longest stretch (mm) that a loop's end goes on over its
// beginning. Reason: seams that fade in and out do so over 10 to 20 mm (common
// practice, no published source). User: footprint.
const FootprintOverrun = 40

// FootprintOverrunSlack is how far, as a share of the line width, that stretch may
// lie from the beginning. Reason: it is laid over it, not beside it. User:
// footprint.
const FootprintOverrunSlack = 0.2

// FootprintStraightOn is the sine of the angle up to which a loop's end counts as
// going straight on to its start. Reason: 6°; over the longest gap the middle is
// then 0.04 mm off at most. User: footprint.
const FootprintStraightOn = 0.1

// FootprintPointing is the shortest stretch (mm) whose direction is trusted. Reason:
// coordinates have three decimals, which turn it by a third of a degree. User:
// footprint.
const FootprintPointing = 0.2

// FootprintBend is the sine of the angle by which an arc bends from stretch to
// stretch at least. Reason: half a degree, more than rounding turns a stretch that
// is trusted. User: footprint.
const FootprintBend = 0.01

// FootprintRunOutSlack is how far (mm) from a corner a loop may end and count as
// ending there. Reason: coordinates have three decimals, and lines that meet at
// 6° magnify their rounding tenfold. User: footprint.
const FootprintRunOutSlack = 0.02

// FootprintMitre is the longest mitre, in half line widths, that a wall's corner
// is followed to. Reason: a tip of 15° needs 7.7; sharper tips are not laid.
// User: footprint.
const FootprintMitre = 8

// FootprintRoundWidth is how near (mm) to a hundredth of a millimetre a line
// width must come to count as one a person typed. Reason: E has five decimals,
// so widths come out within 0.0003 mm. User: footprint.
const FootprintRoundWidth = 0.0008

// FootprintSameWidth is the relative difference up to which strokes count as of
// one width. Reason: rounding of E on short moves gives up to 3 %. User:
// footprint.
const FootprintSameWidth = 0.08

// FootprintMaxStrokes and FootprintMaxPoints bound what one layer may hold.
// Reason: 100 times the largest plate expected; beyond it the file is damaged or
// no first layer. User: footprint.
const (
	FootprintMaxStrokes = 1_000_000
	FootprintMaxPoints  = 6_000_000
)

// FootprintThinPitch and FootprintWidePitch are the line distances (mm) between
// which a first layer usually lies: 0.25 to 0.8 mm nozzles at 0.9 to 1.25 widths
// (common practice, no published source). User: footprint.
const (
	FootprintThinPitch = 0.22
	FootprintWidePitch = 1.0
)

// FootprintSamePitch is the logarithm of the ratio within which lines count as
// wide as they lie apart. Reason: flows of first layers vary by a tenth, the two
// usual diameters by a factor of 2.65. User: footprint.
const FootprintSamePitch = 0.15
