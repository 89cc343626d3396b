package thread

import (
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// relax moves curves near the border sideways, to the middle between their
// neighbours. Lines meet a border that they do not follow at any distance;
// the gap or overlap of up to a line that this leaves is shared out among the
// next ones. Lines deeper than two widths stay, and so does bead along the
// border. Level lines are not moved: it would cost them their lay (measured on
// arc tiles of 8.4 mm: 14 points of it, for 1.6 points covered). Where beads would cross, nothing is moved.
func (w *work) relax(b *border, beads []loops.Loop) []loops.Loop {
	moved := beads
	for range tol.ThreadRelaxRounds {
		if w.ctx.Err() != nil {
			return beads
		}
		moved = w.shifted(b, moved)
	}
	if slices.Contains(w.crossing(moved), true) {
		return beads
	}
	return moved
}

// shifted returns the beads after one round.
func (w *work) shifted(b *border, beads []loops.Loop) []loops.Loop {
	x := w.indexed(beads)
	out := make([]loops.Loop, len(beads))
	for i, l := range beads {
		out[i] = l
		n := l.Segments()
		shift := make([]float64, n)
		any := false
		for s := range n {
			if l.Zone[s] != connector {
				shift[s] = w.shift(b, x, i, s)
				any = any || shift[s] != 0
			}
		}
		if !any {
			continue
		}
		out[i].Points = make([]plane.Point, len(l.Points))
		for k, p := range l.Points {
			before := k - 1
			if before < 0 && !l.Open {
				before = n - 1
			}
			if k >= n || before < 0 || l.Zone[k] == connector || l.Zone[before] == connector {
				out[i].Points[k] = p
				continue
			}
			a, q := l.Segment(before)
			_, c := l.Segment(k)
			out[i].Points[k] = p.Add(corner(q.Sub(a).Unit(), c.Sub(p).Unit(), shift[before], shift[k]))
		}
	}
	return out
}

// shift returns how far a segment is to move to its left.
func (w *work) shift(b *border, x indexed, i, s int) float64 {
	from, to := x.beads[i].Segment(s)
	middle := from.Lerp(to, 0.5)
	reach := tol.ThreadRelaxLines * w.area.Spacing
	beside := false
	b.grid.Near(middle, middle, reach, func(id int) bool {
		_, _, d := b.grid.Segment(id).Closest(middle)
		beside = d < reach
		return !beside
	})
	if !beside {
		return 0
	}
	across := to.Sub(from).Unit().Left()
	look := func(side float64) (float64, bool) {
		far := middle.Add(across.Mul(side * reach))
		share, hit := x.look(i, s, near.Segment{A: middle, B: far})
		if hit {
			return share * reach, true
		}
		// The border with no bead on it: the line itself belongs there.
		best := 1.0
		b.grid.Near(middle, far, 0, func(id int) bool {
			if t, ok := meets(near.Segment{A: middle, B: far}, b.grid.Segment(id)); ok {
				best = min(best, t)
			}
			return true
		})
		return 2*best*reach + w.area.Spacing, best < 1
	}
	left, okLeft := look(1)
	right, okRight := look(-1)
	if !okLeft || !okRight {
		return 0
	}
	most := tol.ThreadRelaxMostLines * w.area.Spacing
	return min(max((left-right)/4, -most), most)
}

// corner returns the move of a corner whose segments, of directions u and v,
// move to their left by p and q.
func corner(u, v plane.Point, p, q float64) plane.Point {
	if det := u.Cross(v); det > 0.5 || det < -0.5 {
		// δ·left(u) = p and δ·left(v) = q.
		return v.Mul(p / det).Sub(u.Mul(q / det))
	}
	return u.Left().Mul(p / 2).Add(v.Left().Mul(q / 2))
}
