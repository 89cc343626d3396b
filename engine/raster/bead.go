package raster

import (
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// capsule is one segment with its width in pixel units, made ready for rows.
type capsule struct {
	ax, ay, bx, by, r float64 // ay ≤ by
	slope             float64 // dx/dy
	nx, ny            float64 // left normal × r; nx ≤ 0
	first, last       int     // rows met
}

func newCapsule(a, b plane.Point, r float64) capsule {
	if a.Y > b.Y || a.Y == b.Y && a.X > b.X {
		a, b = b, a
	}
	c := capsule{ax: a.X, ay: a.Y, bx: b.X, by: b.Y, r: r}
	dx, dy := b.X-a.X, b.Y-a.Y
	length := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	if length > 0 {
		c.nx, c.ny = -dy/length*r, dx/length*r
	} else {
		c.ny = r
	}
	if dy > 0 {
		c.slope = dx / dy
	}
	c.first, c.last = int(math.Floor(held(a.Y-r)))+1, int(math.Floor(held(b.Y+r)))
	return c
}

// apart reports whether a column of pixels lies between k and q.
func (k *capsule) apart(q *capsule) bool {
	reach := k.r + q.r + 1
	return k.ax-q.ax > reach && k.ax-q.bx > reach && k.bx-q.ax > reach && k.bx-q.bx > reach ||
		q.ax-k.ax > reach && q.ax-k.bx > reach && q.bx-k.ax > reach && q.bx-k.bx > reach
}

// AddPath lays one bead along points: width (mm) has an entry for each segment;
// a shorter list repeats its last entry. Fewer than two points, widths that are
// not positive, and points that are not finite lay nothing.
func (c *Counts) AddPath(points []plane.Point, width []float64) {
	if len(points) < 2 || len(width) == 0 || c.Columns == 0 || c.Rows == 0 {
		return
	}
	at := c.mapper()
	l := layer{Counts: c, stretch: tol.RasterStretch / c.Pixel}
	if i := tail(points); i > 0 {
		// A closed path begins with its own tail behind it.
		walk(points[i:], width, i, at, 0, c.Pixel, l.pass)
	}
	walk(points, width, 0, at, 0, c.Pixel, l.add)
	l.close()
}

// AddReach marks the pixels within extra mm of the bead along points as Near.
func (c *Counts) AddReach(points []plane.Point, width []float64, extra float64) {
	if len(points) < 2 || len(width) == 0 || c.Columns == 0 || c.Rows == 0 {
		return
	}
	var before piece
	walk(points, width, 0, c.mapper(), extra, c.Pixel, func(p piece) {
		body := newCapsule(p.a, p.b, p.r)
		c.addNear(&body, body.joint(p, before))
		before = p
	})
	c.markNear()
}

// piece is a segment in pixel units with the length of path (pixels) at its end.
type piece struct {
	a, b plane.Point
	r    float64
	end  float64
}

// tail returns where the last stretch of a closed path begins, 0 for an open
// one.
func tail(points []plane.Point) int {
	i := len(points) - 1
	if i < 3 || points[0].Dist(points[i]) >= tol.Coincident {
		return 0
	}
	for back := 0.0; i > 1 && back < tol.RasterStretch; i-- {
		back += points[i].Dist(points[i-1])
	}
	return i
}

// walk joins short segments of one width that stay within tol.RasterChord of a
// straight line and hands out what is left. skipped is the number of segments
// before points in the whole path.
func walk(points []plane.Point, width []float64, skipped int, at mapper, extra, pixel float64, use func(piece)) {
	radius := func(i int) float64 { return (width[min(i+skipped, len(width)-1)]/2 + extra) / pixel }
	a := at.apply(points[0])
	for i := 0; i+1 < len(points); {
		r := radius(i)
		b := at.apply(points[i+1])
		j := i + 1
		// The joined piece grows while its end stays in the wedge that passes
		// every dropped point within the chord tolerance.
		d := b.Sub(a)
		for span := d.Norm(); j+1 < len(points) && radius(j) == r && span < joinLength && j-i < joinCount; j++ {
			next := at.apply(points[j+1])
			e := next.Sub(a)
			reach := e.Norm()
			if e.Dot(d) <= 0 || reach <= span || !chordHolds(points[i+1:j+1], at, a, e, reach) {
				break
			}
			b, span = next, reach
		}
		i = j
		if r > 0 && a.Finite() && b.Finite() {
			use(piece{a: a, b: b, r: r})
		}
		a = b
	}
}

// joinLength (pixels) and joinCount bound a joined piece: longer ones gain little
// and would cost a check against many dropped points.
const (
	joinLength = 200
	joinCount  = 32
)

// chordHolds reports whether all of dropped lie within the tolerance of the line
// from a along e.
func chordHolds(dropped []plane.Point, at mapper, a, e plane.Point, reach float64) bool {
	for _, p := range dropped {
		if math.Abs(e.Cross(at.apply(p).Sub(a))) > tol.RasterChord*reach {
			return false
		}
	}
	return true
}
