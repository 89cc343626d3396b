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

// JoinArc is the largest distance (mm) between a point of a bead and the arc
// that is written for a run of them. Reason: a fortieth of a bead; half of the
// least that a drawn curve was flattened within. User: join.
const JoinArc = 0.01

// JoinArcChord is the largest distance (mm) between such an arc and the straight
// segments that it stands for. Reason: curves of patterns are flattened within
// 0.02 mm (Flattening), and the arc may leave their points by JoinArc; a segment
// farther from its arc was meant to be straight. User: join.
const JoinArcChord = Flattening + JoinArc

// JoinArcWidth is the relative difference of filament per mm under which
// segments count as one width within an arc. Reason: widths measured between
// lines of a field waver by 0.002; 0.005 is 2 µm of a bead's width, and steps of
// flow or width that a person sets are twice that and more. User: join.
const JoinArcWidth = 0.005

// JoinArcSmallest and JoinArcLargest bound the radius (mm) of an arc. Reason:
// many machines cut arcs into chords of about 1 mm of their own (common
// practice, no published source), which leave a radius of 5 mm by 0.025 mm and
// smaller ones by more; 500 mm is beyond any bed, and a longer radius would make
// the rounded centre matter. User: join.
const (
	JoinArcSmallest = 5.0
	JoinArcLargest  = 500.0
)

// JoinWay is the difference (mm) in X or Y under which a bead lies where it was
// asked. Reason: half of the last of three decimals, and what an offset of the
// file's own leaves as float noise. User: join.
const JoinWay = 0.0006

// JoinUnfed is the filament (mm) of a segment that may be written as none.
// Reason: five decimals, of which one unit may be carried on. User: join.
const JoinUnfed = 0.00002

// JoinArcNoise is added (mm) to the limit of an arc's two radii when a finished
// file is read. Reason: positions and centre are sums of written numbers, in
// floats of at most 1e5 mm. User: join.
const JoinArcNoise = 1e-9

// JoinFlow is the share by which the flow of one written move may lie over the
// machine's limit. Reason: E rounded to 0.00001 mm over 0.1 mm of a thin line
// is 0.3 %, and a bead set to the very limit is not over it. User: join.
const JoinFlow = 0.005
