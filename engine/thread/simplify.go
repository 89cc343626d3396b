package thread

import (
	"math"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// simplified returns the line without points that a chord passes within
// tolerance (mm) of, and without segments shorter than tol.FillShortestMM. The
// ends of an open line stay.
func simplified(points []plane.Point, closed bool, tolerance float64) []plane.Point {
	n := len(points)
	if n < 3 {
		return points
	}
	if closed {
		points = append(points, points[0])
		n++
	}
	out := make([]plane.Point, 1, n/2+2)
	out[0] = points[0]
	for i := 0; i < n-1; {
		j := i + 1
		for j < n-1 && j-i < longestRun && chordFits(points, i, j+1, tolerance) {
			j++
		}
		if j == n-1 && len(out) > 1 && out[len(out)-1].Dist(points[j]) < tol.FillShortestMM {
			out = out[:len(out)-1]
		}
		out = append(out, points[j])
		i = j
	}
	if closed {
		out = out[:len(out)-1]
	}
	return out
}

// longestRun bounds the points behind one chord, and so the time.
const longestRun = 48

// chordFits reports whether all points between i and j lie within tolerance of
// the segment from i to j, or the segment is too short to be laid.
func chordFits(points []plane.Point, i, j int, tolerance float64) bool {
	a := points[i]
	d := points[j].Sub(a)
	n := d.Norm()
	if points[j-1].Dist(a) < tol.FillShortestMM {
		return true
	}
	for k := i + 1; k < j; k++ {
		v := points[k].Sub(a)
		along, off := v.Dot(d), d.Cross(v)
		if along < -tolerance*n || along > n*(n+tolerance) || off > tolerance*n || off < -tolerance*n {
			return false
		}
	}
	return true
}

// pointed returns a level line with its corners on the ridges of the field, which
// the grid cuts off: where the slope turns between two points by more than
// ridgeTurn, the lines along the level through both meet in the corner.
func pointed(field pattern.Field, level float64, l line) line {
	n := len(l.points)
	slopes := make([]plane.Point, n)
	for i, p := range l.points {
		slopes[i] = pattern.Slope(field, p).Unit()
	}
	out := line{closed: l.closed}
	for i, p := range l.points {
		out.points = append(out.points, p)
		next := (i + 1) % n
		if next == 0 && !l.closed {
			break
		}
		u, v, q := slopes[i].Left(), slopes[next].Left(), l.points[next]
		turn := u.Cross(v)
		if math.Abs(turn) < ridgeTurn {
			continue
		}
		way := q.Sub(p)
		corner := p.Add(u.Mul(way.Cross(v) / turn))
		reach := 2 * way.Norm()
		if corner.Dist(p) < reach && corner.Dist(q) < reach && corner.Dist(p) > tol.FillShortestMM && corner.Dist(q) > tol.FillShortestMM &&
			math.Abs(field.Level(corner)-level) < 2*tol.ThreadLevelMM {
			out.points = append(out.points, corner)
		}
	}
	return out
}

// ridgeTurn is the least sine of the turn of a slope that is taken for a ridge: 30°
// to 150°. Beyond that both sides of a line run nearly side by side, and where they
// meet says little.
const ridgeTurn = 0.5

// rounded returns a level line with a corner put in on the field wherever it
// turns by more than tol.ThreadTurn: the grid is too coarse for the arcs about a
// centre, whose chords would leave their lay by half as much.
func rounded(field pattern.Field, level float64, l line) line {
	for range roundings {
		n := len(l.points)
		sharp := make([]bool, n) // the corner turns too much
		any := false
		for i, p := range l.points {
			if l.closed || i > 0 && i < n-1 {
				u, v := p.Sub(l.points[(i+n-1)%n]), l.points[(i+1)%n].Sub(p)
				sharp[i] = math.Abs(u.Cross(v)) > tol.ThreadTurn*math.Abs(u.Dot(v))
				any = any || sharp[i]
			}
		}
		if !any {
			return l
		}
		out := line{closed: l.closed}
		for i, p := range l.points {
			out.points = append(out.points, p)
			if i == n-1 && !l.closed {
				break
			}
			next := (i + 1) % n
			q := l.points[next]
			if length := p.Dist(q); (sharp[i] || sharp[next]) && length > 2.5*tol.FillShortestMM {
				if m, ok := toLevel(field, p.Lerp(q, 0.5), level, length/4, length/8); ok {
					out.points = append(out.points, m)
				}
			}
		}
		l = out
	}
	return l
}

// roundings is how often segments are halved.
const roundings = 2

// withoutRepeats drops points that coincide with the one before, and points
// that are not finite.
func withoutRepeats(points []plane.Point, closed bool) []plane.Point {
	out := make([]plane.Point, 0, len(points))
	for _, p := range points {
		if p.Finite() && (len(out) == 0 || p.Dist(out[len(out)-1]) > tol.Coincident) {
			out = append(out, p)
		}
	}
	for closed && len(out) > 1 && out[0].Dist(out[len(out)-1]) <= tol.Coincident {
		out = out[:len(out)-1]
	}
	return out
}
