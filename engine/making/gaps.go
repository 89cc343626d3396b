package making

import (
	"fmt"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// joinGaps joins drawn lines that follow each other by a straight link, where
// the link lies on the face and comes over no bead. What cannot be joined stays
// a travel.
func (w *work) joinGaps(l *Layer) {
	all, longest := l.Strands, 0.0
	links, length := 0, 0.0
	var at *[2]float64
	var out []strand.Strand
	for _, s := range all {
		s.Zone = make([]int32, len(s.Width))
		for i := range s.Zone {
			s.Zone[i] = strand.Ground
		}
		n := len(out)
		if n == 0 {
			out = append(out, s)
			continue
		}
		before := &out[n-1]
		from, to := before.Points[len(before.Points)-1], s.Points[0]
		gap := from.Dist(to)
		if !onFace(from, to, l.Face, w.Line.WidthMM) || !w.free(from, to, all) || !w.free(from, to, out) {
			out = append(out, s)
			continue
		}
		before.Points = append(append([]plane.Point(nil), before.Points...), s.Points...)
		before.Width = append(append(before.Width, w.Line.WidthMM), s.Width...)
		before.Zone = append(append(before.Zone, strand.Connector), s.Zone...)
		links, length = links+1, length+gap
		if gap > longest {
			longest, at = gap, &[2]float64{from.X, from.Y}
		}
	}
	l.Strands = out
	l.Stats.LengthMM += length
	l.Stats.Bridges, l.Stats.LinkMM = links, length
	if links == 0 {
		return
	}
	text := fmt.Sprintf("%s added to join the drawn lines, %.1f mm in all; the longest is %.1f mm.", finding.Some(links, "link was", "links were"), length, longest)
	if rest := len(out) - 1; rest > 0 {
		text += fmt.Sprintf(" %s, since a straight link would cross a bead or leave the face.", finding.Some(rest, "gap stays", "gaps stay"))
	}
	w.Findings.Add(finding.Finding{Code: "making-joined", Level: finding.Note, Text: text, Value: length, Unit: "mm", Place: &finding.Place{File: "artwork", At: at}})
}

// onFace reports whether the straight way lies on the face.
func onFace(from, to plane.Point, face plane.Region, width float64) bool {
	steps := int(from.Dist(to)/width*2) + 1
	for k := 1; k < steps; k++ {
		if !face.Contains(from.Lerp(to, float64(k)/float64(steps))) {
			return false
		}
	}
	return true
}

// besideBead (line widths) is how near to another bead's centre line a link may
// come, and nearEnds how far from its own ends that is not asked.
const (
	besideBead = 0.6
	nearEnds   = 1.5
)

// free reports whether a straight bead comes over no other.
func (w *work) free(from, to plane.Point, strands []strand.Strand) bool {
	width := w.Line.WidthMM
	box := plane.EmptyBox().Include(from).Include(to).Grow(width)
	steps := int(from.Dist(to)/width*4) + 1
	for _, s := range strands {
		for i := 1; i < len(s.Points); i++ {
			a, b := s.Points[i-1], s.Points[i]
			if !plane.EmptyBox().Include(a).Include(b).Intersects(box) {
				continue
			}
			if crosses(from, to, a, b) {
				return false
			}
			for k := range steps {
				p := from.Lerp(to, float64(k)/float64(steps))
				if p.Dist(to) > nearEnds*width && p.Dist(from) > nearEnds*width && plane.NearestOnSegment(a, b, p).Dist(p) < besideBead*width {
					return false
				}
			}
		}
	}
	return true
}

// crosses reports whether two segments cross at a point inside both.
func crosses(a, b, c, d plane.Point) bool {
	side := func(p, q, r plane.Point) float64 { return q.Sub(p).Cross(r.Sub(p)) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}
