package specimen

import (
	"math"
	"slices"

	"sheenlay/engine/plane"
)

// Contour is one border of a shape: a ring, counter-clockwise for an outer
// border and clockwise for a hole. Where Radius > 0 the ring stands for the
// circle about Centre and may be laid as arcs.
type Contour struct {
	Ring   plane.Ring
	Centre plane.Point
	Radius float64
}

// Shape is a region by its contours, about the origin, in mm.
type Shape struct {
	Name     string
	Contours []Contour
}

// Region returns the shape as a region.
func (s Shape) Region() plane.Region {
	var g plane.Region
	for _, c := range s.Contours {
		g = append(g, c.Ring)
	}
	return g
}

// Apply returns the shape mapped by a turn (radians) and a displacement.
func (s Shape) Apply(turn float64, by plane.Point) Shape {
	out := Shape{Name: s.Name}
	for _, c := range s.Contours {
		n := Contour{Centre: c.Centre.Turn(turn).Add(by), Radius: c.Radius}
		for _, p := range c.Ring {
			n.Ring = append(n.Ring, p.Turn(turn).Add(by))
		}
		out.Contours = append(out.Contours, n)
	}
	return out
}

func polygon(points ...float64) Contour {
	var r plane.Ring
	for i := 0; i+1 < len(points); i += 2 {
		r = append(r, plane.Point{X: points[i], Y: points[i+1]})
	}
	return Contour{Ring: r}
}

func boxAt(x, y, w, h float64) Contour {
	return polygon(x-w/2, y-h/2, x+w/2, y-h/2, x+w/2, y+h/2, x-w/2, y+h/2)
}

func (c Contour) hole() Contour {
	c.Ring = c.Ring.Reversed()
	return c
}

// circle returns a regular polygon whose sides leave the circle by at most
// 0.003 mm (sagitta r(1 − cos(π/n)), derived).
func circle(centre plane.Point, radius float64) Contour {
	n := int(math.Ceil(math.Pi/math.Acos(1-0.003/radius)/4)) * 4
	c := Contour{Centre: centre, Radius: radius}
	for i := range n {
		s, co := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		c.Ring = append(c.Ring, plane.Point{X: centre.X + float64(radius*co), Y: centre.Y + float64(radius*s)})
	}
	return c
}

// Rectangle returns a w × h mm rectangle.
func Rectangle(w, h float64) Shape {
	return Shape{"rectangle", []Contour{boxAt(0, 0, w, h)}}
}

// Disc returns a disc.
func Disc(radius float64) Shape {
	return Shape{"disc", []Contour{circle(plane.Point{}, radius)}}
}

// Annulus returns a disc with a round hole in its middle.
func Annulus(outer, inner float64) Shape {
	return Shape{"ring", []Contour{circle(plane.Point{}, outer), circle(plane.Point{}, inner).hole()}}
}

// Star returns a star whose tips have the given angle (degrees) at the given
// radius.
func Star(tips int, radius, tipDegree float64) Shape {
	half, step := tipDegree/2*math.Pi/180, math.Pi/float64(tips)
	// Law of sines in the triangle centre, tip, inner corner.
	inner := radius * math.Sin(half) / math.Sin(math.Pi-half-step)
	var c Contour
	for i := range 2 * tips {
		r := radius
		if i%2 == 1 {
			r = inner
		}
		s, co := math.Sincos(float64(i)*step + math.Pi/2)
		c.Ring = append(c.Ring, plane.Point{X: r * co, Y: r * s})
	}
	return Shape{"star", []Contour{c}}
}

// Letter returns a block capital with a counter: a triangle-topped A of the
// given height, legs and bar wide enough for three walls.
func Letter(height float64) Shape {
	k := height / 40
	outer := polygon(-18*k, -20*k, -9*k, -20*k, -6.5*k, -11*k, 6.5*k, -11*k, 9*k, -20*k, 18*k, -20*k, 6*k, 20*k, -6*k, 20*k)
	counter := polygon(-4.2*k, -3*k, 4.2*k, -3*k, 0, 12*k).hole()
	return Shape{"letter", []Contour{outer, counter}}
}

// Parts returns a plate of columns × rows small rectangles, pitch apart.
func Parts(columns, rows int, w, h, pitch float64) Shape {
	s := Shape{Name: "parts"}
	for j := range rows {
		for i := range columns {
			x := (float64(i) - float64(columns-1)/2) * pitch
			y := (float64(j) - float64(rows-1)/2) * pitch
			s.Contours = append(s.Contours, boxAt(x, y, w, h))
		}
	}
	return s
}

// Slits returns a plate with n upright slits of the given width.
func Slits(w, h float64, n int, slit float64) Shape {
	s := Shape{"slits", []Contour{boxAt(0, 0, w, h)}}
	for i := range n {
		x := (float64(i+1)/float64(n+1) - 0.5) * w
		s.Contours = append(s.Contours, boxAt(x, 0, slit, h*0.6).hole())
	}
	return s
}

// Tag returns a w × h mm tag with a round hole near its left end.
func Tag(w, h, hole float64) Shape {
	return Shape{"tag", []Contour{boxAt(0, 0, w, h), circle(plane.Point{X: -w/2 + h/2}, hole).hole()}}
}

// Twins returns two rectangles with a gap of the given width between them.
func Twins(w, h, gap float64) Shape {
	return Shape{"twins", []Contour{boxAt(-(w+gap)/2, 0, w, h), boxAt((w+gap)/2, 0, w, h)}}
}

// Islands returns feet and a ring-shaped wall, as under a box that stands on
// its rim and four feet.
func Islands(w float64) Shape {
	s := Shape{"islands", []Contour{boxAt(0, 0, w, w), boxAt(0, 0, w-16, w-16).hole()}}
	for _, c := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		s.Contours = append(s.Contours, circle(plane.Point{X: c[0] * w / 5, Y: c[1] * w / 5}, w/12))
	}
	return s
}

// inset returns the ring moved to its left by d mm with mitred corners: into
// the material for rings in normal form. ok is false where an edge would
// vanish or turn round.
func inset(r plane.Ring, d float64) (out plane.Ring, ok bool) {
	n := len(r)
	if n < 3 {
		return nil, false
	}
	for i := range r {
		a, b, c := r[(i+n-1)%n], r[i], r[(i+1)%n]
		u, v := b.Sub(a).Unit(), c.Sub(b).Unit()
		den := 1 + u.Dot(v)
		if den < 1e-6 {
			return nil, false
		}
		out = append(out, b.Add(u.Left().Add(v.Left()).Mul(d/den)))
	}
	for i := range out {
		j := (i + 1) % n
		if out[j].Sub(out[i]).Dot(r[j].Sub(r[i])) <= 0 {
			return nil, false
		}
	}
	return out, true
}

// insetAll moves every contour into the material; ok is false where one
// cannot be, or where two rings would meet.
func insetAll(s Shape, d float64) (out []Contour, ok bool) {
	for _, c := range s.Contours {
		r, good := inset(c.Ring, d)
		if !good {
			return nil, false
		}
		n := Contour{Ring: r, Centre: c.Centre}
		if c.Radius > 0 {
			n.Radius = c.Radius - d
			if c.Ring.Area() < 0 {
				n.Radius = c.Radius + d
			}
		}
		out = append(out, n)
	}
	for i := range out {
		for j := range out[:i] {
			if ringsCross(out[i].Ring, out[j].Ring) {
				return nil, false
			}
		}
	}
	return out, true
}

func ringsCross(a, b plane.Ring) bool {
	if !a.Bounds().Intersects(b.Bounds()) {
		return false
	}
	for i, p := range a {
		q := a[(i+1)%len(a)]
		for j, s := range b {
			t := b[(j+1)%len(b)]
			// Edges of one line, apart from each other, have signs made of
			// rounding; their boxes tell them apart.
			if !plane.EmptyBox().Include(p).Include(q).Intersects(plane.EmptyBox().Include(s).Include(t)) {
				continue
			}
			d1, d2 := q.Sub(p).Cross(s.Sub(p)), q.Sub(p).Cross(t.Sub(p))
			d3, d4 := t.Sub(s).Cross(p.Sub(s)), t.Sub(s).Cross(q.Sub(s))
			if (d1 > 0) != (d2 > 0) && (d3 > 0) != (d4 > 0) {
				return true
			}
		}
	}
	return false
}

// hatch returns the pieces of parallel lines, pitch mm apart, that lie inside
// the rings (even-odd), ordered and turned so that neighbours follow each other.
func hatch(rings []plane.Ring, degree, pitch float64) []plane.Polyline {
	angle := degree * math.Pi / 180
	var turned []plane.Ring
	box := plane.EmptyBox()
	for _, r := range rings {
		t := make(plane.Ring, len(r))
		for i, p := range r {
			t[i] = p.Turn(-angle)
			box = box.Include(t[i])
		}
		turned = append(turned, t)
	}
	if box.Empty() {
		return nil
	}
	var rows [][]plane.Polyline
	for y := box.Min.Y + pitch/2; y < box.Max.Y; y += pitch {
		var xs []float64
		for _, r := range turned {
			for i, a := range r {
				b := r[(i+1)%len(r)]
				if (a.Y > y) != (b.Y > y) {
					xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
				}
			}
		}
		slices.Sort(xs)
		var row []plane.Polyline
		for i := 0; i+1 < len(xs); i += 2 {
			if xs[i+1]-xs[i] < pitch/2 {
				continue
			}
			row = append(row, plane.Polyline{
				plane.Point{X: xs[i], Y: y}.Turn(angle), plane.Point{X: xs[i+1], Y: y}.Turn(angle),
			})
		}
		rows = append(rows, row)
	}
	return chained(rows, 2.5*pitch)
}

// chained orders the pieces of all rows so that each is followed, where there
// is one, by a piece of the next row that begins or ends nearby.
func chained(rows [][]plane.Polyline, near float64) []plane.Polyline {
	var out []plane.Polyline
	for first := range rows {
		for k := range rows[first] {
			if rows[first][k] == nil {
				continue
			}
			row, at := first, k
			for at >= 0 {
				piece := rows[row][at]
				rows[row][at] = nil
				if n := len(out); n > 0 && piece[1].Dist(out[n-1][1]) < piece[0].Dist(out[n-1][1]) {
					piece = piece.Reversed()
				}
				out = append(out, piece)
				row, at = row+1, -1
				for i := range rows[min(row, len(rows)-1)] {
					if row >= len(rows) || rows[row][i] == nil {
						continue
					}
					if next := rows[row][i]; min(next[0].Dist(piece[1]), next[1].Dist(piece[1])) < near {
						at = i
						break
					}
				}
			}
		}
	}
	return out
}
