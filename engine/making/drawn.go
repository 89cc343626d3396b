package making

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
	"sheenlay/engine/tour"
)

// drawn lays lines exactly as they are drawn, where a bead on them lies on the
// face. Lines that the outline cuts go on along it to the next one; gaps that
// the drawing itself has are joined where the job asks for it.
func (w *work) drawn(l *Layer) {
	within := overlay.Offset(l.Face, -w.Line.WidthMM*(0.5-tol.DrawnOverhang), overlay.Round(), 0)
	for _, points := range clipCurves(l.Artwork.Drawn, within) {
		s := strand.Strand{Points: points, Width: make([]float64, len(points)-1), Zone: make([]int32, len(points)-1)}
		for i := range s.Width {
			s.Width[i], s.Zone[i] = w.Line.WidthMM, strand.Ground
		}
		l.Strands = append(l.Strands, s)
		l.Stats.LengthMM += s.Length()
	}
	join := joiner{work: w, within: within, beads: newBeads(l.Strands, w.Line.WidthMM)}
	l.Strands = join.following(l.Strands, join.outline) // as the drawing goes on beyond it
	l.Strands = join.following(w.inOrder(l.Strands, w.leadIn(l)), join.any)
	join.report(l)
	w.saysApart(l)
	l.Stats.Strands = len(l.Strands)
	l.Stats.Travels = max(len(l.Strands)-1, 0)
	l.Stats.ShareOfLayWithin1Deg = 1
}

// saysApart says how many travels stay within the face, and whether outline or
// drawing is their cause.
func (w *work) saysApart(l *Layer) {
	islands, pieces := len(overlay.Islands(l.Face)), len(l.Strands)
	travels := pieces - max(1, islands)
	if travels <= 0 {
		return
	}
	f := finding.Finding{Code: "making-lines-apart", Level: finding.Caution, Value: float64(travels), Place: &finding.Place{File: "artwork"},
		Text:   fmt.Sprintf("The drawing is %d lines that do not hang together", pieces),
		Remedy: "Let the gaps be joined, or join the ends in the drawing."}
	if pieces > len(l.Artwork.Drawn) {
		f.Code, f.Text = "making-lines-cut", fmt.Sprintf("The outline of the face cuts the drawing into %d lines, which could not all go on along it", pieces)
		f.Remedy = "Let the gaps be joined, or draw inside the outline."
	}
	if w.Job.Art.JoinGaps {
		f.Remedy = "No link fits there without crossing a bead or leaving the face; join these ends in the drawing."
	}
	f.Text += fmt.Sprintf("; %s within the face.", finding.Some(travels, "travel stays", "travels stay"))
	w.Findings.Add(f)
}

// inOrder puts strands in an order with short ways between them, beginning near
// start, each turned so that it begins near the end of the one before.
func (w *work) inOrder(strands []strand.Strand, start *plane.Point) []strand.Strand {
	o := tour.Options{}
	if start != nil {
		o.Start = func(i int) float64 { return endDistance(strands[i].Points, []plane.Point{*start}) }
	}
	var out []strand.Strand
	for _, k := range tour.Order(w.ctx, len(strands), func(i, j int) float64 { return endDistance(strands[i].Points, strands[j].Points) }, o) {
		s := strands[k]
		if start != nil && s.Points[len(s.Points)-1].Dist(*start) < s.Points[0].Dist(*start) {
			s = s.Reversed()
		}
		out = append(out, s)
		start = &s.Points[len(s.Points)-1]
	}
	return out
}

// endDistance is the distance of the nearest ends of two lines.
func endDistance(a, b []plane.Point) float64 {
	best := math.Inf(1)
	for _, p := range [2]plane.Point{a[0], a[len(a)-1]} {
		for _, q := range [2]plane.Point{b[0], b[len(b)-1]} {
			best = math.Min(best, p.Dist(q))
		}
	}
	return best
}

// joiner joins drawn lines by links and counts them.
type joiner struct {
	*work
	within          plane.Region // where centre lines may lie
	beads           *beads       // the lines and the links so far
	along, straight added
}

// added counts the links of one kind.
type added struct {
	links             int
	lengthMM, longest float64
	at                *[2]float64 // where the longest begins
}

func (a *added) count(way []plane.Point) {
	length := plane.Polyline(way).Length()
	a.links++
	a.lengthMM += length
	if length > a.longest {
		a.longest, a.at = length, &[2]float64{way[0].X, way[0].Y}
	}
}

// following joins lines that follow each other where there is a link from the
// end of one to the beginning of the next. What cannot be joined stays a travel.
func (j *joiner) following(strands []strand.Strand, link func(from, to plane.Point) []plane.Point) []strand.Strand {
	var out []strand.Strand
	for i, s := range strands {
		if i == 0 {
			out = append(out, s)
			continue
		}
		before := &out[len(out)-1]
		way := link(before.Points[len(before.Points)-1], s.Points[0])
		if way == nil {
			out = append(out, s)
			continue
		}
		j.beads.add(way)
		n := len(before.Points)
		before.Points = append(append(before.Points[:n:n], way[1:len(way)-1]...), s.Points...)
		for range len(way) - 1 {
			before.Width, before.Zone = append(before.Width, j.Line.WidthMM), append(before.Zone, strand.Connector)
		}
		before.Width, before.Zone = append(before.Width, s.Width...), append(before.Zone, s.Zone...)
	}
	return out
}

// outline returns the way along the outline between two ends that it cut, where
// that is free and either short or asked for; else nil.
func (j *joiner) outline(from, to plane.Point) []plane.Point {
	way, reach := alongBorder(j.within, from, to), tol.OutlineLink*j.Line.WidthMM
	if way == nil || !j.Job.Art.JoinGaps && plane.Polyline(way).Length() > reach || !j.beads.free(way) {
		return nil
	}
	j.along.count(way)
	return way
}

// any returns the way along the outline, or a straight one where the job asks
// for that and it is free; else nil.
func (j *joiner) any(from, to plane.Point) []plane.Point {
	if way := j.outline(from, to); way != nil {
		return way
	}
	way := []plane.Point{from, to}
	if !j.Job.Art.JoinGaps || !onFace(from, to, j.within, j.Line.WidthMM) || !j.beads.free(way) {
		return nil
	}
	j.straight.count(way)
	return way
}

// report says what was added to the drawing.
func (j *joiner) report(l *Layer) {
	along, straight := j.along, j.straight
	l.Stats.LengthMM += along.lengthMM + straight.lengthMM
	l.Stats.Bridges, l.Stats.LinkMM = along.links+straight.links, along.lengthMM+straight.lengthMM
	if along.links > 0 {
		j.Findings.Add(finding.Finding{Code: "making-joined-outline", Level: finding.Note, Value: along.lengthMM, Unit: "mm",
			Text: fmt.Sprintf("Where the outline cuts the drawn lines, they go on along it: %s, %.1f mm in all.",
				finding.Some(along.links, "link", "links"), along.lengthMM),
			Place: &finding.Place{File: "artwork", At: along.at}})
	}
	if straight.links > 0 {
		j.Findings.Add(finding.Finding{Code: "making-joined", Level: finding.Note, Value: straight.lengthMM, Unit: "mm",
			Text: fmt.Sprintf("%s added to join the drawn lines, %.1f mm in all; the longest is %.1f mm.",
				finding.Some(straight.links, "link was", "links were"), straight.lengthMM, straight.longest),
			Place: &finding.Place{File: "artwork", At: straight.at}})
	}
}
