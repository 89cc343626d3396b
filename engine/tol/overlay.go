package tol

// OverlayBits is the fineness of the lattice of polygon operations: one step is
// 2^-OverlayBits mm, just under a millionth of a millimetre. Reason: a power of
// two converts without rounding, and coordinates up to 512 mm stay below 2^29
// steps, so that every orientation fits an int64 exactly. Coarser by one bit for
// every doubling of the extent beyond that. User: overlay.
const OverlayBits = 20

// OverlayReach is the largest coordinate (mm) polygon operations accept: one
// kilometre-like 2^20 mm, far beyond any bed. Rings that reach farther are left
// out. User: overlay.
const OverlayReach = 1 << 20

// OverlayArc is the deviation (mm) of a round join's chords from the true arc
// where the caller gives none. Reason: a tenth of the finest pixel that coverage
// is measured with. User: overlay.
const OverlayArc = 0.004

// OverlayFinestArc is the smallest deviation (mm) of chords that is honoured;
// it bounds the number of points of one join. User: overlay.
const OverlayFinestArc = 0.00001

// OverlayMicroEdge is the length (mm) under which an edge is taken out before a
// mitred offset. Reason: lattice rounding leaves edges of a few steps whose
// direction is accidental and would cut the mitre of a sharp tip; written
// coordinates have three decimals, so no edge of a file is that short. User:
// overlay.
const OverlayMicroEdge = 0.0002
