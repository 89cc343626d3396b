package footprint

import (
	"math"

	"sheenlay/engine/plane"
)

// This file contains the sharpening of an outline taken from a raster: its points
// are put onto the true border of the grown beads.

// beads finds the nearest bead of a place.
type beads struct {
	origin  plane.Point
	size    float64 // side of a cell, mm
	columns int
	rows    int
	head    []int32
	items   []struct{ bead, next int32 }
	all     []grownBead
}

// grownBead is a segment whose border lies radius mm from its line.
type grownBead struct {
	a, b   plane.Point
	radius float64
}

// foot returns the place of the line nearest to p.
func (g *grownBead) foot(p plane.Point) plane.Point {
	d := g.b.Sub(g.a)
	square := d.Dot(d)
	if square == 0 {
		return g.a
	}
	return g.a.Add(d.Mul(math.Max(0, math.Min(1, p.Sub(g.a).Dot(d)/square))))
}

// newBeads indexes the grown beads of strokes.
func (w *work) newBeads(strokes []int, grow float64, box plane.Box) *beads {
	widest := 0.0
	for _, i := range strokes {
		widest = math.Max(widest, w.widths[i])
	}
	// A place on the border lies within widest/2 + grow of its bead, so the nine
	// cells about it hold that bead.
	x := &beads{origin: box.Min, size: 1.2 * (widest/2 + grow)}
	size := box.Size()
	x.columns, x.rows = int(size.X/x.size)+1, int(size.Y/x.size)+1
	x.head = make([]int32, x.columns*x.rows)
	for _, i := range strokes {
		s := &w.Strokes[i]
		for k := 1; k < len(s.Points); k++ {
			x.insert(grownBead{s.Points[k-1], s.Points[k], w.widths[i]/2 + grow})
		}
	}
	return x
}

func (x *beads) cell(p plane.Point) (column, row int) {
	return int((p.X - x.origin.X) / x.size), int((p.Y - x.origin.Y) / x.size)
}

// insert hangs a bead into the cells at places a third of a cell apart along it.
func (x *beads) insert(g grownBead) {
	id := int32(len(x.all))
	x.all = append(x.all, g)
	last := -1
	n := math.Ceil(3*g.b.Dist(g.a)/x.size) + 1
	for k := 0.0; k <= n; k++ {
		c, r := x.cell(g.a.Lerp(g.b, k/n))
		if at := r*x.columns + c; at != last && c >= 0 && r >= 0 && c < x.columns && r < x.rows {
			last = at
			x.items = append(x.items, struct{ bead, next int32 }{id, x.head[at]})
			x.head[at] = int32(len(x.items))
		}
	}
}

// nearest returns the bead whose border lies nearest outside p, or farthest
// beyond it, and how far p is from that border; -1 where none is near.
func (x *beads) nearest(p plane.Point) (id int32, off float64) {
	id, off = -1, math.Inf(1)
	column, row := x.cell(p)
	for r := max(row-1, 0); r <= min(row+1, x.rows-1); r++ {
		for c := max(column-1, 0); c <= min(column+1, x.columns-1); c++ {
			for e := x.head[r*x.columns+c]; e > 0; e = x.items[e-1].next {
				g := &x.all[x.items[e-1].bead]
				if d := p.Dist(g.foot(p)) - g.radius; d < off {
					id, off = x.items[e-1].bead, d
				}
			}
		}
	}
	return id, off
}

// sharpen moves the points of a ring, none farther than reach, onto the border of
// their nearest beads, and puts the valley between the borders of two beads where
// they cross.
func (x *beads) sharpen(r plane.Ring, reach float64) plane.Ring {
	ids := make([]int32, len(r))
	moved := make(plane.Ring, len(r))
	for i, p := range r {
		moved[i] = p
		id, off := x.nearest(p)
		ids[i] = id
		if id < 0 || math.Abs(off) > reach {
			continue
		}
		g := &x.all[id]
		foot := g.foot(p)
		if d := p.Sub(foot); d.Norm() > 0 {
			moved[i] = foot.Add(d.Unit().Mul(g.radius))
		}
	}
	var out plane.Ring
	for i, p := range moved {
		out = append(out, p)
		k := (i + 1) % len(r)
		if ids[i] >= 0 && ids[k] >= 0 && ids[i] != ids[k] {
			if v, ok := x.valley(ids[i], ids[k], p.Lerp(moved[k], 0.5), 3*reach); ok {
				out = append(out, v)
			}
		}
	}
	return out
}

// valley returns where the borders of two beads cross near p, by Newton's method
// on both distances; ok is false where they do not cross within reach.
func (x *beads) valley(i, j int32, p plane.Point, reach float64) (v plane.Point, ok bool) {
	f, g := &x.all[i], &x.all[j]
	v = p
	for range 8 {
		df, dg := v.Sub(f.foot(v)), v.Sub(g.foot(v))
		nf, ng := df.Unit(), dg.Unit()
		a, b := f.radius-df.Norm(), g.radius-dg.Norm()
		det := nf.Cross(ng)
		if math.Abs(det) < 1e-3 {
			return v, false
		}
		v = v.Add(plane.Point{X: (a*ng.Y - b*nf.Y) / det, Y: (nf.X*b - ng.X*a) / det})
		if v.Dist(p) > reach {
			return v, false
		}
	}
	return v, true
}
