package overlay

import (
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Join says how the parallel border goes round a corner that opens.
type Join struct {
	// limit is the longest mitre in units of the distance; 0 asks for arcs.
	limit float64
}

// Round joins parallel edges by arcs about the corner: the result is the set of
// points within d (growing) or farther than d from the outside (shrinking).
func Round() Join { return Join{} }

// Mitre lengthens parallel edges until they meet, so that straight-sided shapes
// keep their corners. Where the tip would lie farther than limit·d from the
// corner it is cut straight across at that distance. limit is at least 1; a tip
// of angle α needs 1/sin(α/2), so 5.76 for 20°.
func Mitre(limit float64) Join { return Join{math.Max(limit, 1)} }

// Offset returns g grown by d mm, or shrunk where d is negative. Arcs are drawn
// with chords that leave them by at most tolerance mm (tol.OverlayArc where it
// is not positive); every chord is inscribed. A part that shrinks to nothing is
// gone; holes that close are gone. d = 0 or not finite returns the normal form.
//
// The raw border is the parallel of every ring, led through the corner itself
// where parallels overlap. Its winding number at a point is 1 inside g, plus
// (growing) or minus (shrinking) the number of edge strips and corner wedges
// over that point: the exact union or difference is where it is positive.
func Offset(g plane.Region, d float64, join Join, tolerance float64) plane.Region {
	if d == 0 || math.IsNaN(d) || math.IsInf(d, 0) {
		return flatten(Islands(g))
	}
	if !(tolerance > 0) {
		tolerance = tol.OverlayArc
	}
	tolerance = math.Max(tolerance, tol.OverlayFinestArc)
	base, ok := settled(g)
	if !ok {
		// What lattice rounding left between shapes that touch, slits and slivers
		// of a step or two, would grow to twice the distance. It is closed, or
		// taken off, by a way back and forth of a few steps.
		first := latticeFor(g).step() * sliverSteps
		if d > 0 {
			first = -first
		}
		base = parallel(Islands(g), offsetter{d: first, join: Mitre(sliverMitre)})
		d -= first
	}
	o := offsetter{d: d, join: join, tolerance: tolerance, step: math.Pi / 2}
	if ratio := tolerance / math.Abs(o.d); ratio < 1 {
		o.step = math.Min(o.step, 2*math.Acos(1-ratio))
	}
	return flatten(parallel(base, o))
}

// sliverSteps is the width in lattice steps, halved, of slits and slivers that an
// offset does not see; sliverMitre keeps corners down to 2° sharp meanwhile.
const (
	sliverSteps = 8
	sliverMitre = 60
)

// parallel draws the raw border of islands and resolves it.
func parallel(islands []plane.Region, o offsetter) []plane.Region {
	var raw []plane.Ring
	for _, island := range islands {
		if o.d < 0 && narrow(island[0], -o.d) {
			continue
		}
		for i, r := range island {
			if o.d > 0 && i > 0 && narrow(r, o.d) {
				continue
			}
			if o.join.limit > 0 {
				r = dropMicroEdges(r)
			}
			if len(r) >= 3 {
				raw = append(raw, o.ring(r))
			}
		}
	}
	return build(positive, raw, nil)
}

// narrow reports whether nothing that r encloses is farther than d from r, told
// by its box: such an island shrinks to nothing and such a hole closes. Their
// parallels would cross themselves almost everywhere.
func narrow(r plane.Ring, d float64) bool {
	size := r.Bounds().Size()
	return math.Min(size.X, size.Y) <= 2*d
}

// dropMicroEdges takes out the far end of every edge shorter than
// tol.OverlayMicroEdge.
func dropMicroEdges(r plane.Ring) plane.Ring {
	out := make(plane.Ring, 0, len(r))
	for i, p := range r {
		if i > 0 && p.Dist(out[len(out)-1]) < tol.OverlayMicroEdge ||
			i == len(r)-1 && p.Dist(r[0]) < tol.OverlayMicroEdge {
			continue
		}
		out = append(out, p)
	}
	return out
}

// offsetter draws raw parallels.
type offsetter struct {
	d, tolerance float64
	step         float64 // angle of one chord, radians
	join         Join
}

// ring draws the raw parallel of r, to the right of it for positive d: outside
// an outer ring, inside a hole.
func (o *offsetter) ring(r plane.Ring) plane.Ring {
	n := len(r)
	out := make(plane.Ring, 0, 2*n)
	before := r[0].Sub(r[n-1])
	for i, v := range r {
		after := r[(i+1)%n].Sub(v)
		out = o.corner(out, v, before, after)
		before = after
	}
	return out
}

// corner adds the parallel round v between the edges before and after it.
func (o *offsetter) corner(out plane.Ring, v, before, after plane.Point) plane.Ring {
	u, w := before.Unit(), after.Unit()
	n1, n2 := u.Left().Mul(-o.d), w.Left().Mul(-o.d)
	cos, sin := u.Dot(w), u.Cross(w)
	// Half the turn: tan(φ/2) = sin φ / (1 + cos φ).
	half := math.Inf(1)
	if cos > -1 {
		half = math.Abs(sin) / (1 + cos)
	}
	tip := func() plane.Point { return v.Add(n1.Add(n2).Mul(1 / (1 + cos))) }
	reach := math.Abs(o.d)
	if (sin > 0) != (o.d > 0) || sin == 0 && cos > 0 {
		// The parallels overlap. Where both edges are long enough they are cut
		// at their common point, which drops only ground covered twice.
		if 2*reach*half <= math.Min(before.Norm(), after.Norm()) {
			return append(out, tip())
		}
		return append(out, v.Add(n1), v, v.Add(n2))
	}
	long := math.Sqrt(1 + half*half) // distance of the tip in units of d
	if o.join.limit > 0 {
		if long <= o.join.limit {
			return append(out, tip())
		}
		return o.cutTip(out, v, n1, n2, u, w)
	}
	if reach*(long-1) <= o.tolerance/4 {
		return append(out, tip())
	}
	turn := math.Atan2(sin, cos)
	steps := math.Ceil(math.Abs(turn) / o.step)
	out = append(out, v.Add(n1))
	for k := 1.0; k < steps; k++ {
		out = append(out, v.Add(n1.Turn(turn*k/steps)))
	}
	return append(out, v.Add(n2))
}

// cutTip adds a mitre cut straight across at the limit.
func (o *offsetter) cutTip(out plane.Ring, v, n1, n2, u, w plane.Point) plane.Ring {
	axis := u.Sub(w).Unit()
	if axis == (plane.Point{}) {
		return append(out, v.Add(n1), v.Add(n2))
	}
	// From v + n1 along u until the distance from v along the axis is the limit.
	far := o.join.limit * math.Abs(o.d)
	along := (far - n1.Dot(axis)) / u.Dot(axis)
	return append(out, v.Add(n1).Add(u.Mul(along)), v.Add(n2).Sub(w.Mul(along)))
}
