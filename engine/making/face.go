package making

import (
	"fmt"
	"strconv"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/footprint"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
)

// faces finds, for every layer of the pattern, the footprint, what of the old
// layer stays, and the face that is left for the pattern.
func (w *work) faces() error {
	corrections := map[int]deposit.Class{}
	for key, word := range w.Job.Piece.Classes {
		index, err := strconv.Atoi(key)
		class, ok := classes[word]
		if err != nil || !ok || index < 0 {
			return finding.Finding{Code: "making-class", Level: finding.Stop, Text: fmt.Sprintf("The job corrects a stroke named %q.", key),
				Remedy: "Name strokes by their number.", Place: &finding.Place{File: "job", Element: "piece.classes"}}
		}
		corrections[index] = class
	}
	for i := range w.Job.Layers.Count {
		layer := Layer{Source: w.piece.Layers[i], Footprint: w.piece.Footprint}
		if i > 0 || len(corrections) > 0 {
			layer.Footprint = footprint.Of(w.ctx, layer.Source, footprint.Options{FilamentMM: w.piece.Footprint.FilamentDiameterMM, Corrections: corrections,
				Above: w.piece.Above(i)})
			w.Findings = append(w.Findings, layer.Footprint.Findings...)
		}
		corrections = nil // they number the strokes of the first layer
		if err := w.face(&layer); err != nil {
			return err
		}
		w.Layers = append(w.Layers, layer)
	}
	return nil
}

var classes = map[string]deposit.Class{
	"wall": deposit.Wall, "fill": deposit.Fill, "skirt": deposit.Skirt, "brim": deposit.Brim, "support": deposit.Support, "priming": deposit.Priming,
}

func (w *work) face(l *Layer) error {
	keep, foot := w.Job.Keep, &l.Footprint
	if len(foot.Region) == 0 {
		return finding.Finding{Code: "making-no-face", Level: finding.Stop, Text: "The layer has no face to lay a pattern on.",
			Remedy: "Look at the classes of its strokes and correct them.", Place: &finding.Place{File: "piece", Layer: l.Source.Index + 1}}
	}
	face := foot.InsideKeptWalls(keep.Walls, keep.OverlapPercent/100)
	switch {
	case keep.MarginMM > 0 && keep.Walls == 0:
		face = foot.Margin(keep.MarginMM)
		w.Findings.Add(finding.Finding{Code: "making-margin", Level: finding.Caution, Value: keep.MarginMM, Unit: "mm",
			Text:   "The pattern reaches beyond the piece on purpose; the excess must be trimmed by hand.",
			Remedy: "Let the plate cool first; cut away from your hands."})
	case keep.MarginMM > 0:
		w.Findings.Add(finding.Finding{Code: "making-margin-walls", Level: finding.Caution,
			Text:   "Walls are kept, so the pattern stays inside them; the margin is not used.",
			Remedy: "Keep no wall, or set the margin to 0.", Place: &finding.Place{File: "job", Element: "keep.marginMM"}})
	}
	if keep.Walls > foot.WallDepth {
		w.Findings.Add(finding.Finding{Code: "making-few-walls", Level: finding.Caution, Value: float64(foot.WallDepth),
			Text:   fmt.Sprintf("The first layer has %d wall loops, not %d.", foot.WallDepth, keep.Walls),
			Remedy: "All of them are kept.", Place: &finding.Place{File: "job", Element: "keep.walls"}})
	}
	chosen := w.chosenIslands(foot)
	if chosen == nil {
		return finding.Finding{Code: "making-no-island", Level: finding.Stop, Text: "The job names no island that the piece has.",
			Remedy: "Choose the islands again.", Place: &finding.Place{File: "job", Element: "piece.islands"}}
	}
	var others plane.Region
	for i, island := range foot.Islands {
		if !chosen[i] {
			others = append(others, island.Region...)
		}
	}
	if len(others) > 0 {
		face = overlay.Subtract(face, overlay.Offset(others, foot.LineWidthMM/2, overlay.Round(), 0))
	}
	l.Face = face
	if len(face) == 0 {
		return finding.Finding{Code: "making-no-face", Level: finding.Stop, Text: "Inside the kept walls nothing is left for the pattern.",
			Remedy: "Keep fewer walls.", Place: &finding.Place{File: "job", Element: "keep.walls"}}
	}
	w.keep(l, others)
	return nil
}

// chosenIslands says for every island whether it gets the pattern; nil when
// none does.
func (w *work) chosenIslands(foot *footprint.Footprint) []bool {
	chosen := make([]bool, len(foot.Islands))
	for i := range chosen {
		chosen[i] = len(w.Job.Piece.Islands) == 0
	}
	any := len(w.Job.Piece.Islands) == 0
	for _, i := range w.Job.Piece.Islands {
		if i < len(chosen) {
			chosen[i], any = true, true
		}
	}
	if !any {
		return nil
	}
	return chosen
}

// keep sorts the layer's strokes into those that stay and those that the
// pattern replaces.
func (w *work) keep(l *Layer, others plane.Region) {
	var around []deposit.Class
	if w.Job.Keep.Around {
		around = []deposit.Class{deposit.Skirt, deposit.Brim, deposit.Support}
	}
	kept := make([]bool, len(l.Footprint.Strokes))
	for _, i := range l.Footprint.Kept(w.Job.Keep.Walls, around...) {
		kept[i] = true
	}
	var stay []deposit.Stroke
	for i, s := range l.Footprint.Strokes {
		if len(s.Points) < 2 {
			continue
		}
		onOther := len(others) > 0 && others.Contains(s.Points[len(s.Points)/2])
		if kept[i] || onOther {
			stay = append(stay, s)
		} else {
			l.Old = append(l.Old, s)
		}
	}
	start := plane.Point{X: w.piece.Start.Position.X, Y: w.piece.Start.Position.Y}
	l.Kept = orderStrokes(stay, start)
}
