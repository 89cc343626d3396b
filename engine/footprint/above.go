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
	// abovePlaces is how many places of the layer above must lie beyond a loop
	// before their distance says anything.
	abovePlaces = 4
)

// uncovered returns how many loops of a chain, from the first on, have nothing of
// the layer above on them or right before them: brim is laid on the first layer
// only. A chain runs inwards, and in a hole outwards. known is false where the
// layer above is not given, or has too little beyond the chain to tell, as a knob
// on a plate.
func (w *work) uncovered(chain []int, hole bool) (count int, known bool) {
	if w.above == nil {
		return 0, false
	}
	for _, i := range chain {
		nearest, places := w.nearestAbove(&w.loops[i], hole)
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
// lines, mm: 0 where it is on the loop or less than a line before it, which is
// outside, and inside a hole. beyond counts its points on the other side, at least
// up to abovePlaces.
func (w *work) nearestAbove(l *loop, hole bool) (nearest float64, beyond int) {
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
				if hole {
					beyond++
				}
				continue
			}
			d := line.distance(p)
			if beyond >= abovePlaces && d >= reach {
				continue
			}
			before := region.Contains(p) == hole
			if d < coveredShare*w.LineWidthMM || d < w.LineWidthMM && before {
				return 0, abovePlaces
			}
			if nearest = min(nearest, d); !before {
				beyond++
			}
		}
	}
	return nearest, beyond
}
