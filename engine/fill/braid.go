package fill

import (
	"cmp"
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
)

// strip is an open piece of bead with its two ends tied to nodes of the graph.
type strip struct {
	loop loops.Loop
	cell int32
	node [2]int32
	mate [2]tie
}

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
	owner  []int32 // strip of each grid segment, −1 for a link
	walls  *near.Grid
	width  float64
	bad    []int32 // cells at nodes that could not be tied
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
			corner[s.cell][s.corner/2] = s.corner
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
	var nodes [][2]int32
	for side := range 2 {
		list := parts[side]
		slices.SortFunc(list, func(x, y stretch) int { return cmp.Compare(x.low, y.low) })
		for i := 0; i < len(list); {
			j := i + 1 // stretches that follow each other are one spine
			for j < len(list) && list[j].a == list[j-1].b {
				j++
			}
			f.spines = append(f.spines, spine{side, f.edge(side, list[i].low, list[j-1].top)})
			nodes = append(nodes, [2]int32{list[i].a, list[j-1].b})
			i = j
		}
	}
	fromRight, toRight := corner[0] == lowRight, corner[1] == highRight
	parity := odd // rows lead from one side to the other
	if fromRight == toRight {
		parity = even
	}
	rows, ok := fitRows(f.cell, f.g, parity)
	if !ok {
		b.bad = append(b.bad, c)
		return
	}
	z := f.zigzag(rows, fromRight)
	b.strips = append(b.strips, strip{
		loop: z.loop(f.frame, true), cell: c,
		node: [2]int32{b.w.node[c][corner[0]], b.w.node[c][corner[1]]},
	})
	for i, s := range f.spines {
		b.strips = append(b.strips, strip{loop: f.spinePath(s).loop(f.frame, true), cell: c, node: nodes[i]})
	}
}

func (b *braid) index() {
	box := plane.EmptyBox()
	for _, s := range b.strips {
		box = box.Union(plane.Polyline(s.loop.Points).Bounds())
	}
	b.grid = near.New(box, 1)
	for i := range b.strips {
		s := &b.strips[i]
		s.mate = [2]tie{{-1, 0}, {-1, 0}}
		for k := range s.loop.Segments() {
			p, q := s.loop.Segment(k)
			b.grid.Add(p, q)
			b.owner = append(b.owner, int32(i))
		}
	}
}

func (b *braid) point(t tie) plane.Point {
	l := b.strips[t.strip].loop.Points
	if t.end == 0 {
		return l[0]
	}
	return l[len(l)-1]
}

// tieAll links the ends at every node; cells whose ends cannot be linked go to
// b.bad.
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
			for _, t := range ends[n] {
				b.bad = append(b.bad, b.strips[t.strip].cell)
			}
		}
	}
}

// longestLink bounds a link at a node, in widths.
const longestLink = 4.0

// mostEnds bounds the ends at one node that are tried in all pairings.
const mostEnds = 8

// tieNode links the ends at one node by the shortest set of clean links.
func (b *braid) tieNode(ends []tie) bool {
	if len(ends)%2 == 1 || len(ends) > mostEnds {
		return false
	}
	type pairs struct {
		cost  float64
		links []near.Segment
		mates [][2]tie
	}
	var all []pairs
	var build func(rest []tie, p pairs)
	build = func(rest []tie, p pairs) {
		if len(rest) == 0 {
			p.links = slices.Clone(p.links)
			p.mates = slices.Clone(p.mates)
			all = append(all, p)
			return
		}
		for i := 1; i < len(rest); i++ {
			s := near.Segment{A: b.point(rest[0]), B: b.point(rest[i])}
			d := s.A.Dist(s.B)
			if d > longestLink*b.width || (rest[0].strip == rest[i].strip && d < 0.5*b.width) {
				continue
			}
			crossed := false
			for _, l := range p.links {
				crossed = crossed || l.Dist(s) < 0.3*b.width
			}
			if crossed {
				continue
			}
			left := append(slices.Clone(rest[1:i]), rest[i+1:]...)
			build(left, pairs{p.cost + d, append(p.links, s), append(p.mates, [2]tie{rest[0], rest[i]})})
		}
	}
	build(ends, pairs{})
	slices.SortStableFunc(all, func(x, y pairs) int { return cmp.Compare(x.cost, y.cost) })
	for _, p := range all {
		ok := true
		for i := 0; i < len(p.links) && ok; i++ {
			ok = b.clean(p.links[i], p.mates[i])
		}
		if !ok {
			continue
		}
		for i, m := range p.mates {
			b.strips[m[0].strip].mate[m[0].end] = m[1]
			b.strips[m[1].strip].mate[m[1].end] = m[0]
			b.grid.Add(p.links[i].A, p.links[i].B)
			b.owner = append(b.owner, -1)
		}
		return true
	}
	return false
}

// clean reports whether a link keeps off all bead and the walls. At its own
// ends it touches the strips it links.
func (b *braid) clean(l near.Segment, m [2]tie) bool {
	ok := true
	b.grid.Near(l.A, l.B, 0.3*b.width, func(id int) bool {
		s, o := b.grid.Segment(id), b.owner[id]
		for k, t := range m {
			if o != t.strip {
				continue
			}
			end, far := l.A, l.B
			if k == 1 {
				end, far = far, end
			}
			if s.A == end || s.B == end {
				// The strip's last segment: the link must not run back over it.
				back := s.B
				if s.B == end {
					back = s.A
				}
				ok = back.Sub(end).Unit().Dot(far.Sub(end).Unit()) < 0.97 || l.A == l.B
				return ok
			}
			ok = !s.Crosses(l)
			return ok
		}
		ok = s.Dist(l) >= 0.3*b.width
		return ok
	})
	if !ok || b.walls == nil {
		return ok
	}
	b.walls.Near(l.A, l.B, 0.4*b.width, func(id int) bool {
		ok = b.walls.Segment(id).Dist(l) >= 0.4*b.width
		return ok
	})
	return ok
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
			s := b.strips[t.strip].loop
			n := s.Segments()
			for k := range len(s.Points) {
				at := k
				if t.end == 1 {
					at = len(s.Points) - 1 - k
				}
				l.Points = append(l.Points, s.Points[at])
				if k < n {
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
