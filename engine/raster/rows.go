package raster

import "math"

// This file contains the work on all rows of a bead at once: one call per bead,
// not per row, because a call costs as much as the row itself.

// strip says, row by row, which pixels [from, to) a shape covers.
type strip struct{ from, to []int32 }

// of returns the first n rows of the strip, with more room where there is need.
// What the rows hold is not defined.
func (s *strip) of(n int) strip {
	if len(s.from) < n {
		s.from, s.to = make([]int32, 2*n), make([]int32, 2*n)
	}
	return strip{s.from[:n], s.to[:n]}
}

// held keeps a height within what converts to a row number alike on every
// machine.
func held(y float64) float64 {
	// Not by min and max, which are calls under wasm.
	if y > 1<<30 {
		return 1 << 30
	}
	if y > -1<<30 {
		return y
	}
	return -1 << 30
}

// end says which end of a capsule other bead covers.
type end uint8

const (
	neither end = iota
	lower       // a
	upper       // b
)

// joint returns the end of k, the capsule of p, that the piece before it covers.
func (k *capsule) joint(p, before piece) end {
	switch {
	case before.b != p.a || before.r < p.r:
		return neither
	case p.a.X == k.ax && p.a.Y == k.ay:
		return lower
	}
	return upper
}

// borders fills out with the pixels of k in the rows from first on: the left
// border is an arc about a, the left side, or an arc about b; the right one
// likewise. All rows must be ones that k meets. Where one end is covered already
// its arcs are not taken: they run straight up through the middle of the end, and
// the union with what covers it is the same.
func (k *capsule) borders(out strip, first, columns int, covered end) {
	rows := len(out.from)
	square := float64(k.r * k.r)
	a, b := k.side(k.ny, first, rows)
	arcBorder(out.from[:a], k.ax, float64(first)-k.ay, square, -1, columns, covered == lower)
	sideBorder(out.from[a:b], k.ax+k.nx, float64(first+a)-k.ay, k.ny, k.slope, columns)
	arcBorder(out.from[b:], k.bx, float64(first+b)-k.by, square, -1, columns, covered == upper)
	a, b = k.side(-k.ny, first, rows)
	arcBorder(out.to[:a], k.ax, float64(first)-k.ay, square, 1, columns, covered == lower)
	sideBorder(out.to[a:b], k.ax-k.nx, float64(first+a)-k.ay, -k.ny, k.slope, columns)
	arcBorder(out.to[b:], k.bx, float64(first+b)-k.by, square, 1, columns, covered == upper)
}

// arcBorder fills out with an arc about x, on the side of sign, from height y
// above its centre on; a covered one with x alone.
func arcBorder(out []int32, x, y, square, sign float64, columns int, covered bool) {
	if covered {
		at := int32(clampIndex(x, columns))
		for i := range out {
			out[i] = at
		}
		return
	}
	for i := range out {
		out[i] = int32(clampIndex(x+float64(sign*chord(square, y+float64(i))), columns))
	}
}

// sideBorder fills out with a straight side that passes x at height off, from
// height y on.
func sideBorder(out []int32, x, y, off, slope float64, columns int) {
	for i := range out {
		out[i] = int32(clampIndex(x+float64((y+float64(i)-off)*slope), columns))
	}
}

// side returns where, counted from row first and held within [0, rows], the side
// whose ends lie off above those of the centre line begins and ends.
func (k *capsule) side(off float64, first, rows int) (a, b int) {
	a = min(max(int(math.Ceil(held(k.ay+off)))-first, 0), rows)
	return a, min(max(int(math.Ceil(held(k.by+off)))-first, a), rows)
}

// chord returns half the chord at height y above the centre of a circle whose
// squared radius is square.
func chord(square, y float64) float64 {
	if square -= float64(y * y); square > 0 {
		return math.Sqrt(square)
	}
	return 0 // a row at the very end of the circle, by rounding
}

// rows returns the rows of k that lie in the grid.
func (c *Counts) rows(k *capsule) (first, last int) { return max(k.first, 0), min(k.last, c.Rows-1) }

// addFresh adds one bead to the pixels of body that none of recent covers.
func (c *Counts) addFresh(body *capsule, recent []capsule) {
	first, last := c.rows(body)
	if first > last {
		return
	}
	fresh := c.work.body.of(last - first + 1)
	body.borders(fresh, first, c.Columns, neither)
	for k := range recent {
		q := &recent[k]
		low, high := max(first, q.first), min(last, q.last)
		if low > high || q.apart(body) {
			continue
		}
		taken := c.work.other.of(high - low + 1)
		q.borders(taken, low, c.Columns, neither)
		from, to := fresh.from[low-first:], fresh.to[low-first:]
		for i, lo := range taken.from {
			hi, f, t := taken.to[i], from[i], to[i]
			switch {
			case lo >= hi || hi <= f || lo >= t:
			case lo <= f:
				from[i] = min(hi, t)
			case hi >= t:
				to[i] = lo
			default:
				// A stretch to either side: the right one is finished apart.
				to[i] = lo
				c.addRest(low+i, hi, t, recent[k+1:])
			}
		}
	}
	at := first * c.Stride
	for i, from := range fresh.from {
		bump(c.Cells, at+int(from), at+int(fresh.to[i]))
		at += c.Stride
	}
}

// addRest adds one bead to the pixels [from, to) of row j that none of recent
// covers.
func (c *Counts) addRest(j int, from, to int32, recent []capsule) {
	var border [2]int32
	for k := range recent {
		q := &recent[k]
		if j < q.first || j > q.last {
			continue
		}
		q.borders(strip{border[:1], border[1:]}, j, c.Columns, neither)
		switch lo, hi := border[0], border[1]; {
		case lo >= hi || hi <= from || lo >= to:
		case lo <= from:
			from = min(hi, to)
		case hi >= to:
			to = lo
		default:
			c.addRest(j, hi, to, recent[k+1:])
			to = lo
		}
	}
	bump(c.Cells, j*c.Stride+int(from), j*c.Stride+int(to))
}
