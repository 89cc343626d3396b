package footprint

import (
	"math"

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
	// besideShare is how near to the innermost loop of a chain the layer above must
	// come for that loop to be brim, too: around a piece without walls its fill
	// begins a line further in.
	besideShare = 1.5
	// abovePlaces is how many places of the layer above must lie within a loop
	// before their distance says anything.
	abovePlaces = 4
)

// uncovered returns how many loops of a chain, from the outermost inwards, have
// nothing of the layer above on them or right outside them: brim is laid on the
// first layer only. known is false where the layer above is not given, or has
// too little within the chain to tell, as a knob on a plate.
func (w *work) uncovered(chain []int) (count int, known bool) {
	if w.above == nil {
		return 0, false
	}
	for _, i := range chain {
		nearest, places := w.nearestAbove(&w.loops[i])
		switch {
		case nearest < coveredShare*w.LineWidthMM:
			return count, true
		case places < abovePlaces:
			return 0, false
		}
		if count++; count == len(chain) {
			return count, nearest < besideShare*w.LineWidthMM
		}
	}
	return 0, false
}

// nearestAbove returns how near the layer above comes to a loop, as far as two
// lines, mm: 0 where it is on the loop or less than a line outside. within counts its
// points inside the loop, all of them only up to abovePlaces.
func (w *work) nearestAbove(l *loop) (nearest float64, within int) {
	reach := 2 * w.LineWidthMM
	line, box := shoreOf(l.ring, reach), l.ring.Bounds().Grow(reach)
	region := plane.Region{l.ring}
	nearest = math.Inf(1)
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
			if d < coveredShare*w.LineWidthMM || d < w.LineWidthMM && !inside {
				return 0, abovePlaces
			}
			if nearest = min(nearest, d); inside {
				within++
			}
		}
	}
	return nearest, within
}
