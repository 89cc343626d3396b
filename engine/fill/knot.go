package fill

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// point returns the place of an end after drop segments are taken off it.
func (b *braid) point(t tie, drop int) plane.Point {
	l := b.strips[t.strip].loop.Points
	if t.end == 0 {
		return l[drop]
	}
	return l[len(l)-1-drop]
}

// tieAll links the ends at every node; nodes where they cannot be linked go to
// b.stuck, their cells to b.at.
func (b *braid) tieAll() {
	ends := map[int32][]tie{}
	var order []int32
	for i, s := range b.strips {
		if len(s.loop.Points) < 2 {
			b.bad = append(b.bad, s.cell)
			continue
		}
		for k, n := range s.node {
			if ends[n] == nil {
				order = append(order, n)
			}
			ends[n] = append(ends[n], tie{int32(i), int8(k)})
		}
	}
	slices.Sort(order)
	for _, n := range order {
		if !b.tieNode(ends[n]) {
			b.stuck = append(b.stuck, n)
			for _, t := range ends[n] {
				b.at = append(b.at, b.strips[t.strip].cell)
			}
		}
	}
}

// longestLink bounds a link at a node, in widths; longestDrop what may be taken
// off a strip's end so that a link gets by, in widths.
const (
	longestLink = 4.0
	longestDrop = 3.0
)

// mostEnds bounds the ends at one node that are tried in all pairings.
const mostEnds = 8

// knot is a link between two ends, each with some segments taken off: one
// straight piece, or two by way of a bend.
type knot struct {
	line  []plane.Point
	ends  [2]tie
	drops [2]int
	cost  float64
}

// segment returns piece i of a knot.
func (k knot) segment(i int) near.Segment { return near.Segment{A: k.line[i], B: k.line[i+1]} }

// dist returns the least distance of two knots.
func (k knot) dist(o knot) float64 {
	d := math.Inf(1)
	for i := range len(k.line) - 1 {
		for j := range len(o.line) - 1 {
			d = min(d, k.segment(i).Dist(o.segment(j)))
		}
	}
	return d
}

// tieNode links the ends at one node by the cheapest set of links that are
// clean and keep off each other.
func (b *braid) tieNode(ends []tie) bool {
	n := len(ends)
	if n%2 == 1 || n > mostEnds {
		return false
	}
	middle := plane.Point{}
	for _, t := range ends {
		middle = middle.Add(b.point(t, 0).Mul(1 / float64(n)))
	}
	best := make([][]knot, n)
	for i := range n {
		best[i] = make([]knot, n)
		for j := i + 1; j < n; j++ {
			best[i][j] = b.knotOf(ends[i], ends[j], middle)
		}
	}
	var chosen, current []knot
	lowest, cost := math.Inf(1), 0.0
	free := make([]bool, n)
	for i := range free {
		free[i] = true
	}
	var pair func()
	pair = func() {
		i := slices.Index(free, true)
		if i < 0 {
			if cost < lowest {
				lowest, chosen = cost, slices.Clone(current)
			}
			return
		}
		free[i] = false
		for j := i + 1; j < n; j++ {
			k := best[i][j]
			if !free[j] || cost+k.cost >= lowest {
				continue
			}
			if slices.ContainsFunc(current, func(o knot) bool { return o.dist(k) < 0.2*b.width }) {
				continue
			}
			free[j] = false
			cost += k.cost
			current = append(current, k)
			pair()
			current = current[:len(current)-1]
			cost -= k.cost
			free[j] = true
		}
		free[i] = true
	}
	pair()
	if n > 0 && chosen == nil {
		return false
	}
	for _, k := range chosen {
		for side, t := range k.ends {
			s := &b.strips[t.strip]
			s.mate[t.end] = k.ends[1-side]
			s.drop[t.end] = k.drops[side]
			if len(k.line) > 2 {
				s.bend[t.end] = &k.line[1]
			}
		}
		for i := range len(k.line) - 1 {
			b.grid.Add(k.line[i], k.line[i+1])
			b.owner = append(b.owner, piece{-1, 0})
		}
	}
	return true
}

// knotOf returns the cheapest clean link between two ends, straight or, if
// there is none, by way of a bend; its cost is infinite where there is neither.
func (b *braid) knotOf(p, q tie, middle plane.Point) knot {
	var all []knot
	for i, lostP := 0, 0.0; i < 3 && lostP <= longestDrop*b.width; i++ {
		if !b.droppable(p, i, &lostP) {
			break
		}
		for j, lostQ := 0, 0.0; j < 3 && lostQ <= longestDrop*b.width; j++ {
			if !b.droppable(q, j, &lostQ) || (p.strip == q.strip && i+j > b.strips[p.strip].loop.Segments()-2) {
				break
			}
			from, to := b.point(p, i), b.point(q, j)
			d := from.Dist(to)
			if d > longestLink*b.width || (p.strip == q.strip && d < 0.3*b.width) {
				continue
			}
			all = append(all, knot{[]plane.Point{from, to}, [2]tie{p, q}, [2]int{i, j}, d + lostP + lostQ})
		}
	}
	sorting.Stable(all, func(x, y knot) int { return cmp.Compare(x.cost, y.cost) })
	for _, room := range [2]float64{0.45, 0.12} {
		for _, k := range all {
			if b.clean(k, room*b.width) {
				k.cost += 0.45 - room
				return k
			}
		}
	}
	for _, room := range [2]float64{0.45, 0.3} {
		best := knot{cost: math.Inf(1)}
		for _, straight := range all {
			from, to := straight.line[0], straight.line[1]
			aside := to.Sub(from).Left().Unit().Mul(b.width)
			half := from.Lerp(to, 0.5)
			for _, via := range [5]plane.Point{middle, half.Add(aside), half.Sub(aside), half.Add(aside.Mul(0.5)), half.Sub(aside.Mul(0.5))} {
				k := straight
				k.line = []plane.Point{from, via, to}
				k.cost += from.Dist(via) + via.Dist(to) - from.Dist(to) + bendCost
				if k.cost < best.cost && from.Dist(via) > 0.3*b.width && via.Dist(to) > 0.3*b.width &&
					via.Sub(from).Unit().Dot(to.Sub(via).Unit()) > -0.5 && b.clean(k, room*b.width) {
					best = k
				}
			}
		}
		if !math.IsInf(best.cost, 1) {
			return best
		}
	}
	return knot{cost: math.Inf(1)}
}

// bendCost is what a bend costs over a straight link, mm.
const bendCost = 0.5

// droppable adds the length of the drop-th segment from an end to lost, and
// reports whether the strip still has bead after that.
func (b *braid) droppable(t tie, drop int, lost *float64) bool {
	n := b.strips[t.strip].loop.Segments()
	if drop == 0 {
		return true
	}
	if drop >= n {
		return false
	}
	*lost += b.point(t, drop).Dist(b.point(t, drop-1))
	return *lost <= longestDrop*b.width
}

// clean reports whether a link keeps room from all bead, and off the walls. At
// its own ends it touches the strips it links, and what it drops of them does
// not count.
func (b *braid) clean(k knot, room float64) bool {
	for i := range len(k.line) - 1 {
		if !b.clears(k, i, room) || !b.offWalls(k, i) {
			return false
		}
	}
	return true
}

// clears reports whether piece i of a link keeps room from all bead.
func (b *braid) clears(k knot, i int, room float64) bool {
	l := k.segment(i)
	ok := true
	b.grid.Near(l.A, l.B, room, func(id int) bool {
		s, o := b.grid.Segment(id), b.owner[id]
		for side, t := range k.ends {
			if o.strip != t.strip {
				continue
			}
			// Count segments from this end: those dropped, the last one left.
			index := int(o.segment)
			if t.end == 1 {
				index = b.strips[t.strip].loop.Segments() - 1 - index
			}
			if index < k.drops[side] {
				return true
			}
			if other := k.ends[1-side]; other.strip == t.strip {
				from := b.strips[t.strip].loop.Segments() - 1 - index
				if from < k.drops[1-side] {
					return true
				}
				if from == k.drops[1-side] && index > k.drops[side] {
					continue // the other end's last segment: judged there
				}
			}
			end, far, touches := l.A, l.B, i == 0
			if side == 1 {
				end, far, touches = far, end, i == len(k.line)-2
			}
			if index == k.drops[side] && touches {
				back := s.B
				if s.B == end {
					back = s.A
				}
				// The link must not run back over the bead it begins at.
				ok = back.Sub(end).Unit().Dot(far.Sub(end).Unit()) < 0.95
				return ok
			}
			ok = !s.Crosses(l)
			return ok
		}
		if o.strip >= 0 && b.gone(o) {
			return true
		}
		ok = s.Dist(l) >= room
		return ok
	})
	return ok
}

// offWalls reports whether piece i of a link keeps off the border of the face.
func (b *braid) offWalls(k knot, i int) bool {
	if b.walls == nil {
		return true
	}
	l, first, last := k.segment(i), k.line[0], k.line[len(k.line)-1]
	ok := true
	b.walls.Near(l.A, l.B, 0.4*b.width, func(id int) bool {
		s := b.walls.Segment(id)
		d := s.Dist(l)
		// A link between beads that lie nearer may run beside them.
		_, _, p := s.Closest(first)
		_, _, q := s.Closest(last)
		ok = d >= 0.4*b.width || (d >= 0.25*b.width && d >= min(p, q)-tol.Coincident)
		return ok
	})
	return ok
}

// gone reports whether a segment has been taken off its strip's end.
func (b *braid) gone(p piece) bool {
	s := &b.strips[p.strip]
	n := s.loop.Segments()
	return int(p.segment) < s.drop[0] || int(p.segment) >= n-s.drop[1]
}
