package fill

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// strip is an open piece of bead with its two ends tied to nodes of the graph.
type strip struct {
	loop loops.Loop
	cell int32
	node [2]int32
	mate [2]tie
	drop [2]int // segments taken off at the two ends
}

// piece names a segment of a strip; strip −1 is a link.
type piece struct{ strip, segment int32 }

// tie names an end of a strip: end 0 is its first point.
type tie struct {
	strip int32
	end   int8
}

// braid turns a T-join into closed loops: zigzags and spines become strips,
// and the ends that meet at a node are linked in pairs that do not cross.
type braid struct {
	w      *weave
	strips []strip
	grid   *near.Grid
	owner  []piece // of each grid segment
	walls  *near.Grid
	width  float64
	bad    []int32 // cells that cannot be laid
	stuck  []int32 // nodes that could not be tied
	at     []int32 // cells at those nodes
}

// newBraid lays the strips that a set of edges asks for.
func newBraid(w *weave, used []bool, walls *near.Grid, width float64) *braid {
	b := &braid{w: w, walls: walls, width: width}
	parts := make([][2][]stretch, len(w.cells))
	corner := make([][2]int8, len(w.cells)) // chosen corner of each pole
	for e, s := range w.edges {
		if !used[e] {
			continue
		}
		if s.side == choice {
			corner[s.cell][s.corner%far/2] = s.corner
			continue
		}
		parts[s.cell][s.side] = append(parts[s.cell][s.side], s)
	}
	for c := range w.cells {
		if w.banned[c] {
			continue
		}
		b.lay(int32(c), parts[c], corner[c])
	}
	b.index()
	return b
}

// lay makes the strips of one cell.
func (b *braid) lay(c int32, parts [2][]stretch, corner [2]int8) {
	f := &furrow{cell: b.w.cells[c], g: b.w.gauges[c]}
	if f.thin {
		first, last := rowRange(f.cell, f.g)
		b.strips = append(b.strips, strip{
			loop: f.middle(first, last).out(f.frame).loop(true), cell: c,
			node: [2]int32{b.w.node[c][corner[0]], b.w.node[c][corner[1]]},
		})
		return
	}
	for i, d := range f.cell.folds {
		f.beyond[1] = true
		f.folds = append(f.folds, &furrow{cell: d, g: f.g, beyond: [2]bool{true, i+1 < len(f.cell.folds)}})
	}
	var nodes [][2]int32
	for side := range 2 {
		list, p := parts[side], f.part(side)
		sorting.By(list, func(x, y stretch) int { return cmp.Compare(x.low, y.low) })
		for i := 0; i < len(list); {
			j := i + 1 // stretches that follow each other are one spine
			for j < len(list) && list[j].a == list[j-1].b {
				j++
			}
			p.spines = append(p.spines, spine{side, p.edge(side, list[i].low, list[j-1].top)})
			nodes = append(nodes, [2]int32{list[i].a, list[j-1].b})
			i = j
		}
	}
	z, ok := b.zigzag(c, f, corner)
	if !ok {
		b.bad = append(b.bad, c)
		return
	}
	b.strips = append(b.strips, strip{
		loop: z.loop(true), cell: c,
		node: [2]int32{b.w.node[c][corner[0]], b.w.node[c][corner[1]]},
	})
	i := 0
	for _, p := range f.ends() {
		for _, s := range p.spines {
			b.strips = append(b.strips, strip{loop: p.spinePath(s).out(p.frame).loop(true), cell: c, node: nodes[i]})
			i++
		}
	}
}

// zigzag lays the rows of a cell between the chosen corners. Where the two
// corners of a pole are one place, either will do, and the one that leaves less
// bare is taken.
func (b *braid) zigzag(c int32, f *furrow, corner [2]int8) (*path, bool) {
	place := b.w.corner[c]
	together := func(chosen, k int) bool {
		return place[chosen].Dist(place[k+chosen/far*far]) <= f.g.width
	}
	for _, p := range f.ends() {
		p.goesOn = [2]bool{corner[0] >= far, corner[1] >= far}
	}
	least := math.Inf(1)
	var rows fit
	var fromRight bool
	for low := lowLeft; low <= lowRight; low++ {
		for high := highLeft; high <= highRight; high++ {
			if !together(int(corner[0]), low) || !together(int(corner[1]), high) {
				continue
			}
			parity := odd // rows lead from one side to the other
			if low == high-highLeft {
				parity = even
			}
			if r, ok := fitRows(f.cell, f.g, parity); ok {
				if bare := f.bareTip(r, 0, low) + f.bareTip(r, r.n-1, high-highLeft); bare < least-1e-9 {
					least, rows, fromRight = bare, r, low == lowRight
				}
			}
		}
	}
	if math.IsInf(least, 1) {
		return nil, false
	}
	return f.zigzag(rows, fromRight), true
}

// bareTip estimates the area (mm²) that the first or the last row leaves bare
// on the side where the zigzag begins or ends: the part of the row's strip by
// which the next row is longer, if no spine runs there.
func (f *furrow) bareTip(rows fit, k, side int) float64 {
	p := f.part(side)
	rows.first += p.lift
	f = p
	next := k + 1
	if k > 0 {
		next = k - 1
	}
	if next >= rows.n {
		return 0
	}
	y := rows.y(k)
	if f.spined(side, y) {
		return 0
	}
	lo, hi := f.at(y)
	nextLo, nextHi := f.at(rows.y(next))
	if side == 0 {
		return max(0, lo-nextLo) * rows.h / 2
	}
	return max(0, nextHi-hi) * rows.h / 2
}

// spined reports whether a spine lies on a side at height y.
func (f *furrow) spined(side int, y float64) bool {
	for _, s := range f.spines {
		if s.side == side && s.points[0].Y <= y+f.g.spacing && s.points[len(s.points)-1].Y >= y-f.g.spacing {
			return true
		}
	}
	return false
}

func (b *braid) index() {
	box, count := plane.EmptyBox(), 0
	for _, s := range b.strips {
		box = box.Union(plane.Polyline(s.loop.Points).Bounds())
		count += s.loop.Segments()
	}
	b.grid = near.New(box, 1)
	b.grid.Expect(count)
	b.owner = make([]piece, 0, count)
	for i := range b.strips {
		s := &b.strips[i]
		s.mate = [2]tie{{-1, 0}, {-1, 0}}
		for k := range s.loop.Segments() {
			p, q := s.loop.Segment(k)
			b.grid.Add(p, q)
			b.owner = append(b.owner, piece{int32(i), int32(k)})
		}
	}
}

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

// knot is a link between two ends, each with some segments taken off.
type knot struct {
	near.Segment
	ends  [2]tie
	drops [2]int
	cost  float64
}

// tieNode links the ends at one node by the cheapest set of links that are
// clean and keep off each other.
func (b *braid) tieNode(ends []tie) bool {
	n := len(ends)
	if n%2 == 1 || n > mostEnds {
		return false
	}
	best := make([][]knot, n)
	for i := range n {
		best[i] = make([]knot, n)
		for j := i + 1; j < n; j++ {
			best[i][j] = b.knotOf(ends[i], ends[j])
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
			if slices.ContainsFunc(current, func(o knot) bool { return o.Dist(k.Segment) < 0.2*b.width }) {
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
		}
		b.grid.Add(k.A, k.B)
		b.owner = append(b.owner, piece{-1, 0})
	}
	return true
}

// knotOf returns the cheapest clean link between two ends; its cost is
// infinite where there is none.
func (b *braid) knotOf(p, q tie) knot {
	var all []knot
	for i, lostP := 0, 0.0; i < 3 && lostP <= longestDrop*b.width; i++ {
		if !b.droppable(p, i, &lostP) {
			break
		}
		for j, lostQ := 0, 0.0; j < 3 && lostQ <= longestDrop*b.width; j++ {
			if !b.droppable(q, j, &lostQ) || (p.strip == q.strip && i+j > b.strips[p.strip].loop.Segments()-2) {
				break
			}
			k := knot{near.Segment{A: b.point(p, i), B: b.point(q, j)}, [2]tie{p, q}, [2]int{i, j}, 0}
			d := k.A.Dist(k.B)
			if d > longestLink*b.width || (p.strip == q.strip && d < 0.3*b.width) {
				continue
			}
			k.cost = d + lostP + lostQ
			all = append(all, k)
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
	return knot{cost: math.Inf(1)}
}

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
	l := k.Segment
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
			end, far := l.A, l.B
			if side == 1 {
				end, far = far, end
			}
			if index == k.drops[side] {
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
	if !ok || b.walls == nil {
		return ok
	}
	b.walls.Near(l.A, l.B, 0.4*b.width, func(id int) bool {
		s := b.walls.Segment(id)
		d := s.Dist(l)
		// A link between beads that lie nearer may run beside them.
		_, _, p := s.Closest(l.A)
		_, _, q := s.Closest(l.B)
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

// loops walks the tied strips into closed loops, and names the cell of each
// segment.
func (b *braid) loops() (out []loops.Loop, cells [][]int32) {
	done := make([]bool, len(b.strips))
	for i := range b.strips {
		if done[i] {
			continue
		}
		var l loops.Loop
		var of []int32
		t := tie{int32(i), 0}
		for !done[t.strip] {
			done[t.strip] = true
			s, drop := b.strips[t.strip].loop, b.strips[t.strip].drop
			n := s.Segments()
			for k := drop[t.end]; k <= n-drop[1-t.end]; k++ {
				at := k
				if t.end == 1 {
					at = n - k
				}
				l.Points = append(l.Points, s.Points[at])
				if k < n-drop[1-t.end] {
					seg := k
					if t.end == 1 {
						seg = n - 1 - k
					}
					l.Width = append(l.Width, s.Width[seg])
					l.Zone = append(l.Zone, s.Zone[seg])
					l.Border = append(l.Border, s.Border[seg])
					of = append(of, b.strips[t.strip].cell)
				}
			}
			of = append(of, b.strips[t.strip].cell)
			t = b.strips[t.strip].mate[1-t.end]
			l.Width = append(l.Width, b.width)
			l.Zone = append(l.Zone, connector)
			l.Border = append(l.Border, true)
		}
		l, of = dedupe(l, of)
		out, cells = append(out, l), append(cells, of)
	}
	return out, cells
}

// dedupe drops segments without length from a closed loop.
func dedupe(l loops.Loop, cells []int32) (out loops.Loop, of []int32) {
	n := len(l.Points)
	for i, p := range l.Points {
		if p.Dist(l.Points[(i+1)%n]) < 1e-6 {
			continue
		}
		out.Points = append(out.Points, p)
		out.Width = append(out.Width, l.Width[i])
		out.Zone = append(out.Zone, l.Zone[i])
		out.Border = append(out.Border, l.Border[i])
		of = append(of, cells[i])
	}
	return out, of
}
