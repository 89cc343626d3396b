package tol

// FlattenCurve is the greatest distance (mm) between a drawn curve and the
// polyline that stands for it. Reason: a fiftieth of a 0.4 mm bead cannot be
// seen, and ten times the step of the written coordinates keeps corner counts
// low. Users: drawing, lettering.
const FlattenCurve = 0.01

// ChainEnds is the default distance (mm) under which two line ends are taken
// as one. Reason: a tenth of a usual bead; drawing programs round to 0.01 or
// worse, and a bead bridges such a gap without a mark. User: drawing.
const ChainEnds = 0.04

// StrokeWidthShare is the relative difference under which a stroke width and
// a nozzle or line width count as the same. Reason: common practice writes
// widths with two digits (0.42 for 0.4 × 1.05), no published source.
// User: drawing (unit recognition and width check).
const StrokeWidthShare = 0.06

// SpacingTightShare and SpacingWideShare are the spacings of neighbouring
// lines, as shares of the line width, beyond which beads pile up or leave the
// plate bare. Reason: a gapless 0.42 × 0.20 mm stadium bead has its pitch at
// 0.90 of its width, tangent beads at 1.00; a tenth either way is what a
// change of flow can still take up. User: drawing.
const (
	SpacingTightShare = 0.80
	SpacingWideShare  = 1.10
)

// Bounds of what is read, so that no file can hang the page. Reason: each is
// several times the largest drawing that is of use on a 400 mm plate (95 m of
// bead in 0.2 mm steps is 475,000 points), and reaching it takes under 2 s of
// one core in the browser (BenchmarkRefusal). User: drawing.
const (
	DrawingBytes         = 32 << 20   // bytes of the file, unpacked
	DrawingEntityGrowth  = 4 << 20    // bytes added by entity expansion
	DrawingElements      = 200_000    // elements in the file
	DrawingPlaced        = 250_000    // elements after `use` is followed
	DrawingDepth         = 500        // levels of nesting
	DrawingPoints        = 2_000_000  // points after flattening
	DrawingClipTests     = 16_000_000 // edges looked at for clip paths
	DrawingCrossings     = 200_000    // crossings of outlines that become zones
	DrawingCrossingTests = 20_000_000 // pairs of their edges looked at
	DrawingStyleTests    = 30_000_000 // selectors compared with elements
	DrawingSelectors     = 5_000      // selectors in style sheets
)

// DrawingReach is the largest coordinate (mm) that is read. Reason: a hundred
// metres is beyond any plate, and squares of it keep twelve digits below
// 0.001 mm. User: drawing.
const DrawingReach = 100_000.0

// ZoneReach is how far (mm) zones are kept beyond the page of their drawing.
// Reason: more than the largest plate, so that a drawing may be moved over it,
// and near enough that polygon operations stay dense. User: drawing.
const ZoneReach = 500.0
