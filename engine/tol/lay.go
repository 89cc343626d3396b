package tol

// SharedBorder is the length (mm) under which two zones count as touching in a
// point only and not as neighbours. Reason: one bead is 0.42 mm wide, so a
// shorter border cannot be seen; on a raster it also hides the one or two
// pixel sides that a contact at a single corner leaves. User: lay.
const SharedBorder = 0.6

// LayTie is the difference (radians) under which two assignments of lay angles
// count as equally good. Reason: ten roundings of an angle near π, far below
// LayAngle. User: lay.
const LayTie = 1e-9
