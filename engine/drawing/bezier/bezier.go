// Package bezier gives points along Bézier curves and the number of steps in
// which a curve is flattened within a tolerance.
package bezier

import (
	"math"

	"sheenlay/engine/plane"
)

// QuadSteps returns into how many equal parameter steps the quadratic curve
// from p to q with control point c is cut so that no chord leaves the curve by
// more than tolerance (same unit as the points, positive). The result is not
// rounded and may be 0 (a straight curve) or +Inf.
//
// Degree d: √(d(d−1)/8 · M/tolerance) steps, M the longest second difference
// of the control points (Wang 1984; Goldman, Pyramid Algorithms, 2003, §5.6:
// memory).
func QuadSteps(p, c, q plane.Point, tolerance float64) float64 {
	return math.Sqrt(p.Sub(c.Mul(2)).Add(q).Norm() / (4 * tolerance))
}

// CubicSteps is QuadSteps for the cubic curve with control points c and d.
func CubicSteps(p, c, d, q plane.Point, tolerance float64) float64 {
	bend := math.Max(p.Sub(c.Mul(2)).Add(d).Norm(), c.Sub(d.Mul(2)).Add(q).Norm())
	return math.Sqrt(3 * bend / (4 * tolerance))
}

// Quad returns the point at parameter t of a quadratic curve, by repeated
// interpolation.
func Quad(p, c, q plane.Point, t float64) plane.Point {
	return p.Lerp(c, t).Lerp(c.Lerp(q, t), t)
}

// Cubic returns the point at parameter t of a cubic curve.
func Cubic(p, c, d, q plane.Point, t float64) plane.Point {
	return Quad(p.Lerp(c, t), c.Lerp(d, t), d.Lerp(q, t), t)
}
