package fill

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
)

// strip is an open piece of bead with its two ends tied to nodes of the graph.
type strip struct {
	loop loops.Loop
	cell int32
	node [2]int32
	mate [2]tie
	drop [2]int          // segments taken off at the two ends
	bend [2]*plane.Point // of the links at the two ends; nil for straight ones
}

// piece names a segment of a strip; strip −1 is a link or a bead that lies there already.
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

// newBraid lays the strips that a set of edges asks for. Links keep off the beads
// that lie there already, and off the walls.
func newBraid(w *weave, used []bool, there []loops.Loop, walls *near.Grid, width float64) *braid {
	b := &braid{w: w, walls: walls, width: width}
	mine := make([][]int32, len(w.cells)) // edges used of each cell
	for e, s := range w.edges {
		if used[e] {
			mine[s.cell] = append(mine[s.cell], int32(e))
		}
	}
	for c, edges := range mine {
		if w.banned[c] {
			continue
		}
		l := &w.laid[c]
		if l.edges == nil || !slices.Equal(l.edges, edges) {
			*l = w.lay(int32(c), edges)
		}
		if l.strips == nil {
			b.bad = append(b.bad, int32(c))
		}
		b.strips = append(b.strips, l.strips...)
	}
	b.index(there)
	return b
}

// laid is a cell with the edges used of it and the strips they make, none where
// it cannot be laid. A weave that is settled anew changes few cells.
type laid struct {
	edges  []int32
	strips []strip
}

// lay makes the strips of one cell.
func (w *weave) lay(c int32, edges []int32) laid {
	out := laid{edges: edges}
	var parts [2][]stretch
	var corner [2]int8 // chosen corner of each pole
	for _, e := range edges {
		if s := w.edges[e]; s.side == choice {
			corner[s.corner%far/2] = s.corner
		} else {
			parts[s.side] = append(parts[s.side], s)
		}
	}
	ends := [2]int32{w.node[c][corner[0]], w.node[c][corner[1]]}
	f := &furrow{cell: w.cells[c], g: w.gauges[c]}
	if f.thin {
		first, last := rowRange(f.cell, f.g)
		out.strips = []strip{{loop: f.middle(first, last).out(f.frame).loop(true), cell: c, node: ends}}
		return out
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
	z, ok := w.zigzag(c, f, corner)
	if !ok {
		return out
	}
	out.strips = append(out.strips, strip{loop: z.loop(true), cell: c, node: ends})
	i := 0
	for _, p := range f.ends() {
		for _, s := range p.spines {
			out.strips = append(out.strips, strip{loop: p.spinePath(s).out(p.frame).loop(true), cell: c, node: nodes[i]})
			i++
		}
	}
	return out
}

// zigzag lays the rows of a cell between the chosen corners. Where the two
// corners of a pole are one place, either will do, and the one that leaves less
// bare is taken.
func (w *weave) zigzag(c int32, f *furrow, corner [2]int8) (*path, bool) {
	place := w.corner[c]
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

// index puts the strips into a grid, and the beads that lie there already.
func (b *braid) index(there []loops.Loop) {
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
	for _, l := range there {
		for k := range l.Segments() {
			b.grid.Add(l.Segment(k))
			b.owner = append(b.owner, piece{-1, 0})
		}
	}
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
			link := 1
			if bend := b.strips[t.strip].bend[1-t.end]; bend != nil {
				l.Points, link = append(l.Points, *bend), 2
			}
			for range link {
				of = append(of, b.strips[t.strip].cell)
				l.Width = append(l.Width, b.width)
				l.Zone = append(l.Zone, connector)
				l.Border = append(l.Border, true)
			}
			t = b.strips[t.strip].mate[1-t.end]
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
