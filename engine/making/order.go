package making

import (
	"math"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// orderStrokes returns the strokes in an order without needless travel: what
// leads in (skirt, brim) first, then supports, then walls, and within each the
// nearest next one, from start. Strokes are laid as they were, never reversed:
// their order of points may carry meaning (speeds, a seam). Ties go to the
// earlier one in the file, so that the same input gives the same order.
func orderStrokes(strokes []deposit.Stroke, start plane.Point) []deposit.Stroke {
	out := make([]deposit.Stroke, 0, len(strokes))
	at := start
	for _, classes := range [][]deposit.Class{{deposit.Priming}, {deposit.Skirt}, {deposit.Brim}, {deposit.Support}, {deposit.Wall}, {deposit.Fill, deposit.Unknown}} {
		group := ofClasses(strokes, classes)
		for len(group) > 0 {
			best, distance := 0, math.Inf(1)
			for i, s := range group {
				if d := s.Points[0].Dist(at); d < distance {
					best, distance = i, d
				}
			}
			s := group[best]
			out = append(out, s)
			at = s.Points[len(s.Points)-1]
			group = append(group[:best], group[best+1:]...)
		}
	}
	return out
}

func ofClasses(strokes []deposit.Stroke, classes []deposit.Class) []deposit.Stroke {
	var out []deposit.Stroke
	for _, s := range strokes {
		for _, c := range classes {
			if s.Class == c && len(s.Points) > 1 {
				out = append(out, s)
			}
		}
	}
	return out
}
