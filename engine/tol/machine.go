package tol

// MachineBeyondCorner is how far (mm) a piece may reach below zero before the
// origin must lie in the middle of the bed. Reason: skirts and brims counted
// as part of the piece stand a few millimetres out; a bed does not. User:
// machine.
const MachineBeyondCorner = 5

// MachineCentred is the step (mm) in which the distance of a piece from the
// middle of a bed counts as evidence of the bed's size. Reason: the middles of
// the common beds are 7.5 to 25 mm apart. User: machine.
const MachineCentred = 5
