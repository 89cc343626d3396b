package drawing

import (
	"math"

	"sheenlay/engine/plane"
)

// strokeRings returns rings whose union under the nonzero rule is the outline
// of a stroke: a box for each segment and a wedge at each turn, all
// counter-clockwise. Ends are flat and turns are round, whatever the file asks
// for: the bead that lays a shape rounds every corner itself.
func strokeRings(points plane.Polyline, closed bool, half, tolerance float64) []plane.Ring {
	n := len(points)
	last := n - 1
	if closed {
		last = n
	}
	rings := make([]plane.Ring, 0, 2*last)
	for i := range last {
		a, b := points[i], points[(i+1)%n]
		side := b.Sub(a).Unit().Left().Mul(half)
		rings = append(rings, plane.Ring{a.Sub(side), b.Sub(side), b.Add(side), a.Add(side)})
		if i+1 == last && !closed {
			break
		}
		next := points[(i+2)%n].Sub(b).Unit().Left().Mul(half)
		if w := wedge(b, side, next, tolerance); w != nil {
			rings = append(rings, w)
		}
	}
	return rings
}

// wedge fills the outer side of a turn at corner between two offsets, nil for
// a straight way through.
func wedge(corner, before, after plane.Point, tolerance float64) plane.Ring {
	turn := math.Atan2(before.Cross(after), before.Dot(after))
	if turn == 0 {
		return nil
	}
	if turn > 0 { // a left turn opens on the right
		before, after = before.Mul(-1), after.Mul(-1)
	} else {
		before, after = after, before
		turn = -turn
	}
	ring := plane.Ring{corner, corner.Add(before)}
	steps := int(math.Ceil(arcSteps(before.Norm(), turn, tolerance)))
	for i := 1; i < steps; i++ {
		ring = append(ring, corner.Add(before.Turn(turn*float64(i)/float64(steps))))
	}
	return append(ring, corner.Add(after))
}
