package thread

import (
	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// all puts the segments of beads into a grid, with the bead and the number of
// each.
func all(beads []loops.Loop, cell float64) (*near.Grid, [][2]int32) {
	box := plane.EmptyBox()
	for _, l := range beads {
		box = box.Union(plane.Polyline(l.Points).Bounds())
	}
	g := near.New(box, cell)
	var owner [][2]int32
	for i, l := range beads {
		for s := range l.Segments() {
			g.Add(l.Segment(s))
			owner = append(owner, [2]int32{int32(i), int32(s)})
		}
	}
	return g, owner
}

// adaptWidths makes each segment as wide as half the way between its two
// neighbours, as seen from its middle, within the area's limits. Where there
// is no neighbour the other side, or the nominal width, stands in.
func (w *work) adaptWidths(beads []loops.Loop) {
	g, owner := all(beads, 2*w.area.Spacing)
	reach := tol.ThreadRayLines * w.area.Spacing
	for i := range beads {
		l := &beads[i]
		n := l.Segments()
		for s := range n {
			if w.ctx.Err() != nil {
				return
			}
			a, b := l.Segment(s)
			across := b.Sub(a).Unit().Left()
			middle := a.Lerp(b, 0.5)
			look := func(side float64) float64 {
				ray := near.Segment{A: middle, B: middle.Add(across.Mul(side * reach))}
				best := 1.0
				g.Near(ray.A, ray.B, 0, func(id int) bool {
					if o := owner[id]; int(o[0]) == i {
						if d := abs(o[1] - int32(s)); d <= 1 || !l.Open && int(d) == n-1 {
							return true
						}
					}
					if t, ok := meets(ray, g.Segment(id)); ok {
						best = min(best, t)
					}
					return true
				})
				if best == 1 {
					return w.area.Width
				}
				return best * reach
			}
			most := w.area.Max
			if l.Zone[s] == connector {
				most = w.area.Width // along the border, half a width from it
			}
			l.Width[s] = min(max((look(1)+look(-1))/2, w.area.Min), most)
		}
	}
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

// withoutCrossings takes out beads that cross another or themselves.
func (w *work) withoutCrossings(a *attempt, beads []loops.Loop) []loops.Loop {
	g, owner := all(beads, 2*w.area.Spacing)
	bad := make([]bool, len(beads))
	for id, o := range owner {
		i, s := int(o[0]), o[1]
		if bad[i] || w.ctx.Err() != nil {
			continue
		}
		this := g.Segment(id)
		n := int32(beads[i].Segments())
		g.Near(this.A, this.B, 0, func(other int) bool {
			p := owner[other]
			if other <= id || bad[p[0]] {
				return true
			}
			if int(p[0]) == i && (p[1]-s <= 1 || !beads[i].Open && p[1]-s == n-1) {
				return true
			}
			if this.Crosses(g.Segment(other)) {
				drop := i
				if beads[p[0]].Length() < beads[i].Length() {
					drop = int(p[0])
				}
				bad[drop] = true
			}
			return !bad[i]
		})
	}
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
