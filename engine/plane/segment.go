package plane

import (
	"math"
	"slices"
)

// Crosses reports whether the segment from p to q meets the box, its border
// included, by clipping it against the four sides in turn. Nothing meets an empty
// box.
func (b Box) Crosses(p, q Point) bool {
	if b.Empty() {
		return false
	}
	t0, t1 := 0.0, 1.0
	d := q.Sub(p)
	for _, side := range [4][2]float64{{-d.X, p.X - b.Min.X}, {d.X, b.Max.X - p.X}, {-d.Y, p.Y - b.Min.Y}, {d.Y, b.Max.Y - p.Y}} {
		v, q := side[0], side[1]
		switch {
		case v == 0 && q < 0:
			return false
		case v < 0:
			t0 = math.Max(t0, q/v)
		case v > 0:
			t1 = math.Min(t1, q/v)
		}
	}
	return t0 <= t1
}

// LengthWithin returns the length of the segment from a to b inside g (even-odd
// rule), mm.
func (g Region) LengthWithin(a, b Point) float64 {
	d := b.Sub(a)
	length := d.Norm()
	if length == 0 {
		return 0
	}
	u := d.Mul(1 / length)
	var at []float64
	for _, r := range g {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			// Half-open in the distance from the line, so that a vertex on it
			// counts once.
			sp, sq := u.Cross(p.Sub(a)), u.Cross(q.Sub(a))
			if (sp > 0) != (sq > 0) {
				at = append(at, p.Lerp(q, sp/(sp-sq)).Sub(a).Dot(u))
			}
		}
	}
	slices.Sort(at)
	sum := 0.0
	for i := 0; i+1 < len(at); i += 2 {
		from, to := math.Max(at[i], 0), math.Min(at[i+1], length)
		sum += math.Max(0, to-from)
	}
	return sum
}

// Nearest returns the point of the region's border nearest to p; ok is false for
// a region without any.
func (g Region) Nearest(p Point) (nearest Point, ok bool) {
	best := math.Inf(1)
	for _, ring := range g {
		for i, a := range ring {
			q := NearestOnSegment(a, ring[(i+1)%len(ring)], p)
			if d := q.Dist(p); d < best {
				best, nearest, ok = d, q, true
			}
		}
	}
	return nearest, ok
}
