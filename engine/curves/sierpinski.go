package curves

import (
	"math"
	"math/bits"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// Sierpiński's closed curve (1912) walks round a tree: four smaller trees,
// joined in the middle. Drawn with slanted steps, it leaves eight-cornered
// holes that one bead cannot fill. Here the same tree stands on a square grid
// of cells, and the curve walks round it through the four quarters of every
// cell (walk round a spanning tree: LaValle, Planning Algorithms, 2006, §7.6):
// closed, every point once, all lines one pitch apart.

// linked reports whether the tree joins the cell (x, y) to the next cell along
// +X (axis 0) or +Y (axis 1), on a square of 2^level cells. A block of 2^l
// cells has its four quarters joined by three links round its middle; the link
// left out is the lying one away from the next larger block's middle.
func linked(level, x, y, axis int) bool {
	if axis == 1 {
		x, y = y, x
	}
	size := 1 << level
	if x+1 >= size || x < 0 || y < 0 || y >= size {
		return false
	}
	half := 1 << bits.TrailingZeros(uint(x+1))
	in := y & (2*half - 1)
	if in != half-1 && in != half {
		return false
	}
	if axis == 1 {
		return true
	}
	// Lying links: one of the two is left out.
	upperBlock := y&(2*half) != 0
	if 2*half == size {
		upperBlock = false
	}
	if upperBlock {
		return in == half-1
	}
	return in == half
}

// next returns the grid point that follows (px, py) on the walk, tree on the
// left hand; grid points are the quarters of cells, two to a side.
func next(level, px, py int) (int, int) {
	x, y := px>>1, py>>1
	switch {
	case px&1 == 0 && py&1 == 0: // lower left: down through a link, else right
		if y > 0 && linked(level, x, y-1, 1) {
			return px, py - 1
		}
		return px + 1, py
	case px&1 == 1 && py&1 == 0: // lower right: right, else up
		if linked(level, x, y, 0) {
			return px + 1, py
		}
		return px, py + 1
	case px&1 == 1: // upper right: up, else left
		if linked(level, x, y, 1) {
			return px, py + 1
		}
		return px - 1, py
	default: // upper left: left, else down
		if x > 0 && linked(level, x-1, y, 0) {
			return px - 1, py
		}
		return px, py - 1
	}
}

// Sierpinski returns the closed curve after Sierpiński on a square grid of
// pitchMM that covers the site, cut into pieces where it leaves the box.
func Sierpinski(pitchMM float64, s Site) ([]pattern.Curve, error) {
	if err := check(s, pitchMM); err != nil {
		return nil, err
	}
	want := s.local(pitchMM)
	level := 0
	for need := s.reach(pitchMM); math.Ldexp(1, level)-0.5 < need; {
		level++
	}
	middle := math.Ldexp(1, level) - 0.5
	centre := plane.Point{X: middle, Y: middle}
	pieces, closed := traceSierpinski(level, plane.Box{Min: want.Min.Add(centre), Max: want.Max.Add(centre)})
	return s.lay(pieces, centre, pitchMM, closed), nil
}

// traceSierpinski returns the walk's pieces that meet want, in grid points; one
// closed piece when the whole walk does.
func traceSierpinski(level int, want plane.Box) (pieces [][]plane.Point, closed bool) {
	side := 2 << level
	lo := func(v float64) int { return max(0, int(math.Floor(math.Max(v, -1)))) }
	hi := func(v float64) int { return min(side-1, int(math.Ceil(math.Min(v, float64(side))))) }
	x0, x1, y0, y1 := lo(want.Min.X), hi(want.Max.X), lo(want.Min.Y), hi(want.Max.Y)
	if x0 > x1 || y0 > y1 {
		return nil, false
	}
	inside := func(x, y int) bool { return x >= x0 && x <= x1 && y >= y0 && y <= y1 }
	seen := make([]bool, (x1-x0+1)*(y1-y0+1))
	at := func(x, y int) int { return (y-y0)*(x1-x0+1) + x - x0 }
	run := func(x, y int) []plane.Point {
		var piece []plane.Point
		for inside(x, y) && !seen[at(x, y)] {
			seen[at(x, y)] = true
			piece = append(piece, plane.Point{X: float64(x), Y: float64(y)})
			x, y = next(level, x, y)
		}
		return piece
	}
	if x0 == 0 && y0 == 0 && x1 == side-1 && y1 == side-1 {
		return [][]plane.Point{run(0, 0)}, true
	}
	// The walk enters the wanted part over its border only: start every piece
	// at a border point whose step in comes from outside.
	entered := map[[2]int]bool{}
	border := func(x, y int) {
		for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			px, py := x+d[0], y+d[1]
			if inside(px, py) || px < 0 || py < 0 || px >= side || py >= side {
				continue
			}
			if nx, ny := next(level, px, py); nx == x && ny == y && !entered[[2]int{x, y}] {
				entered[[2]int{x, y}] = true
				pieces = append(pieces, run(x, y))
			}
		}
	}
	for x := x0; x <= x1; x++ {
		border(x, y0)
		border(x, y1)
	}
	for y := y0; y <= y1; y++ {
		border(x0, y)
		border(x1, y)
	}
	return pieces, false
}
