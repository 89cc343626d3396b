package fill

import (
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// The corners of a cell, where its first or last row may end.
const (
	lowLeft = iota
	lowRight
	highLeft
	highRight
	// far is added for a bead that goes on beyond its row: through the thin part
	// beyond the pole, or along a border that runs nearly along the row.
	far
	corners = 2 * far
)

// rowRange returns the heights between which a cell's rows lie.
func rowRange(c *cell, g gauge) (first, last float64) {
	first, last = c.y[0], c.y[len(c.y)-1]
	if c.lowCut {
		first = min(first+g.spacing, last)
	}
	if c.highCut {
		last = max(last-g.spacing, first)
	}
	return first, last
}

// corner returns the place of a corner, in the bed frame; ok is false where the
// cell has none of that kind.
func (c *cell) corner(k int, g gauge) (p plane.Point, ok bool) {
	side, end := k%2, k%far/2
	c, folded := c.outer(side, end)
	first, last := rowRange(c, g)
	y := [2]float64{first, last}[end]
	lo, hi := c.at(y)
	x := [2]float64{lo, hi}[side]
	switch {
	case c.thin:
		x = (lo + hi) / 2
		ok = k < far
	case k < far:
		ok = true
	case folded:
	case c.stemmed(end, g):
		y, x = c.stems[end].apex(end)
		ok = true
	default:
		if tip, out := c.flare(side, end, g); out >= tol.FillFlareFarLines*g.spacing {
			lo, hi = c.at(tip)
			y, x, ok = tip, [2]float64{lo, hi}[side], true
		}
	}
	return c.frame.Out(plane.Point{X: x, Y: y}), ok
}

// flare returns how far a side runs on, nearly along the first (0) or the last
// row, within the row's strip, and the height it reaches there.
func (c *cell) flare(side, end int, g gauge) (tip, out float64) {
	c, folded := c.outer(side, end)
	y, rise, cut := c.y[0], (g.width-g.min)/2, c.lowCut
	if end == 1 {
		y, rise, cut = c.y[len(c.y)-1], -rise, c.highCut
	}
	if cut || folded || c.height() < 2*g.spacing || c.stemmed(end, g) {
		return y, 0
	}
	lo, hi := c.at(y)
	tipLo, tipHi := c.at(y + rise)
	out = lo - tipLo
	if side == 1 {
		out = tipHi - hi
	}
	if g.plain {
		out = 0
	}
	return y + rise, out
}

// stemmed reports whether the bead of a cell goes on through the thin part
// beyond its low (0) or high end.
func (c *cell) stemmed(end int, g gauge) bool {
	if c.stems[end] == nil {
		return false
	}
	within := c.y[0] + g.spacing/2
	if end == 1 {
		within = c.y[len(c.y)-1] - g.spacing/2
	}
	lo, hi := c.at(within)
	if hi-lo > tol.FillStemWideLines*g.spacing {
		return false // so blunt that the row itself covers it
	}
	return !g.plain
}

// apex is the far end of a stem beyond the low (0) or the high end of a cell.
func (c *cell) apex(end int) (y, x float64) {
	i := 0
	if end == 1 {
		i = len(c.y) - 1
	}
	return c.y[i], (c.lo[i] + c.hi[i]) / 2
}
