// Package plane holds the small types of the flat face: points, boxes, lines,
// rings and regions. All coordinates are millimetres in the bed frame of the
// sliced file, seen from above, X to the right and Y away from the maker.
// Angles are radians, counter-clockwise from +X, unless a name says Degrees.
//
// The package holds types and closed-form measures only; operations that can
// fail or cost more than one pass live in packages of their own (see
// DEVELOPERS.md).
package plane

import "math"

// Point is a place or a displacement on the face, in mm.
type Point struct{ X, Y float64 }

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p − q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns p scaled by s. Rounded before anything is added to it, see Dot.
func (p Point) Mul(s float64) Point { return Point{float64(p.X * s), float64(p.Y * s)} }

// Dot returns the scalar product of p and q, in mm².
//
// The products are rounded one by one (float64 conversion) so that no compiler
// fuses them: results must be the same on every machine, or golden files drift.
func (p Point) Dot(q Point) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) }

// Cross returns the z part of p × q, in mm²; positive when q lies to the left
// of p. Guarded against fused multiply-add, see Dot.
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }

// Norm returns the length of p in mm.
func (p Point) Norm() float64 { return math.Sqrt(p.Dot(p)) }

// Dist returns the distance from p to q in mm.
func (p Point) Dist(q Point) float64 { return p.Sub(q).Norm() }

// Left returns p turned by +90°.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Unit returns p scaled to length 1; the zero point stays zero.
func (p Point) Unit() Point {
	n := p.Norm()
	if n == 0 {
		return Point{}
	}
	return Point{p.X / n, p.Y / n}
}

// Lerp returns the point at share t of the way from p to q.
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + float64((q.X-p.X)*t), p.Y + float64((q.Y-p.Y)*t)}
}

// NearestOnSegment returns the point of the segment from a to b that is nearest
// to p; a where both are one.
func NearestOnSegment(a, b, p Point) Point {
	d := b.Sub(a)
	square := d.Dot(d)
	if square == 0 {
		return a
	}
	return a.Lerp(b, math.Min(math.Max(p.Sub(a).Dot(d)/square, 0), 1))
}

// Turn returns p turned by angle (radians) about the origin.
func (p Point) Turn(angle float64) Point {
	s, c := math.Sincos(angle)
	return Point{float64(p.X*c) - float64(p.Y*s), float64(p.X*s) + float64(p.Y*c)}
}

// Finite reports whether both coordinates are numbers.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X) && !math.IsInf(p.X, 0) && !math.IsNaN(p.Y) && !math.IsInf(p.Y, 0)
}

// Box is an axis-parallel rectangle. The zero Box is a single point; use
// EmptyBox as the start of a union.
type Box struct{ Min, Max Point }

// EmptyBox returns the box that holds nothing and is neutral under Union.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf}, Point{-inf, -inf}}
}

// Empty reports whether the box holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Include returns the smallest box that holds b and p.
func (b Box) Include(p Point) Box {
	return Box{
		Point{math.Min(b.Min.X, p.X), math.Min(b.Min.Y, p.Y)},
		Point{math.Max(b.Max.X, p.X), math.Max(b.Max.Y, p.Y)},
	}
}

// Union returns the smallest box that holds both.
func (b Box) Union(c Box) Box {
	if c.Empty() {
		return b
	}
	return b.Include(c.Min).Include(c.Max)
}

// Grow returns the box widened by d mm on every side; negative d shrinks it
// and may leave it empty.
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Size returns width and height in mm; an empty box has negative ones.
func (b Box) Size() Point { return b.Max.Sub(b.Min) }

// Centre returns the middle of the box.
func (b Box) Centre() Point { return b.Min.Lerp(b.Max, 0.5) }

// Contains reports whether p lies in the box, its border included.
func (b Box) Contains(p Point) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y
}

// Intersects reports whether the boxes share a point, borders included.
func (b Box) Intersects(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Polyline is an open line through its points. Fewer than two points have no
// length.
type Polyline []Point

// Length returns the length in mm.
func (l Polyline) Length() float64 {
	sum := 0.0
	for i := 1; i < len(l); i++ {
		sum += l[i].Dist(l[i-1])
	}
	return sum
}

// Bounds returns the bounding box, empty for an empty line.
func (l Polyline) Bounds() Box {
	b := EmptyBox()
	for _, p := range l {
		b = b.Include(p)
	}
	return b
}

// Reversed returns a copy that runs the other way.
func (l Polyline) Reversed() Polyline {
	out := make(Polyline, len(l))
	for i, p := range l {
		out[len(l)-1-i] = p
	}
	return out
}

// Ring is a closed line; its last point joins its first, which is not
// repeated. Fewer than three points enclose nothing.
type Ring []Point

// Area returns the signed area in mm², positive when the ring runs
// counter-clockwise. The sum is taken about the first point, which keeps the
// rounding small for rings far from the origin.
func (r Ring) Area() float64 {
	if len(r) < 3 {
		return 0
	}
	sum, o := 0.0, r[0]
	for i := 1; i+1 < len(r); i++ {
		sum += r[i].Sub(o).Cross(r[i+1].Sub(o))
	}
	return sum / 2
}

// Length returns the perimeter in mm.
func (r Ring) Length() float64 {
	if len(r) < 2 {
		return 0
	}
	return Polyline(r).Length() + r[len(r)-1].Dist(r[0])
}

// Bounds returns the bounding box, empty for an empty ring.
func (r Ring) Bounds() Box { return Polyline(r).Bounds() }

// Reversed returns a copy that runs the other way.
func (r Ring) Reversed() Ring { return Ring(Polyline(r).Reversed()) }

// Region is a set of rings under the even-odd rule. Functions of this project
// that return a Region return it in normal form: outer rings counter-clockwise,
// holes clockwise, no ring crosses another or itself. The empty Region is legal
// everywhere.
type Region []Ring

// Area returns the area in mm² of a region in normal form.
func (g Region) Area() float64 {
	sum := 0.0
	for _, r := range g {
		sum += r.Area()
	}
	return sum
}

// Length returns the total length of the border in mm.
func (g Region) Length() float64 {
	sum := 0.0
	for _, r := range g {
		sum += r.Length()
	}
	return sum
}

// Bounds returns the bounding box, empty for an empty region.
func (g Region) Bounds() Box {
	b := EmptyBox()
	for _, r := range g {
		b = b.Union(r.Bounds())
	}
	return b
}

// Contains reports whether p lies inside under the even-odd rule. A border
// point belongs to the region that lies above or to the right of it (the
// half-open rule), so that regions which share a border share no point and leave
// none out.
func (g Region) Contains(p Point) bool {
	in := false
	for _, r := range g {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.Y > p.Y) == (b.Y > p.Y) {
				continue
			}
			// Product-sum guarded against fused multiply-add, see Dot.
			t := float64((b.X-a.X)*(p.Y-a.Y)) - float64((p.X-a.X)*(b.Y-a.Y))
			if t != 0 && (t > 0) == (b.Y > a.Y) { // the edge lies to the right of p
				in = !in
			}
		}
	}
	return in
}
