package join

import (
	"math"

	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// way follows the beads of a finished block along the points that were asked.
// It knows nothing of how a block is written: a straight move must end at the
// next point, an arc may pass over points that lie on it.
type way struct {
	ops    []Operation
	op, at int  // the next bead begins at ops[op].Points[at]
	lost   bool // a bead lay elsewhere; the rest is not judged
}

// follow takes one move that lays filament and says what is wrong with its
// place, "" where nothing is.
func (w *way) follow(m *gcode.Move) string {
	if w.lost || w.ops == nil {
		return ""
	}
	text := w.step(m)
	w.lost = text != ""
	return text
}

func (w *way) step(m *gcode.Move) string {
	from, to := plane.Point{X: m.From.X, Y: m.From.Y}, plane.Point{X: m.To.X, Y: m.To.Y}
	if !w.reach(from) {
		return "A bead begins where none was asked."
	}
	points := w.ops[w.op].Points
	bends := m.Arc.Is() && m.Arc.Plane == gcode.PlaneXY
	before, swept := points[w.at].Sub(m.Arc.Centre), 0.0
	for k := w.at + 1; k < len(points); k++ {
		if bends {
			u := points[k].Sub(m.Arc.Centre)
			if math.Abs(u.Norm()-m.Arc.Radius) > tol.JoinArc+tol.JoinWay || m.Arc.Radius-nearest(before, u) > tol.JoinArcChord+tol.JoinWay {
				return "An arc leaves the points that it stands for."
			}
			swept += math.Atan2(before.Cross(u), before.Dot(u))
			before = u
		}
		if same(points[k], to) {
			w.at = k
			if bends && math.Abs(swept-m.Arc.Sweep)*m.Arc.Radius > 4*tol.JoinWay {
				return "An arc turns the other way, or farther, than the points that it stands for."
			}
			return ""
		}
		if !bends && !same(points[k], from) {
			break
		}
	}
	return "A bead ends where none was asked."
}

// reach goes on to the point from, over points that coincide, segments that
// feed nothing, and the ends of operations.
func (w *way) reach(from plane.Point) bool {
	for ; w.op < len(w.ops); w.op, w.at = w.op+1, 0 {
		op := &w.ops[w.op]
		for ; w.at < len(op.E); w.at++ {
			if same(op.Points[w.at], from) {
				return true
			}
			if !w.idle() {
				return false
			}
		}
	}
	return false
}

// idle reports whether the next segment is too short, or feeds too little, to
// be seen in the finished bytes.
func (w *way) idle() bool {
	op := &w.ops[w.op]
	a, b := op.Points[w.at], op.Points[w.at+1]
	return op.E[w.at] < tol.JoinUnfed || math.Abs(a.X-b.X) <= 2*tol.JoinWay && math.Abs(a.Y-b.Y) <= 2*tol.JoinWay
}

// ended reports whether every bead that was asked has been met.
func (w *way) ended() bool {
	if w.lost {
		return true
	}
	for ; w.op < len(w.ops); w.op, w.at = w.op+1, 0 {
		for ; w.at < len(w.ops[w.op].E); w.at++ {
			if !w.idle() {
				return false
			}
		}
	}
	return true
}

// same reports whether two places are one as far as three decimals tell.
func same(a, b plane.Point) bool {
	return math.Abs(a.X-b.X) <= tol.JoinWay && math.Abs(a.Y-b.Y) <= tol.JoinWay
}
