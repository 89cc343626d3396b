// Package route plans travels: the way of the lifted nozzle from the end of one
// bead to the start of the next, round the parts of the face that are still bare
// and round the areas that are to be kept free. Lengths in mm.
//
// Ways are shortest paths over the corners of what stands between (visibility
// graph; Lozano-Pérez and Wesley, Communications of the ACM 22(10), 1979,
// 560–570), with a price on every mm over bare face instead of a wall, since the
// first point of a bead commonly lies on bare face itself.
package route

import (
	"math"

	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/tol"
)

// Way is one travel.
type Way struct {
	Via      []plane.Point // between its ends, which are not repeated; nil: straight
	LengthMM float64
	BareMM   float64 // of it over face that is still bare
}

// Map holds what travels should not pass over.
type Map struct {
	parts   []part
	keepOut []plane.Box
	allowed func(plane.Point) bool
}

type part struct {
	region  plane.Region
	box     plane.Box
	laid    bool
	corners []plane.Point // where a way may turn; made when first wanted
	known   bool
}

// New returns a map of parts of a face, none of them laid yet. A way turns only
// at places that allowed accepts, and passes over no box of keepOut.
func New(parts []plane.Region, keepOut []plane.Box, allowed func(plane.Point) bool) *Map {
	m := &Map{allowed: allowed, keepOut: keepOut}
	for _, g := range parts {
		m.parts = append(m.parts, part{region: g, box: g.Bounds()})
	}
	return m
}

// Lay says that part i holds its bead: travels may pass over it.
func (m *Map) Lay(i int) { m.parts[i].laid = true }

// Way returns the way from one place to another. Where none keeps off the areas
// to be kept free it is straight.
func (m *Map) Way(from, to plane.Point) Way {
	straight := Way{LengthMM: from.Dist(to), BareMM: m.bare(from, to)}
	if !from.Finite() || !to.Finite() || m.free(from, to) && straight.BareMM <= m.least(from)+m.least(to)+tol.RouteSlack {
		return straight
	}
	s := search{m: m, ends: [2]plane.Point{from, to}, hit: map[int]bool{}}
	best := straight
	via, ok := []plane.Point(nil), true
	// What the way meets is added until it meets nothing new.
	for range maxRounds {
		if !s.meet(append(append([]plane.Point{from}, via...), to)) {
			break
		}
		if via, ok = s.path(); !ok {
			return straight
		}
		best = m.measure(from, via, to)
	}
	return best
}

// maxRounds bounds how often a way is looked for again because it met a further
// part.
const maxRounds = 12

// measure returns the way over the given places.
func (m *Map) measure(from plane.Point, via []plane.Point, to plane.Point) Way {
	out := Way{Via: via}
	for _, p := range append(append([]plane.Point(nil), via...), to) {
		out.LengthMM += from.Dist(p)
		out.BareMM += m.bare(from, p)
		from = p
	}
	return out
}

// bare returns the length of a segment over parts that are not laid.
func (m *Map) bare(a, b plane.Point) float64 {
	sum := 0.0
	m.meets(a, b, func(i int) { sum += m.parts[i].region.LengthWithin(a, b) })
	return sum
}

// meets calls use for every part that is not laid and whose box the segment may
// cross.
func (m *Map) meets(a, b plane.Point, use func(i int)) {
	box := plane.EmptyBox().Include(a).Include(b)
	for i := range m.parts {
		if p := &m.parts[i]; !p.laid && p.box.Intersects(box) && p.box.Crosses(a, b) {
			use(i)
		}
	}
}

// free reports whether a segment keeps off the areas to be kept free.
func (m *Map) free(a, b plane.Point) bool {
	for _, k := range m.keepOut {
		if k.Crosses(a, b) {
			return false
		}
	}
	return true
}

// least returns how much bare face there is between p and the nearest border of
// the part that it lies on, 0 elsewhere.
func (m *Map) least(p plane.Point) float64 {
	if gate, ok := m.gate(p); ok {
		return gate.Dist(p)
	}
	return 0
}

// gate returns the nearest place on the border of the bare part that p lies on.
func (m *Map) gate(p plane.Point) (plane.Point, bool) {
	for i := range m.parts {
		q := &m.parts[i]
		if !q.laid && q.box.Contains(p) && q.region.Contains(p) {
			return q.region.Nearest(p)
		}
	}
	return plane.Point{}, false
}

// around returns the corners of a part grown by the clearance: those where the
// border turns so that a way may bend round it.
func (m *Map) around(i int) []plane.Point {
	p := &m.parts[i]
	if p.known {
		return p.corners
	}
	p.known = true
	for _, r := range overlay.Offset(p.region, tol.RouteClear, overlay.Mitre(2), 0) {
		if r.Area() <= 0 {
			continue // a way out of a hole crosses bare face wherever it turns
		}
		r = raster.Straighten(r, tol.RouteCorner)
		for k, q := range r {
			before, after := r[(k+len(r)-1)%len(r)], r[(k+1)%len(r)]
			if q.Sub(before).Cross(after.Sub(q)) > 0 && m.allowed(q) {
				p.corners = append(p.corners, q)
			}
		}
	}
	return p.corners
}

// search looks for one way.
type search struct {
	m     *Map
	ends  [2]plane.Point
	hit   map[int]bool // parts whose corners are among the places; −1 − k for keep-out k
	nodes []plane.Point
}

// meet adds what a way passes over to the search, and reports whether any of it
// is new.
func (s *search) meet(way []plane.Point) bool {
	m := s.m
	if s.nodes == nil {
		s.nodes = append(s.nodes, s.ends[:]...)
		for _, end := range s.ends {
			if gate, ok := m.gate(end); ok {
				out := gate.Add(gate.Sub(end).Unit().Mul(tol.RouteClear))
				if m.allowed(out) {
					s.nodes = append(s.nodes, out)
				}
			}
		}
	}
	isNew := false
	for k := 1; k < len(way); k++ {
		a, b := way[k-1], way[k]
		m.meets(a, b, func(i int) {
			if !s.hit[i] && m.parts[i].region.LengthWithin(a, b) > 0 {
				s.hit[i], isNew = true, true
				s.nodes = append(s.nodes, m.around(i)...)
			}
		})
		for i, box := range m.keepOut {
			if s.hit[-1-i] || !box.Crosses(a, b) {
				continue
			}
			s.hit[-1-i], isNew = true, true
			g := box.Grow(tol.RouteClear)
			for _, q := range [4]plane.Point{g.Min, {X: g.Max.X, Y: g.Min.Y}, g.Max, {X: g.Min.X, Y: g.Max.Y}} {
				if m.allowed(q) {
					s.nodes = append(s.nodes, q)
				}
			}
		}
	}
	return isNew
}

// path returns the cheapest way over the places known so far (Dijkstra, with the
// straight rest as the bound from below; prices of pieces are worked out when
// they are wanted).
func (s *search) path() (via []plane.Point, ok bool) {
	n := len(s.nodes)
	cost, from, done := make([]float64, n), make([]int, n), make([]bool, n)
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	cost[0] = 0
	for {
		at, least := -1, math.Inf(1)
		for i, c := range cost {
			if full := c + s.nodes[i].Dist(s.ends[1]); !done[i] && full < least {
				at, least = i, full
			}
		}
		if at < 0 {
			return nil, false
		}
		if at == 1 {
			break
		}
		done[at] = true
		for i, p := range s.nodes {
			length := s.nodes[at].Dist(p)
			if done[i] || cost[at]+length >= cost[i] || !s.m.free(s.nodes[at], p) {
				continue
			}
			if c := cost[at] + length + tol.RouteBare*s.m.bare(s.nodes[at], p); c < cost[i] {
				cost[i], from[i] = c, at
			}
		}
	}
	for i := from[1]; i != 0; i = from[i] {
		via = append([]plane.Point{s.nodes[i]}, via...)
	}
	return via, true
}
