package fill

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// noteBare reports an island of which much stays bare though bead is laid on
// it, with the area and the place where most of it lies. It looks at small
// islands only: on a larger one the borders that cause it are a small share, and
// the coverage of the whole face tells.
func (w *worker) noteBare(strands []strand.Strand) {
	area := w.island.Area()
	if area > tol.FillBareMostMM2 || w.stop() {
		return
	}
	pitch := min(tol.FillBarePitchLines*w.req.WidthMM, math.Sqrt(area)/tol.FillBareRows)
	bare, at := bareArea(w.island, strands, pitch)
	if bare < tol.FillBareShare*area {
		return
	}
	level := finding.Note
	if bare > 2*tol.FillBareShare*area {
		level = finding.Caution
	}
	w.res.Findings.Add(finding.Finding{
		Code: "fill-bare-share", Level: level,
		Text:   fmt.Sprintf("%.1f mm², %.0f %% of an island of %.1f mm², stay bare: lines that meet the border at a low angle leave tips.", bare, 100*bare/area, area),
		Remedy: "Turn the lines to run along the longest edge or straight across it, or use thinner lines.",
		Place:  &finding.Place{At: &[2]float64{at.X, at.Y}}, Value: bare, Unit: "mm²",
	})
}

// bareArea returns the area of a region under no bead (mm²), measured along
// lines pitch apart, and the place where most of it lies together.
func bareArea(g plane.Region, strands []strand.Strand, pitch float64) (mm2 float64, at plane.Point) {
	frame := scan.NewFrame(surveyTurn)
	face := scan.Cut(g, frame, 0, pitch)
	rows := make([][]scan.Span, face.Len())
	for _, s := range strands {
		for i, width := range s.Width {
			p, q, r := frame.In(s.Points[i]), frame.In(s.Points[i+1]), width/2
			low := int(math.Ceil((min(p.Y, q.Y)-r)/pitch)) - face.First
			high := int(math.Floor((max(p.Y, q.Y)+r)/pitch)) - face.First
			for k := max(low, 0); k <= min(high, len(rows)-1); k++ {
				if c := scan.Capsule(p, q, r, face.Y(k)); c.Lo < c.Hi {
					rows[k] = append(rows[k], c)
				}
			}
		}
	}
	// What is bare is gathered in squares, so that a patch counts for more than
	// a seam as long.
	type patch struct{ mm2, x, y float64 }
	patches := map[[2]int]*patch{}
	var best *patch
	var left []scan.Span
	for k := range rows {
		left = scan.Subtract(left[:0], face.Spans(k), scan.Merge(rows[k]))
		for _, b := range left {
			part, middle := b.Length()*pitch, plane.Point{X: (b.Lo + b.Hi) / 2, Y: face.Y(k)}
			key := [2]int{int(math.Floor(middle.X / tol.FillBarePatchMM)), int(math.Floor(middle.Y / tol.FillBarePatchMM))}
			p := patches[key]
			if p == nil {
				p = &patch{}
				patches[key] = p
			}
			mm2 += part
			p.mm2, p.x, p.y = p.mm2+part, p.x+part*middle.X, p.y+part*middle.Y
			if best == nil || p.mm2 > best.mm2 {
				best = p
			}
		}
	}
	if best != nil {
		at = frame.Out(plane.Point{X: best.x / best.mm2, Y: best.y / best.mm2})
	}
	return mm2, at
}
