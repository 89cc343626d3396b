package tol

// SameLevel is the difference of Z (mm) under which material counts as laid at
// one level. Reason: half of the thinnest layer in use (0.05 mm), and above the
// rounding of written and summed Z. User: layers.
const SameLevel = 0.025

// LevelNumber is the difference (mm) under which a number in a comment counts
// as the Z of a level. Reason: such numbers are written with two decimals.
// User: layers.
const LevelNumber = 0.0051

// StrayLength is the length (mm) of laid material under which a level between
// two others of the same Z is taken for a slip (a drop fed while lifted), not
// for a layer. User: layers.
const StrayLength = 1.0

// PrimeMoves is the largest number of extruding moves before the first layer
// that are taken for a priming line when they lie beside the piece. Reason: a
// priming line is drawn with two to eight moves; common practice, no published
// source. User: layers.
const PrimeMoves = 12

// SureEnough is the confidence under which the person is asked. User: layers.
const SureEnough = 0.6

// LayerArc is the largest distance (mm) of a flattened arc of the file from
// the arc. Reason: far below the width of a bead; finer costs points only.
// User: layers.
const LayerArc = 0.005

// StrayZ is the spread of Z (mm) within a layer from which it is reported.
// Reason: above the rounding of written Z. User: layers.
const StrayZ = 0.005
