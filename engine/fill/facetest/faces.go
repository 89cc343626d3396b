// Package facetest makes the faces and patterns that beads are measured on, and
// takes the measures. It serves the tests of fill and of what fill calls.
package facetest

import (
	"math"
	"math/rand/v2"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// Circle is a ring of n points, counter-clockwise.
func Circle(x, y, r float64, n int) plane.Ring {
	ring := make(plane.Ring, n)
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = plane.Point{X: x + r*c, Y: y + r*s}
	}
	return ring
}

// Rect is a rectangle, counter-clockwise.
func Rect(x0, y0, x1, y1 float64) plane.Ring {
	return plane.Ring{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// Disc is a disc of diameter d.
func Disc(d float64) plane.Region { return plane.Region{Circle(0, 0, d/2, 180)} }

// Annulus is a disc with a round hole, diameters.
func Annulus(outer, inner float64) plane.Region {
	return plane.Region{Circle(0, 0, outer/2, 180), Circle(0, 0, inner/2, 120).Reversed()}
}

// Star has tips at the outer radius.
func Star(outer, inner float64, tips int) plane.Region {
	ring := make(plane.Ring, 2*tips)
	for i := range ring {
		r := outer
		if i%2 == 1 {
			r = inner
		}
		s, c := math.Sincos(math.Pi * (float64(i)/float64(tips) + 0.5))
		ring[i] = plane.Point{X: r * c, Y: r * s}
	}
	return plane.Region{ring}
}

// LetterA is a capital with a counter, 60 mm high, strokes about 12 mm.
func LetterA() plane.Region {
	return plane.Region{
		{{X: -26, Y: -30}, {X: -12.5, Y: -30}, {X: -8, Y: -17}, {X: 8, Y: -17}, {X: 12.5, Y: -30},
			{X: 26, Y: -30}, {X: 7, Y: 30}, {X: -7, Y: 30}},
		plane.Ring{{X: -5, Y: -7}, {X: 5, Y: -7}, {X: 0, Y: 12}}.Reversed(),
	}
}

// Gear is a toothed disc with a round hole in the middle.
func Gear(r float64, teeth int) plane.Region {
	var ring plane.Ring
	for i := range teeth {
		for _, v := range [4][2]float64{{0, r - 4}, {0.18, r}, {0.5, r}, {0.68, r - 4}} {
			s, c := math.Sincos(2 * math.Pi * (float64(i) + v[0]) / float64(teeth))
			ring = append(ring, plane.Point{X: v[1] * c, Y: v[1] * s})
		}
	}
	return plane.Region{ring, Circle(0, 0, r/4, 60).Reversed()}
}

// Plate is a square with round holes of diameter d.
func Plate(size float64, holes int, d float64) plane.Region {
	g := plane.Region{Rect(-size/2, -size/2, size/2, size/2)}
	nx := int(math.Ceil(math.Sqrt(float64(holes))))
	for i := range holes {
		ny := (holes + nx - 1) / nx
		x := (float64(i%nx)+0.5)/float64(nx)*size - size/2
		y := (float64(i/nx)+0.5)/float64(ny)*size - size/2
		g = append(g, Circle(x, y, d/2, 64).Reversed())
	}
	return g
}

// Frame3 is a frame 3 mm wide.
func Frame3() plane.Region {
	return plane.Region{Rect(-30, -20, 30, 20), Rect(-27, -17, 27, 17).Reversed()}
}

// Neck is two squares of 20 mm joined by a neck 6 mm long.
func Neck(width float64) plane.Region {
	h := width / 2
	return plane.Region{{{X: -23, Y: -10}, {X: -3, Y: -10}, {X: -3, Y: -h}, {X: 3, Y: -h}, {X: 3, Y: -10},
		{X: 23, Y: -10}, {X: 23, Y: 10}, {X: 3, Y: 10}, {X: 3, Y: h}, {X: -3, Y: h}, {X: -3, Y: 10}, {X: -23, Y: 10}}}
}

// Blocks is the rhombille tiling with edges of e mm (three rhombs around every
// hexagon's centre), lines parallel to an edge, turned by turn (radians).
func Blocks(e, turn float64, box plane.Box) pattern.Pattern {
	var p pattern.Pattern
	r := box.Size().Norm()/2 + 2*e
	at := plane.Rotate(turn).Then(plane.Translate(box.Centre().X, box.Centre().Y))
	n := int(r/e) + 2
	for j := -n; j <= n; j++ {
		for i := -n; i <= n; i++ {
			c := plane.Point{X: math.Sqrt(3) * e * (float64(i) + 0.5*float64(j&1)), Y: 1.5 * e * float64(j)}
			if c.Norm() > r {
				continue
			}
			v := func(k int) plane.Point {
				s, co := math.Sincos(math.Pi/6 + math.Pi/3*float64(k))
				return at.Apply(plane.Point{X: c.X + e*co, Y: c.Y + e*s})
			}
			for k := range 3 {
				p.Zones = append(p.Zones, pattern.Zone{
					Region: plane.Region{{at.Apply(c), v(2 * k), v(2*k + 1), v(2*k + 2)}},
					Lay:    pattern.Lay{Angle: plane.NormalLay(turn + math.Pi/6 + 2*math.Pi/3*float64(k))},
				})
			}
		}
	}
	return p
}

// OneDirection is a pattern of ground only.
func OneDirection(angle float64) pattern.Pattern {
	return pattern.Pattern{Ground: pattern.Lay{Angle: angle}}
}

// Facets is a random cell diagram: points on a jittered square lattice, each
// cell the set nearest to its point, with a random lay.
func Facets(seed uint64, size float64, box plane.Box) pattern.Pattern {
	rng := rand.New(rand.NewPCG(seed, 7))
	box = box.Grow(size)
	nx, ny := int(box.Size().X/size)+1, int(box.Size().Y/size)+1
	sites := make([]plane.Point, 0, nx*ny)
	for j := range ny {
		for i := range nx {
			sites = append(sites, plane.Point{
				X: box.Min.X + (float64(i)+0.1+0.8*rng.Float64())*size,
				Y: box.Min.Y + (float64(j)+0.1+0.8*rng.Float64())*size,
			})
		}
	}
	var p pattern.Pattern
	for i, s := range sites {
		ring := Rect(s.X-2*size, s.Y-2*size, s.X+2*size, s.Y+2*size)
		for k, o := range sites {
			if k == i || o.Dist(s) > 5*size {
				continue
			}
			m, d := s.Lerp(o, 0.5), o.Sub(s)
			var cut plane.Ring
			for v, a := range ring {
				b := ring[(v+1)%len(ring)]
				da, db := a.Sub(m).Dot(d), b.Sub(m).Dot(d)
				if da <= 0 {
					cut = append(cut, a)
				}
				if (da <= 0) != (db <= 0) {
					cut = append(cut, a.Lerp(b, da/(da-db)))
				}
			}
			ring = cut
		}
		p.Zones = append(p.Zones, pattern.Zone{Region: plane.Region{ring}, Lay: pattern.Lay{Angle: rng.Float64() * math.Pi}})
	}
	return p
}

// Herringbone is made of bricks of a by b, b twice a.
func Herringbone(a, b float64, box plane.Box) pattern.Pattern {
	var p pattern.Pattern
	r := box.Size().Norm()/2 + 2*b
	c := box.Centre()
	n := int(r/a) + 2
	// Bricks of a × b with b = 2a: level ones start at (i·a + …), upright ones fill.
	for j := -2 * n; j <= 2*n; j++ {
		for i := -n; i <= n; i++ {
			x, y := c.X+float64(j)*a+float64(i)*2*b, c.Y+float64(j)*a
			if plane.Point.Norm(plane.Point{X: x - c.X, Y: y - c.Y}) > 1.5*r {
				continue
			}
			p.Zones = append(p.Zones,
				pattern.Zone{Region: plane.Region{Rect(x, y, x+b, y+a)}, Lay: pattern.Lay{Angle: 0}},
				pattern.Zone{Region: plane.Region{Rect(x+b, y+a-b, x+b+a, y+a)}, Lay: pattern.Lay{Angle: math.Pi / 2}})
		}
	}
	return p
}
