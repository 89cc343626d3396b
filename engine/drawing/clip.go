package drawing

import (
	"math"
	"sort"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// clipIndex answers whether a point lies inside all of a list of clips and
// where a segment meets their outlines. Edges are kept in horizontal bands, so
// that a point looks at its own band only.
type clipIndex struct {
	clips    []*Clip
	outlines []*Outline
	edges    []clipEdge
	bands    [][]int32
	low      float64
	height   float64 // of one band
	winding  []int   // scratch: winding number per outline
	left     *int    // edge tests that may still be made
	touched  bool    // the last segment asked for meets an outline at one of its ends
}

type clipEdge struct {
	a, b    plane.Point
	outline int
}

func newClipIndex(clips []*Clip, left *int) *clipIndex {
	x := &clipIndex{clips: clips, left: left}
	x.gather(clips)
	x.winding = make([]int, len(x.outlines))
	box := plane.EmptyBox()
	for _, e := range x.edges {
		box = box.Include(e.a).Include(e.b)
	}
	if len(x.edges) == 0 {
		return x
	}
	// Tall edges stand in many bands: 4√n bands keep the index within 8
	// million places whatever the outline.
	n := len(x.edges)
	count := max(1, min(int(4*math.Sqrt(float64(n))), 8_000_000/n))
	x.low, x.height = box.Min.Y, math.Max(box.Size().Y/float64(count), 1e-9)
	x.bands = make([][]int32, count)
	for i, e := range x.edges {
		first, last := x.band(math.Min(e.a.Y, e.b.Y)), x.band(math.Max(e.a.Y, e.b.Y))
		for k := first; k <= last; k++ {
			x.bands[k] = append(x.bands[k], int32(i))
		}
	}
	return x
}

// gather numbers the outlines of a tree of clips in the order inside visits
// them.
func (x *clipIndex) gather(clips []*Clip) {
	for _, c := range clips {
		for k := range c.Parts {
			o := &c.Parts[k]
			number := len(x.outlines)
			x.outlines = append(x.outlines, o)
			for _, r := range o.Rings {
				for i, a := range r {
					x.edges = append(x.edges, clipEdge{a, r[(i+1)%len(r)], number})
				}
			}
			x.gather(o.Clips)
		}
	}
}

func (x *clipIndex) band(y float64) int {
	return max(0, min(len(x.bands)-1, int((y-x.low)/x.height)))
}

// inside reports whether p lies in every clip. Borders follow the half-open
// rule of plane.Region.Contains.
func (x *clipIndex) inside(p plane.Point) bool {
	clear(x.winding)
	if len(x.bands) > 0 {
		band := x.bands[x.band(p.Y)]
		*x.left -= len(band)
		for _, i := range band {
			e := x.edges[i]
			if (e.a.Y > p.Y) == (e.b.Y > p.Y) {
				continue
			}
			side := e.b.Sub(e.a).Cross(p.Sub(e.a))
			if up := e.b.Y > e.a.Y; up && side > 0 {
				x.winding[e.outline]++
			} else if !up && side <= 0 {
				x.winding[e.outline]--
			}
		}
	}
	next := 0
	return x.insideAll(x.clips, &next)
}

// insideAll walks the tree in the order of gather; every branch is visited so
// that the numbers stay in step.
func (x *clipIndex) insideAll(clips []*Clip, next *int) bool {
	all := true
	for _, c := range clips {
		some := false
		for k := range c.Parts {
			o := &c.Parts[k]
			w := x.winding[*next]
			*next++
			in := w != 0
			if o.Rule == EvenOdd {
				in = w%2 != 0
			}
			in = x.insideAll(o.Clips, next) && in
			some = some || in
		}
		all = all && some
	}
	return all
}

// meetings returns the shares of the way from a to b, sorted and without the
// ends, at which the segment meets an outline, and notes in touched whether an
// end of it does.
func (x *clipIndex) meetings(a, b plane.Point, out []float64) []float64 {
	out = out[:0]
	x.touched = false
	if len(x.bands) == 0 {
		return out
	}
	d := b.Sub(a)
	first, last := x.band(math.Min(a.Y, b.Y)), x.band(math.Max(a.Y, b.Y))
	for k := first; k <= last; k++ {
		*x.left -= len(x.bands[k])
		for _, i := range x.bands[k] {
			e := x.edges[i]
			t, u, met := meeting(a, d, e.a, e.b.Sub(e.a))
			switch {
			case !met || u < 0 || u > 1 || t < 0 || t > 1:
			case t == 0 || t == 1:
				x.touched = true
			default:
				out = append(out, t)
			}
		}
	}
	sort.Float64s(out)
	return out
}

// cutLine returns the parts of a line that lie inside. Parts shorter than two
// coincident points are dropped.
func (x *clipIndex) cutLine(points plane.Polyline, closed bool) (parts []plane.Polyline, whole bool) {
	n := len(points)
	last := n - 1
	if closed {
		last = n
	}
	var current plane.Polyline
	finish := func() {
		if current.Length() > tol.Coincident {
			parts = append(parts, current)
		}
		current = nil
	}
	var shares []float64
	whole = true
	startsInside, endsInside := false, false
	known := false // endsInside holds for where the next segment starts
	for i := 0; i < last && *x.left > 0; i++ {
		a, b := points[i], points[(i+1)%n]
		shares = append(x.meetings(a, b, shares), 1)
		carried := known && !x.touched && len(shares) == 1
		known = !x.touched
		from := 0.0
		for _, to := range shares {
			if to == from {
				continue
			}
			// A segment that meets nothing lies where the one before ended.
			in := endsInside
			if !carried {
				if *x.left <= 0 {
					return nil, true
				}
				in = x.inside(a.Lerp(b, (from+to)/2))
			}
			if i == 0 && from == 0 {
				startsInside = in
			}
			endsInside = in
			switch {
			case in:
				if current == nil {
					current = plane.Polyline{pointAt(a, b, from)}
				}
				if from > 0 && len(current) > 1 {
					// The last point is a meeting on this segment that
					// turned out to be no end.
					current = current[:len(current)-1]
				}
				current = append(current, pointAt(a, b, to))
			default:
				whole = false
				finish()
			}
			from = to
		}
	}
	if whole {
		return nil, true
	}
	finish()
	if closed && startsInside && endsInside && len(parts) > 1 {
		// The run through the first point was cut in two there.
		head := parts[0]
		parts[0] = append(parts[len(parts)-1], head[1:]...)
		parts = parts[:len(parts)-1]
	}
	return parts, false
}

func pointAt(a, b plane.Point, share float64) plane.Point {
	if share == 1 {
		return b
	}
	return a.Lerp(b, share)
}
