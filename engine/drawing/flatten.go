package drawing

import (
	"math"

	"sheenlay/engine/drawing/bezier"
	"sheenlay/engine/plane"
)

// arc is an elliptical arc: the points Centre + cos t·U + sin t·V for t from
// From to From+Sweep (radians). The form is closed under affine maps.
type arc struct {
	centre, u, v plane.Point
	from, sweep  float64
}

// endpointArc turns the end-point form of an arc into its centre form (W3C
// SVG 2, implementation notes, B.2.4 and B.2.5). Radii are in user units, the
// rotation in degrees. The second result is false when the arc is a straight
// line: a zero radius, or ends that are equal.
func endpointArc(p, q plane.Point, rx, ry, rotation float64, large, sweep bool) (arc, bool) {
	rx, ry = math.Abs(rx), math.Abs(ry)
	if rx == 0 || ry == 0 || p == q {
		return arc{}, false
	}
	sin, cos := math.Sincos(math.Mod(rotation, 360) * math.Pi / 180)
	// Half the chord in the frame of the ellipse, in units of its radii, keeps
	// the squares in range for radii of any size.
	half := p.Sub(q).Mul(0.5)
	x := (float64(cos*half.X) + float64(sin*half.Y)) / rx
	y := (float64(cos*half.Y) - float64(sin*half.X)) / ry
	lambda := float64(x*x) + float64(y*y)
	if !(lambda > 0) || math.IsInf(lambda, 0) {
		return arc{}, false
	}
	toCentre := 0.0
	if lambda > 1 {
		grow := math.Sqrt(lambda)
		rx, ry, x, y = rx*grow, ry*grow, x/grow, y/grow
	} else {
		toCentre = math.Sqrt((1 - lambda) / lambda)
		if large == sweep {
			toCentre = -toCentre
		}
	}
	cx, cy := toCentre*y, -toCentre*x
	from := math.Atan2(y-cy, x-cx)
	turn := math.Atan2(-y-cy, -x-cx) - from
	if sweep && turn < 0 {
		turn += 2 * math.Pi
	} else if !sweep && turn > 0 {
		turn -= 2 * math.Pi
	}
	u := plane.Point{X: rx * cos, Y: rx * sin}
	v := plane.Point{X: -ry * sin, Y: ry * cos}
	middle := p.Lerp(q, 0.5)
	return arc{centre: middle.Add(u.Mul(cx)).Add(v.Mul(cy)), u: u, v: v, from: from, sweep: turn}, true
}

// at returns the point at angle from + share·sweep.
func (a arc) at(share float64) plane.Point {
	sin, cos := math.Sincos(a.from + share*a.sweep)
	return a.centre.Add(a.u.Mul(cos)).Add(a.v.Mul(sin))
}

func (a arc) mapped(m plane.Affine) arc {
	linear := plane.Affine{A: m.A, B: m.B, C: m.C, D: m.D}
	a.centre, a.u, a.v = m.Apply(a.centre), linear.Apply(a.u), linear.Apply(a.v)
	return a
}

// longestAxis returns the larger semi-axis of the ellipse: the larger
// singular value of the matrix [u v].
func (a arc) longestAxis() float64 {
	s := a.u.Dot(a.u) + a.v.Dot(a.v)
	d := a.u.Cross(a.v)
	return math.Sqrt(s/2 + math.Sqrt(math.Max(0, s*s/4-d*d)))
}

// flattener turns curves into points no farther than tolerance from them and
// stops at a bound on their number.
type flattener struct {
	tolerance float64 // mm
	left      int     // points that may still be made
	overflow  bool
}

// flatten maps a subpath with m (user units to mm) and returns its points.
// Each lies on the curve; no point of the curve is farther than the tolerance
// from the polyline. Equal neighbours are merged, and the last point of a
// closed subpath is not its first.
func (f *flattener) flatten(s subpath, m plane.Affine) plane.Polyline {
	at := m.Apply(s.start)
	points := make(plane.Polyline, 1, 1+len(s.segments))
	points[0] = at
	for _, g := range s.segments {
		end := m.Apply(g.end)
		switch g.kind {
		case lineSegment:
			points = f.append(points, end)
		case quadSegment:
			c := m.Apply(g.c1)
			n := f.steps(bezier.QuadSteps(at, c, end, f.tolerance))
			for i := 1; i < n; i++ {
				points = f.append(points, bezier.Quad(at, c, end, float64(i)/float64(n)))
			}
			points = f.append(points, end)
		case cubicSegment:
			c1, c2 := m.Apply(g.c1), m.Apply(g.c2)
			n := f.steps(bezier.CubicSteps(at, c1, c2, end, f.tolerance))
			for i := 1; i < n; i++ {
				points = f.append(points, bezier.Cubic(at, c1, c2, end, float64(i)/float64(n)))
			}
			points = f.append(points, end)
		case arcSegment:
			a := g.arc.mapped(m)
			n := f.steps(arcSteps(a.longestAxis(), a.sweep, f.tolerance))
			for i := 1; i < n; i++ {
				points = f.append(points, a.at(float64(i)/float64(n)))
			}
			points = f.append(points, end)
		}
		at = end
		if f.overflow {
			break
		}
	}
	if s.closed {
		for len(points) > 1 && points[len(points)-1] == points[0] {
			points = points[:len(points)-1]
		}
	}
	return points
}

func (f *flattener) append(points plane.Polyline, p plane.Point) plane.Polyline {
	if points[len(points)-1] == p {
		return points
	}
	f.left--
	if f.left < 0 {
		f.overflow = true
		return points
	}
	return append(points, p)
}

// steps turns a wanted count into an integer within the bound that is left.
func (f *flattener) steps(wanted float64) int {
	if !(wanted <= float64(f.left)) {
		f.overflow = true
		return 1
	}
	return max(1, int(math.Ceil(wanted)))
}

// arcSteps returns into how many equal steps an arc is cut so that the
// sagitta r(1 − cos(step/2)) of its longer semi-axis r stays within
// tolerance. An ellipse is a circle of radius 1 under a map that stretches no
// length by more than r, so the bound holds for it too.
func arcSteps(r, sweep, tolerance float64) float64 {
	if r <= tolerance {
		return math.Abs(sweep) / (math.Pi / 2)
	}
	return math.Abs(sweep) / (2 * math.Acos(1-tolerance/r))
}
