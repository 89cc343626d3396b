package lay

// ratio is a rational p/q; χ_c of a finite graph is one.
type ratio struct{ p, q int }

func (r ratio) less(s ratio) bool { return r.p*s.q < s.p*r.q }
func (r ratio) value() float64    { return float64(r.p) / float64(r.q) }

// lowerBound returns a value that χ_c of a connected graph cannot go below: 1
// without edges, 2 with, 2 + 1/m for its shortest odd ring of 2m+1, n for a
// clique of n, and 4 where an odd ring stands round one hub (an odd wheel;
// Zhu 2001). The search for rings and cliques is exact up to exactLimit
// regions and local above: it may miss, but never claims too much.
func lowerBound(lists [][]neighbour) ratio {
	best := ratio{1, 1}
	raise := func(r ratio) {
		if best.less(r) {
			best = r
		}
	}
	for _, list := range lists {
		if len(list) > 0 {
			raise(ratio{2, 1})
			break
		}
	}
	if odd := oddGirth(lists); odd > 0 {
		raise(ratio{odd, (odd - 1) / 2})
		if odd == 3 {
			for v := range lists {
				raise(ratio{cliqueAt(lists, int32(v)), 1})
			}
		}
	}
	if best.less(ratio{4, 1}) {
		for v := range lists {
			if hasOddRing(lists, lists[v]) {
				raise(ratio{4, 1})
				break
			}
		}
	}
	return best
}

// girthStarts bounds the regions from which the shortest odd ring is looked
// for in a large graph.
const girthStarts = 60

// oddGirth returns the length of the shortest odd ring, 0 for none. A
// breadth-first search from a region of that ring finds it. In a large graph
// the regions are tried in turn only until a triangle or girthStarts searches.
func oddGirth(lists [][]neighbour) int {
	n := len(lists)
	depth := make([]int32, n)
	queue := make([]int32, 0, n)
	best := 0
	step := 1
	if n > 4*girthStarts {
		for v := range lists { // a triangle is found without a search
			for _, a := range lists[v] {
				if int(a.to) <= v {
					continue
				}
				for _, b := range lists[v] {
					if b.to > a.to && adjacent(lists, a.to, b.to) {
						return 3
					}
				}
			}
		}
		step = n / girthStarts
	}
	for s := 0; s < n; s += step {
		for k := range depth {
			depth[k] = -1
		}
		depth[s] = 0
		queue = append(queue[:0], int32(s))
	search:
		for k := 0; k < len(queue); k++ {
			v := queue[k]
			if best > 0 && int(2*depth[v]+1) >= best {
				break
			}
			for _, o := range lists[v] {
				if depth[o.to] < 0 {
					depth[o.to] = depth[v] + 1
					queue = append(queue, o.to)
				} else if depth[o.to] == depth[v] {
					best = int(2*depth[v] + 1)
					break search
				}
			}
		}
		if best == 3 {
			break
		}
	}
	return best
}

// cliqueAt returns the size of a clique that holds v: exact for up to 12
// neighbours, greedy by order beyond.
func cliqueAt(lists [][]neighbour, v int32) int {
	near := lists[v]
	if len(near) > 12 {
		near = near[:12]
	}
	masks := make([]uint32, len(near))
	for i, a := range near {
		for j, b := range near {
			if i != j && adjacent(lists, a.to, b.to) {
				masks[i] |= 1 << j
			}
		}
	}
	var grow func(size int, left uint32) int
	grow = func(size int, left uint32) int {
		best := size
		for i := range near {
			if left&(1<<i) != 0 {
				left &^= 1 << i
				best = max(best, grow(size+1, left&masks[i]))
			}
		}
		return best
	}
	return grow(1, 1<<len(near)-1)
}

// hasOddRing reports whether the given regions, by the borders between them,
// contain a ring of odd length (are not two-colourable).
func hasOddRing(lists [][]neighbour, among []neighbour) bool {
	side := make(map[int32]int, len(among))
	for _, n := range among {
		side[n.to] = 0
	}
	for _, n := range among {
		if side[n.to] != 0 {
			continue
		}
		side[n.to] = 1
		queue := []int32{n.to}
		for k := 0; k < len(queue); k++ {
			v := queue[k]
			for _, o := range lists[v] {
				s, in := side[o.to]
				if !in {
					continue
				}
				if s == side[v] {
					return true
				}
				if s == 0 {
					side[o.to] = -side[v]
					queue = append(queue, o.to)
				}
			}
		}
	}
	return false
}
