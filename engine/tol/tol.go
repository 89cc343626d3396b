// Package tol holds every tolerance of the engine as a named constant with its
// unit, its reason and its user. It holds constants only; a tolerance that a
// caller may change is an option of that caller with the constant as default.
// One file per user package, named after it.
package tol

import "math"

// Coincident is the distance (mm) under which two points of a path count as
// one. Reason: written coordinates have three decimals, so nearer points
// cannot be told apart in a file. Users: join, drawing, fill.
const Coincident = 0.0005

// LayAngle is the angle (radians) within which two lay angles count as the
// same. Reason: 0.05° over a 200 mm face moves a line end by 0.17 mm, under
// half a bead. Users: lay, light.
const LayAngle = 0.05 * math.Pi / 180
