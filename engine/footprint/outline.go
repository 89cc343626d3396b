package footprint

import (
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/tol"
)

// This file contains the way from walls and beads to the region.

// region joins what walls enclose and what lies outside all walls.
func (w *work) region() plane.Region {
	walls := w.enclosed()
	rest := w.outside(walls)
	if len(rest) == 0 {
		return walls
	}
	beads := w.closedBeads(rest)
	if len(walls) == 0 {
		return beads
	}
	return overlay.Union(walls, beads)
}

// wall reports whether a loop counts as a border of the piece.
func (w *work) wall(l *loop) bool {
	c := w.Strokes[l.stroke].Class
	return (c == deposit.Wall || c == deposit.Unknown) && l.patch >= 0
}

// enclosed returns what the border loops enclose, moved out by half a bead. Loops
// of one width are moved together.
func (w *work) enclosed() plane.Region {
	var usual, other []plane.Ring
	for i := range w.loops {
		l := &w.loops[i]
		if !w.wall(l) || !l.outerOpen && !l.innerOpen {
			continue
		}
		width := w.widths[l.stroke]
		if l.innerOpen && w.closes(l) {
			if l.innerOpen = false; !l.outerOpen {
				continue
			}
		}
		thin := l.outerOpen && l.innerOpen && !w.filled(l)
		switch {
		case thin || math.Abs(width-w.LineWidthMM) > tol.FootprintSameWidth*w.LineWidthMM:
			// A region of its own: outwards as it is, a hole turned about.
			if l.outerOpen {
				other = append(other, mitred(l.ring, width/2)...)
			}
			if l.innerOpen && (thin || !l.outerOpen) {
				for _, r := range mitred(l.ring, -width/2) {
					other = append(other, r.Reversed())
				}
			}
		case l.outerOpen:
			usual = append(usual, l.ring)
		default:
			usual = append(usual, l.ring.Reversed())
		}
	}
	g := overlay.Normalize(usual, overlay.Positive)
	g = overlay.Offset(g, w.LineWidthMM/2, overlay.Mitre(tol.FootprintMitre), 0)
	if len(other) == 0 {
		return g
	}
	return overlay.Normalize(append(other, g...), overlay.Positive)
}

// closes reports whether what lies open inside a loop is narrower than a line, so
// that it counts as closed.
func (w *work) closes(l *loop) bool {
	if 2*l.area/l.ring.Length() > 2.5*w.LineWidthMM {
		return false
	}
	reach := (w.widths[l.stroke] + w.LineWidthMM) / 2
	return len(overlay.Offset(plane.Region{l.ring}, -reach, overlay.Round(), 0)) == 0
}

// mitred returns a ring moved by d, outwards for positive d.
func mitred(r plane.Ring, d float64) plane.Region {
	return overlay.Offset(plane.Region{r}, d, overlay.Mitre(tol.FootprintMitre), 0)
}

// filled reports whether a loop that has no bead along its inside encloses lines
// nevertheless: a fill that leaves gaps.
func (w *work) filled(l *loop) bool {
	p := &w.patches[l.patch]
	if p.open <= 0 {
		return false
	}
	inside := 0.0
	for _, i := range p.strokes {
		s := &w.Strokes[i]
		if s.Class == deposit.Fill && l.bounds.Contains(s.Points[0]) {
			inside += s.Length() * w.widths[i]
		}
	}
	if inside < 0.08*l.area {
		return false
	}
	w.caution("footprint-gaps", fmt.Sprintf("Lines inside the walls cover only %.0f %% of the face.", 100*math.Min(inside/l.area, 1)),
		"The face is taken as what the walls enclose.", l.ring[0], 100*inside/l.area, "%")
	return true
}

// outside returns the strokes of the piece that reach beyond walls by more than
// a speck.
func (w *work) outside(walls plane.Region) []int {
	loose := make([]bool, len(w.patches))
	if len(walls) > 0 {
		mask := raster.NewMask(w.counts.Grid, walls)
		left := w.counts.Bitmap()
		for j := range left.Rows {
			row := left.Row(j)
			for _, s := range mask.Spans(j) {
				clear(row[s.From:s.To])
			}
		}
		least := int(0.3 * w.LineWidthMM * w.LineWidthMM / left.PixelArea())
		for _, s := range left.Spots(func(v uint8) bool { return v > 0 }, least) {
			if at := w.labels.At(s.Worst); at >= 0 && s.Thickness > 0.35*w.LineWidthMM {
				loose[at] = true
			}
		}
	}
	var out []int
	for i := range w.Strokes {
		s, at := &w.Strokes[i], w.patchOf[i]
		if at < 0 || s.Class != deposit.Wall && s.Class != deposit.Fill || len(walls) > 0 && !loose[at] {
			continue
		}
		for _, p := range s.Points {
			if len(walls) == 0 || !walls.Contains(p) {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// closedBeads returns the union of the beads of strokes, closed by at most one
// line width: grown by half a line on a raster, outlined, and shrunk again.
func (w *work) closedBeads(strokes []int) plane.Region {
	box := plane.EmptyBox()
	var lines [][]plane.Point
	for _, i := range strokes {
		box = box.Union(plane.Polyline(w.Strokes[i].Points).Bounds())
		lines = append(lines, w.Strokes[i].Points)
	}
	reach := w.LineWidthMM / 2
	pixel := math.Max(w.LineWidthMM*tol.FootprintClosePixelShare, tol.FootprintFinest)
	grid := raster.NewGrid(box.Grow(3*w.LineWidthMM), pixel, raster.QuietAngle(lines...))
	grown := raster.NewCounts(grid)
	for _, i := range strokes {
		grown.AddReach(w.Strokes[i].Points, w.widths[i:i+1], reach)
	}
	outline := grown.Bitmap().Outline(func(v uint8) bool { return v&raster.Near != 0 })
	index := w.newBeads(strokes, reach, box.Grow(3*w.LineWidthMM))
	for i, r := range outline {
		outline[i] = raster.Straighten(index.sharpen(r, grid.Pixel), grid.Pixel/20)
	}
	return overlay.Offset(outline, -reach, overlay.Round(), grid.Pixel/8)
}

// islands fills Islands and their objects.
func (w *work) islands() {
	for _, g := range overlay.Islands(w.Region) {
		w.Islands = append(w.Islands, Island{Region: g, AreaMM2: g.Area(), Bounds: g.Bounds()})
	}
	known, at := 0, 0
	for i := range w.Strokes {
		s := &w.Strokes[i]
		if s.Object == "" || !w.drawable[i] || s.Class != deposit.Wall && s.Class != deposit.Fill {
			continue
		}
		p := s.Points[0].Lerp(s.Points[1], 0.5)
		if at = w.islandAt(p, at); at >= 0 && w.Islands[at].Object == "" {
			w.Islands[at].Object = s.Object
			if known++; known == len(w.Islands) {
				return
			}
		}
	}
}

// islandAt returns the island that holds p, or -1; guess is tried first.
func (w *work) islandAt(p plane.Point, guess int) int {
	holds := func(i int) bool { return w.Islands[i].Bounds.Contains(p) && w.Islands[i].Region.Contains(p) }
	if guess >= 0 && guess < len(w.Islands) && holds(guess) {
		return guess
	}
	for i := range w.Islands {
		if holds(i) {
			return i
		}
	}
	return -1
}

// wallLoops numbers the loops of class Wall by their depth.
func (w *work) wallLoops() {
	at := 0
	for i := range w.loops {
		l := &w.loops[i]
		if w.Strokes[l.stroke].Class != deposit.Wall {
			continue
		}
		found := WallLoop{Stroke: l.stroke, Island: -1, Depth: 1}
		if k := w.islandAt(l.ring[0], at); k >= 0 {
			at = k
			found.Island = k
			// The depth follows from the distance to the nearest border ring.
			ring, off := 0, math.Inf(1)
			for r, border := range w.Islands[k].Region {
				if !border.Bounds().Grow(off).Intersects(l.bounds) {
					continue
				}
				if d := w.gapTo(l, &loop{ring: border}); d < off {
					ring, off = r, d
				}
			}
			found.Depth = max(1, 1+int(math.Round((off-w.LineWidthMM/2)/w.PitchMM)))
			found.Hole = ring > 0
		}
		w.Walls = append(w.Walls, found)
		w.WallDepth = max(w.WallDepth, found.Depth)
	}
}

// report adds what the person should know.
func (w *work) report() {
	var length [deposit.Priming + 1]float64
	unsure := 0
	for i := range w.Strokes {
		s := &w.Strokes[i]
		if w.drawable[i] {
			length[s.Class] += s.Length()
			if s.Confidence < 0.7 {
				unsure++
			}
		}
	}
	at := w.Islands[0].Bounds.Centre()
	if length[deposit.Fill] == 0 && w.hollow() {
		w.caution("footprint-no-fill", "The first layer has walls but no solid fill.",
			"The face is only as wide as its walls; slice the piece with a solid bottom to give the pattern room.", at, 0, "")
	}
	if length[deposit.Wall] == 0 {
		w.Findings.Add(finding.Finding{Code: "footprint-no-walls", Level: finding.Note,
			Text:   "The first layer has no walls; its outline is taken from the beads, closed by at most one line width.",
			Remedy: "Slice with one wall for a sharper outline.", Place: &finding.Place{File: "piece", Layer: w.layer}})
	}
	if unsure > 0 {
		w.Findings.Add(finding.Finding{Code: "footprint-class-unsure", Level: finding.Note,
			Text:   fmt.Sprintf("What %s place only.", finding.Some(unsure, "stroke is for is told by its", "strokes are for is told by their")),
			Remedy: "Look at the old layer under Both layers, and click on what was taken for something else.", Place: &finding.Place{File: "piece", Layer: w.layer},
			Value: float64(unsure)})
	}
}

// hollow reports whether a layer of loops alone leaves an inside bare: many loops
// that follow each other are solid fill of another shape.
func (w *work) hollow() bool {
	return w.WallDepth <= mostWalls/2 && slices.ContainsFunc(w.Islands, func(i Island) bool { return len(i.Region) > 1 })
}

// mostWalls is how many loops inside each other are walls, which are as deep as
// half of them from the nearer border; more are fill that follows the outline.
// Common practice, no published source.
const mostWalls = 6
