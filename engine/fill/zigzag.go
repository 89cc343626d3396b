package fill

import (
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/tol"
)

// spine is bead along a part of a cell's side.
type spine struct {
	side   int // 0 left, 1 right
	points []plane.Point
}

// furrow is a cell with the spines on its sides: what is left between them is
// for the zigzag.
type furrow struct {
	*cell
	g      gauge
	spines []spine
	// closed says that the zigzag is part of a comb: it ends where its first and
	// last row end.
	closed bool
	// goesOn says of the low and the high end that the bead is tied to a far
	// corner of the cell.
	goesOn [2]bool
	// folds are the furrows that the rows go on into, and beyond says on which
	// sides another one lies.
	folds  []*furrow
	beyond [2]bool
}

// part returns the furrow on whose left (0) or right side the zigzag turns.
func (f *furrow) part(side int) *furrow {
	if n := len(f.folds); side == 1 && n > 0 {
		return f.folds[n-1]
	}
	return f
}

// ends returns the furrows at which the zigzag turns: one, or two.
func (f *furrow) ends() []*furrow {
	if len(f.folds) == 0 {
		return []*furrow{f}
	}
	return []*furrow{f, f.part(1)}
}

// faced reports whether a place of the lay's frame lies at the border of the
// face, where a wider bead would spill.
func (f *furrow) faced(p plane.Point) bool {
	if f.g.walls == nil {
		return false
	}
	hit := false
	q := f.frame.Out(p)
	f.g.walls.Near(q, q, f.g.width, func(id int) bool {
		_, _, d := f.g.walls.Segment(id).Closest(q)
		hit = d < 0.75*f.g.width
		return !hit
	})
	return hit
}

// edge returns the side of a cell between two heights as a simplified line.
func (c *cell) edge(side int, low, high float64) []plane.Point {
	b := &path{}
	add := func(y float64) {
		x, hi := c.at(y)
		if side == 1 {
			x = hi
		}
		b.to(plane.Point{X: x, Y: y}, 0, connector, true)
	}
	add(low)
	for i := c.above(low); i < len(c.y) && c.y[i] < high; i++ {
		add(c.y[i])
	}
	add(high)
	b.simplify()
	return b.points
}

// room returns the stretch left for the zigzag at height y: clear of every
// spine by one spacing, measured on the plane. Where that leaves no room for a
// turn, both ends fall together.
func (f *furrow) room(y float64) (lo, hi float64) {
	lo, hi = f.at(y)
	left, right := lo, hi
	for _, s := range f.spines {
		for i := 1; i < len(s.points); i++ {
			p, q := s.points[i-1], s.points[i]
			if p.Y > y+f.g.spacing || q.Y < y-f.g.spacing {
				continue
			}
			c := scan.Capsule(p, q, f.g.spacing, y)
			if c.Lo > c.Hi {
				continue
			}
			if s.side == 0 {
				lo = max(lo, c.Hi)
			} else {
				hi = min(hi, c.Lo)
			}
		}
	}
	if hi-lo >= tol.FillCollapseLines*f.g.spacing {
		return lo, hi
	}
	switch {
	case lo > left && hi < right:
		lo = min(max((lo+hi)/2, left), right)
		hi = lo
	case lo > left:
		lo = hi
	default:
		hi = lo
	}
	return lo, hi
}

// pair returns the width of a bead that shares the stretch at height y with a
// spine: the nominal one unless they are nearer.
func (f *furrow) pair(y float64) float64 {
	if len(f.spines) == 0 {
		return f.g.width
	}
	lo, hi := f.at(y)
	return min(max(hi-lo, f.g.min), f.g.width)
}

// zigzag lays rows fit by fit from the low pole to the high one, beginning at
// the left or right end of the first row. The path is in the bed frame.
func (f *furrow) zigzag(rows fit, fromRight bool) *path {
	b, way := newPath(4*rows.n*(1+len(f.folds))), newPath(20)
	parts := append([]*furrow{f}, f.folds...)
	right := fromRight
	at := f.outer(rows, 0, right) // the part the path is at
	p, own := parts[at], rows.raised(parts[at].lift)
	lead := p.lead(own, 0, right)
	for i := len(lead) - 1; i >= 0; i-- {
		b.to(p.frame.Out(lead[i].Point), lead[min(i+1, len(lead)-1)].width, connector, true)
	}
	first := 0.0
	if len(lead) > 0 {
		first = lead[0].width
	}
	from := p.rowEnd(own, 0, right)
	b.to(p.frame.Out(from), first, connector, true)
	for k := range rows.n {
		right = !right
		width, outermost := rows.width(k, f.g), k == 0 || k == rows.n-1
		for to := f.outer(rows, k, right); at != to; {
			before := p
			if at < to {
				at++
			} else {
				at--
			}
			p, own = parts[at], rows.raised(parts[at].lift)
			bend := foldBetween(before, p, rows.y(k), right)
			b.to(bend, width, int32(before.zone), outermost)
			from = p.frame.In(bend)
		}
		// The end of the row may be drawn out by the turn.
		way.clear()
		way.to(from, 0, connector, true)
		way.to(p.rowEnd(own, k, right), width, int32(p.zone), outermost)
		next := at
		if k < rows.n-1 {
			if next = f.outer(rows, k+1, right); next == at {
				p.turn(way, own, k, right)
			}
			from = way.points[len(way.points)-1]
		}
		for i, q := range way.points[1:] {
			b.to(p.frame.Out(q), way.width[i], way.zone[i], way.border[i])
		}
		if next != at { // the tip of one ends beside the other
			at, p, own = next, parts[next], rows.raised(parts[next].lift)
			from = p.rowEnd(own, k+1, right)
			b.to(p.frame.Out(from), f.g.width, connector, true)
		}
	}
	for _, q := range p.lead(own, rows.n-1, right) {
		b.to(p.frame.Out(q.Point), q.width, connector, true)
	}
	return b
}

// foldBetween returns the place (bed frame) where the row at height y of the
// first furrow bends from one to the next; right says that it leads rightwards.
func foldBetween(from, to *furrow, y float64, right bool) plane.Point {
	if !right {
		from, to = to, from
	}
	return foldAt(from.cell, to.cell, y+from.lift, y+to.lift)
}

// outer returns the part in which row k ends on the left or right: the
// outermost that reaches its height.
func (f *furrow) outer(rows fit, k int, right bool) int {
	at, step := 0, 1
	if right {
		at, step = len(f.folds), -1
	}
	for range f.folds {
		c := f.cell
		if at > 0 {
			c = f.folds[at-1].cell
		}
		// Rows nearer than nominal ones begin that much nearer to the border.
		y, room := rows.y(k)+c.lift, tol.FillFoldMM+max(0, f.g.spacing-rows.h)/2
		if y >= c.y[0]-room && y <= c.y[len(c.y)-1]+room {
			return at
		}
		at += step
	}
	return at
}

// end returns the left or right end of the row at height y.
func (f *furrow) end(y float64, right bool) plane.Point {
	lo, hi := f.room(y)
	if right {
		lo = hi
	}
	return plane.Point{X: lo, Y: y}
}

// rowEnd returns the left or right end of row k: as much farther in as its bead
// is wider than a nominal one.
func (f *furrow) rowEnd(rows fit, k int, right bool) plane.Point {
	p := f.end(rows.y(k), right)
	if wider := (rows.width(k, f.g) - f.g.width) / 2; rows.shift != 0 && wider > 0 {
		if lo, hi := f.room(p.Y); hi-lo > 4*wider {
			if right {
				wider = -wider
			}
			p.X += wider
		}
	}
	return p
}

// turn goes from the end of row k along the border to row k+1.
func (f *furrow) turn(b *path, rows fit, k int, right bool) {
	outermost := k == 0 || k+1 == rows.n-1
	if !(outermost && rows.shift != 0) && f.drawnOut(b, rows, k, right) {
		return
	}
	y, up := rows.y(k), rows.y(k+1)
	from := len(b.points) - 1
	for i := f.above(y); i < len(f.y) && f.y[i] < up; i++ {
		b.to(f.end(f.y[i], right), f.pair(f.y[i]), connector, true)
	}
	b.to(f.rowEnd(rows, k+1, right), f.pair(up), connector, true)
	f.widen(b, from)
}

// spinePath lays a spine as a path of its own.
func (f *furrow) spinePath(s spine) *path {
	b := &path{}
	for _, p := range s.points {
		b.to(p, f.pair(p.Y), connector, true)
	}
	return b
}

// widen gives a connector (the segments from point from on) more flow, to fill
// the notch that every second gap between rows leaves at a border.
func (f *furrow) widen(b *path, from int) {
	a, c := b.points[from], b.points[len(b.points)-1]
	d := c.Sub(a)
	n := d.Norm()
	if n == 0 || f.faced(a.Lerp(c, 0.5)) {
		return
	}
	factor := 1 + tol.FillNotchShare*(1-math.Pi/4*math.Abs(d.Y)/n)
	for i := from; i < len(b.width); i++ {
		b.width[i] = min(b.width[i]*factor, f.g.max)
	}
}

// middle lays a thin cell as one bead along its middle, as wide as the cell.
func (f *furrow) middle(low, high float64) *path {
	b := &path{}
	add := func(y float64) {
		lo, hi := f.at(y)
		b.to(plane.Point{X: (lo + hi) / 2, Y: y}, min(f.g.width+hi-lo, f.g.max), connector, true)
	}
	add(low)
	for i := f.above(low); i < len(f.y) && f.y[i] < high; i++ {
		add(f.y[i])
	}
	add(high)
	return b
}
