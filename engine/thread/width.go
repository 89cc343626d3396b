package thread

import (
	"context"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// all puts the segments of beads into a grid, with the bead and the number of
// each; not all of them when ctx ends.
func all(ctx context.Context, beads []loops.Loop, cell float64) (*near.Grid, [][2]int32) {
	box := plane.EmptyBox()
	for _, l := range beads {
		box = box.Union(plane.Polyline(l.Points).Bounds())
	}
	g := near.New(box, cell)
	var owner [][2]int32
	for i, l := range beads {
		for s := range l.Segments() {
			if s%4096 == 0 && ctx.Err() != nil {
				return g, owner
			}
			g.Add(l.Segment(s))
			owner = append(owner, [2]int32{int32(i), int32(s)})
		}
	}
	return g, owner
}

// indexed is a set of beads with their segments in a grid.
type indexed struct {
	beads []loops.Loop
	grid  *near.Grid
	owner [][2]int32
}

func (w *work) indexed(beads []loops.Loop) indexed {
	g, owner := all(w.ctx, beads, 2*w.area.Spacing)
	return indexed{beads, g, owner}
}

// look returns the share of the ray from the middle of segment s of bead i at
// which it first meets bead, other than the segment's own neighbours, and false
// when it meets none.
func (x indexed) look(i, s int, ray near.Segment) (float64, bool) {
	n := x.beads[i].Segments()
	best, found := 1.0, false
	x.grid.Near(ray.A, ray.B, 0, func(id int) bool {
		if o := x.owner[id]; int(o[0]) == i {
			if d := abs(o[1] - int32(s)); d <= 1 || !x.beads[i].Open && int(d) == n-1 {
				return true
			}
		}
		if t, ok := meets(ray, x.grid.Segment(id)); ok {
			best, found = min(best, t), true
		}
		return true
	})
	return best, found
}

// adaptWidths makes each segment as wide as half the way between its two
// neighbours, as seen from its middle, within the area's limits. Where there
// is no neighbour the nominal width stands in; beside a border with no bead on
// it, a line grows further, see grown.
func (w *work) adaptWidths(borders []*border, beads []loops.Loop) {
	x := w.indexed(beads)
	for i := range beads {
		l := &beads[i]
		for s := range l.Segments() {
			if s%256 == 0 && w.ctx.Err() != nil {
				return
			}
			left := w.flank(borders, x, i, s, tol.ThreadRayLines, 1)
			right := w.flank(borders, x, i, s, tol.ThreadRayLines, -1)
			width, most := (w.room(left)+w.room(right))/2, w.area.Max
			if l.Zone[s] == connector {
				most = w.area.Width - tol.ThreadBorderMM // along the border, half a width from it
			} else {
				width = w.grown(w.grown(width, left, right), right, left)
			}
			if w.area.Lay.Field == nil {
				most = min(most, w.area.Spacing+2*w.fromBorder(borders, *l, s)+tol.ThreadGrowMM)
			}
			l.Width[s] = min(max(width, w.area.Min), most)
		}
	}
}

// fromBorder returns how far a segment keeps from the border, at most a line.
func (w *work) fromBorder(borders []*border, l loops.Loop, s int) float64 {
	p, q := l.Segment(s)
	best := w.area.Spacing
	for _, b := range borders {
		b.grid.Near(p, q, best, func(id int) bool {
			best = min(best, b.grid.Segment(id).Dist(near.Segment{A: p, B: q}))
			return true
		})
	}
	return best
}

// room returns how far a flank's bead is, the nominal width without one.
func (w *work) room(f flank) float64 {
	if f.of == bead {
		return f.distance
	}
	return w.area.Width
}

// grown returns the width of a line with bare border on one flank: as wide as
// fills the strip between, as long as it reaches over neither the border nor
// the bead on the other flank by more than half of tol.ThreadGrowMM (lines of
// curves: by nothing).
func (w *work) grown(width float64, bare, other flank) float64 {
	if bare.of != bareBorder {
		return width
	}
	over := 0.0
	if w.area.Lay.Field != nil {
		over = tol.ThreadGrowMM
	}
	if other.of == bead {
		width = max(width, min((bare.distance+other.distance)/2, other.distance+over))
	}
	return min(width, bare.distance+over)
}

// meets returns the share of the ray at which it meets a segment.
func meets(ray, s near.Segment) (float64, bool) {
	d, e := ray.B.Sub(ray.A), s.B.Sub(s.A)
	det := d.Cross(e)
	if det == 0 {
		return 0, false
	}
	v := s.A.Sub(ray.A)
	t, u := v.Cross(e)/det, v.Cross(d)/det
	return t, t > 0 && t <= 1 && u >= 0 && u <= 1
}

// meetings lists beads and segments that share a point with another segment
// that is not next to them, both sides of each meeting.
func (w *work) meetings(beads []loops.Loop) [][2]int32 {
	x := w.indexed(beads)
	var out [][2]int32
	for id, o := range x.owner {
		if id%256 == 0 && w.ctx.Err() != nil {
			return out
		}
		this := x.grid.Segment(id)
		n := int32(beads[o[0]].Segments())
		x.grid.Near(this.A, this.B, 0, func(other int) bool {
			p := x.owner[other]
			if other <= id || p[0] == o[0] && (p[1]-o[1] <= 1 || !beads[o[0]].Open && p[1]-o[1] == n-1) {
				return true
			}
			if this.Crosses(x.grid.Segment(other)) {
				out = append(out, o, p)
			}
			return true
		})
	}
	return out
}

// withoutCrossings takes out beads that cross another or themselves.
func (w *work) withoutCrossings(a *attempt, beads []loops.Loop) []loops.Loop {
	bad := w.crossing(beads)
	out := beads[:0]
	for i, l := range beads {
		if !bad[i] {
			out = append(out, l)
			continue
		}
		a.dropped += l.Length()
		a.leftOut(l, w.area.Width, "thread-left-out", "A line of a field or curve would cross bead and is left out.", "Move the pattern a little.")
	}
	return out
}

// crossing marks the beads that must go so that no two segments but neighbours
// share a point: of two beads that cross, the shorter.
func (w *work) crossing(beads []loops.Loop) []bool {
	x := w.indexed(beads)
	bad := make([]bool, len(beads))
	for id, o := range x.owner {
		i, s := int(o[0]), o[1]
		if bad[i] {
			continue
		}
		if id%256 == 0 && w.ctx.Err() != nil {
			return bad
		}
		this := x.grid.Segment(id)
		n := int32(beads[i].Segments())
		x.grid.Near(this.A, this.B, 0, func(other int) bool {
			p := x.owner[other]
			if other <= id || bad[p[0]] {
				return true
			}
			if int(p[0]) == i && (p[1]-s <= 1 || !beads[i].Open && p[1]-s == n-1) {
				return true
			}
			if this.Crosses(x.grid.Segment(other)) {
				drop := i
				if beads[p[0]].Length() < beads[i].Length() {
					drop = int(p[0])
				}
				bad[drop] = true
			}
			return !bad[i]
		})
	}
	return bad
}
