package footprint

import (
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// This file contains the closing of strokes to rings: ends that meet, that stop
// short of each other, and that lie over the beginning.

// closed returns the ring of a stroke that goes once round, and the gap that was
// between its ends, mm; nil for an open stroke.
func closed(points []plane.Point, length, width float64) (r plane.Ring, gap float64) {
	if n := overrun(points, width); n > 0 {
		points = points[:n]
		gap = 0
	} else if gap = points[0].Dist(points[len(points)-1]); gap > tol.FootprintCoast || gap > length/6 {
		return nil, gap
	}
	r = make(plane.Ring, 0, len(points)+1)
	for _, p := range points {
		if len(r) == 0 || p.Dist(r[len(r)-1]) >= tol.Coincident {
			r = append(r, p)
		}
	}
	if len(r) > 3 && r[0].Dist(r[len(r)-1]) < tol.Coincident {
		r = r[:len(r)-1]
	}
	if gap > tol.FootprintSeam*width {
		r = runOut(r)
	}
	return r, gap
}

// overrun returns how many points of a stroke make its ring where the end goes on
// over the beginning to hide the seam; 0 where it does not.
func overrun(points []plane.Point, width float64) int {
	slack := tol.FootprintOverrunSlack * width
	start, tail := points[0], 0.0
	for n := len(points) - 1; n >= 3 && tail < tol.FootprintOverrun; n-- {
		if start.Dist(plane.NearestOnSegment(points[n-1], points[n], start)) > slack {
			tail += points[n].Dist(points[n-1])
			continue
		}
		// The head as long as the tail, and a little more.
		head := 1
		for along := 0.0; head < n && along < tail+points[n].Dist(start)+width; head++ {
			along += points[head].Dist(points[head-1])
		}
		for _, p := range points[n:] {
			if near := nearestOn(points[:head], p); p.Dist(near) > slack {
				return 0
			}
		}
		return n
	}
	return 0
}

// nearestOn returns the place of a line nearest to p.
func nearestOn(line []plane.Point, p plane.Point) (best plane.Point) {
	off := math.Inf(1)
	for k := 1; k < len(line); k++ {
		if q := plane.NearestOnSegment(line[k-1], line[k], p); p.Dist(q) < off {
			best, off = q, p.Dist(q)
		}
	}
	return best
}

// runOut closes a ring whose last stretch was travelled while the nozzle ran out:
// straight on, along an arc, or round one corner. It returns nil where the ends do
// not point at each other.
func runOut(r plane.Ring) plane.Ring {
	n := len(r)
	if n < 3 {
		return nil
	}
	a, b := r[n-1], r[0]
	// Stretches much shorter than a line point where their rounding sends them.
	before, beyond := n-2, 1
	for before > 1 && a.Dist(r[before]) < tol.FootprintPointing {
		before--
	}
	for beyond < n-2 && b.Dist(r[beyond]) < tol.FootprintPointing {
		beyond++
	}
	chord, ahead, after := b.Sub(a), a.Sub(r[before]).Unit(), r[beyond].Sub(b).Unit()
	turn := ahead.Cross(after)
	if math.Abs(turn) < tol.FootprintStraightOn {
		if ahead.Dot(chord) > 0 && math.Abs(ahead.Cross(chord.Unit())) < tol.FootprintStraightOn {
			return r
		}
		return nil
	}
	// The lines through both ends meet so far ahead of one and before the other.
	on, back := chord.Cross(after)/turn, ahead.Cross(chord)/turn
	switch slack := tol.FootprintRunOutSlack; {
	case on < -slack || back < -slack || on+back > tol.FootprintCoast:
		return nil
	case on < slack || back < slack:
		return r // one end is the corner
	}
	corner := a.Add(ahead.Mul(on))
	bend := r[before].Sub(r[max(before-1, 1)]).Unit().Cross(ahead) * math.Copysign(1, turn)
	if bend > tol.FootprintBend && a.Dist(r[before]) < 2*chord.Norm() {
		// The way to the end bends already: an arc, halfway between chord and corner.
		return append(r, corner.Lerp(a.Lerp(b, 0.5), 0.5))
	}
	return append(r, corner)
}
