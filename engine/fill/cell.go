package fill

import (
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/tol"
)

// cell is a part of a zone that one sweep of rows fills row by row: at every
// height between its ends the rows it may take lie in one stretch. The outline
// is a list of samples at ascending heights of the lay's frame; between two
// samples it is straight.
type cell struct {
	zone   int
	frame  scan.Frame
	y      []float64
	lo, hi []float64 // the stretch at y: where bead centre lines may run
	// lowCut and highCut say that the cell ends there at a row of another
	// cell of the zone, so that its own rows begin one line further in.
	lowCut, highCut bool
	// thin says that two beads do not fit side by side: one bead runs along
	// the middle, from the low end to the high one.
	thin bool
	// stems are the short thin parts beyond the low and the high end, if any:
	// the bead begins or ends there.
	stems [2]*cell
	// from is the cell below that a thin one goes on from.
	from *cell
	// folds are the cells that the rows go on into beyond the right side, from
	// left to right, in frames turned so that rows lead from left to right.
	folds []*cell
	lift  float64 // of one of folds: its rows' heights less those of the first
}

func (c *cell) height() float64 { return c.y[len(c.y)-1] - c.y[0] }

// area is the area of the outline, mm²: less than the area the cell's beads
// cover by half a bead all round.
func (c *cell) area() float64 {
	sum := 0.0
	for i := 1; i < len(c.y); i++ {
		sum += (c.hi[i] - c.lo[i] + c.hi[i-1] - c.lo[i-1]) / 2 * (c.y[i] - c.y[i-1])
	}
	return sum
}

// centre is a place inside the cell, bed frame.
func (c *cell) centre() plane.Point {
	i := len(c.y) / 2
	return c.frame.Out(plane.Point{X: (c.lo[i] + c.hi[i]) / 2, Y: c.y[i]})
}

// at returns the stretch at height y, held at the ends outside the cell.
func (c *cell) at(y float64) (lo, hi float64) {
	i := c.above(y)
	if i == 0 {
		return c.lo[0], c.hi[0]
	}
	if i == len(c.y) {
		return c.lo[i-1], c.hi[i-1]
	}
	t := (y - c.y[i-1]) / (c.y[i] - c.y[i-1])
	return c.lo[i-1] + (c.lo[i]-c.lo[i-1])*t, c.hi[i-1] + (c.hi[i]-c.hi[i-1])*t
}

// above returns the index of the first sample above height y.
func (c *cell) above(y float64) int {
	i, j := 0, len(c.y)
	for i < j {
		m := (i + j) / 2
		if c.y[m] <= y {
			i = m + 1
		} else {
			j = m
		}
	}
	return i
}

func (c *cell) push(y float64, s scan.Span) {
	if n := len(c.y); n > 0 && y <= c.y[n-1] {
		return
	}
	c.y, c.lo, c.hi = append(c.y, y), append(c.lo, s.Lo), append(c.hi, s.Hi)
}

// tracer follows rows upward through a zone and cuts it into cells.
type tracer struct {
	cut     *scan.Cutter
	zone    int
	spacing float64
	live    []*cell
	rows    []scan.Span // of the last probe, one for each live cell
	next    []scan.Span
	scratch []scan.Span
	out     []*cell
}

// trace returns the cells of the zone that the cutter describes.
func trace(cut *scan.Cutter, zone int, spacing float64, stop func() bool) []*cell {
	t := &tracer{cut: cut, zone: zone, spacing: spacing}
	box := cut.Box()
	if box.Empty() {
		return nil
	}
	step := spacing / tol.FillProbesPerLine
	n := math.Ceil((box.Max.Y-box.Min.Y)/step) + 1
	if !(n < 1<<22) {
		return nil
	}
	before := box.Min.Y - step
	for i := 0; i <= int(n); i++ {
		if i%64 == 0 && stop() {
			return nil
		}
		// Half a step off, so that no probe runs exactly along the lowest edge.
		y := box.Min.Y + (float64(i)-0.5)*step
		t.next = t.probe(t.next[:0], y)
		t.advance(before, y)
		before = y
	}
	for _, c := range t.live {
		t.finish(c)
	}
	return t.out
}

// probe returns the stretches at height y.
func (t *tracer) probe(dst []scan.Span, y float64) []scan.Span {
	t.scratch = t.cut.Row(t.scratch[:0], y)
	for _, s := range t.scratch {
		if s.Length() >= tol.FillLeastMM {
			dst = append(dst, s)
		}
	}
	return dst
}

// thin reports whether a stretch has room for one bead only.
func thin(s scan.Span) bool { return s.Length() < tol.FillPairMM }

func overlap(a, b scan.Span) bool { return a.Lo < b.Hi && b.Lo < a.Hi }

// advance links the live cells with the stretches of the next probe. A group
// is a run of cells and stretches connected by overlap.
func (t *tracer) advance(y0, y1 float64) {
	var live []*cell
	var rows []scan.Span
	i, j := 0, 0
	for i < len(t.live) || j < len(t.next) {
		i0, j0 := i, j
		switch {
		case i == len(t.live):
			j++
		case j == len(t.next):
			i++
		case !overlap(t.rows[i], t.next[j]):
			if t.rows[i].Hi <= t.next[j].Lo {
				i++
			} else {
				j++
			}
		default:
			i, j = i+1, j+1
			for {
				if i < len(t.live) && overlap(t.rows[i], t.next[j-1]) {
					i++
				} else if j < len(t.next) && overlap(t.rows[i-1], t.next[j]) {
					j++
				} else {
					break
				}
			}
		}
		live = t.group(live, t.live[i0:i], t.rows[i0:i], t.next[j0:j], y0, y1)
		rows = append(rows, t.next[j0:j]...)
	}
	t.live, t.rows = live, append(t.rows[:0], rows...)
}

// group carries one group over to the next probe and returns live with the
// cells that go on, one for each stretch.
func (t *tracer) group(live []*cell, cells []*cell, old, new []scan.Span, y0, y1 float64) []*cell {
	begin := func(y float64, s scan.Span, cut bool) *cell {
		c := &cell{zone: t.zone, frame: t.cut.Frame(), lowCut: cut, thin: thin(s)}
		c.push(y, s)
		return c
	}
	switch {
	case len(cells) == 0: // begins
		for _, s := range new {
			samples := t.refine(y1, y0, s, t.next)
			c := &cell{zone: t.zone, frame: t.cut.Frame(), thin: thin(s)}
			for k := len(samples) - 1; k >= 0; k-- {
				c.push(samples[k].y, samples[k].Span)
			}
			c.push(y1, s)
			live = append(live, c)
		}
	case len(new) == 0: // ends
		for k, c := range cells {
			for _, s := range t.refine(y0, y1, old[k], t.rows) {
				c.push(s.y, s.Span)
			}
			t.finish(c)
		}
	case len(cells) == 1 && len(new) == 1:
		c := cells[0]
		if c.thin != thin(new[0]) {
			c.highCut = c.thin
			t.finish(c)
			next := begin(y0, old[0], !c.thin)
			next.thin = !c.thin
			if next.thin {
				next.from = c
			} else if c.short(t.spacing) && !c.lowCut {
				next.stems[0] = c
			}
			next.push(y1, new[0])
			return append(live, next)
		}
		jump := max(math.Abs(new[0].Lo-old[0].Lo), math.Abs(new[0].Hi-old[0].Hi))
		if jump <= tol.FillJumpLines*t.spacing {
			c.push(y1, new[0])
			return append(live, c)
		}
		below, above := t.step(y0, y1, old[0], new[0])
		if above == nil { // steep, but no step
			for _, s := range below {
				c.push(s.y, s.Span)
			}
			c.push(y1, new[0])
			return append(live, c)
		}
		for _, s := range below {
			c.push(s.y, s.Span)
		}
		wider := new[0].Length() > old[0].Length()
		c.highCut = wider
		t.finish(c)
		c = begin(above[len(above)-1].y, above[len(above)-1].Span, !wider)
		for k := len(above) - 2; k >= 0; k-- {
			c.push(above[k].y, above[k].Span)
		}
		c.push(y1, new[0])
		live = append(live, c)
	case len(cells) == 1: // splits
		c := cells[0]
		last := y0
		for _, s := range t.refine(y0, y1, old[0], t.rows) {
			c.push(s.y, s.Span)
			last = s.y
		}
		t.finish(c)
		for _, s := range new {
			child := begin(last, s, true)
			child.push(y1, s)
			live = append(live, child)
		}
	case len(new) == 1: // merges
		first := y1
		samples := t.refine(y1, y0, new[0], t.next)
		if len(samples) > 0 {
			first = samples[len(samples)-1].y
		}
		for k, c := range cells {
			c.push(first, old[k])
			c.highCut = true
			t.finish(c)
		}
		c := &cell{zone: t.zone, frame: t.cut.Frame(), thin: thin(new[0])}
		for k := len(samples) - 1; k >= 0; k-- {
			c.push(samples[k].y, samples[k].Span)
		}
		c.push(y1, new[0])
		live = append(live, c)
	default: // several split and merge between two probes
		for _, c := range cells {
			t.finish(c)
		}
		for _, s := range new {
			live = append(live, begin(y0, s, true))
			live[len(live)-1].push(y1, s)
		}
	}
	return live
}

// sample is a stretch at a height.
type sample struct {
	y float64
	scan.Span
}

// refine goes from height y, where the stretch s is known, towards height end
// and finds by bisection how far it goes on as one stretch, apart from the
// others at its height. It returns the samples met on the way, in the order of
// going.
func (t *tracer) refine(y, end float64, s scan.Span, others []scan.Span) []sample {
	var out []sample
	for math.Abs(end-y) > tol.FillEventMM {
		middle := (y + end) / 2
		t.row(middle)
		found, n := scan.Span{}, 0
		for _, r := range t.scratch {
			if r.Length() >= tol.FillLeastMM && thin(r) == thin(s) && overlap(r, s) {
				found = r
				n++
			}
		}
		reached := 0
		for _, o := range others {
			if overlap(o, found) {
				reached++
			}
		}
		if n == 1 && reached <= 1 {
			y, s = middle, found
			out = append(out, sample{y, s})
		} else {
			end = middle
		}
	}
	return out
}

func (t *tracer) row(y float64) { t.scratch = t.cut.Row(t.scratch[:0], y) }

// step looks for the height between y0 and y1 where the stretch jumps from a to
// b. It returns the samples on both sides of the jump, each in the order of
// going towards it; above is nil where the change turns out gradual.
func (t *tracer) step(y0, y1 float64, a, b scan.Span) (below, above []sample) {
	lowY, highY := y0, y1
	above = append(above, sample{y1, b})
	for highY-lowY > tol.FillEventMM {
		middle := (lowY + highY) / 2
		t.row(middle)
		var m scan.Span
		best := 0.0
		for _, r := range t.scratch {
			if common := min(r.Hi, max(a.Hi, b.Hi)) - max(r.Lo, min(a.Lo, b.Lo)); common > best {
				best, m = common, r
			}
		}
		if best == 0 {
			break
		}
		if distance(m, a) <= distance(m, b) {
			lowY, a = middle, m
			below = append(below, sample{middle, m})
		} else {
			highY, b = middle, m
			above = append(above, sample{middle, m})
		}
	}
	if distance(a, b) < tol.FillJumpLines/2*t.spacing {
		for k := len(above) - 1; k > 0; k-- {
			below = append(below, above[k])
		}
		return below, nil
	}
	return below, above
}

func distance(a, b scan.Span) float64 {
	return math.Abs(a.Lo-b.Lo) + math.Abs(a.Hi-b.Hi)
}

func (t *tracer) finish(c *cell) {
	if len(c.y) == 0 {
		return
	}
	if !c.short(t.spacing) {
		t.out = append(t.out, c)
	} else if c.from != nil && !c.highCut {
		c.from.stems[1] = c
	}
}

// short reports whether a cell is thin and too short to be laid on its own.
func (c *cell) short(spacing float64) bool {
	return c.thin && c.height() < tol.FillThinLines*spacing
}
