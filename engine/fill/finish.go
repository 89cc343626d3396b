package fill

import (
	"math"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// withoutCrossings takes out loops that cross another or themselves. Loops are
// built clear of each other; this is the check that they are, and what it takes
// out is reported.
func (p *product) withoutCrossings(all []loops.Loop) []loops.Loop {
	bad := map[int]bool{}
	for _, c := range crossings(all) {
		if !bad[c.first] && !bad[c.second] {
			bad[c.second] = true
		}
	}
	if len(bad) == 0 {
		return all
	}
	var out []loops.Loop
	for i, l := range all {
		if !bad[i] {
			out = append(out, l)
			continue
		}
		p.leftOut(l)
	}
	return out
}

// leftOut reports a loop that is taken out, with the area it would have covered.
func (p *product) leftOut(l loops.Loop) {
	area := 0.0
	for s := range l.Segments() {
		a, b := l.Segment(s)
		area += a.Dist(b) * l.Width[s]
	}
	at := l.Points[0]
	p.stats.LeftOutMM2 += area
	p.findings.Add(finding.Finding{
		Code: "fill-left-out", Level: finding.Note,
		Text:   "A small part of a zone cannot be reached without crossing bead and stays bare.",
		Remedy: "Move the pattern a little, or use larger shapes.",
		Place:  &finding.Place{At: &[2]float64{at.X, at.Y}}, Value: area, Unit: "mm²",
	})
}

// withoutShort takes points out of strands until no segment is shorter than
// tol.FillShortestMM, and gives the strands back as they were if bead would
// then cross.
func withoutShort(strands []strand.Strand) []strand.Strand {
	out := make([]strand.Strand, len(strands))
	changed := false
	for i, s := range strands {
		out[i] = s
		for k := range s.Width {
			if s.Points[k].Dist(s.Points[k+1]) < tol.FillShortestMM {
				out[i], changed = lengthened(s), true
				break
			}
		}
	}
	if changed && Crossings(out) > 0 {
		return strands
	}
	return out
}

// lengthened merges each short segment into the next one, or at the end into
// the one before.
func lengthened(s strand.Strand) strand.Strand {
	out := strand.Strand{Island: s.Island, Points: []plane.Point{s.Points[0]}}
	for i, w := range s.Width {
		last, p := out.Points[len(out.Points)-1], s.Points[i+1]
		if p.Dist(last) >= tol.FillShortestMM {
			out.Points, out.Width, out.Zone = append(out.Points, p), append(out.Width, w), append(out.Zone, s.Zone[i])
			continue
		}
		if n := len(out.Points); i == len(s.Width)-1 && n > 1 {
			out.Points[n-1] = p
			if n > 2 && p.Dist(out.Points[n-2]) < tol.FillShortestMM {
				out.Points, out.Width, out.Zone = out.Points[:n-1], out.Width[:n-2], out.Zone[:n-2]
			}
		}
	}
	if len(out.Points) < 2 {
		return s
	}
	return out
}

// strandOf opens a loop near start (anywhere when nil) and stops it short of
// its own beginning by most of a width, so that it does not meet itself.
func (w *worker) strandOf(l loops.Loop, start *plane.Point) strand.Strand {
	s := strand.Strand{Island: w.index}
	if l.Open {
		s.Points, s.Width, s.Zone = l.Points, l.Width, l.Zone
		if start != nil && s.Points[len(s.Points)-1].Dist(*start) < s.Points[0].Dist(*start) {
			s = s.Reversed()
		}
		return s
	}
	first := 0
	if start != nil {
		for i, p := range l.Points {
			if p.Dist(*start) < l.Points[first].Dist(*start) {
				first = i
			}
		}
	}
	n := len(l.Points)
	for i := range n {
		k := (first + i) % n
		s.Points = append(s.Points, l.Points[k])
		s.Width = append(s.Width, l.Width[k])
		zone := int32(connector)
		if l.Zone != nil {
			zone = l.Zone[k]
		}
		s.Zone = append(s.Zone, zone)
	}
	s.Points = append(s.Points, l.Points[first])
	shorten(&s, 0.8*w.req.WidthMM)
	return s
}

// shorten takes length d off the end of a strand, leaving at least a segment.
func shorten(s *strand.Strand, d float64) {
	for len(s.Points) > 2 {
		n := len(s.Points)
		last := s.Points[n-1].Dist(s.Points[n-2])
		if last > d+0.05 {
			s.Points[n-1] = s.Points[n-1].Lerp(s.Points[n-2], d/last)
			return
		}
		d -= last
		s.Points, s.Width, s.Zone = s.Points[:n-1], s.Width[:n-2], s.Zone[:n-2]
		if d <= 0 {
			return
		}
	}
}

// coarse lays the rows of every zone as they are: a picture of the lay without
// joins, thinned so that it is quick on any face.
func (w *worker) coarse(areas []Area) []strand.Strand {
	var out []strand.Strand
	box := w.island.Bounds().Size()
	var spans []scan.Span
	for _, a := range areas {
		if a.Lay.Field != nil || w.stop() {
			continue
		}
		frame := scan.NewFrame(a.Lay.Angle)
		cut := scan.NewCutter(frame, a.Covers...)
		pitch := max(a.Spacing, math.Hypot(box.X, box.Y)/800)
		b := cut.Box()
		if b.Empty() {
			continue
		}
		for k := math.Ceil((b.Min.Y - a.Phase) / pitch); a.Phase+k*pitch <= b.Max.Y; k++ {
			y := a.Phase + k*pitch
			spans = cut.Row(spans[:0], y)
			for _, s := range spans {
				if s.Length() < pitch {
					continue
				}
				out = append(out, strand.Strand{
					Points: []plane.Point{frame.Out(plane.Point{X: s.Lo, Y: y}), frame.Out(plane.Point{X: s.Hi, Y: y})},
					Width:  []float64{a.Width}, Zone: []int32{a.Zone}, Island: w.index,
				})
			}
		}
	}
	return out
}

// small lays an island that holds no loop: the longest row it has room for.
func (w *worker) small(areas []Area) []strand.Strand {
	var best strand.Strand
	longest := w.req.MinWidthMM
	var spans []scan.Span
	for _, a := range areas {
		if a.Lay.Field != nil {
			continue
		}
		frame := scan.NewFrame(a.Lay.Angle)
		for _, width := range [2]float64{a.Width, a.Min} {
			cut := scan.NewCutter(frame, scan.Cover{Region: w.island, Clearance: width / 2})
			box := cut.Box()
			if box.Empty() {
				continue
			}
			step := max(a.Spacing/8, box.Size().Y/4000)
			for y := box.Min.Y + step/2; y < box.Max.Y; y += step {
				spans = cut.Row(spans[:0], y)
				for _, s := range spans {
					if s.Length() > longest {
						longest = s.Length()
						best = strand.Strand{
							Points: []plane.Point{frame.Out(plane.Point{X: s.Lo, Y: y}), frame.Out(plane.Point{X: s.Hi, Y: y})},
							Width:  []float64{width}, Zone: []int32{a.Zone}, Island: w.index,
						}
					}
				}
			}
		}
	}
	at := w.island.Bounds().Centre()
	place := &finding.Place{At: &[2]float64{at.X, at.Y}}
	if best.Points == nil {
		w.res.Findings.Add(finding.Finding{
			Code: "fill-island-too-small", Level: finding.Caution,
			Text:   "An island of the face is too small for a single line and stays bare.",
			Remedy: "Thicken it in the model, or use thinner lines.",
			Place:  place, Value: w.island.Area(), Unit: "mm²",
		})
		return nil
	}
	w.res.Findings.Add(finding.Finding{
		Code: "fill-island-single-line", Level: finding.Note,
		Text:  "An island of the face has room for a single line only.",
		Place: place, Value: w.island.Area(), Unit: "mm²",
	})
	return []strand.Strand{best}
}
