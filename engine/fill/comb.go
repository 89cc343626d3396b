package fill

import (
	"math"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/tol"
)

// gauge holds the measures of one zone's beads, mm.
type gauge struct {
	width    float64 // nominal bead width
	spacing  float64 // nominal distance of rows
	min, max float64 // limits of the adapted width
}

// adapted returns the bead width for rows at distance h.
func (g gauge) adapted(h float64) float64 {
	return min(max(g.width*h/g.spacing, g.min), g.max)
}

// fit is a choice of rows for a cell: n rows from height first, h apart.
type fit struct {
	n        int
	first, h float64
}

func (f fit) y(k int) float64 { return f.first + float64(k)*f.h }

// even asks fitRows for an even number of rows, odd for an odd one.
const (
	even = 0
	odd  = 1
	any2 = -1
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
	height := c.height()
	ideal := height/g.spacing - float64(cuts) + 1
	best := math.Inf(1)
	for n := max(1, int(ideal)-2); n <= int(ideal)+3; n++ {
		if parity != any2 && n%2 != parity {
			continue
		}
		m := n - 1 + cuts
		if m == 0 {
			if height > g.spacing/2 {
				continue
			}
			return fit{1, c.y[0] + height/2, g.spacing}, true
		}
		h := height / float64(m)
		if h < tol.FillPairMM {
			continue
		}
		cost := math.Abs(math.Log(h / g.spacing))
		low, high := g.min*g.spacing/g.width, g.max*g.spacing/g.width
		if h > high {
			cost += 3 * (h/high - 1)
		}
		if h < low {
			cost += 1.5 * (low/h - 1)
		}
		if cost < best {
			best = cost
			f = fit{n, c.y[0], h}
			if c.lowCut {
				f.first += h
			}
			ok = true
		}
	}
	return f, ok
}

// shape is a cell seen with its spine on the left: mirrored where the spine
// runs along the right border.
type shape struct {
	*cell
	mirrored bool
	spine    []plane.Point // from the lowest row to the highest
	g        gauge
}

func (s *shape) sides(y float64) (lo, hi float64) {
	lo, hi = s.at(y)
	if s.mirrored {
		return -hi, -lo
	}
	return lo, hi
}

// inner returns where the zigzag may begin at height y, clear of the spine by
// one spacing measured on the plane; hi where there is no room beside it.
func (s *shape) inner(y float64) (x, hi float64) {
	x, hi = s.sides(y)
	for i := 1; i < len(s.spine); i++ {
		p, q := s.spine[i-1], s.spine[i]
		if p.Y > y+s.g.spacing || q.Y < y-s.g.spacing {
			continue
		}
		if c := scan.Capsule(p, q, s.g.spacing, y); c.Hi > x {
			x = c.Hi
		}
	}
	if hi-x < tol.FillCollapseLines*s.g.spacing {
		x = hi
	}
	return x, hi
}

// pair returns the bead width where two beads share the stretch from lo to hi:
// the nominal one unless they are nearer.
func (s *shape) pair(lo, hi float64) float64 {
	return min(max(hi-lo, s.g.min), s.g.width)
}

// comb lays the cell as a closed loop: the first row, zigzag upward, the last
// row, and down the spine along one border. ok is false where the cell is too
// thin to hold a loop.
func comb(c *cell, g gauge, mirrored bool) (l loops.Loop, ok bool) {
	f, ok := fitRows(c, g, even)
	if !ok || f.n < 2 {
		return l, false
	}
	s := &shape{cell: c, mirrored: mirrored, g: g}
	top := f.y(f.n - 1)
	s.spine = s.side(f.first, top)
	width, zone := g.adapted(f.h), int32(c.zone)

	b := &path{}
	lo, hi := s.sides(f.first)
	b.to(plane.Point{X: lo, Y: f.first}, 0, zone, true)
	for k := range f.n {
		y := f.y(k)
		x, hi := s.inner(y)
		edge := k == 0 || k == f.n-1
		switch {
		case k == f.n-1:
			x, _ = s.sides(y)
		}
		if k%2 == 0 {
			b.to(plane.Point{X: hi, Y: y}, width, zone, edge)
			s.climb(b, y, f.y(k+1), true)
			continue
		}
		b.to(plane.Point{X: x, Y: y}, width, zone, edge)
		if k < f.n-1 {
			s.climb(b, y, f.y(k+1), false)
		}
	}
	for i := len(s.spine) - 2; i >= 0; i-- {
		p := s.spine[i]
		lo, hi = s.sides(p.Y)
		b.to(p, s.pair(lo, hi), connector, true)
	}
	if mirrored {
		for i := range b.points {
			b.points[i].X = -b.points[i].X
		}
	}
	l = b.loop(c.frame, false)
	return l, len(l.Points) >= 3
}

// side returns the left border between two heights as a simplified line.
func (s *shape) side(low, high float64) []plane.Point {
	b := &path{}
	add := func(y float64) {
		lo, _ := s.sides(y)
		b.to(plane.Point{X: lo, Y: y}, s.g.width, connector, true)
	}
	add(low)
	for i := s.above(low); i < len(s.y) && s.y[i] < high; i++ {
		add(s.y[i])
	}
	add(high)
	b.simplify()
	return b.points
}

// climb follows a border of the zigzag from one row to the next.
func (s *shape) climb(b *path, low, high float64, right bool) {
	add := func(y float64) {
		lo, hi := s.sides(y)
		x := hi
		if !right {
			x, _ = s.inner(y)
		}
		b.to(plane.Point{X: x, Y: y}, s.pair(lo, hi), connector, right)
	}
	for i := s.above(low); i < len(s.y) && s.y[i] < high; i++ {
		add(s.y[i])
	}
	add(high)
}
