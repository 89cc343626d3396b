// Package near finds line segments close to a place: a grid of cells that
// grows as segments are added. It serves the building of beads, where every
// new piece is checked against what lies there already.
package near

import (
	"math"
	"slices"

	"sheenlay/engine/plane"
)

// Segment is a straight piece of a centre line, mm.
type Segment struct{ A, B plane.Point }

// Grid holds segments by place. The zero Grid is not usable; see New.
type Grid struct {
	box      plane.Box
	cell     float64
	nx, ny   int
	head     []int32 // per cell: index into links, -1 for none
	links    []link
	segments []Segment
}

type link struct{ segment, next int32 }

// maxCells bounds the memory of a grid; cells grow instead.
const maxCells = 1 << 20

// New returns an empty grid for segments inside box (those outside are kept in
// its border cells) with cells of the given size in mm.
func New(box plane.Box, cell float64) *Grid {
	if box.Empty() {
		box = plane.Box{}
	}
	size := box.Size()
	if !(cell > 0) {
		cell = 1
	}
	for (size.X/cell+1)*(size.Y/cell+1) > maxCells {
		cell *= 1.5
	}
	g := &Grid{box: box, cell: cell, nx: int(size.X/cell) + 1, ny: int(size.Y/cell) + 1}
	g.head = make([]int32, g.nx*g.ny)
	for i := range g.head {
		g.head[i] = -1
	}
	return g
}

// Expect makes room for n segments that are mostly no longer than a few cells.
func (g *Grid) Expect(n int) {
	g.segments = slices.Grow(g.segments, n)
	g.links = slices.Grow(g.links, 5*n)
}

// Len returns the number of segments.
func (g *Grid) Len() int { return len(g.segments) }

// Segment returns segment i, counted in the order added.
func (g *Grid) Segment(i int) Segment { return g.segments[i] }

// Add puts a segment into the grid and returns its index.
func (g *Grid) Add(a, b plane.Point) int {
	id := int32(len(g.segments))
	g.segments = append(g.segments, Segment{a, b})
	g.cells(a, b, 0, func(c int) {
		g.links = append(g.links, link{id, g.head[c]})
		g.head[c] = int32(len(g.links) - 1)
	})
	return int(id)
}

// Near calls f with the index of every segment that may come within reach (mm)
// of the segment from a to b, until f returns false. A segment may be named
// more than once, and some that are farther are named too.
func (g *Grid) Near(a, b plane.Point, reach float64, f func(i int) bool) {
	stop := false
	g.cells(a, b, reach, func(c int) {
		for l := g.head[c]; l >= 0 && !stop; l = g.links[l].next {
			if !f(int(g.links[l].segment)) {
				stop = true
			}
		}
	})
}

// cells calls f with the index of each cell that the segment, widened by
// reach, may touch: row by row the columns of its stretch in that row.
func (g *Grid) cells(a, b plane.Point, reach float64, f func(c int)) {
	if a.Y > b.Y {
		a, b = b, a
	}
	y0, y1 := g.row(a.Y-reach), g.row(b.Y+reach)
	if y0 == y1 {
		x0, x1 := g.column(min(a.X, b.X)-reach), g.column(max(a.X, b.X)+reach)
		for x := x0; x <= x1; x++ {
			f(y0*g.nx + x)
		}
		return
	}
	slope := 0.0
	if b.Y > a.Y {
		slope = (b.X - a.X) / (b.Y - a.Y)
	}
	for y := y0; y <= y1; y++ {
		lo := g.box.Min.Y + float64(y)*g.cell - reach
		hi := lo + g.cell + 2*reach
		// The outer rows take in what lies beyond the box.
		if y == 0 {
			lo = math.Inf(-1)
		}
		if y == g.ny-1 {
			hi = math.Inf(1)
		}
		xa, xb := a.X, b.X
		if b.Y > a.Y {
			if lo > a.Y {
				xa = a.X + slope*(min(lo, b.Y)-a.Y)
			}
			if hi < b.Y {
				xb = a.X + slope*(max(hi, a.Y)-a.Y)
			}
		}
		x0, x1 := g.column(min(xa, xb)-reach-1e-9), g.column(max(xa, xb)+reach+1e-9)
		for x := x0; x <= x1; x++ {
			f(y*g.nx + x)
		}
	}
}

func (g *Grid) row(y float64) int {
	return min(max(int((y-g.box.Min.Y)/g.cell), 0), g.ny-1)
}

func (g *Grid) column(x float64) int {
	return min(max(int((x-g.box.Min.X)/g.cell), 0), g.nx-1)
}

// Closest returns the point of the segment nearest to p, its share t in
// [0, 1] of the way from A to B, and the distance in mm.
func (s Segment) Closest(p plane.Point) (q plane.Point, t, distance float64) {
	d := s.B.Sub(s.A)
	if n := d.Dot(d); n > 0 {
		t = min(max(p.Sub(s.A).Dot(d)/n, 0), 1)
	}
	q = s.A.Lerp(s.B, t)
	return q, t, q.Dist(p)
}

// Crosses reports whether the segments share a point: they cross, touch, or
// run along each other.
func (s Segment) Crosses(o Segment) bool {
	if max(s.A.X, s.B.X) < min(o.A.X, o.B.X) || max(o.A.X, o.B.X) < min(s.A.X, s.B.X) ||
		max(s.A.Y, s.B.Y) < min(o.A.Y, o.B.Y) || max(o.A.Y, o.B.Y) < min(s.A.Y, s.B.Y) {
		return false
	}
	d1, d2 := side(o.A, o.B, s.A), side(o.A, o.B, s.B)
	d3, d4 := side(s.A, s.B, o.A), side(s.A, s.B, o.B)
	return d1*d2 <= 0 && d3*d4 <= 0
}

// side returns the sign of the turn a, b, c.
func side(a, b, c plane.Point) int {
	switch t := b.Sub(a).Cross(c.Sub(a)); {
	case t > 0:
		return 1
	case t < 0:
		return -1
	}
	return 0
}

// Dist returns the smallest distance of two segments, mm; 0 when they cross.
func (s Segment) Dist(o Segment) float64 {
	if s.Crosses(o) {
		return 0
	}
	_, _, d := s.Closest(o.A)
	for _, c := range [3]float64{second(s.Closest(o.B)), second(o.Closest(s.A)), second(o.Closest(s.B))} {
		d = min(d, c)
	}
	return d
}

func second(_ plane.Point, _, d float64) float64 { return d }
