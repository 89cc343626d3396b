package join

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// leastOfArc is the number of segments from which an arc is written: three
// points always lie on a circle, and a fourth by chance, so that fewer say
// little of a curve.
const leastOfArc = 4

// arc is a run of an operation's segments that is written as one arc.
type arc struct {
	from, to int   // indices of its first and last point
	left     bool  // counter-clockwise, G3
	i, j     int64 // from its first point to its centre, thousandths of mm
}

// length returns the length (mm) of the arc to an end that lies dx, dy
// thousandths of mm from its start.
func (a arc) length(dx, dy int64) float64 {
	out := plane.Point{X: float64(-a.i), Y: float64(-a.j)}
	end := plane.Point{X: float64(dx - a.i), Y: float64(dy - a.j)}
	return out.Norm() / 1000 * math.Abs(math.Atan2(out.Cross(end), out.Dot(end)))
}

// absoluteCentres says that arcs are left out because the file has set arcs to
// be read in another way. Changing that for the block would be worse: machines
// that do not know G91.1 may take it for G91.
func absoluteCentres(line int) finding.Finding {
	return finding.Finding{
		Code: "join-arcs-absolute", Level: finding.Note,
		Text:   "The file says that centres of arcs are places (G90.1), which not every machine follows; no arcs are written.",
		Remedy: "Nothing needs to be done: the same way is written as short straight moves.",
		Place:  &finding.Place{File: "piece", Line: line},
	}
}

// arcsOf finds the arcs of an operation, in order and without overlap; shift is
// machine − program, mm. Only beads of the pattern have arcs: a kept stroke is
// laid as it was.
//
// Every arc holds, in the numbers as they are written:
//   - its points lie within tol.JoinArc of it, their segments within
//     tol.JoinArcChord;
//   - its radii at start and end agree within tol.ArcRadii (NISTIR 6556,
//     §3.5.3.2);
//   - it turns one way, at most half a turn, with a radius from
//     tol.JoinArcSmallest to tol.JoinArcLargest;
//   - its segments have one speed and one filament per mm (tol.JoinArcWidth).
//
// The longest arc from each point is sought by doubling and halving, so that a
// bead of n segments costs O(n log n), and O(n) where nothing bends.
func arcsOf(op Operation, shift plane.Point) []arc {
	if op.Role != Pattern {
		return nil
	}
	f := arcFitter{op: op, shift: shift}
	var out []arc
	last := len(op.Points) - 1
	for from := 0; from+leastOfArc <= last; {
		best, ok := f.fit(from, from+leastOfArc)
		if !ok {
			from++
			continue
		}
		step := leastOfArc
		for best.to+step <= last {
			longer, ok := f.fit(from, best.to+step)
			if !ok {
				break
			}
			best, step = longer, 2*step
		}
		for step > 1 {
			if step = (step + 1) / 2; best.to+step > last {
				continue
			}
			if longer, ok := f.fit(from, best.to+step); ok {
				best = longer
			}
		}
		out = append(out, best)
		from = best.to
	}
	return out
}

type arcFitter struct {
	op    Operation
	shift plane.Point
}

// at returns a point in program coordinates, mm.
func (f *arcFitter) at(k int) plane.Point { return f.op.Points[k].Sub(f.shift) }

// written returns a point as three decimals have it.
func (f *arcFitter) written(k int) plane.Point {
	p := f.at(k)
	return plane.Point{X: float64(thousandths(p.X)) / 1000, Y: float64(thousandths(p.Y)) / 1000}
}

// fit returns the arc for the segments between two points, and whether it holds
// all that arcsOf promises.
func (f *arcFitter) fit(from, to int) (arc, bool) {
	if !f.alike(from, to) {
		return arc{}, false
	}
	a, b := f.written(from), f.written(to)
	centre, ok := f.centre(from, to, a, b)
	if !ok {
		return arc{}, false
	}
	// Of the four written centres around the best one, that whose two radii
	// agree best.
	best, mismatch := arc{from: from, to: to}, math.Inf(1)
	rel := centre.Sub(a)
	for _, i := range [2]float64{math.Floor(rel.X * 1000), math.Ceil(rel.X * 1000)} {
		for _, j := range [2]float64{math.Floor(rel.Y * 1000), math.Ceil(rel.Y * 1000)} {
			o := plane.Point{X: i / 1000, Y: j / 1000}
			if d := math.Abs(o.Norm() - b.Sub(a).Sub(o).Norm()); d < mismatch {
				best.i, best.j, mismatch = int64(i), int64(j), d
			}
		}
	}
	if mismatch > tol.ArcRadii {
		return arc{}, false
	}
	return best, f.holds(&best, a, b)
}

// alike reports whether the segments between two points have one speed, one
// filament per mm, and a length each.
func (f *arcFitter) alike(from, to int) bool {
	low, high := math.Inf(1), 0.0
	for k := from; k < to; k++ {
		if f.op.Feed[k] != f.op.Feed[from] {
			return false
		}
		rate := f.op.E[k] / f.op.Points[k].Dist(f.op.Points[k+1])
		low, high = math.Min(low, rate), math.Max(high, rate)
		// Written so that what is not a number fails.
		if !(low > 0 && high <= low*(1+tol.JoinArcWidth)) {
			return false
		}
	}
	return true
}

// centre returns the centre, on the bisector of a and b, of the circle through
// both that passes the points between best: the least sum of squares of |p−c|²−r²,
// which is linear in the centre's place t along the bisector.
func (f *arcFitter) centre(from, to int, a, b plane.Point) (plane.Point, bool) {
	chord := b.Sub(a)
	length := chord.Norm()
	if length < tol.JoinStill {
		return plane.Point{}, false
	}
	middle, normal := a.Lerp(b, 0.5), chord.Left().Mul(1/length)
	half2 := length * length / 4
	above, below, bulge := 0.0, 0.0, 0.0
	for k := from + 1; k < to; k++ {
		d := f.at(k).Sub(middle)
		rise := d.Dot(normal)
		above += float64((d.Dot(d) - half2) * rise)
		below += float64(rise * rise)
		bulge = math.Max(bulge, math.Abs(rise))
	}
	if bulge < 2*tol.JoinArc {
		return plane.Point{}, false // as straight as makes no difference
	}
	t := above / (2 * below)
	if r := math.Sqrt(float64(t*t) + half2); !(r >= tol.JoinArcSmallest && r <= tol.JoinArcLargest) {
		return plane.Point{}, false
	}
	return plane.Point{X: middle.X + float64(normal.X*t), Y: middle.Y + float64(normal.Y*t)}, true
}

// holds checks an arc as it is written, and settles which way it turns.
func (f *arcFitter) holds(c *arc, a, b plane.Point) bool {
	out := plane.Point{X: float64(-c.i) / 1000, Y: float64(-c.j) / 1000} // from the centre to the start
	centre, radius := a.Sub(out), out.Norm()
	c.left = out.Cross(f.at(c.from+1).Sub(centre)) > 0
	turned := func(u, v plane.Point) bool {
		if c.left {
			return u.Cross(v) >= 0
		}
		return v.Cross(u) >= 0
	}
	before := out
	for k := c.from + 1; k <= c.to; k++ {
		u := f.at(k).Sub(centre)
		if k == c.to {
			u = b.Sub(centre)
		}
		if !turned(before, u) || !turned(out, u) || math.Abs(u.Norm()-radius) > tol.JoinArc || radius-nearest(before, u) > tol.JoinArcChord {
			return false
		}
		before = u
	}
	return true
}

// nearest returns how near the segment from u to v comes to the origin, mm.
func nearest(u, v plane.Point) float64 { return plane.NearestOnSegment(u, v, plane.Point{}).Norm() }
