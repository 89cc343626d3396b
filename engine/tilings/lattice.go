// Package tilings makes zones that partition the plane: the tile patterns of
// geometry, quilting and traditional craft. Every function covers a box with
// whole tiles, in mm and radians, and returns zones in normal form.
//
// Laws that all functions keep:
//
//  1. The zones cover the box once (pattern.CheckPartition).
//  2. Tiles that touch share their corners to the last bit, and a corner that
//     lies on another tile's side is a corner of that tile too: there are no
//     slivers, and a shared border is found by comparing sides.
//  3. Equal arguments give equal zones, on every machine.
//  4. At most MaxZones zones; more are refused before they are made, with a
//     finding.Finding that names a size that fits.
//
// Patterns are anchored at a point of the caller's choice (the centre of the
// face), so that a larger box only adds tiles.
package tilings

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// MaxZones bounds the zones of one pattern. Reason: every later step is made
// and measured for this count.
const MaxZones = 20000

// Site says where a tiling lies: its anchor point, how far it is turned there
// (radians), and the box it has to cover. Box must be finite and not empty.
type Site struct {
	Anchor plane.Point
	Turn   float64
	Box    plane.Box
}

// index addresses a point as a whole-number combination of a frame's basis, so
// that one corner computed for two tiles gives the same bits.
type index [5]int

func (n index) plus(m index) index {
	for k := range n {
		n[k] += m[k]
	}
	return n
}

func (n index) times(c int) index {
	for k := range n {
		n[k] *= c
	}
	return n
}

// frame turns indices into places.
type frame struct {
	origin plane.Point
	basis  [5]plane.Point
}

// frameOf returns the frame at a site with the given basis, turned with it.
func frameOf(s Site, basis ...plane.Point) frame {
	f := frame{origin: s.Anchor}
	for k, b := range basis {
		f.basis[k] = b.Turn(s.Turn)
	}
	return f
}

// at returns the place of n. The products are rounded one by one (see
// plane.Point.Dot).
func (f frame) at(n index) plane.Point { return f.origin.Add(f.vector(n)) }

func (f frame) vector(n index) plane.Point {
	var x, y float64
	for k, c := range n {
		if c != 0 {
			x += float64(float64(c) * f.basis[k].X)
			y += float64(float64(c) * f.basis[k].Y)
		}
	}
	return plane.Point{X: x, Y: y}
}

// tile is one prototile: its corners counter-clockwise.
type tile struct {
	corners []index
	kind    int
	lay     float64 // radians before the site's turn
	name    string
}

// cell is a set of tiles that repeats under the translations u and v.
type cell struct {
	u, v  index
	tiles []tile
}

// zones lays the cell over the site. sizeMM is the size the person chose, for
// the remedy when that would be too many.
func (c cell) zones(f frame, s Site, sizeMM float64) ([]pattern.Zone, error) {
	tileArea := math.Abs(f.vector(c.u).Cross(f.vector(c.v))) / float64(len(c.tiles))
	if err := tooMany(s.Box, tileArea, sizeMM); err != nil {
		return nil, err
	}
	tiles := weld(f, c)
	var out []pattern.Zone
	extent := plane.EmptyBox()
	for _, t := range tiles {
		for _, n := range t.corners {
			extent = extent.Include(f.vector(n))
		}
	}
	f.walk(c.u, c.v, s.Box, extent, func(shift index) {
		for _, t := range tiles {
			ring := make(plane.Ring, len(t.corners))
			for k, n := range t.corners {
				ring[k] = f.at(n.plus(shift))
			}
			if ring.Bounds().Intersects(s.Box) {
				out = append(out, pattern.Zone{
					Region: plane.Region{ring}, Kind: t.kind, Name: t.name,
					Lay: pattern.Lay{Angle: plane.NormalLay(t.lay + s.Turn)},
				})
			}
		}
	})
	return out, tooManyZones(len(out), sizeMM)
}

// walk calls visit with i·u + j·v for every pair (i, j) whose cell, reaching
// over extent about its own origin, may meet box; rows first, in rising order.
func (f frame) walk(u, v index, box, extent plane.Box, visit func(shift index)) {
	pu, pv := f.vector(u), f.vector(v)
	det := pu.Cross(pv)
	reach := plane.Box{Min: box.Min.Sub(extent.Max).Sub(f.origin), Max: box.Max.Sub(extent.Min).Sub(f.origin)}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range []plane.Point{reach.Min, reach.Max, {X: reach.Min.X, Y: reach.Max.Y}, {X: reach.Max.X, Y: reach.Min.Y}} {
		i := q.Cross(pv) / det
		lo, hi = math.Min(lo, i), math.Max(hi, i)
	}
	for i := int(math.Floor(lo)); i <= int(math.Ceil(hi)); i++ {
		row := pu.Mul(float64(i))
		from, to := span(reach.Min.X-row.X, reach.Max.X-row.X, pv.X)
		from2, to2 := span(reach.Min.Y-row.Y, reach.Max.Y-row.Y, pv.Y)
		from, to = math.Max(from, from2), math.Min(to, to2)
		for j := int(math.Floor(from)); float64(j) <= math.Ceil(to); j++ {
			visit(u.times(i).plus(v.times(j)))
		}
	}
}

// span returns the range of t with lo ≤ t·step ≤ hi; all t when step is
// (nearly) zero, since the other axis bounds it then.
func span(lo, hi, step float64) (float64, float64) {
	if math.Abs(step) < 1e-9*(hi-lo) {
		return math.Inf(-1), math.Inf(1)
	}
	a, b := lo/step, hi/step
	return math.Min(a, b), math.Max(a, b)
}

// weld returns the cell's tiles with every corner of a neighbour that lies on
// one of their sides inserted as a corner (law 2).
func weld(f frame, c cell) []tile {
	own := plane.EmptyBox()
	for _, t := range c.tiles {
		for _, n := range t.corners {
			own = own.Include(f.vector(n))
		}
	}
	home := frame{basis: f.basis}
	seen := map[index]bool{}
	var near []index
	home.walk(c.u, c.v, own, own, func(shift index) {
		for _, t := range c.tiles {
			for _, n := range t.corners {
				if m := n.plus(shift); !seen[m] {
					seen[m] = true
					near = append(near, m)
				}
			}
		}
	})
	out := make([]tile, len(c.tiles))
	for i, t := range c.tiles {
		corners := t.corners
		t.corners = nil
		for k, a := range corners {
			b := corners[(k+1)%len(corners)]
			t.corners = append(t.corners, a)
			t.corners = append(t.corners, onSide(home, near, a, b)...)
		}
		out[i] = t
	}
	return out
}

// onSide returns the points that lie strictly between a and b on the straight
// side from a to b, in order.
func onSide(f frame, points []index, a, b index) []index {
	pa, pb := f.vector(a), f.vector(b)
	along := pb.Sub(pa)
	length := along.Norm()
	var out []index
	var ts []float64
	for _, n := range points {
		d := f.vector(n).Sub(pa)
		t := d.Dot(along) / length
		if t <= tol.OnEdge || t >= length-tol.OnEdge || math.Abs(d.Cross(along))/length > tol.OnEdge {
			continue
		}
		k := len(ts)
		for k > 0 && ts[k-1] > t {
			k--
		}
		ts = append(ts[:k], append([]float64{t}, ts[k:]...)...)
		out = append(out[:k], append([]index{n}, out[k:]...)...)
	}
	return out
}

// tooMany refuses a box that needs far more than MaxZones tiles, before any is
// made; border tiles are counted exactly afterwards by tooManyZones.
func tooMany(box plane.Box, tileArea, sizeMM float64) error {
	size := box.Size()
	if n := size.X * size.Y / tileArea; !(n <= MaxZones) {
		return refuse(n, sizeMM)
	}
	return nil
}

func tooManyZones(n int, sizeMM float64) error {
	if n > MaxZones {
		return refuse(float64(n), sizeMM)
	}
	return nil
}

func refuse(n, sizeMM float64) error {
	// 5 % on top for the tiles that the border cuts.
	fits := sizeMM * math.Sqrt(n/MaxZones) * 1.05
	return finding.Finding{
		Code: "tilings-too-many", Level: finding.Stop,
		Text:   fmt.Sprintf("This size needs about %.0f zones on this face; at most %d can be laid.", n, MaxZones),
		Remedy: fmt.Sprintf("Choose a size of at least %.2f mm.", math.Ceil(fits*100)/100),
		Value:  n,
	}
}

// degrees converts to radians; the tables of this package are written in
// degrees as their sources are.
func degrees(d float64) float64 { return d * math.Pi / 180 }
