package overlay

import "slices"

// swept is an arrangement whose border edges are known.
type swept struct {
	edges    []edge
	vertices []point // sorted
	// side tells on which side of each edge the region lies: +1 above (left), -1
	// below (right), 0 on both or neither.
	side []int8
	// under is the nearest border edge below the start of each edge, or -1.
	under []int32
}

// sweep moves a line over edges that meet at end points only, from left to right
// and, at equal x, from below, and finds for every edge whether the region lies
// above or below it. All comparisons are exact.
func sweep(edges []edge, in func([2]int32) bool) *swept {
	slices.SortFunc(edges, func(e, f edge) int {
		if c := compareKeys(e.a, f.a); c != 0 {
			return c
		}
		// From the same start: the lower first.
		switch c := e.b.sub(e.a).cross(f.b.sub(f.a)); {
		case c > 0:
			return -1
		case c < 0:
			return 1
		}
		return 0
	})
	s := &swept{edges: edges, side: make([]int8, len(edges)), under: make([]int32, len(edges))}
	s.vertices = make([]point, 0, len(edges)+1)
	keys := make([]uint64, 0, 2*len(edges))
	for _, e := range edges {
		keys = append(keys, e.a.key(), e.b.key())
	}
	slices.Sort(keys)
	for _, k := range slices.Compact(keys) {
		s.vertices = append(s.vertices, fromKey(k))
	}

	above := make([][2]int32, len(edges)) // winding numbers above each edge
	var status, fresh []int32             // edges under the sweep line, lowest first
	next := 0
	for _, v := range s.vertices {
		lo := s.lowest(status, v)
		hi := lo
		for hi < len(status) && edges[status[hi]].b == v {
			hi++
		}
		below, under := [2]int32{}, int32(-1)
		if lo > 0 {
			e := status[lo-1]
			below, under = above[e], s.borderAt(e)
		}
		fresh = fresh[:0]
		for ; next < len(edges) && edges[next].a == v; next++ {
			e := int32(next)
			over := [2]int32{below[0] + edges[e].rise[0], below[1] + edges[e].rise[1]}
			above[e] = over
			s.under[e] = under
			switch wasIn, isIn := in(below), in(over); {
			case isIn && !wasIn:
				s.side[e] = 1
			case wasIn && !isIn:
				s.side[e] = -1
			}
			below, under = over, s.borderAt(e)
			fresh = append(fresh, e)
		}
		status = slices.Replace(status, lo, hi, fresh...)
	}
	return s
}

// lowest returns the index of the first edge of status that v is not above.
func (s *swept) lowest(status []int32, v point) int {
	lo, hi := 0, len(status)
	for lo < hi {
		mid := (lo + hi) / 2
		e := &s.edges[status[mid]]
		if turn(e.a, e.b, v) <= 0 {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// borderAt returns e where it is a border edge, else the nearest one below it.
func (s *swept) borderAt(e int32) int32 {
	if s.side[e] != 0 {
		return e
	}
	return s.under[e]
}
