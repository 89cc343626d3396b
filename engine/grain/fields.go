// Package grain holds the fields whose level sets lines follow: distances to
// points, lines and curves, wood grain with knots, and flowing noise. Levels
// are in mm; a distance has |∇Level| = 1, so its lines keep one spacing.
// All fields are immutable and safe for concurrent use.
package grain

import (
	"math"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// The bounds of |∇Level| that fields of this package keep on the box they were
// made for. Reason: lines stand spacing/|∇Level| apart; beads of a 0.42 mm
// line can be laid between about 0.25 and 0.7 mm wide.
const (
	MinSlope = 0.6
	MaxSlope = 1.7
)

// Concentric is the distance to Centre: its lines are circles.
type Concentric struct{ Centre plane.Point }

// Level returns the distance in mm.
func (c Concentric) Level(p plane.Point) float64 { return p.Dist(c.Centre) }

// Slope returns the unit vector away from the centre, zero at the centre.
func (c Concentric) Slope(p plane.Point) plane.Point { return p.Sub(c.Centre).Unit() }

// Straight is the signed distance to the line through Origin at Angle
// (radians): its lines are parallel to it.
type Straight struct {
	Origin plane.Point
	Angle  float64
}

// Level returns the signed distance in mm, positive to the left.
func (l Straight) Level(p plane.Point) float64 {
	s, c := math.Sincos(l.Angle)
	return plane.Point{X: c, Y: s}.Cross(p.Sub(l.Origin))
}

// Slope returns the unit normal.
func (l Straight) Slope(plane.Point) plane.Point {
	s, c := math.Sincos(l.Angle)
	return plane.Point{X: -s, Y: c}
}

// Function is a field given by a level function. It must be finite and
// continuous.
type Function func(p plane.Point) float64

// Level calls the function.
func (f Function) Level(p plane.Point) float64 { return f(p) }

var (
	_ pattern.Sloped = Concentric{}
	_ pattern.Sloped = Straight{}
	_ pattern.Field  = Function(nil)
	_ pattern.Sloped = (*Along)(nil)
)

// Along is the distance to a polyline: its lines run along it on both sides.
type Along struct {
	points []plane.Point
	cells  [][]int32 // segments whose box meets each grid cell, row by row
	origin plane.Point
	cell   float64
	nx, ny int
}

// AlongCurve returns the distance field of a polyline (closed: a ring), or nil
// for fewer than two points. Places are looked up in a grid, so a level costs
// the few segments nearby; far from the curve it costs more.
func AlongCurve(points []plane.Point, closed bool) *Along {
	if len(points) < 2 {
		return nil
	}
	f := &Along{points: append([]plane.Point(nil), points...)}
	if closed {
		f.points = append(f.points, points[0])
	}
	b := plane.Polyline(f.points).Bounds()
	size := b.Size()
	f.origin = b.Min
	f.cell = math.Max(math.Max(size.X, size.Y)/math.Max(4, math.Sqrt(float64(len(f.points)))), 1e-6)
	f.nx, f.ny = int(size.X/f.cell)+1, int(size.Y/f.cell)+1
	f.cells = make([][]int32, f.nx*f.ny)
	for i := 0; i+1 < len(f.points); i++ {
		lo, hi := f.cellOf(f.points[i]), f.cellOf(f.points[i+1])
		for x := min(lo[0], hi[0]); x <= max(lo[0], hi[0]); x++ {
			for y := min(lo[1], hi[1]); y <= max(lo[1], hi[1]); y++ {
				f.cells[y*f.nx+x] = append(f.cells[y*f.nx+x], int32(i))
			}
		}
	}
	return f
}

func (f *Along) cellOf(p plane.Point) [2]int {
	at := func(v float64, n int) int {
		return int(math.Max(0, math.Min(float64(n-1), math.Floor(v/f.cell))))
	}
	return [2]int{at(p.X-f.origin.X, f.nx), at(p.Y-f.origin.Y, f.ny)}
}

// Level returns the distance in mm.
func (f *Along) Level(p plane.Point) float64 { return p.Dist(f.nearest(p)) }

// Slope returns the unit vector away from the nearest point of the curve.
func (f *Along) Slope(p plane.Point) plane.Point { return p.Sub(f.nearest(p)).Unit() }

// nearest looks through square rings of cells round the cell nearest to p. A
// segment first met in ring r is at least (r−1) cells away, which ends the
// search.
func (f *Along) nearest(p plane.Point) plane.Point {
	home := f.cellOf(p)
	best, at := math.Inf(1), f.points[0]
	for r := 0; r <= max(f.nx, f.ny) && float64(r-1)*f.cell <= best; r++ {
		for y := max(0, home[1]-r); y <= min(f.ny-1, home[1]+r); y++ {
			step := 1
			if r > 0 && y != home[1]-r && y != home[1]+r {
				step = 2 * r // only the ends of the inner rows belong to the ring
			}
			for x := home[0] - r; x <= home[0]+r; x += step {
				if x < 0 || x >= f.nx {
					continue
				}
				for _, i := range f.cells[y*f.nx+x] {
					q := plane.NearestOnSegment(f.points[i], f.points[i+1], p)
					if d := p.Dist(q); d < best {
						best, at = d, q
					}
				}
			}
		}
	}
	return at
}
