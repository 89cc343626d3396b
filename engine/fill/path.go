package fill

import (
	"sheenlay/engine/fill/loops"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// path collects a bead segment by segment, in a lay's frame or the bed's.
type path struct {
	points []plane.Point
	width  []float64
	zone   []int32
	border []bool
}

// newPath returns an empty path with room for n points.
func newPath(n int) *path {
	return &path{make([]plane.Point, 0, n), make([]float64, 0, n), make([]int32, 0, n), make([]bool, 0, n)}
}

// clear empties a path.
func (b *path) clear() {
	b.points, b.width, b.zone, b.border = b.points[:0], b.width[:0], b.zone[:0], b.border[:0]
}

// to goes on to p with a bead of the given width. border marks a segment that
// runs along the edge of its cell, where a bridge may be made.
func (b *path) to(p plane.Point, width float64, zone int32, border bool) {
	b.points = append(b.points, p)
	if len(b.points) > 1 {
		b.width = append(b.width, width)
		b.zone = append(b.zone, zone)
		b.border = append(b.border, border)
	}
}

// out returns the path, which lies in a lay's frame, in the bed frame.
func (b *path) out(frame scan.Frame) *path {
	for i, p := range b.points {
		b.points[i] = frame.Out(p)
	}
	return b
}

// loop returns the path simplified. A closed path must have come back to its
// first point.
func (b *path) loop(open bool) loops.Loop {
	b.simplify()
	l := loops.Loop{Open: open, Points: b.points, Width: b.width, Zone: b.zone, Border: b.border}
	if n := len(b.points); !open && n > 0 {
		l.Points = b.points[:n-1]
	}
	return l
}

// sameRun reports whether segments i and j may become one.
func (b *path) sameRun(i, j int) bool {
	return b.zone[i] == b.zone[j] && b.border[i] == b.border[j] && b.width[i] == b.width[j]
}

// simplify drops points that lie within tol.FillSimplifyMM of a straight run,
// and ends segments shorter than tol.FillShortestMM. The first and the last
// point stay.
func (b *path) simplify() {
	n := len(b.points)
	if n < 3 {
		return
	}
	keep := b.points[:1]
	width, zone, border := b.width[:0], b.zone[:0], b.border[:0]
	for i := 0; i < n-1; {
		// As far as one straight segment stays close to all it replaces.
		j := i + 1
		for j < n-1 && j-i < 64 && b.sameRun(i, j) && b.straight(i, j+1) {
			j++
		}
		w, z, e := b.width[i], b.zone[i], b.border[i]
		p, i0 := b.points[j], i
		i = j
		short := p.Dist(keep[len(keep)-1]) < tol.FillShortestMM
		switch {
		case short && j == n-1:
			// The end stays: take back the point before it.
			if len(keep) > 1 {
				keep[len(keep)-1] = p
			} else {
				keep = append(keep, p)
				width, zone, border = append(width, w), append(zone, z), append(border, e)
			}
		case short && i0 >= 0:
			// Left out: the next segment begins where this one did.
		default:
			keep = append(keep, p)
			width, zone, border = append(width, w), append(zone, z), append(border, e)
		}
	}
	b.points, b.width, b.zone, b.border = keep, width, zone, border
}

// straight reports whether all points between i and j lie close to the segment
// from i to j.
func (b *path) straight(i, j int) bool {
	a, c := b.points[i], b.points[j]
	d := c.Sub(a)
	n := d.Norm()
	if n < tol.FillShortestMM {
		return true
	}
	for k := i + 1; k < j; k++ {
		v := b.points[k].Sub(a)
		t := v.Dot(d) / n
		if t < -tol.FillSimplifyMM || t > n+tol.FillSimplifyMM {
			return false
		}
		if off := d.Cross(v) / n; off > tol.FillSimplifyMM || off < -tol.FillSimplifyMM {
			return false
		}
	}
	return true
}

const connector = strand.Connector
