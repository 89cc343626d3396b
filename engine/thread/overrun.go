package thread

import (
	"math"
	"slices"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// overrun returns a curve whose hairpins of two right angles reach
// tol.ThreadOverrunMM farther. The round of a bead leaves the corners of a turn
// bare, and where the turns of four lines meet, a hole; this makes it smaller.
// Fewer than three points stay as they are.
func overrun(points []plane.Point, closed bool, spacing float64) []plane.Point {
	n := len(points)
	if n < 3 {
		return points
	}
	segments := n - 1
	if closed {
		segments = n
	}
	way := func(s int) plane.Point { return points[(s+1)%n].Sub(points[s%n]) }
	move := make([]float64, segments) // of each segment, to its left
	for s := range segments {
		if !closed && (s == 0 || s == segments-1) {
			continue
		}
		before, along, after := way(s+n-1).Unit(), way(s), way(s+1).Unit()
		if along.Norm() > hairpinLines*spacing {
			continue
		}
		in, out := before.Cross(along.Unit()), along.Unit().Cross(after)
		if in*out > 0 && math.Min(math.Abs(in), math.Abs(out)) > hairpinTurn {
			move[s] = math.Copysign(tol.ThreadOverrunMM, -in)
		}
	}
	moved := slices.Clone(points)
	for k, p := range points {
		if closed || k > 0 && k < n-1 {
			before := (k + n - 1) % n
			moved[k] = p.Add(corner(way(before).Unit(), way(k).Unit(), move[before], move[k]))
		}
	}
	return moved
}

// hairpinLines is the greatest distance (in lines) of the two legs of a hairpin,
// hairpinTurn the least sine of its two turns: 64° to 116°. Sharper ones leave more
// bare, but what is laid farther out there lies on the next line.
const (
	hairpinLines = 1.5
	hairpinTurn  = 0.9
)
