package fill

import (
	"math"
	"slices"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/tol"
)

// Where the rows of two cells end on a common border at equal distances along
// it, as they do where their lays mirror each other, each row of one goes on
// into a row of the other: the bead bends at the border and needs no join
// there. Cells linked like that are laid as one zigzag, whose turns lie at the
// first cell's left side and the last one's right.
//
//	   ╲   ╲  │  ╱   ╱        ╲   ╲ ╱   ╱
//	    ╲   ╲_│_╱   ╱    →     ╲   V   ╱
//	     ╲____│____╱            ╲     ╱
//	          │                  ╲___╱

// part returns the cell on whose left (0) or right side a zigzag turns.
func (c *cell) part(side int) *cell {
	if n := len(c.folds); side == 1 && n > 0 {
		return c.folds[n-1]
	}
	return c
}

// outer returns the cell in which the first (0) or the last row ends on the
// left (0) or right; folded says that another lies beyond it farther in.
func (c *cell) outer(side, end int) (at *cell, folded bool) {
	low, high := c.span()
	all := append([]*cell{c}, c.folds...)
	if side == 1 {
		slices.Reverse(all)
	}
	for i, d := range all {
		if end == 0 && d.y[0]-d.lift < low+tol.FillFoldMM || end == 1 && d.y[len(d.y)-1]-d.lift > high-tol.FillFoldMM {
			return d, i > 0
		}
	}
	return c, false
}

// alone returns a cell, and those that its rows go on into, each on its own.
func (c *cell) alone() []*cell {
	if len(c.folds) == 0 {
		return []*cell{c}
	}
	var out []*cell
	for _, d := range append([]*cell{c}, c.folds...) {
		one := *d
		one.folds, one.lift = nil, 0
		out = append(out, &one)
	}
	return out
}

// flipped returns a cell in the frame turned by half a turn.
func (c *cell) flipped() *cell {
	if c == nil {
		return nil
	}
	along := c.frame.Out(plane.Point{X: -1})
	out := *c
	out.frame = scan.NewFrame(math.Atan2(along.Y, along.X))
	n := len(c.y)
	out.y, out.lo, out.hi = make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		out.y[i], out.lo[i], out.hi[i] = -c.y[n-1-i], -c.hi[n-1-i], -c.lo[n-1-i]
	}
	out.lowCut, out.highCut = c.highCut, c.lowCut
	out.stems = [2]*cell{c.stems[1].flipped(), c.stems[0].flipped()}
	return &out
}

// span returns the heights between which the rows of a cell, and of those that
// they go on into, lie together.
func (c *cell) span() (low, high float64) {
	low, high = c.y[0], c.y[len(c.y)-1]
	for _, d := range c.folds {
		low, high = min(low, d.y[0]-d.lift), max(high, d.y[len(d.y)-1]-d.lift)
	}
	return low, high
}

// foldSamples is the number of pieces at whose ends two sides are compared.
const foldSamples = 9

// foldsInto reports whether the rows that end on the right side of c go on into
// rows that end on the left side of d, and returns how much higher those lie in
// their frame. Either may reach farther than the other by most at each end,
// where the other runs out in a tip.
func (c *cell) foldsInto(d *cell, g gauge, most float64) (lift float64, ok bool) {
	u, v := c.frame.Out(plane.Point{X: 1}), d.frame.Out(plane.Point{X: 1})
	if u.Dot(v) < -math.Cos(2*tol.FillFoldLeastTurn) || c.lowCut != d.lowCut || c.highCut != d.highCut {
		return 0, false
	}
	// The border lies midway between the two sides, and what is cut off a row
	// at it is as long on both.
	y, z := (c.y[0]+c.y[len(c.y)-1])/2, (d.y[0]+d.y[len(d.y)-1])/2
	_, end := c.at(y)
	begin, _ := d.at(z)
	p, q := c.frame.Out(plane.Point{X: end, Y: y}), d.frame.Out(plane.Point{X: begin, Y: z})
	_, above := c.at(y + g.spacing/2)
	along := c.frame.Out(plane.Point{X: above, Y: y + g.spacing/2}).Sub(p).Unit()
	apart := -along.Cross(q.Sub(p))
	sin := -along.Cross(u)
	if apart <= 0 || sin < math.Sin(tol.FillFoldLeastTurn) || apart > 2*g.spacing {
		return 0, false
	}
	lift = d.frame.In(p.Add(u.Mul(apart/2/sin)).Add(v.Mul(apart/2/sin))).Y - y
	low, high := max(c.y[0], d.y[0]-lift), min(c.y[len(c.y)-1], d.y[len(d.y)-1]-lift)
	if high-low < tol.FillFoldLeastLines*g.spacing {
		return 0, false
	}
	for _, e := range [2]*cell{c, d} {
		up := 0.0
		if e == d {
			up = lift
		}
		for k, over := range [2]float64{low - (e.y[0] - up), e.y[len(e.y)-1] - up - high} {
			// As wide as the other is one line from its end.
			o, at := d, [2]float64{low + g.spacing, high - g.spacing}[k]+lift
			if e == d {
				o, at = c, at-lift
			}
			lo, hi := o.at(at)
			if over > most || over > tol.FillFoldMM && (hi-lo > most || c.lowCut || c.highCut) {
				return 0, false
			}
		}
	}
	for k := range foldSamples + 1 {
		y := low + float64(k)/foldSamples*(high-low)
		at := foldAt(c, d, y, y+lift)
		_, p := c.at(y)
		q, _ := d.at(y + lift)
		before, after := c.frame.In(at).X-p, q-d.frame.In(at).X
		if math.Abs(before-apart/2/sin) > tol.FillFoldMM || math.Abs(after-apart/2/sin) > tol.FillFoldMM {
			return 0, false
		}
	}
	return lift, true
}

// foldAt returns the place where the row at height y of c meets that at height
// z of d, its continuation.
func foldAt(c, d *cell, y, z float64) plane.Point {
	_, end := c.at(y)
	begin, _ := d.at(z)
	p, q := c.frame.Out(plane.Point{X: end, Y: y}), d.frame.Out(plane.Point{X: begin, Y: z})
	u, v := c.frame.Out(plane.Point{X: 1}), d.frame.Out(plane.Point{X: 1})
	sin := u.Cross(v)
	if math.Abs(sin) < 0.01 {
		return p.Lerp(q, 0.5)
	}
	return p.Add(u.Mul(q.Sub(p).Cross(v) / sin))
}

// fold links cells whose rows go on into each other, and returns those left,
// with their gauges. Bends keep room from the walls.
func fold(cells []*cell, gauges []gauge, walls *near.Grid, room float64, stop func() bool) ([]*cell, []gauge) {
	bends := func(c, d *cell, g gauge, most float64) bool {
		lift, ok := c.foldsInto(d, g, most)
		low, high := max(c.y[0], d.y[0]-lift), min(c.y[len(c.y)-1], d.y[len(d.y)-1]-lift)
		for k := 0.0; k <= foldSamples && ok; k++ {
			y := low + k/foldSamples*(high-low)
			p := foldAt(c, d, y, y+lift)
			walls.Near(p, p, room, func(id int) bool {
				_, _, away := walls.Segment(id).Closest(p)
				ok = away >= room
				return ok
			})
		}
		return ok
	}
	type side struct {
		cell int32
		side int8
	}
	box := plane.EmptyBox()
	middle := make([][2]plane.Point, len(cells))
	fit := make([]bool, len(cells))
	for i, c := range cells {
		fit[i] = !c.thin && !c.small(gauges[i]) && gauges[i].phase == 0 && c.height() > 2*gauges[i].spacing
		y := (c.y[0] + c.y[len(c.y)-1]) / 2
		lo, hi := c.at(y)
		middle[i] = [2]plane.Point{c.frame.Out(plane.Point{X: lo, Y: y}), c.frame.Out(plane.Point{X: hi, Y: y})}
		box = box.Include(middle[i][0]).Include(middle[i][1])
	}
	grid := near.New(box, 2)
	var owner []side
	next := make([][2]side, len(cells)) // what lies beyond the two sides
	chain := make([]int32, len(cells))
	for i := range chain {
		chain[i], next[i] = int32(i), [2]side{{-1, 0}, {-1, 0}}
	}
	find := func(i int32) int32 {
		for chain[i] != i {
			chain[i] = chain[chain[i]]
			i = chain[i]
		}
		return i
	}
	for i := range cells {
		if fit[i] {
			for k, p := range middle[i] {
				grid.Add(p, p)
				owner = append(owner, side{int32(i), int8(k)})
			}
		}
	}
	free := func(s side) bool { return next[s.cell][0].cell < 0 && next[s.cell][1].cell < 0 }
	// Cells that match all along first; then, in pairs, those that run out in
	// tips beside each other.
	for _, most := range [2]float64{tol.FillFoldMM, tol.FillFoldTipLines} {
		exact := most == tol.FillFoldMM
		for id, o := range owner {
			if id%256 == 0 && stop() {
				return cells, gauges
			}
			g, p := gauges[o.cell], middle[o.cell][o.side]
			from := cells[o.cell]
			if o.side == 0 {
				from = from.flipped()
			}
			reach, over := tol.FillFoldTipLines*g.spacing, most
			if !exact {
				over *= g.spacing
			}
			grid.Near(p, p, reach, func(id int) bool {
				t := owner[id]
				h := gauges[t.cell]
				if next[o.cell][o.side].cell >= 0 || next[t.cell][t.side].cell >= 0 || find(o.cell) == find(t.cell) ||
					!exact && !(free(o) && free(t)) || middle[t.cell][t.side].Dist(p) > reach ||
					g.width != h.width || g.spacing != h.spacing || g.min != h.min || g.max != h.max {
					return true
				}
				to := cells[t.cell]
				if t.side == 1 {
					to = to.flipped()
				}
				if bends(from, to, g, over) {
					next[o.cell][o.side], next[t.cell][t.side] = t, o
					chain[find(o.cell)] = find(t.cell)
				}
				return true
			})
		}
	}
	var out []*cell
	var with []gauge
	done := make([]bool, len(cells))
	for i := range cells {
		if done[i] || next[i][0].cell >= 0 && next[i][1].cell >= 0 {
			continue
		}
		// From one end of the chain to the other, each cell with its near side left.
		var all []*cell
		for at := (side{int32(i), int8(slices.IndexFunc(next[i][:], func(s side) bool { return s.cell < 0 }))}); at.cell >= 0; at = next[at.cell][1-at.side] {
			done[at.cell] = true
			c := cells[at.cell]
			if at.side == 1 {
				c = c.flipped()
			}
			if n := len(all); n > 0 {
				lift, _ := all[n-1].foldsInto(c, gauges[i], math.Inf(1))
				c.lift = all[n-1].lift + lift
			}
			all = append(all, c)
		}
		all[0].folds = all[1:]
		out, with = append(out, all[0]), append(with, gauges[i])
	}
	return out, with
}
