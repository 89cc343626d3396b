package coverage

import (
	"fmt"
	"math"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// This file contains the checks that read the strands themselves.

// offence collects the places where a check fails and keeps the worst.
type offence struct {
	count  int
	length float64 // mm
	worst  float64
	at     plane.Point
}

// add notes length mm of line that fails by badness at a place.
func (o *offence) add(length, badness float64, at plane.Point) {
	if o.count == 0 || badness > o.worst {
		o.worst, o.at = badness, at
	}
	o.count++
	o.length += length
}

// checkWidths reports line that is much thinner or wider than one line.
func checkWidths(job *Job) (out []finding.Finding) {
	var bad offence
	worst := 0.0
	for _, s := range job.Strands {
		for i, w := range s.Width {
			share := w / job.LineMM
			if i+1 >= len(s.Points) || share >= tol.CoverageThin && share <= tol.CoverageWide {
				continue
			}
			badness := math.Abs(math.Log(math.Max(share, 1e-3)))
			if bad.count == 0 || badness > bad.worst {
				worst = w
			}
			bad.add(s.Points[i].Dist(s.Points[i+1]), badness, s.Points[i].Lerp(s.Points[i+1], 0.5))
		}
	}
	if bad.length > 2*job.LineMM {
		out = append(out, caution("coverage-line-width",
			fmt.Sprintf("%.0f mm of line are not one bead wide; the worst is %.2f mm instead of %.2f mm.", bad.length, worst, job.LineMM),
			"Choose another line width, or zones that divide into whole lines.", bad.at, bad.length, "mm"))
	}
	return out
}

// checkStart reports a pattern that begins away from the prime line.
func checkStart(job *Job) []finding.Finding {
	if job.PrimeEnd == nil || len(job.Strands) == 0 || len(job.Strands[0].Points) == 0 {
		return nil
	}
	start := job.Strands[0].Points[0]
	off := start.Dist(*job.PrimeEnd)
	if off <= tol.CoveragePrimeReach {
		return nil
	}
	return []finding.Finding{caution("coverage-start",
		fmt.Sprintf("The pattern starts %.1f mm from the end of the prime line.", off),
		"Choose another side for the prime line, or have it lead into the pattern as one bead.", start, off, "mm")}
}

// checkTravels reports travels between strands that pass over the face: over
// what is still bare of it where the job says how they go, else straight over any
// of it.
func checkTravels(job *Job) []finding.Finding {
	var bad offence
	for _, t := range job.travels() {
		if t.BareMM > 2*job.LineMM {
			bad.add(t.BareMM, t.BareMM, t.At)
		}
	}
	if bad.count == 0 {
		return nil
	}
	return []finding.Finding{caution("coverage-travel",
		fmt.Sprintf("%s bare face, %.0f mm in all, and may leave a scar.", finding.Some(bad.count, "travel crosses", "travels cross"), bad.length),
		"Have drawn lines joined, or move the pattern so that its line begins and ends near the edge.", bad.at, float64(bad.count), "")}
}

// travels returns the job's travels, straight ones from strand to strand where it
// names none.
func (j *Job) travels() []Travel {
	if j.Travels != nil {
		return j.Travels
	}
	var out []Travel
	for i := 1; i < len(j.Strands); i++ {
		before, after := j.Strands[i-1].Points, j.Strands[i].Points
		if len(before) > 0 && len(after) > 0 {
			a, b := before[len(before)-1], after[0]
			out = append(out, Travel{At: a.Lerp(b, 0.5), BareMM: j.Face.LengthWithin(a, b)})
		}
	}
	return out
}

// checkShort reports pieces of line too short for the machine.
func checkShort(job *Job) []finding.Finding {
	var bad offence
	for _, s := range job.Strands {
		for i := 1; i < len(s.Points); i++ {
			if d := s.Points[i].Dist(s.Points[i-1]); d < job.ShortestMM {
				bad.add(d, -d, s.Points[i])
			}
		}
	}
	if bad.count == 0 {
		return nil
	}
	return []finding.Finding{caution("coverage-short-pieces",
		fmt.Sprintf("%s shorter than the %.2g mm the machine can follow.", finding.Some(bad.count, "piece of line is", "pieces of line are"), job.ShortestMM),
		"Make the pattern larger, or leave out its finest details: the machine rounds such pieces off.", bad.at, float64(bad.count), "")}
}

// checkThin reports parts of the face thinner than two lines: what is lost when
// the face is shrunk by a line and grown again.
func checkThin(job *Job) []finding.Finding {
	// A hundredth less than a line, so that a part of exactly two lines holds.
	d := 0.99 * job.LineMM
	core := overlay.Offset(job.Face, -d, overlay.Mitre(2), 0)
	back := overlay.Offset(core, d+job.LineMM/10, overlay.Mitre(2), 0)
	var bad offence
	sum := 0.0
	for _, g := range overlay.Islands(overlay.Subtract(job.Face, back)) {
		// Corners and the tips of stars are thin as well; only a strip of some
		// length falls off.
		if area := g.Area(); area > 12*job.LineMM*job.LineMM {
			bad.add(0, area, g[0][0].Lerp(g[0][len(g[0])/2], 0.5))
			sum += area
		}
	}
	if bad.count == 0 {
		return nil
	}
	return []finding.Finding{caution("coverage-thin-part",
		fmt.Sprintf("%s thinner than two lines (%.1f mm² in all) and will not hold together.", finding.Some(bad.count, "part of the face is", "parts of the face are"), sum),
		"Make the piece or the pattern larger there.", bad.at, sum, "mm²")}
}

// aboveCell is the side (mm) of the cells in which directions are compared.
const aboveCell = 2.0

// checkAbove compares the pattern's direction with that of the fill lines of the
// next layer, place by place.
func checkAbove(job *Job) []finding.Finding {
	if job.Next == nil {
		return nil
	}
	box := plane.EmptyBox()
	for _, s := range job.Strands {
		for _, p := range s.Points {
			if p.Finite() {
				box = box.Include(p)
			}
		}
	}
	columns, rows, ok := cellsOver(box, aboveCell)
	if !ok {
		return nil
	}
	// Directions mod π add up as vectors of twice the angle.
	lay := make([]plane.Point, columns*rows)
	at := func(p plane.Point) (*plane.Point, bool) {
		if !box.Contains(p) {
			return nil, false
		}
		return &lay[int((p.Y-box.Min.Y)/aboveCell)*columns+int((p.X-box.Min.X)/aboveCell)], true
	}
	for _, s := range job.Strands {
		walk(s.Points, func(p, u plane.Point, length float64) {
			if v, ok := at(p); ok {
				*v = v.Add(doubled(u).Mul(length))
			}
		})
	}
	same, total := 0.0, 0.0
	var bad offence
	for _, s := range job.Next.Strokes {
		if s.Class != deposit.Fill && s.Class != deposit.Unknown {
			continue
		}
		walk(s.Points, func(p, u plane.Point, length float64) {
			v, ok := at(p)
			if !ok || v.Norm() < aboveCell/2 {
				return
			}
			total += length
			if v.Unit().Dot(doubled(u)) > math.Cos(2*tol.CoverageSameWay) {
				same += length
				bad.add(length, length, p)
			}
		})
	}
	if total == 0 || same < total/2 {
		return nil
	}
	return []finding.Finding{caution("coverage-same-way-above",
		fmt.Sprintf("The layer above runs the same way as the pattern over %.0f %% of the face, so the two bond weakly.", 100*same/total),
		"Turn the pattern, or the fill of the next layer, by some tens of degrees.", bad.at, 100*same/total, "%")}
}

// walk visits a line in steps of at most half a cell, leaving out pieces shorter
// than that whole: turns have no lay.
func walk(points []plane.Point, use func(middle, direction plane.Point, length float64)) {
	for i := 1; i < len(points); i++ {
		d := points[i].Sub(points[i-1])
		length := d.Norm()
		if length < aboveCell/2 {
			continue
		}
		n := math.Ceil(2 * length / aboveCell)
		for k := 0.5; k < n; k++ {
			use(points[i-1].Add(d.Mul(k/n)), d.Mul(1/length), length/n)
		}
	}
}

// doubled returns the unit vector of twice the angle of u.
func doubled(u plane.Point) plane.Point {
	return plane.Point{X: float64(u.X*u.X) - float64(u.Y*u.Y), Y: 2 * u.X * u.Y}
}
