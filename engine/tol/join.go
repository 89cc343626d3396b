package tol

// JoinRetraction is the difference (mm of filament) under which two retraction
// depths count as one when a block is written. Reason: E is written with five
// decimals. User: join.
const JoinRetraction = 0.000005

// JoinHeight is the difference (mm) under which a nozzle height counts as the
// wanted one. Reason: Z is written with three decimals, in files in inches the
// original's own digits add a little. User: join.
const JoinHeight = 0.0015

// JoinStill is the length (mm) under which a move counts as standing still when
// filament per mm is judged. Reason: E words are rounded to 0.00001 mm, a bead
// takes about 0.03 mm per mm; below a tenth of a mm rounding alone can shift
// the ratio by a percent. User: join.
const JoinStill = 0.1

// JoinBlob is the filament (mm) that may be fed standing still beyond what was
// drawn back before it counts as a jump. Reason: 0.05 mm of 1.75 mm filament is
// 0.12 mm³, the volume of a dot one bead wide and high. User: join.
const JoinBlob = 0.05

// JoinPerMM is the factor between the filament per mm of one move and that of
// the piece's own first layer beyond which the move counts as a jump. Reason:
// widths on one layer span 0.6 to 2 nozzles (common practice, no published
// source), a factor of 3.3; the rest is room for flow. User: join.
const JoinPerMM = 5

// JoinPerMMShown is the relative difference between the filament per mm of the
// new beads and of the piece's own first layer that is shown to the person.
// Reason: flow settings within 25 % are usual on first layers (common practice,
// no published source). User: join.
const JoinPerMMShown = 0.25

// JoinBed is the distance (mm) by which a move may leave the bed or touch a
// keep-out before it is reported. Reason: written coordinates are rounded to
// 0.001 mm. User: join.
const JoinBed = 0.001

// JoinTotal is the difference, relative and in mm, under which the filament a
// block feeds counts as what was asked. Reason: rounding is carried from word to
// word, so that only the last one is lost; 1e-4 is the agreement asked of kept
// strokes. User: join.
const JoinTotal = 1e-4
