package thread

import (
	"cmp"
	"context"
	"slices"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// border is the border of a part of the inset, indexed.
type border struct {
	region plane.Region
	grid   *near.Grid
	owner  [][2]int32 // ring and edge of each segment of the grid
}

func newBorder(part plane.Region, spacing float64) *border {
	b := &border{region: part, grid: near.New(part.Bounds(), 2*spacing)}
	for r, ring := range part {
		for i, a := range ring {
			b.grid.Add(a, ring[(i+1)%len(ring)])
			b.owner = append(b.owner, [2]int32{int32(r), int32(i)})
		}
	}
	return b
}

// end is where a piece ends: on the border, or free inside.
type end struct {
	free       bool
	ring, edge int32
	share      float64 // of the edge
}

// piece is a stretch of a line inside the border.
type piece struct {
	points []plane.Point
	closed bool
	ends   [2]end // of an open piece
}

// cut returns the pieces of the lines that lie inside the border.
func (b *border) cut(ctx context.Context, lines []line) []piece {
	var out []piece
	for _, l := range lines {
		if ctx.Err() != nil {
			return nil
		}
		out = b.cutLine(out, l)
	}
	return out
}

// hit is a crossing of a line's segment with the border.
type hit struct {
	at float64 // share of the segment
	end
}

func (b *border) cutLine(out []piece, l line) []piece {
	n := len(l.points)
	if n < 2 || !plane.Polyline(l.points).Bounds().Intersects(b.region.Bounds()) {
		return out
	}
	segments := n - 1
	if l.closed {
		segments = n
	}
	inside := b.region.Contains(l.points[0])
	first := len(out)
	var now piece
	if inside {
		now.points = append(now.points, l.points[0])
		now.ends[0].free = true
	}
	var hits []hit
	crossed := false
	for i := range segments {
		p, q := l.points[i], l.points[(i+1)%n]
		hits = b.hits(hits[:0], p, q)
		for _, h := range hits {
			crossed = true
			at := p.Lerp(q, h.at)
			if inside {
				now.points = append(now.points, at)
				now.ends[1] = h.end
				out = append(out, now)
				now = piece{}
			} else {
				now = piece{points: []plane.Point{at}}
				now.ends[0] = h.end
			}
			inside = !inside
		}
		if inside {
			now.points = append(now.points, q)
		}
	}
	switch {
	case !inside:
	case !crossed && l.closed:
		now.points, now.closed = now.points[:n], true
		out = append(out, now)
	case l.closed:
		// The line began inside: the last piece runs on into the first.
		now.points = append(now.points[:len(now.points)-1], out[first].points...)
		now.ends[1] = out[first].ends[1]
		out[first] = now
	default:
		now.ends[1].free = true
		out = append(out, now)
	}
	return out
}

// hits returns where the segment from p to q crosses the border, in order. A
// point on an edge counts as lying to its left, for every segment that looks
// at it, so that a line goes in as often as it goes out.
func (b *border) hits(out []hit, p, q plane.Point) []hit {
	b.grid.Near(p, q, 0, func(id int) bool {
		e := b.grid.Segment(id)
		d := e.B.Sub(e.A)
		sp, sq := d.Cross(p.Sub(e.A)), d.Cross(q.Sub(e.A))
		if (sp >= 0) == (sq >= 0) {
			return true
		}
		v := q.Sub(p)
		sa, sb := v.Cross(e.A.Sub(p)), v.Cross(e.B.Sub(p))
		if (sa >= 0) == (sb >= 0) {
			return true
		}
		o := b.owner[id]
		h := hit{at: sp / (sp - sq), end: end{ring: o[0], edge: o[1], share: sa / (sa - sb)}}
		if !slices.Contains(out, h) { // a segment may be named by two cells
			out = append(out, h)
		}
		return true
	})
	sorting.By(out, func(a, b hit) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.ring, b.ring), cmp.Compare(a.edge, b.edge))
	})
	return out
}

// point returns where an end lies on the border.
func (b *border) point(e end) plane.Point {
	ring := b.region[e.ring]
	return ring[e.edge].Lerp(ring[(int(e.edge)+1)%len(ring)], e.share)
}

// stretch returns the corners of the border strictly between two ends of one
// ring, going on from the first.
func (b *border) stretch(from, to end) []plane.Point {
	ring := b.region[from.ring]
	n := int32(len(ring))
	if from.edge == to.edge && from.share <= to.share {
		return nil
	}
	var out []plane.Point
	for i := from.edge; ; {
		if i++; i == n {
			i = 0
		}
		out = append(out, ring[i])
		if i == to.edge {
			return out
		}
	}
}

// trimmed drops corners nearer than tol.FillShortestMM to the one before or to
// the ends of the line, which stay.
func trimmed(points []plane.Point) []plane.Point {
	n := len(points)
	if n < 3 {
		return points
	}
	out := points[:1]
	last := points[n-1]
	for _, p := range points[1 : n-1] {
		if p.Dist(out[len(out)-1]) >= tol.FillShortestMM && p.Dist(last) >= tol.FillShortestMM {
			out = append(out, p)
		}
	}
	return append(out, last)
}
