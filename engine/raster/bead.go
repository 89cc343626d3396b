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
	c.first, c.last = int(math.Floor(a.Y-r))+1, int(math.Floor(b.Y+r))
	return c
}

// span returns the interval of x on row y, which must be one that is met: the
// left border is an arc about a, the left side, or an arc about b; the right one
// likewise.
func (c *capsule) span(y float64) (x0, x1 float64) {
	switch {
	case y < c.ay+c.ny:
		x0 = c.ax - c.half(y-c.ay)
	case y < c.by+c.ny:
		x0 = c.ax + c.nx + float64((y-c.ay-c.ny)*c.slope)
	default:
		x0 = c.bx - c.half(y-c.by)
	}
	switch {
	case y < c.ay-c.ny:
		x1 = c.ax + c.half(y-c.ay)
	case y < c.by-c.ny:
		x1 = c.ax - c.nx + float64((y-c.ay+c.ny)*c.slope)
	default:
		x1 = c.bx + c.half(y-c.by)
	}
	return x0, x1
}

// half returns half the chord of the end circle at height y above its centre.
func (c *capsule) half(y float64) float64 {
	square := float64(c.r*c.r) - float64(y*y)
	if square <= 0 { // a row at the very end of the circle, by rounding
		return 0
	}
	return math.Sqrt(square)
}

// AddPath lays one bead along points: width (mm) has an entry for each segment;
// a shorter list repeats its last entry. Fewer than two points, widths that are
// not positive, and points that are not finite lay nothing.
func (c *Counts) AddPath(points []plane.Point, width []float64) {
	c.lay(points, width, 0, false)
}

// AddReach marks the pixels within extra mm of the bead along points as Near.
func (c *Counts) AddReach(points []plane.Point, width []float64, extra float64) {
	c.lay(points, width, extra, true)
}

// piece is a segment in pixel units with the length of path (mm) at its end.
type piece struct {
	a, b plane.Point
	r    float64
	end  float64
}

// trail remembers the last pieces of a path, latest last. Eight joined pieces
// span the stretch unless the path curls tighter than its own width.
type trail struct {
	pieces [8]piece
	known  int
}

func (t *trail) push(p piece) {
	if t.known == len(t.pieces) {
		copy(t.pieces[:], t.pieces[1:])
		t.known--
	}
	t.pieces[t.known] = p
	t.known++
}

// before fills out with the bead of the stretch (pixels) of path before p and
// returns how many capsules that takes.
func (t *trail) before(p piece, stretch float64, out *[8]capsule) int {
	n := 0
	start := p.end - p.b.Dist(p.a)
	for k := t.known - 1; k >= 0; k-- {
		q := &t.pieces[k]
		left := stretch - (start - q.end)
		if left <= 0 {
			break
		}
		from := q.a
		if length := q.b.Dist(q.a); length > left {
			from = q.b.Lerp(q.a, left/length)
		}
		out[n] = newCapsule(from, q.b, q.r)
		n++
	}
	return n
}

// lay draws the pieces of a path, each without the bead of the stretch of path
// just before it, or marks them as near.
func (c *Counts) lay(points []plane.Point, width []float64, extra float64, near bool) {
	if len(points) < 2 || len(width) == 0 || c.Columns == 0 || c.Rows == 0 {
		return
	}
	at := c.mapper()
	stretch := tol.RasterStretch / c.Pixel
	var behind trail
	run := 0.0
	if i := tail(points); i > 0 {
		// A closed path begins with its own tail behind it.
		walk(points[i:], width, i, at, extra, c.Pixel, func(p piece) {
			run += p.b.Dist(p.a)
			p.end = run
			behind.push(p)
		})
	}
	var recent [8]capsule
	walk(points, width, 0, at, extra, c.Pixel, func(p piece) {
		run += p.b.Dist(p.a)
		p.end = run
		body := newCapsule(p.a, p.b, p.r)
		if near {
			c.addNear(&body)
			return
		}
		n := behind.before(p, stretch, &recent)
		c.addFresh(&body, recent[:n])
		behind.push(p)
	})
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
	for i := 0; i+1 < len(points); {
		a, r := at.apply(points[i]), radius(i)
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

// rows returns the rows of k that lie in the grid.
func (c *Counts) rows(k *capsule) (first, last int) { return max(k.first, 0), min(k.last, c.Rows-1) }

// addFresh adds one bead to the pixels of body that none of recent covers.
func (c *Counts) addFresh(body *capsule, recent []capsule) {
	first, last := c.rows(body)
	for j := first; j <= last; j++ {
		y := float64(j)
		x0, x1 := body.span(y)
		from, to := clampIndex(x0, c.Columns), clampIndex(x1, c.Columns)
		row := c.Cells[j*c.Stride:]
		if len(recent) == 0 {
			bump(row, from, to)
			continue
		}
		for from < to {
			// The free run from here ends where a recent bead begins; a recent
			// bead over this place moves it on.
			next, moved := to, false
			for k := range recent {
				q := &recent[k]
				if j < q.first || j > q.last {
					continue
				}
				l, h := q.span(y)
				lo, hi := clampIndex(l, c.Columns), clampIndex(h, c.Columns)
				switch {
				case lo <= from && from < hi:
					from, moved = hi, true
				case lo > from && lo < next:
					next = lo
				}
			}
			if moved {
				continue
			}
			bump(row, from, next)
			from = next
		}
	}
}

// addNear marks the pixels of body.
func (c *Counts) addNear(body *capsule) {
	first, last := c.rows(body)
	for j := first; j <= last; j++ {
		x0, x1 := body.span(float64(j))
		mark(c.Cells[j*c.Stride:], clampIndex(x0, c.Columns), clampIndex(x1, c.Columns))
	}
}
