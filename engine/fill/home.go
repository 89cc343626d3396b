package fill

import (
	"math"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// home is the frame that beads are laid in: its origin is the middle of the face,
// and every coordinate that comes in is rounded to tol.FillHomeMM. Wherever the
// face lies on the bed, the same numbers come in, so that the rounding of large
// coordinates decides no tie between two ways to lay a bead: a face that is moved
// moves its bead, and changes nothing else.
type home struct{ origin plane.Point }

func rounded(v float64) float64 { return math.Round(v/tol.FillHomeMM) * tol.FillHomeMM }

func (h home) point(p plane.Point) plane.Point {
	p = p.Sub(h.origin)
	return plane.Point{X: rounded(p.X), Y: rounded(p.Y)}
}

func (h home) points(from []plane.Point) []plane.Point {
	out := make([]plane.Point, len(from))
	for i, p := range from {
		out[i] = h.point(p)
	}
	return out
}

func (h home) region(g plane.Region) plane.Region {
	out := make(plane.Region, len(g))
	for i, r := range g {
		out[i] = h.points(r)
	}
	return out
}

func (h home) lay(l pattern.Lay) pattern.Lay {
	if l.Field != nil {
		l.Field = field{l.Field, h}
	}
	return l
}

// field is a field seen from home.
type field struct {
	pattern.Field
	home home
}

// Level returns the level, rounded as coordinates are.
func (f field) Level(p plane.Point) float64 {
	return rounded(f.Field.Level(p.Add(f.home.origin)))
}

// Slope returns the gradient of the field itself, which rounded levels cannot
// tell.
func (f field) Slope(p plane.Point) plane.Point {
	s := pattern.Slope(f.Field, p.Add(f.home.origin))
	return plane.Point{X: rounded(s.X), Y: rounded(s.Y)}
}

// Rungs are those of the field itself.
func (f field) Rungs(spacing float64) pattern.Rungs { return pattern.RungsOf(f.Field, spacing) }

// atHome returns the request as seen from home. The caller's pattern is not
// changed.
func (r Request) atHome() (Request, home) {
	h := home{}
	if box := r.Face.Bounds(); !box.Empty() {
		h.origin = box.Centre()
	}
	r.Face = h.region(r.Face)
	if r.Start != nil {
		start := h.point(*r.Start)
		r.Start = &start
	}
	zones := make([]pattern.Zone, len(r.Pattern.Zones))
	for i, z := range r.Pattern.Zones {
		z.Region, z.Lay = h.region(z.Region), h.lay(z.Lay)
		zones[i] = z
	}
	r.Pattern.Zones, r.Pattern.Ground = zones, h.lay(r.Pattern.Ground)
	curves := make([]pattern.Curve, len(r.Pattern.Curves))
	for i, c := range r.Pattern.Curves {
		curves[i] = pattern.Curve{Points: h.points(c.Points), Closed: c.Closed}
	}
	r.Pattern.Curves = curves
	return r, h
}

// moveOut brings a result from home to the bed.
func (r *Result) moveOut(h home) {
	for _, s := range r.Strands {
		for i, p := range s.Points {
			s.Points[i] = p.Add(h.origin)
		}
	}
	for _, f := range r.Findings {
		if f.Place != nil && f.Place.At != nil {
			f.Place.At[0] += h.origin.X
			f.Place.At[1] += h.origin.Y
		}
	}
}
