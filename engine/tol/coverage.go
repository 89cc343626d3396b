package tol

// CoveragePixelShare is the pixel of the coverage raster as a share of the line
// width. Reason: areas then err by less than 0.02 % on a turned grid. User:
// coverage.
const CoveragePixelShare = 0.1

// CoverageOpen is the distance (mm) from any bead beyond which a gap counts as
// open. Reason: thinner gaps close when the bead is squeezed; measured on faces
// of the project's own fill. User: coverage.
const CoverageOpen = 0.05

// CoverageClose and CoverageFar are the shares of the bead's width below and
// above which the distance of neighbouring lines is reported. Reason: common
// practice; nearer lines pile up and tear, farther ones leave daylight. User:
// coverage.
const (
	CoverageClose = 0.70
	CoverageFar   = 1.15
)

// CoverageThin and CoverageWide are the shares of the line width outside which a
// bead is not one line wide. Reason: a nozzle lays 0.7 to 1.35 times its nominal
// line without change of look (common practice, no published source). User:
// coverage.
const (
	CoverageThin = 0.70
	CoverageWide = 1.35
)

// CoverageParallel is the angle (radians) within which two lines count as running
// side by side. User: coverage.
const CoverageParallel = 0.12

// CoverageSameWay is the angle (radians) within which the layer above runs the
// same way as the pattern. Reason: beads that cross at 10° and more are bonded
// at many places; common practice, no published source. User: coverage.
const CoverageSameWay = 0.17

// CoveragePrimeReach is how far (mm) from the end of the prime line a pattern may
// start. Reason: about what a nozzle oozes in one short travel. User: coverage.
const CoveragePrimeReach = 2.0

// CoverageShortest is the length (mm) of the shortest piece of line a machine is
// taken to follow where the caller gives none. Reason: at 20 mm/s it is 2.5 ms,
// the time in which a common controller reads a line. User: coverage.
const CoverageShortest = 0.05
