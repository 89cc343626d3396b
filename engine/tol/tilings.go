package tol

// Flattening is the largest distance (mm) between an arc and the chords that
// stand for it in a pattern. Reason: a twentieth of a bead, under the 0.03 mm
// that a drive's step and a written coordinate blur; users: tilings, curves.
const Flattening = 0.02

// FacetCorner is the length (mm) under which a side of a random facet is
// closed to a point. Reason: a side shorter than an eighth of a bead changes
// no line, but leaves a corner that sweeps have to split at. User: tilings.
const FacetCorner = 0.05

// OnEdge is the distance (mm) within which a tile's corner counts as lying on
// another tile's side. Reason: corners are built from whole-number steps, so
// the rounding is near 1e-13 mm at 400 mm; a real offset is at least the
// smallest size a person may choose, 0.1 mm. User: tilings.
const OnEdge = 1e-7
