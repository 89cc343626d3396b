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
	// start and end are the vertices of each edge.
	start, end []int32
}

// sweep moves a line over edges that meet at end points only, from left to right
// and, at equal x, from below, and finds for every edge whether the region lies
// above or below it. All comparisons are exact. The edges must be sorted as merge
// leaves them; those with one start are put in order of slope.
func sweep(edges []edge, in func([2]int32) bool) *swept {
	n := len(edges)
	s := &swept{edges: edges, side: make([]int8, n), under: make([]int32, n), start: make([]int32, n), end: make([]int32, n)}
	sortFans(edges)
	keys := vertices(edges, nil)
	s.vertices = make([]point, len(keys))
	for i, k := range keys {
		s.vertices[i] = fromKey(k)
	}

	above := make([][2]int32, len(edges)) // winding numbers above each edge
	var status, fresh []int32             // edges under the sweep line, lowest first
	next := 0
	for number, v := range s.vertices {
		lo := s.lowest(status, v)
		hi := lo
		for hi < len(status) && edges[status[hi]].b == v {
			s.end[status[hi]] = int32(number)
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
			s.start[e] = int32(number)
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

// sortFans puts the edges that leave one point in order from the lowest up.
func sortFans(edges []edge) {
	for i := 0; i < len(edges); {
		j := i + 1
		for j < len(edges) && edges[j].a == edges[i].a {
			j++
		}
		if j-i > 1 {
			slices.SortFunc(edges[i:j], func(e, f edge) int {
				switch c := e.b.sub(e.a).cross(f.b.sub(f.a)); {
				case c > 0:
					return -1
				case c < 0:
					return 1
				}
				return 0
			})
		}
		i = j
	}
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
