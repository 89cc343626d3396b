package footprint

import (
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/tol"
)

// This file contains the reading of the bead: width, pitch, filament, section.

// weighted is a value with a length of line behind it.
type weighted struct{ value, weight float64 }

// median returns the value at half the weight; 0 for an empty list.
func median(list []weighted) float64 {
	slices.SortFunc(list, func(a, b weighted) int {
		switch {
		case a.value < b.value:
			return -1
		case a.value > b.value:
			return 1
		}
		return 0
	})
	total, sum := 0.0, 0.0
	for _, w := range list {
		total += w.weight
	}
	for _, w := range list {
		if sum += w.weight; 2*sum >= total {
			return w.value
		}
	}
	return 0
}

// filaments are the nominal filament diameters in common use, mm (common
// practice, no published source).
var filaments = [...]float64{1.75, 2.85}

// readBead finds the width of the bead. Filament per mm and height give the area
// of the section for each usual filament; the distance of neighbouring lines
// decides between them, since beads without gap lie area/height apart.
func (w *work) readBead(filament float64) bool {
	var feeds []weighted
	for i, s := range w.Strokes {
		if !w.drawable[i] || s.Class == deposit.Priming {
			continue
		}
		// Short moves are taken together until they are long enough for the
		// rounding of E not to matter.
		fed, run := 0.0, 0.0
		for k, e := range s.E {
			fed, run = fed+math.Max(e, 0), run+s.Points[k+1].Dist(s.Points[k])
			if run >= tol.BeadShortest {
				if fed > 0 {
					feeds = append(feeds, weighted{fed / run, run})
				}
				fed, run = 0, 0
			}
		}
	}
	w.EPerMM = median(feeds)
	spacing := w.spacing()
	w.apartMM = spacing
	if w.EPerMM > 0 && w.HeightMM > 0 {
		w.FilamentDiameterMM = filament
		if !(filament > 0) {
			w.FilamentDiameterMM = w.guessFilament(spacing)
		}
		area := bead.AreaFromE(w.EPerMM, w.FilamentDiameterMM)
		w.PitchMM = area / w.HeightMM
		w.Section, w.LineWidthMM = sectionOf(area, w.HeightMM)
		if spacing > 0 && !similar(w.PitchMM, spacing) {
			if volume := w.EPerMM / w.HeightMM; similar(volume, spacing) {
				w.refuse("footprint-volume", fmt.Sprintf("The file gives filament by volume: read in mm³, its lines are %.2f mm wide and lie %.2f mm apart; read in mm, they would be %.2f mm wide.", volume, spacing, w.PitchMM),
					"Switch feeding by volume off where you slice, and slice again.")
				return false
			}
			w.caution("footprint-flow", fmt.Sprintf("The filament fed makes lines %.2f mm wide, but lines lie %.2f mm apart.", w.PitchMM, spacing),
				"Check the filament diameter, or whether the first layer's lines leave gaps.", w.somewhere(), w.PitchMM/spacing, "ratio")
		}
	} else if spacing > 0 {
		w.PitchMM, w.LineWidthMM, w.Section = spacing, spacing, bead.Rectangle
	}
	if !(w.LineWidthMM > 0.05 && w.LineWidthMM < 10) {
		w.refuse("footprint-no-width", "The width of the lines cannot be read from the filament fed and the layer's height.",
			"Give the filament diameter, or check that the file feeds filament on its first layer.")
		return false
	}
	w.strokeWidths()
	return true
}

// similar reports whether a line's pitch by its filament may be the distance at
// which lines lie: flows and deliberate gaps differ by less.
func similar(pitch, spacing float64) bool {
	return math.Abs(math.Log(pitch/spacing)) <= math.Log(1.4)
}

// guessFilament picks the one usual diameter that makes a line between
// tol.FootprintThinPitch and tol.FootprintWidePitch, or a finer one that is as wide
// as lines lie apart. Where both or neither do, the one whose pitch is nearer to
// the spacing of lines decides.
func (w *work) guessFilament(spacing float64) float64 {
	measured := spacing > 0
	if !measured {
		spacing = 0.45
	}
	best, off := 0.0, math.Inf(1)
	for _, d := range filaments {
		pitch := bead.AreaFromE(w.EPerMM, d) / w.HeightMM
		o := math.Abs(math.Log(pitch / spacing))
		fine := pitch < tol.FootprintThinPitch && measured && o < tol.FootprintSamePitch
		if !fine && (pitch < tol.FootprintThinPitch || pitch > tol.FootprintWidePitch) {
			o += 10 // any fitting one comes first
		}
		if o < off {
			best, off = d, o
		}
	}
	return best
}

// sectionOf returns the width of a bead and the section it was read with. A file
// does not say which section its maker reckoned with; a width of whole
// hundredths under one of them does. Otherwise it is the stadium.
func sectionOf(area, height float64) (bead.Model, float64) {
	off := func(v float64) float64 { return math.Abs(v - math.Round(v*100)/100) }
	stadium, rectangle := bead.Stadium.Width(area, height), bead.Rectangle.Width(area, height)
	if math.IsNaN(stadium) ||
		off(rectangle) < tol.FootprintRoundWidth && off(stadium) > 2*tol.FootprintRoundWidth {
		return bead.Rectangle, rectangle
	}
	return bead.Stadium, stadium
}

// drawnWidth returns how wide the bead of a stroke is drawn where it is only asked
// what touches what: lines that lie side by side do, though less is fed than fills
// the gaps between them.
func (w *work) drawnWidth(stroke int) float64 {
	width := w.widths[stroke]
	return max(width, min(touchShare*w.apartMM, sparseShare*width))
}

// Shares of the distance of lines, and of a line; common practice without a
// published source.
const (
	touchShare  = 1.1 // beads of usual files overlap by a tenth
	sparseShare = 1.4 // lines farther apart are not meant to touch
)

// strokeWidths fills the width of each stroke from the filament it takes.
func (w *work) strokeWidths() {
	w.widths = make([]float64, len(w.Strokes))
	differ, total := 0.0, 0.0
	for i := range w.Strokes {
		w.widths[i] = w.LineWidthMM
		s := &w.Strokes[i]
		if !w.drawable[i] || !(w.EPerMM > 0) || !(w.HeightMM > 0) {
			continue
		}
		length := s.Length()
		perMM := s.Filament() / length
		if length < 4*w.LineWidthMM || !(perMM > 0) {
			continue
		}
		total += length
		if math.Abs(perMM/w.EPerMM-1) > tol.FootprintSameWidth {
			width := w.Section.Width(bead.AreaFromE(perMM, w.FilamentDiameterMM), w.HeightMM)
			if width > w.LineWidthMM/3 && width < 3*w.LineWidthMM {
				w.widths[i] = width
			}
			if s.Class != deposit.Priming {
				differ += length
			}
		}
	}
	if total > 0 && differ/total > 0.1 {
		w.caution("footprint-widths-vary", fmt.Sprintf("Lines differ in width: %.0f %% of their length is not %.2f mm wide.", 100*differ/total, w.LineWidthMM),
			"Look at the outline before you use it.", w.somewhere(), 100*differ/total, "%")
	}
}
