package trial

import (
	"math"
	"sort"

	"sheenlay/engine/plane"
)

// cells is how many cells the longer side of a region is divided into when a
// rectangle is looked for: a found one is at most two cells narrower than the
// best, about one percent of the face.
const cells = 192

// largestRectangle returns an axis-parallel rectangle inside the region for
// which score(width, height) is largest; of equal ones the larger. ok is false
// for a region without area. The rectangle lies wholly inside: cells touched by
// the border count as outside.
func largestRectangle(region plane.Region, score func(w, h float64) float64) (best plane.Box, ok bool) {
	box := region.Bounds()
	size := box.Size()
	if box.Empty() || !(size.X > 0) || !(size.Y > 0) || !box.Min.Finite() || !box.Max.Finite() {
		return plane.Box{}, false
	}
	// A rectangle itself is used to its very border.
	if len(region) == 1 && region.Area() >= size.X*size.Y*(1-1e-12) {
		return box, true
	}
	g := newGrid(region, box)
	bestScore, bestArea := math.Inf(-1), 0.0
	heights := make([]int, g.columns+1) // the last stays 0 and closes all
	type open struct{ column, height int }
	var stack []open
	for row := range g.rows {
		for c := range g.columns {
			if g.free(row, c) {
				heights[c]++
			} else {
				heights[c] = 0
			}
		}
		// Every maximal rectangle whose lower side is this row, from a stack of
		// rising heights.
		stack = stack[:0]
		for c := 0; c <= g.columns; c++ {
			from := c
			for len(stack) > 0 && stack[len(stack)-1].height >= heights[c] {
				top := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				from = top.column
				if top.height == 0 {
					continue
				}
				w, h := float64(c-from)*g.step, float64(top.height)*g.step
				if v := score(w, h); v > bestScore || (v == bestScore && w*h > bestArea) {
					bestScore, bestArea, ok = v, w*h, true
					corner := plane.Point{X: box.Min.X + float64(from)*g.step, Y: box.Min.Y + float64(row+1-top.height)*g.step}
					best = plane.Box{Min: corner, Max: corner.Add(plane.Point{X: w, Y: h})}
				}
			}
			stack = append(stack, open{from, heights[c]})
		}
	}
	return best, ok
}

// grid tells for square cells whether they lie wholly inside a region.
type grid struct {
	columns, rows int
	step          float64
	inside        []bool
	touched       []bool
}

func (g *grid) free(row, column int) bool {
	i := row*g.columns + column
	return g.inside[i] && !g.touched[i]
}

func newGrid(region plane.Region, box plane.Box) *grid {
	size := box.Size()
	step := math.Max(size.X, size.Y) / cells
	g := &grid{step: step, columns: int(math.Ceil(size.X / step)), rows: int(math.Ceil(size.Y / step))}
	g.columns, g.rows = min(max(g.columns, 1), cells+1), min(max(g.rows, 1), cells+1)
	g.inside = make([]bool, g.columns*g.rows)
	g.touched = make([]bool, g.columns*g.rows)
	crossings := make([][]float64, g.rows)
	for _, r := range region {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			g.edge(a.Sub(box.Min).Mul(1/step), b.Sub(box.Min).Mul(1/step), crossings)
		}
	}
	for row, at := range crossings {
		sort.Float64s(at)
		for i := 0; i+1 < len(at); i += 2 {
			for c := max(0, int(math.Ceil(at[i]-0.5))); c < g.columns && float64(c)+0.5 < at[i+1]; c++ {
				g.inside[row*g.columns+c] = true
			}
		}
	}
	return g
}

// edge marks the cells an edge touches and notes where it crosses the middle
// of each row; a and b are in cells.
func (g *grid) edge(a, b plane.Point, crossings [][]float64) {
	if a.Y > b.Y {
		a, b = b, a
	}
	clamp := func(v float64, n int) int { return min(max(int(math.Floor(v)), 0), n-1) }
	for row := clamp(a.Y, g.rows); row <= clamp(b.Y, g.rows); row++ {
		x0, x1 := a.X, b.X
		if b.Y > a.Y {
			at := func(y float64) float64 {
				t := math.Max(0, math.Min(1, (y-a.Y)/(b.Y-a.Y)))
				return a.X + (b.X-a.X)*t
			}
			x0, x1 = at(float64(row)), at(float64(row+1))
			if middle := float64(row) + 0.5; a.Y <= middle && middle < b.Y {
				crossings[row] = append(crossings[row], at(middle))
			}
		}
		for c := clamp(math.Min(x0, x1), g.columns); c <= clamp(math.Max(x0, x1), g.columns); c++ {
			g.touched[row*g.columns+c] = true
		}
	}
}
