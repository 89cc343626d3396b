package pattern

import (
	"math"

	"sheenlay/engine/plane"
)

// Sloped is a Field that knows its gradient in closed form. Slope returns
// ∇Level at p (dimensionless); it may return the zero vector where the
// gradient does not exist. Fields without it are differenced.
type Sloped interface {
	Field
	Slope(p plane.Point) plane.Point
}

// Rungs are the levels on which the lines of a field stand best, wherever it is
// cut: Lines of them, evenly between Low and High, which are the levels of single
// points and lie half a step beyond the outermost lines. No lines: not known.
type Rungs struct {
	Low, High float64
	Lines     int
}

// Runged is a Field that may know its rungs at a spacing (mm).
type Runged interface {
	Field
	Rungs(spacing float64) Rungs
}

// RungsOf returns the rungs of a field; without any where it does not know them.
func RungsOf(f Field, spacing float64) Rungs {
	if r, ok := f.(Runged); ok {
		return r.Rungs(spacing)
	}
	return Rungs{}
}

// Transform returns p mapped by m: regions, lays, fields and curves move
// together. Lengths across the lay (Phase) grow with the mean scale √|det m|;
// Spacing, Flow and Speed belong to the job and stay. A map that flattens the
// plane (determinant zero or not a number) leaves nothing: the empty Pattern
// with the flags of p is returned. p is not changed.
func Transform(p Pattern, m plane.Affine) Pattern {
	out := Pattern{ReadsOneWay: p.ReadsOneWay}
	back, ok := inverse(m)
	if !ok {
		return out
	}
	scale := math.Sqrt(math.Abs(m.Det()))
	out.Ground = moveLay(p.Ground, m, back, scale)
	out.GroundPhase = p.GroundPhase * scale
	if p.Zones != nil {
		out.Zones = make([]Zone, len(p.Zones))
	}
	for i, z := range p.Zones {
		z.Region = m.ApplyRegion(z.Region)
		z.Lay = moveLay(z.Lay, m, back, scale)
		z.Phase *= scale
		out.Zones[i] = z
	}
	if p.Curves != nil {
		out.Curves = make([]Curve, len(p.Curves))
	}
	for i, c := range p.Curves {
		out.Curves[i] = Curve{Points: m.ApplyLine(c.Points), Closed: c.Closed}
	}
	return out
}

// Mirror returns p mirrored about the upright line at x = axis (mm). A picture
// laid on the plate is seen from below, so whatever ReadsOneWay has to be
// mirrored once to read right.
func Mirror(p Pattern, axis float64) Pattern {
	return Transform(p, plane.Affine{A: -1, D: 1, E: 2 * axis})
}

func moveLay(l Lay, m, back plane.Affine, scale float64) Lay {
	l.Angle = m.Angle(l.Angle)
	if l.Field != nil {
		moved := movedField{inner: l.Field, back: back, scale: scale}
		if s, ok := l.Field.(Sloped); ok {
			l.Field = movedSloped{movedField: moved, sloped: s}
		} else {
			l.Field = moved
		}
	}
	return l
}

// movedField is a field seen through a map of the plane.
type movedField struct {
	inner Field
	back  plane.Affine // from the new plane to the field's own
	scale float64
}

// Level returns the inner level at the place p came from, in mm of the new
// plane: a map that keeps angles keeps |∇Level|.
func (f movedField) Level(p plane.Point) float64 {
	return f.scale * f.inner.Level(f.back.Apply(p))
}

// Rungs returns the inner ones in mm of the new plane.
func (f movedField) Rungs(spacing float64) Rungs {
	r := RungsOf(f.inner, spacing/f.scale)
	return Rungs{Low: r.Low * f.scale, High: r.High * f.scale, Lines: r.Lines}
}

// movedSloped keeps the closed form of the slope where the inner field has one.
type movedSloped struct {
	movedField
	sloped Sloped
}

// Slope applies the chain rule.
func (f movedSloped) Slope(p plane.Point) plane.Point {
	g := f.sloped.Slope(f.back.Apply(p))
	return plane.Point{
		X: f.scale * (float64(f.back.A*g.X) + float64(f.back.B*g.Y)),
		Y: f.scale * (float64(f.back.C*g.X) + float64(f.back.D*g.Y)),
	}
}

// slopeStep is half the base (mm) of the central difference in Slope: a
// hundredth of a bead, so a bend shows, and 1e11 times the rounding of a level.
const slopeStep = 0.005

// Slope returns ∇Level of f at p, in closed form where f is Sloped, else by
// central differences over 0.01 mm.
func Slope(f Field, p plane.Point) plane.Point {
	if s, ok := f.(Sloped); ok {
		return s.Slope(p)
	}
	const h = slopeStep
	return plane.Point{
		X: (f.Level(plane.Point{X: p.X + h, Y: p.Y}) - f.Level(plane.Point{X: p.X - h, Y: p.Y})) / (2 * h),
		Y: (f.Level(plane.Point{X: p.X, Y: p.Y + h}) - f.Level(plane.Point{X: p.X, Y: p.Y - h})) / (2 * h),
	}
}

// AngleAt returns the lay angle at p in [0, π): the fixed angle, or the
// direction of the level line through p. Where a field has no slope the fixed
// angle stands in.
func (l Lay) AngleAt(p plane.Point) float64 {
	if l.Field == nil {
		return plane.NormalLay(l.Angle)
	}
	g := Slope(l.Field, p)
	if g.X == 0 && g.Y == 0 {
		return plane.NormalLay(l.Angle)
	}
	return plane.NormalLay(math.Atan2(g.X, -g.Y))
}

// inverse returns the map that undoes m; false when m flattens the plane or
// holds a number that is none.
func inverse(m plane.Affine) (plane.Affine, bool) {
	d := m.Det()
	if d == 0 || math.IsNaN(d) || math.IsInf(d, 0) || math.IsNaN(m.E+m.F) || math.IsInf(m.E+m.F, 0) {
		return plane.Affine{}, false
	}
	out := plane.Affine{A: m.D / d, B: -m.B / d, C: -m.C / d, D: m.A / d}
	out.E = -(float64(out.A*m.E) + float64(out.C*m.F))
	out.F = -(float64(out.B*m.E) + float64(out.D*m.F))
	return out, true
}
