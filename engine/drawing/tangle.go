package drawing

import (
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// tangle counts how often the outlines of a drawing cross before they are given
// to the polygon engine, whose cost and memory follow the crossings: a scribble
// of a few thousand strokes, filled, has millions.
type tangle struct {
	crossings int // that may still come
	tests     int // pairs of edges that may still be looked at
}

func newTangle() tangle {
	return tangle{crossings: tol.DrawingCrossings, tests: tol.DrawingCrossingTests}
}

// mostHeld is how many entries (edges, once for every cell they pass) the grid may
// have: long edges get larger cells.
const mostHeld = 4_000_000

// freeTests are the pairs for every edge that cost nothing of what may be looked
// at, so that a hostile shape does not take plain ones with it.
const freeTests = 8

// over reports whether the rings, taken together, cross more often than is left;
// what they take is left as it was then, so that other shapes have it. Edges that
// lie on each other count once for every cell of the grid that they share.
func (t *tangle) over(regions ...[]plane.Ring) bool {
	var lines []Line
	edges, length := 0, 0.0
	for _, g := range regions {
		for _, r := range g {
			lines = append(lines, Line{Points: plane.Polyline(r), Closed: true})
			edges += len(r)
			length += r.Length()
		}
	}
	if edges < 4 {
		return false
	}
	box := plane.EmptyBox()
	for _, l := range lines {
		box = box.Union(l.Points.Bounds())
	}
	size := box.Size()
	cell := math.Max(math.Sqrt(size.X*size.Y/float64(edges)), math.Max(math.Max(size.X, size.Y)/float64(edges), 2*length/mostHeld))
	if !(cell > 0) {
		return false
	}
	grid, left, free := newEdgeGrid(lines, cell), t.crossings, freeTests*edges
	for c := range int32(len(grid.first) - 1) {
		held := grid.held[grid.first[c]:grid.first[c+1]]
		if free -= len(held) * (len(held) - 1) / 2; free < 0 {
			if t.tests += free; t.tests < 0 {
				t.tests, t.crossings = 0, left
				return true
			}
			free = 0
		}
		for k, i := range held {
			a := grid.edges[i]
			d := a.b.Sub(a.a)
			for _, j := range held[:k] {
				b := grid.edges[j]
				if grid.crossIn(c, a.a, d, b.a, b.b.Sub(b.a)) {
					t.crossings--
				}
			}
		}
		if t.crossings < 0 {
			t.crossings = left
			return true
		}
	}
	return false
}

// crossIn reports whether the edges p + d and q + e cross within a cell, or lie
// on each other. Edges that only touch at their ends do not cross.
func (g *edgeGrid) crossIn(cell int32, p, d, q, e plane.Point) bool {
	t, u, met := meeting(p, d, q, e)
	if !met {
		away, square := q.Sub(p), d.Dot(d)
		if away.Cross(d) != 0 || square == 0 {
			return false
		}
		from, to := away.Dot(d)/square, away.Add(e).Dot(d)/square
		return math.Max(from, to) > 0 && math.Min(from, to) < 1
	}
	if !(t > 0 && t < 1 && u > 0 && u < 1) {
		return false
	}
	x, y := g.column(p.Add(d.Mul(t)))
	return y*g.nx+x == cell
}
