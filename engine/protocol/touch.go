package protocol

import (
	"math"

	"sheenlay/engine/coverage"
	"sheenlay/engine/plane"
	"sheenlay/engine/view"
)

// drawCoverage lays the coverage map over a picture: what one bead covers is
// left as it is; everything else takes the ink of its kind.
func (s *Session) drawCoverage(c *view.Canvas, a viewArgs) {
	inks := map[coverage.Kind]view.Colour{
		coverage.Double:  a.ink("double", view.Colour{R: 70, G: 60, B: 160, A: 200}),
		coverage.Narrow:  a.ink("narrow", view.Colour{R: 210, G: 190, B: 120, A: 200}),
		coverage.Open:    a.ink("open", view.Colour{R: 200, G: 60, B: 40, A: 255}),
		coverage.Spilled: a.ink("spilled", view.Colour{R: 160, G: 90, B: 20, A: 255}),
	}
	grid := s.made.Coverage.Map
	for row := range c.Height {
		for col := range c.Width {
			p := c.Place(float64(col)+0.5, float64(row)+0.5)
			i, j := grid.FromBed(p)
			x, y := int(math.Floor(i)), int(math.Floor(j))
			if x < 0 || y < 0 || x >= grid.Columns || y >= grid.Rows {
				continue
			}
			if ink, ok := inks[coverage.Kind(grid.Row(y)[x])]; ok {
				c.Dot(col, row, ink)
			}
		}
	}
}

// hit tells what lies at a place of the bed.
func (s *Session) hit(at plane.Point) map[string]any {
	answer := map[string]any{"stroke": -1, "zone": -1, "island": -1}
	reach := math.Max(s.piece.Footprint.LineWidthMM/2, 0.2)
	best := reach
	for i, stroke := range s.piece.Footprint.Strokes {
		if !plane.Polyline(stroke.Points).Bounds().Grow(reach).Contains(at) {
			continue
		}
		if d, _ := nearest(stroke.Points, at); d < best {
			best = d
			answer["stroke"], answer["class"], answer["confidence"], answer["line"] = i, stroke.Class.String(), stroke.Confidence, stroke.FirstLine
		}
	}
	for i, island := range s.piece.Footprint.Islands {
		if island.Bounds.Contains(at) && island.Region.Contains(at) {
			answer["island"] = i
		}
	}
	if s.made == nil || len(s.made.Layers) == 0 {
		return answer
	}
	l := &s.made.Layers[0]
	for i := len(l.Artwork.Pattern.Zones) - 1; i >= 0; i-- {
		z := &l.Artwork.Pattern.Zones[i]
		if !z.Region.Contains(at) {
			continue
		}
		answer["zone"], answer["kind"], answer["name"] = i, z.Kind, z.Name
		answer["layDeg"] = math.Round(z.Lay.AngleAt(at)*1800/math.Pi) / 10
		break
	}
	best = math.Inf(1)
	for i, strand := range l.Strands {
		if !strand.Bounds().Grow(1).Contains(at) {
			continue
		}
		if d, k := nearest(strand.Points, at); d < best {
			best = d
			answer["strand"], answer["segment"] = i, k
			if k < len(strand.Width) {
				answer["widthMM"] = strand.Width[k]
			}
		}
	}
	return answer
}

// nearest returns the distance of a point to a line and the segment nearest to
// it.
func nearest(line []plane.Point, p plane.Point) (distance float64, segment int) {
	distance = math.Inf(1)
	for i := 1; i < len(line); i++ {
		if d := plane.NearestOnSegment(line[i-1], line[i], p).Dist(p); d < distance {
			distance, segment = d, i-1
		}
	}
	return distance, segment
}
