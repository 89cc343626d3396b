package fill

import (
	"math"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/tol"
)

// gauge holds the measures of one zone's beads, mm.
type gauge struct {
	width    float64    // nominal bead width
	spacing  float64    // nominal distance of rows
	min, max float64    // limits of the adapted width
	phase    float64    // by which rows are to be shifted across the lay
	plain    bool       // rows end square: nothing is drawn out into tips
	walls    *near.Grid // the border of the face; nil where it is far
}

// adapted returns the bead width for rows at distance h.
func (g gauge) adapted(h float64) float64 {
	return min(max(g.width*h/g.spacing, g.min), g.max)
}

// fit is a choice of rows for a cell: n rows from height first, h apart. With a
// shift all rows but the outermost lie that much higher; the first row is then
// as much wider and the last as much thinner, so that the cell stays full.
type fit struct {
	n               int
	first, h, shift float64
}

// y returns the height of row k.
func (f fit) y(k int) float64 {
	shift := f.shift
	if k == 0 || k == f.n-1 {
		shift /= 2
	}
	return f.first + float64(k)*f.h + shift
}

// raised returns the rows so much higher.
func (f fit) raised(by float64) fit {
	f.first += by
	return f
}

// width returns the width of the bead of row k.
func (f fit) width(k int, g gauge) float64 {
	switch k {
	case 0:
		return g.adapted(f.h + f.shift)
	case f.n - 1:
		return g.adapted(f.h - f.shift)
	}
	return g.adapted(f.h)
}

// shifted honours the gauge's phase as far as the widths of the outermost rows
// allow, for cells whose rows all are their own.
func (f fit) shifted(c *cell, g gauge) fit {
	if g.phase == 0 || f.n < 4 || c.lowCut || c.highCut || c.thin {
		return f
	}
	low, high := g.min*g.spacing/g.width, g.max*g.spacing/g.width
	most := max(0, min(f.h-max(low, tol.FillPairMM), high-f.h, f.h/2))
	turns := g.phase / f.h
	f.shift = min(max((turns-math.Round(turns))*f.h, -most), most)
	return f
}

// even asks fitRows for an even number of rows, odd for an odd one.
const (
	even = 0
	odd  = 1
)

// fitRows spaces rows to fill the cell's height exactly, as near to the
// nominal spacing as the parity allows; too near costs as much as too far,
// and more beyond the limits of the width. ok is false where even the fewest
// rows would be nearer than tol.FillPairMM.
func fitRows(c *cell, g gauge, parity int) (f fit, ok bool) {
	cuts := 0
	if c.lowCut {
		cuts++
	}
	if c.highCut {
		cuts++
	}
	low, high := c.span()
	height := high - low
	// Half a nominal line lies between the border and the outline at every
	// end that is not cut: rows of distance h take half of h there instead.
	ends := float64(2 - cuts)
	whole := height + ends*g.spacing/2
	ideal := whole/g.spacing - float64(cuts) - ends/2 + 1
	best := math.Inf(1)
	for n := max(1, int(ideal)-2); n <= int(ideal)+3; n++ {
		if n%2 != parity {
			continue
		}
		if n == 1 && cuts == 0 {
			if cost := height / g.spacing; height <= g.spacing && cost < best {
				best, f, ok = cost, fit{n: 1, first: low + height/2, h: g.spacing}, true
			}
			continue
		}
		h := whole / (float64(n-1+cuts) + ends/2)
		if h < tol.FillPairMM {
			continue
		}
		cost := math.Abs(math.Log(h / g.spacing))
		least, most := g.min*g.spacing/g.width, g.max*g.spacing/g.width
		if h > most {
			cost += 3 * (h/most - 1)
		}
		if h < least {
			cost += 1.5 * (least/h - 1)
		}
		if cost < best {
			best = cost
			f = fit{n: n, first: low + (h-g.spacing)/2, h: h}
			if c.lowCut {
				f.first = low + h
			}
			ok = true
		}
	}
	return f.shifted(c, g), ok
}

// comb lays the cell as a closed loop: the first row, zigzag upward, the last
// row, and back along a spine on the shorter side. ok is false where the cell
// is too thin to hold a loop.
func comb(c *cell, g gauge) (l loops.Loop, spineMM float64, ok bool) {
	rows, ok := fitRows(c, g, even)
	if !ok || rows.n < 2 || c.thin {
		return l, 0, false
	}
	low, high := rows.y(0), rows.y(rows.n-1)
	side, spineMM := 0, c.sideLength(0, low, high)
	if right := c.sideLength(1, low, high); right < spineMM {
		side, spineMM = 1, right
	}
	f := &furrow{cell: c, g: g, closed: true, spines: []spine{{side, c.edge(side, low, high)}}}
	b := f.zigzag(rows, side == 1)
	back := f.spines[0].points
	zone := int32(c.zone)
	// The first and the last row reach the spine itself.
	b.to(c.frame.Out(back[len(back)-1]), rows.width(rows.n-1, g), zone, true)
	for i := len(back) - 2; i >= 0; i-- {
		b.to(c.frame.Out(back[i]), f.pair(back[i].Y), connector, true)
	}
	b.to(b.points[0], rows.width(0, g), zone, true)
	l = b.loop(false)
	return l, spineMM, len(l.Points) >= 3
}
