package plane

import "math"

// Affine maps (x, y) to (A·x + C·y + E, B·x + D·y + F), the order of
// coefficients of the SVG matrix() notation (W3C SVG 2, §8.5). The zero value
// maps everything to the origin; use Identity.
type Affine struct{ A, B, C, D, E, F float64 }

// Identity maps every point to itself.
func Identity() Affine { return Affine{A: 1, D: 1} }

// Translate moves by (x, y) mm.
func Translate(x, y float64) Affine { return Affine{1, 0, 0, 1, x, y} }

// Scale scales about the origin.
func Scale(x, y float64) Affine { return Affine{A: x, D: y} }

// Rotate turns by angle (radians) about the origin.
func Rotate(angle float64) Affine {
	s, c := math.Sincos(angle)
	return Affine{c, s, -s, c, 0, 0}
}

// Then returns the map that applies m first and n second.
func (m Affine) Then(n Affine) Affine {
	x, y, o := n.linear(m.A, m.B), n.linear(m.C, m.D), n.Apply(Point{m.E, m.F})
	return Affine{x.X, x.Y, y.X, y.Y, o.X, o.Y}
}

// linear maps a displacement. Guarded against fused multiply-add, see Point.Dot.
func (m Affine) linear(x, y float64) Point {
	return Point{float64(m.A*x) + float64(m.C*y), float64(m.B*x) + float64(m.D*y)}
}

// Apply maps p.
func (m Affine) Apply(p Point) Point {
	return m.linear(p.X, p.Y).Add(Point{m.E, m.F})
}

// ApplyLine maps a polyline into a new one.
func (m Affine) ApplyLine(l Polyline) Polyline {
	out := make(Polyline, len(l))
	for i, p := range l {
		out[i] = m.Apply(p)
	}
	return out
}

// ApplyRegion maps a region into a new one. A map that mirrors reverses the
// rings so that the normal form is kept.
func (m Affine) ApplyRegion(g Region) Region {
	out := make(Region, len(g))
	for i, r := range g {
		out[i] = Ring(m.ApplyLine(Polyline(r)))
		if m.Det() < 0 {
			out[i] = out[i].Reversed()
		}
	}
	return out
}

// Det returns the determinant: the factor by which areas grow, negative when
// the map mirrors.
func (m Affine) Det() float64 { return float64(m.A*m.D) - float64(m.B*m.C) }

// Angle maps the direction of a lay (radians, mod π) through the linear part
// of m and returns it in [0, π).
func (m Affine) Angle(lay float64) float64 {
	s, c := math.Sincos(lay)
	d := m.linear(c, s)
	return NormalLay(math.Atan2(d.Y, d.X))
}

// NormalLay brings a lay angle (radians) into [0, π): a lay has no sense of
// direction (ASME B46.1).
func NormalLay(a float64) float64 {
	a = math.Mod(a, math.Pi)
	if a < 0 {
		a += math.Pi
	}
	if a >= math.Pi { // a tiny negative number rounds up to π
		a = 0
	}
	return a
}
