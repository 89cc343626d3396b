package overlay

import (
	"slices"

	"sheenlay/engine/plane"
)

// This file contains the way from border edges to rings and islands.

// loop is a simple ring of the result.
type loop struct {
	points []point
	outer  bool
	first  int32 // the border edge below which the way to the next ring is taken
	parent int32 // for a hole: its outer loop
}

// islands links the border edges to loops and groups them.
func (l lattice) islands(s *swept) []plane.Region {
	loops, ringOf := s.loops()
	for i := range loops {
		loops[i].parent = s.outerOf(loops, ringOf, int32(i))
	}
	order := make([]int32, 0, len(loops))
	for i := range loops {
		loops[i].points = tidy(loops[i].points)
		order = append(order, int32(i))
	}
	slices.SortFunc(order, func(i, j int32) int {
		a, b := &loops[i], &loops[j]
		if c := compareLoops(&loops[a.parent], &loops[b.parent]); c != 0 {
			return c
		}
		if a.outer != b.outer {
			if a.outer {
				return -1
			}
			return 1
		}
		return compareLoops(a, b)
	})
	var out []plane.Region
	for _, i := range order {
		ring := make(plane.Ring, len(loops[i].points))
		for k, p := range loops[i].points {
			ring[k] = l.mm(p)
		}
		if loops[i].outer {
			out = append(out, nil)
		}
		last := len(out) - 1
		out[last] = append(out[last], ring)
	}
	return out
}

// outerOf returns the outer loop of the part that loop i belongs to. Straight
// below the leftmost point of a hole lies either the outer ring of its part or
// another hole of it, so the way down ends at the outer ring.
func (s *swept) outerOf(loops []loop, ringOf []int32, i int32) int32 {
	j := i
	for !loops[j].outer {
		if known := loops[j].parent; known != j {
			return known
		}
		j = ringOf[s.under[loops[j].first]]
	}
	return j
}

// compareLoops orders by first point, then by the second: two loops of one kind
// that touch at their first point differ there.
func compareLoops(a, b *loop) int {
	if c := compareKeys(a.points[0], b.points[0]); c != 0 {
		return c
	}
	return compareKeys(a.points[1], b.points[1])
}

// loops follows the border with the region on the left. It returns simple loops
// and the loop of every border edge.
func (s *swept) loops() ([]loop, []int32) {
	n := len(s.edges)
	from, to := slices.Clone(s.start), slices.Clone(s.end)
	leaving := csr{start: make([]int32, n+1)}
	for i := range s.edges {
		if s.side[i] != 0 {
			if s.side[i] < 0 {
				from[i], to[i] = to[i], from[i]
			}
			leaving.items = append(leaving.items, from[i])
		}
		leaving.start[i+1] = int32(len(leaving.items))
	}
	outOf := leaving.invert(len(s.vertices))

	ringOf := make([]int32, n)
	used := make([]bool, n)
	place := make([]int32, len(s.vertices)) // position on the path, from 1
	var out []loop
	var path []int32
	for i := range s.edges {
		if s.side[i] == 0 || used[i] {
			continue
		}
		path = path[:0]
		for e := int32(i); !used[e]; e = s.follow(e, to[e], outOf.list(to[e])) {
			used[e] = true
			path = append(path, e)
			place[from[e]] = int32(len(path))
			if back := place[to[e]]; back > 0 {
				// The path has come back to a point on it: what lies between is
				// a simple loop of its own.
				out = append(out, s.cut(path[back-1:], int32(len(out)), ringOf))
				for _, f := range path[back-1:] {
					place[from[f]] = 0
				}
				path = path[:back-1]
			}
		}
	}
	return out, ringOf
}

// follow returns the border edge that continues e at vertex v: the first one met
// turning clockwise from e looked back upon, which is the other side of the part
// that lies to the left of e.
func (s *swept) follow(e, v int32, choices []int32) int32 {
	if len(choices) == 1 {
		return choices[0]
	}
	at := s.vertices[v]
	away := func(i int32) point {
		if s.edges[i].a == at {
			return s.edges[i].b.sub(at)
		}
		return s.edges[i].a.sub(at)
	}
	back := away(e)
	best := choices[0]
	for _, c := range choices[1:] {
		if clockwise(back, away(c), away(best)) {
			best = c
		}
	}
	return best
}

// clockwise reports whether p is met before q turning clockwise from r.
func clockwise(r, p, q point) bool {
	far := func(d point) bool { c := r.cross(d); return c > 0 || c == 0 && r.dot(d) > 0 }
	if a, b := far(p), far(q); a != b {
		return b
	}
	return p.cross(q) < 0
}

// cut makes a loop of a closed run of border edges.
func (s *swept) cut(run []int32, number int32, ringOf []int32) loop {
	l := loop{points: make([]point, len(run)), first: -1, parent: number}
	low := 0
	for i, e := range run {
		ringOf[e] = number
		l.points[i] = s.edges[e].a
		if s.side[e] < 0 {
			l.points[i] = s.edges[e].b
		}
		if less(l.points[i], l.points[low]) {
			low = i
		}
	}
	l.points = append(l.points[low:len(l.points):len(l.points)], l.points[:low]...)
	before, after := run[(low+len(run)-1)%len(run)], run[low]
	// At the leftmost point both edges start; a counter-clockwise loop leaves by
	// the lower one, which then has the region above it.
	l.outer = s.edges[after].b.sub(s.edges[after].a).cross(s.edges[before].b.sub(s.edges[before].a)) > 0
	l.first = before
	if l.outer {
		l.first = after
	}
	return l
}

// tidy drops points that lie straight between their neighbours. The first point
// is an extreme one and always stays.
func tidy(points []point) []point {
	out := points[:1]
	for i := 1; i < len(points); i++ {
		if turn(out[len(out)-1], points[i], points[(i+1)%len(points)]) != 0 {
			out = append(out, points[i])
		}
	}
	return out
}
