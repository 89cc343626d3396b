package tol

// RasterStretch is the length of path (mm) behind a place within which bead that
// covers the place again does not count as laid twice. Reason: neighbouring
// segments of one path overlap at their joints; a bead laid over itself needs at
// least two widths of path to come back. User: raster.
const RasterStretch = 1.0

// RasterChord is the deviation, in pixels, up to which short segments of one
// width are drawn as one. Reason: a fifth of a pixel is below what centre
// sampling can tell, and finely divided arcs would cost ten times as much.
// User: raster.
const RasterChord = 0.2

// RasterMaxPixels bounds a sampling grid (one byte each). Reason: 64 MB leaves
// the engine below 100 MB; a larger face is measured with larger pixels. User:
// raster.
const RasterMaxPixels = 64 << 20

// RasterQuiet is how many degrees to either side of the sampling grid's rows and
// columns are kept as free of bead directions as possible. Reason: lines within
// a degree or two of a row are sampled in long beats and bias areas by up to
// 0.7 %. User: raster.
const RasterQuiet = 3
