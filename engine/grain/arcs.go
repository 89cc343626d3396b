package grain

import (
	"math"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// Arcs, made by NewArcs, is the field of square tiles whose lines are arcs about
// two opposite corners, each tile turned one of two ways by chance (Truchet
// 1704, in the form of Smith 1987). Opposite corners stand in places of one
// parity of the grid; with the level counted from the corners of the even
// places, and down to those of the odd ones,
//
//	even tile: d      odd tile: SideMM − d      (d: to the nearer corner)
//
// it is the distance from the even corner on every side of a tile, whichever way
// the two tiles there are turned: lines run on from tile to tile, square to the
// side. |∇Level| = 1; on the diagonal between the two corners lines turn.
type Arcs struct {
	SideMM float64
	Seed   uint64
	frame  axis
}

var (
	_ pattern.Sloped = Arcs{}
	_ pattern.Runged = Arcs{}
)

// NewArcs returns tiles of sideMM with a grid point at origin, turned by turn
// (radians).
func NewArcs(origin plane.Point, turn, sideMM float64, seed uint64) Arcs {
	return Arcs{SideMM: sideMM, Seed: seed, frame: axisAt(origin, turn)}
}

// Level returns the level in mm, from 0 to SideMM.
func (f Arcs) Level(p plane.Point) float64 {
	d, odd := f.toCorner(p)
	if odd {
		return f.SideMM - d.Norm()
	}
	return d.Norm()
}

// Slope returns the unit vector away from the nearer corner, or towards it in a
// tile about odd corners; zero at the corner.
func (f Arcs) Slope(p plane.Point) plane.Point {
	d, odd := f.toCorner(p)
	if odd {
		d = d.Mul(-1)
	}
	x := f.frame.x
	d = d.Unit()
	// From the tiles' frame, the reverse of axis.local.
	return plane.Point{X: d.Dot(plane.Point{X: x.X, Y: -x.Y}), Y: d.Dot(plane.Point{X: x.Y, Y: x.X})}
}

// toCorner returns the way from the nearer of a tile's two corners to p, in the
// tiles' frame, and whether these corners stand in odd places.
func (f Arcs) toCorner(p plane.Point) (d plane.Point, odd bool) {
	q := f.frame.local(p)
	i, j := math.Floor(q.X/f.SideMM), math.Floor(q.Y/f.SideMM)
	u, v := q.X-float64(i*f.SideMM), q.Y-float64(j*f.SideMM)
	odd = (int(i)+int(j))&1 != 0
	if Hash(f.Seed, int(i), int(j))&1 == 0 { // about lower left and upper right
		if u+v > f.SideMM {
			u, v = u-f.SideMM, v-f.SideMM
		}
		return plane.Point{X: u, Y: v}, odd
	}
	if u > v {
		u -= f.SideMM
	} else {
		v -= f.SideMM
	}
	return plane.Point{X: u, Y: v}, !odd
}

// Rungs returns the range of the levels, whose ends are those of the corners, and
// the number of lines of about a spacing (mm) that fits it. On the diagonals lines
// come nearest to each other at the level SideMM/√2, and a line at that level
// would meet the next one there; of the numbers that keep the spacing within an
// eighth the one is taken that leaves this level most nearly midway between lines.
func (f Arcs) Rungs(spacing float64) pattern.Rungs {
	usual := math.Round(f.SideMM / spacing)
	best, off := usual, math.Inf(1)
	for _, n := range [3]float64{usual, usual - 1, usual + 1} {
		waist := n / math.Sqrt2
		if d := math.Abs(waist - math.Round(waist)); d < off && math.Abs(n-usual) <= usual/8 {
			best, off = n, d
		}
	}
	return pattern.Rungs{High: f.SideMM, Lines: max(int(best), 1)}
}
