package making

import (
	"math"
	"sort"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// clipCurves returns the parts of the curves that lie in the region, each a
// run of at least two points. A closed curve that lies wholly inside comes back
// with its first point repeated.
func clipCurves(curves []pattern.Curve, g plane.Region) [][]plane.Point {
	edges := borderGrid(g)
	var out [][]plane.Point
	for _, c := range curves {
		points := c.Points
		if c.Closed && len(points) > 2 {
			points = append(append([]plane.Point(nil), points...), points[0])
		}
		out = append(out, clipRun(points, c.Closed, g, edges)...)
	}
	return out
}

// clipRun cuts one run at the region's border and keeps what lies inside.
func clipRun(points []plane.Point, closed bool, g plane.Region, edges *edgeGrid) [][]plane.Point {
	var runs [][]plane.Point
	var run []plane.Point
	flush := func() {
		if plane.Polyline(run).Length() > tol.Coincident {
			runs = append(runs, run)
		}
		run = nil
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		at := append(append([]float64{0}, edges.crossings(a, b)...), 1)
		for k := 1; k < len(at); k++ {
			if at[k] <= at[k-1] {
				continue
			}
			if !g.Contains(a.Lerp(b, (at[k-1]+at[k])/2)) {
				flush()
				continue
			}
			if len(run) == 0 {
				run = append(run, a.Lerp(b, at[k-1]))
			}
			run = append(run, a.Lerp(b, at[k]))
		}
	}
	flush()
	if n := len(runs); closed && n > 1 && runs[0][0] == points[0] && runs[n-1][len(runs[n-1])-1] == points[0] {
		runs[0] = append(runs[n-1], runs[0][1:]...)
		runs = runs[:n-1]
	}
	return runs
}

// edgeGrid finds segments near a place.
type edgeGrid struct {
	box   plane.Box
	cell  float64
	cols  int
	rows  int
	cells [][][2]plane.Point
}

// newEdgeGrid returns a grid over the box for about count segments.
func newEdgeGrid(box plane.Box, count int) *edgeGrid {
	e := &edgeGrid{box: box, cell: 1, cols: 1, rows: 1}
	if !box.Empty() {
		size := box.Size()
		e.cell = math.Max(math.Sqrt((size.X+1e-6)*(size.Y+1e-6)/float64(count+1)), 1e-3)
		e.cols, e.rows = 1+int(size.X/e.cell), 1+int(size.Y/e.cell)
	}
	e.cells = make([][][2]plane.Point, e.cols*e.rows)
	return e
}

// borderGrid returns the edges of a region.
func borderGrid(g plane.Region) *edgeGrid {
	count := 0
	for _, r := range g {
		count += len(r)
	}
	e := newEdgeGrid(g.Bounds(), count)
	for _, r := range g {
		for i, a := range r {
			e.add(a, r[(i+1)%len(r)])
		}
	}
	return e
}

// add puts ab into the cells along it, piece by piece: the box of a long slanted
// segment touches far more of them than it passes.
func (e *edgeGrid) add(a, b plane.Point) {
	pieces := 1 + int(a.Dist(b)/e.cell)
	for k := range pieces {
		from, to := a.Lerp(b, float64(k)/float64(pieces)), a.Lerp(b, float64(k+1)/float64(pieces))
		e.visit(from, to, func(c int) {
			if held := e.cells[c]; len(held) == 0 || held[len(held)-1] != [2]plane.Point{a, b} {
				e.cells[c] = append(held, [2]plane.Point{a, b})
			}
		})
	}
}

// visit calls yield for every cell that the box of ab touches.
func (e *edgeGrid) visit(a, b plane.Point, yield func(cell int)) {
	box := plane.EmptyBox().Include(a).Include(b)
	index := func(v, low float64, most int) int {
		return int(math.Min(math.Max(math.Floor((v-low)/e.cell), 0), float64(most-1)))
	}
	for row := index(box.Min.Y, e.box.Min.Y, e.rows); row <= index(box.Max.Y, e.box.Min.Y, e.rows); row++ {
		for col := index(box.Min.X, e.box.Min.X, e.cols); col <= index(box.Max.X, e.box.Min.X, e.cols); col++ {
			yield(row*e.cols + col)
		}
	}
}

// crossings returns the shares of ab at which it meets edges, rising.
func (e *edgeGrid) crossings(a, b plane.Point) []float64 {
	var at []float64
	d := b.Sub(a)
	e.visit(a, b, func(cell int) {
		for _, edge := range e.cells[cell] {
			f := edge[1].Sub(edge[0])
			denominator := d.Cross(f)
			if denominator == 0 {
				continue
			}
			o := edge[0].Sub(a)
			t, u := o.Cross(f)/denominator, o.Cross(d)/denominator
			if t > 0 && t < 1 && u >= 0 && u <= 1 {
				at = append(at, t)
			}
		}
	})
	sort.Float64s(at)
	return at
}
