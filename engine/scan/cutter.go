package scan

import (
	"math"
	"slices"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Cover is one region's part in a Cutter.
type Cover struct {
	Region    plane.Region
	Outside   bool    // rows must lie outside the region instead of inside
	Clearance float64 // mm that rows keep from the border of the region
}

// Cutter answers, at any height of a lay's frame, which stretches of the line
// lie inside (or outside) several regions at once and keep a clearance from
// all their borders: a row of the Minkowski inset, without an offset polygon.
//
// Laws. (1) A stretch is inside every Cover that is not Outside and outside
// every other. (2) Each of its points is at least Clearance away from every
// edge of that Cover, measured on the plane, not along the line. (3) For
// regions on top of each other, in painting order, edges hidden under others
// take nothing away: a hidden edge lies outside what is visible, so a visible
// border is always nearer.
//
// A Cutter is not safe for concurrent use: it keeps scratch memory.
type Cutter struct {
	frame  Frame
	edges  []edge
	covers []Cover
	box    plane.Box // frame box of the Covers rows must lie inside

	low, pitch float64
	start      []int32 // edges of bucket b are items[start[b]:start[b+1]]
	items      []int32

	cross   [][]float64
	blocked []Span
	a, b    []Span
}

type edge struct {
	p, q      plane.Point // p.Y <= q.Y
	clearance float64
	cover     int32
}

// NewCutter prepares the covers in the frame. Without a Cover that rows must
// lie inside, all rows are empty. Rings of fewer than two points are ignored.
func NewCutter(frame Frame, covers ...Cover) *Cutter {
	c := &Cutter{frame: frame, covers: covers, box: plane.EmptyBox()}
	c.cross = make([][]float64, len(covers))
	first := true
	for i, cover := range covers {
		box := plane.EmptyBox()
		for _, ring := range cover.Region {
			if len(ring) < 2 {
				continue
			}
			p := frame.In(ring[len(ring)-1])
			for _, v := range ring {
				q := frame.In(v)
				box = box.Include(q)
				e := edge{p, q, cover.Clearance, int32(i)}
				if p.Y > q.Y || (p.Y == q.Y && p.X > q.X) {
					e.p, e.q = q, p
				}
				c.edges = append(c.edges, e)
				p = q
			}
		}
		if cover.Outside {
			continue
		}
		if first {
			c.box, first = box, false
		} else {
			c.box = plane.Box{
				Min: plane.Point{X: max(c.box.Min.X, box.Min.X), Y: max(c.box.Min.Y, box.Min.Y)},
				Max: plane.Point{X: min(c.box.Max.X, box.Max.X), Y: min(c.box.Max.Y, box.Max.Y)},
			}
		}
	}
	c.index()
	return c
}

// Box returns the frame's box that holds all rows, empty when there are none.
func (c *Cutter) Box() plane.Box { return c.box }

// Frame returns the frame the rows are in.
func (c *Cutter) Frame() Frame { return c.frame }

// index sorts the edges that can touch a row into buckets of height.
func (c *Cutter) index() {
	if c.box.Empty() || len(c.edges) == 0 {
		c.edges, c.box = nil, plane.EmptyBox()
		return
	}
	height := c.box.Max.Y - c.box.Min.Y
	n := int(float64(len(c.edges))*tol.ScanBucketsPerEdge) + 1
	c.low, c.pitch = c.box.Min.Y, height/float64(n)
	if !(c.pitch > 0) {
		n, c.pitch = 1, 1
	}
	bucket := func(y float64) int { return int(min(max((y-c.low)/c.pitch, -1), float64(n))) }
	span := func(e edge) (int, int) {
		// The largest clearance is that of the edge itself: its capsule.
		lo, hi := bucket(e.p.Y-e.clearance), bucket(e.q.Y+e.clearance)
		return max(lo, 0), min(hi, n-1)
	}
	kept := c.edges[:0]
	for _, e := range c.edges {
		if e.q.Y+e.clearance >= c.box.Min.Y && e.p.Y-e.clearance <= c.box.Max.Y {
			kept = append(kept, e)
		}
	}
	c.edges = kept
	c.start = make([]int32, n+2)
	for _, e := range c.edges {
		for lo, hi := span(e); lo <= hi; lo++ {
			c.start[lo+2]++
		}
	}
	for b := 2; b < len(c.start); b++ {
		c.start[b] += c.start[b-1]
	}
	c.items = make([]int32, c.start[n+1])
	for i, e := range c.edges {
		for lo, hi := span(e); lo <= hi; lo++ {
			c.items[c.start[lo+1]] = int32(i)
			c.start[lo+1]++
		}
	}
	c.start = c.start[:n+1]
}

// Row appends to dst the stretches of the line at height y.
func (c *Cutter) Row(dst []Span, y float64) []Span {
	if len(c.edges) == 0 || !(y >= c.box.Min.Y && y <= c.box.Max.Y) {
		return dst
	}
	b := min(max(int((y-c.low)/c.pitch), 0), len(c.start)-2)
	for i := range c.cross {
		c.cross[i] = c.cross[i][:0]
	}
	c.blocked = c.blocked[:0]
	for _, i := range c.items[c.start[b]:c.start[b+1]] {
		e := &c.edges[i]
		if e.p.Y <= y && y < e.q.Y {
			x := e.p.X + float64((y-e.p.Y)*((e.q.X-e.p.X)/(e.q.Y-e.p.Y)))
			c.cross[e.cover] = append(c.cross[e.cover], x)
		}
		if e.clearance > 0 {
			if s := Capsule(e.p, e.q, e.clearance, y); s.Lo < s.Hi {
				c.blocked = append(c.blocked, Span{s.Lo - tol.ScanRoom, s.Hi + tol.ScanRoom})
			}
		}
	}
	first := len(dst)
	started := false
	for i, cover := range c.covers {
		if cover.Outside {
			continue
		}
		inside := pairs(c.b[:0], c.cross[i])
		c.b = inside
		if !started {
			c.a, started = append(c.a[:0], inside...), true
			continue
		}
		dst = Intersect(dst, c.a, inside)
		c.a = append(c.a[:0], dst[first:]...)
		dst = dst[:first]
	}
	for i, cover := range c.covers {
		if cover.Outside && len(c.cross[i]) > 0 {
			c.b = pairs(c.b[:0], c.cross[i])
			dst = Subtract(dst, c.a, c.b)
			c.a = append(c.a[:0], dst[first:]...)
			dst = dst[:first]
		}
	}
	if len(c.a) == 0 {
		return dst
	}
	c.blocked = Merge(c.blocked)
	return Subtract(dst, c.a, c.blocked)
}

// pairs turns crossings into stretches under the even-odd rule.
func pairs(dst []Span, cross []float64) []Span {
	slices.Sort(cross)
	for i := 0; i+1 < len(cross); i += 2 {
		if cross[i] < cross[i+1] {
			dst = append(dst, Span{cross[i], cross[i+1]})
		}
	}
	return dst
}

// Capsule returns the stretch of the line at height y that lies nearer than
// radius to the segment from p to q; Lo > Hi where there is none. The capsule
// is convex, so the stretch is one, and its ends lie on the two end circles or
// on the two sides.
func Capsule(p, q plane.Point, radius, y float64) Span {
	s := Span{math.Inf(1), math.Inf(-1)}
	for _, c := range [2]plane.Point{p, q} {
		if h := radius*radius - float64((y-c.Y)*(y-c.Y)); h > 0 {
			w := math.Sqrt(h)
			s.Lo, s.Hi = min(s.Lo, c.X-w), max(s.Hi, c.X+w)
		}
	}
	d := q.Sub(p)
	length := d.Norm()
	if length == 0 || d.Y == 0 {
		// A level segment: the sides are level too, the circles have the ends.
		return s
	}
	nx, ny := -d.Y/length*radius, d.X/length*radius
	slope := d.X / d.Y
	for _, sign := range [2]float64{1, -1} {
		y0, y1 := p.Y+sign*ny, q.Y+sign*ny
		if (y0 <= y) == (y1 <= y) {
			continue
		}
		x0, x1 := p.X+sign*nx, q.X+sign*nx
		x := x0 + float64((y-y0)*slope)
		x = min(max(x, min(x0, x1)), max(x0, x1)) // a nearly level side
		s.Lo, s.Hi = min(s.Lo, x), max(s.Hi, x)
	}
	return s
}
