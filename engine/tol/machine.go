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

// MachineSameBed is the difference (mm) of two beds that are one bed. Reason:
// sizes and origins are given in whole or half millimetres. Users: machine,
// piece.
const MachineSameBed = 0.5

// MachineSameNozzle is the difference (mm) of two nozzles that are one nozzle.
// Reason: the next nozzles sold are 0.05 mm apart. User: machine.
const MachineSameNozzle = 0.01

// MachineSameLift is the difference (mm) of two lifts that are one lift. Reason:
// heights are written to a thousandth. User: piece.
const MachineSameLift = 0.002
