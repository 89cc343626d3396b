package overlay

import (
	"math"

	"sheenlay/engine/plane"
)

// This file contains the short way for regions that need no tidying, which most
// are: it takes a tenth of the time of the booleans that would give back the same
// rings.

const (
	// settledRings bounds the rings of the short way, which compares all pairs.
	settledRings = 1000
	// settledSteps is the distance (lattice steps) within which two parts of a
	// border count as touching: the slits and slivers an offset closes, and a few
	// steps of rounding.
	settledSteps = 2*sliverSteps + 4
	// settledTip is the cosine of the sharpest corner, about 3°, of a region that
	// counts as settled: nearer its tip the two sides touch as above.
	settledTip = -0.9986
)

// settled returns the islands of g, as Islands does but with the points as they
// are, where no two parts of its border touch or cross. It reports false for all
// other regions.
func settled(g plane.Region) ([]plane.Region, bool) {
	if len(g) == 0 || len(g) > settledRings {
		return nil, false
	}
	l := latticeFor(g)
	rings := make([]snapped, len(g))
	var edges []edge
	var next []int32 // the edge that goes on from each
	for i, r := range g {
		if !usable(r) || !rings[i].snap(l, r) {
			return nil, false
		}
		first := int32(len(edges))
		for k, p := range rings[i].points {
			q := rings[i].points[(k+1)%len(rings[i].points)]
			if less(q, p) {
				p, q = q, p
			}
			edges = append(edges, edge{a: p, b: q})
			next = append(next, int32(len(edges)))
		}
		next[len(next)-1] = first
	}
	grid := newGrid(edges, settledSteps)
	if !grid.apart(edges, next) {
		return nil, false
	}
	return nest(g, rings), true
}

// snapped is a ring on the lattice.
type snapped struct {
	points []point
	lo, hi point
	inside []int32 // rings around it
}

// snap fills s. It reports false where points fall together or the ring folds
// back upon itself.
func (s *snapped) snap(l lattice, r plane.Ring) bool {
	s.points = make([]point, len(r))
	for i, p := range r {
		s.points[i] = l.snap(p)
	}
	s.lo, s.hi = s.points[0], s.points[0]
	n := len(r)
	before := s.points[0].sub(s.points[n-1])
	long := math.Sqrt(float64(before.dot(before)))
	for i, p := range s.points {
		s.lo = point{min(s.lo.x, p.x), min(s.lo.y, p.y)}
		s.hi = point{max(s.hi.x, p.x), max(s.hi.y, p.y)}
		after := s.points[(i+1)%n].sub(p)
		far := math.Sqrt(float64(after.dot(after)))
		if far < settledSteps || float64(before.dot(after)) < settledTip*long*far {
			return false
		}
		before, long = after, far
	}
	return true
}

// apart reports whether no two edges that do not follow one another come within
// settledSteps.
func (g *grid) apart(edges []edge, next []int32) bool {
	for c := int32(0); int64(c) < g.columns*g.rows; c++ {
		list := g.lists.list(c)
		for i, m := range list {
			e := &edges[m]
			elow, ehigh := min(e.a.y, e.b.y)-settledSteps, max(e.a.y, e.b.y)+settledSteps
			for _, n := range list[i+1:] {
				f := &edges[n]
				if f.a.x > e.b.x+settledSteps || e.a.x > f.b.x+settledSteps ||
					min(f.a.y, f.b.y) > ehigh || max(f.a.y, f.b.y) < elow || next[m] == n || next[n] == m {
					continue
				}
				if touch(e, f) {
					return false
				}
			}
		}
	}
	return true
}

// touch reports whether e and f cross or come within settledSteps.
func touch(e, f *edge) bool {
	if (turn(e.a, e.b, f.a) < 0) != (turn(e.a, e.b, f.b) < 0) && (turn(f.a, f.b, e.a) < 0) != (turn(f.a, f.b, e.b) < 0) {
		return true
	}
	return e.near(f.a) || e.near(f.b) || f.near(e.a) || f.near(e.b)
}

// near reports whether p lies within settledSteps of e.
func (e *edge) near(p point) bool {
	d, v := e.b.sub(e.a), p.sub(e.a)
	dx, dy, vx, vy := float64(d.x), float64(d.y), float64(v.x), float64(v.y)
	t := min(max((float64(vx*dx)+float64(vy*dy))/(float64(dx*dx)+float64(dy*dy)), 0), 1)
	return math.Hypot(vx-float64(t*dx), vy-float64(t*dy)) < settledSteps
}

// nest groups rings that do not touch to islands.
func nest(g plane.Region, rings []snapped) []plane.Region {
	for i := range rings {
		p := rings[i].points[0]
		for j := range rings {
			r := &rings[j]
			if i != j && p.x >= r.lo.x && p.x <= r.hi.x && p.y >= r.lo.y && p.y <= r.hi.y && r.holds(p) {
				rings[i].inside = append(rings[i].inside, int32(j))
			}
		}
	}
	island := make([]int, len(g))
	var out []plane.Region
	for i, r := range rings {
		if len(r.inside)%2 == 0 {
			island[i] = len(out)
			out = append(out, plane.Region{turned(g[i], 1)})
		}
	}
	for i, r := range rings {
		if len(r.inside)%2 == 0 {
			continue
		}
		for _, j := range r.inside {
			if len(rings[j].inside) == len(r.inside)-1 {
				out[island[j]] = append(out[island[j]], turned(g[i], -1))
			}
		}
	}
	return out
}

// turned returns r so that its area has the sign given.
func turned(r plane.Ring, sign float64) plane.Ring {
	if r.Area()*sign < 0 {
		return r.Reversed()
	}
	return r
}

// holds reports whether p, which does not lie on the ring, lies in it.
func (s *snapped) holds(p point) bool {
	in := false
	a := s.points[len(s.points)-1]
	for _, b := range s.points {
		if (a.y > p.y) != (b.y > p.y) && (turn(a, b, p) > 0) == (b.y > a.y) {
			in = !in
		}
		a = b
	}
	return in
}
