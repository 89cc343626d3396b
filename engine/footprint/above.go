package footprint

import (
	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// Shares of a line, and a number of places; common practice without a published
// source.
const (
	// coveredShare is how near to a loop the layer above must come to stand on it:
	// brim lies a line outside the outermost wall, a slanted side moves that wall
	// by less than half a line from layer to layer.
	coveredShare = 0.5
	// abovePlaces is how many places of the layer above must lie within a loop
	// before their distance says anything.
	abovePlaces = 4
)

// uncovered returns how many loops of a chain, from the outermost inwards, have
// nothing of the layer above on them or right outside them: brim is laid on the
// first layer only. known is false where the layer above is not given, or has
// too little within the chain to tell.
func (w *work) uncovered(chain []int) (count int, known bool) {
	if w.above == nil {
		return 0, false
	}
	for _, i := range chain {
		stands, places := w.standsOn(&w.loops[i])
		if places < abovePlaces {
			return 0, false
		}
		if stands {
			return count, true
		}
		count++
	}
	return count, true
}

// standsOn reports whether the layer above lays something on a loop or within
// two lines outside it; if not, within counts its points inside the loop, as far
// as abovePlaces.
func (w *work) standsOn(l *loop) (stands bool, within int) {
	reach := 2 * w.LineWidthMM
	line, box := shoreOf(l.ring, reach), l.ring.Bounds().Grow(reach)
	region := plane.Region{l.ring}
	for i := range w.above.Strokes {
		s := &w.above.Strokes[i]
		if s.Class == deposit.Support || s.Class == deposit.Skirt || s.Class == deposit.Priming {
			continue
		}
		for _, p := range s.Points {
			if !box.Contains(p) {
				continue
			}
			d := line.distance(p)
			if within >= abovePlaces && d >= reach {
				continue
			}
			inside := region.Contains(p)
			if d < coveredShare*w.LineWidthMM || d < reach && !inside {
				return true, abovePlaces
			}
			if inside {
				within++
			}
		}
	}
	return false, min(within, abovePlaces)
}
