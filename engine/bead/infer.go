package bead

import (
	"fmt"
	"math"
	"sort"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// Inferred is the bead of a layer, read from what the file lays.
type Inferred struct {
	HeightMM           float64
	FilamentDiameterMM float64
	EPerMM             float64 // median over length
	StadiumWidthMM     float64 // width if its sections are stadiums; 0 when they would be narrower than high
	RectangleWidthMM   float64 // width if they are rectangles = gapless spacing
	SpeedMMs           float64 // median over length; 0 when the strokes have no speed
	LengthMM           float64 // length of line looked at
	Uniform            float64 // share of that length within tol.BeadSame of EPerMM
	Class              deposit.Class
}

type weighted struct{ value, weight float64 }

// median returns the value at which half of the weight lies below; the lower
// one of a tie. It sorts list. An empty list gives NaN.
func median(list []weighted) float64 {
	sort.Slice(list, func(i, j int) bool {
		if list[i].value != list[j].value {
			return list[i].value < list[j].value
		}
		return list[i].weight < list[j].weight
	})
	total := 0.0
	for _, w := range list {
		total += w.weight
	}
	sum := 0.0
	for _, w := range list {
		sum += w.weight
		if 2*sum >= total {
			return w.value
		}
	}
	return math.NaN()
}

// Infer reads the bead of one layer from its strokes. Fill lines are asked
// first, since the pattern replaces them; a layer without any is asked for its
// walls, then for whatever it has but priming. Segments shorter than
// tol.BeadShortest are left out: rounding makes them unreliable. diameterMM is
// the filament the E of the file is counted in.
//
// A layer with no usable stroke gives a Stop; one whose lines differ among
// themselves over more than a fifth of their length gives a Note.
func Infer(layer deposit.Layer, diameterMM float64) (Inferred, finding.List) {
	var found finding.List
	for _, class := range []deposit.Class{deposit.Fill, deposit.Wall, deposit.Unknown} {
		feeds, speeds := measured(layer, class)
		if len(feeds) == 0 {
			continue
		}
		in := Inferred{HeightMM: layer.Height, FilamentDiameterMM: diameterMM, EPerMM: median(feeds), Class: class, SpeedMMs: median(speeds)}
		area := AreaFromE(in.EPerMM, diameterMM)
		in.StadiumWidthMM = Stadium.Width(area, layer.Height)
		in.RectangleWidthMM = Rectangle.Width(area, layer.Height)
		// NaN says "none" inside the package; a report travels as JSON.
		for _, v := range []*float64{&in.StadiumWidthMM, &in.RectangleWidthMM, &in.SpeedMMs} {
			if math.IsNaN(*v) {
				*v = 0
			}
		}
		for _, f := range feeds {
			in.LengthMM += f.weight
			if math.Abs(f.value/in.EPerMM-1) <= tol.BeadSame {
				in.Uniform += f.weight
			}
		}
		in.Uniform /= in.LengthMM
		if in.Uniform < 0.8 {
			found.Add(finding.Finding{
				Code: "bead-piece-varies", Level: finding.Note,
				Text: fmt.Sprintf("The piece's lines differ in width: %.0f %% of their length takes E %.5f per mm, the rest more or less.",
					100*in.Uniform, in.EPerMM),
				Remedy: "Look at the bead taken over from the piece before you use it.",
				Place:  &finding.Place{Layer: layer.Index + 1}, Value: 100 * in.Uniform, Unit: "%",
			})
		}
		return in, found
	}
	found.Add(finding.Finding{
		Code: "bead-no-lines", Level: finding.Stop,
		Text:   fmt.Sprintf("Layer %d has no line of at least %s mm to take the bead from.", layer.Index+1, finding.Figure(tol.BeadShortest)),
		Remedy: "Give the bead's own values instead.",
		Place:  &finding.Place{Layer: layer.Index + 1},
	})
	return Inferred{}, found
}

// measured returns the E per mm (mm/mm) and the speed (mm/s) of the segments of
// a class, weighted by their lengths; for Unknown those of every stroke but
// priming.
func measured(layer deposit.Layer, class deposit.Class) (feeds, speeds []weighted) {
	for _, s := range layer.Strokes {
		if s.Class != class && (class != deposit.Unknown || s.Class == deposit.Priming) {
			continue
		}
		for i := 1; i < len(s.Points) && i <= len(s.E); i++ {
			d := s.Points[i].Dist(s.Points[i-1])
			if !(d >= tol.BeadShortest) || !positive(d, s.E[i-1]) {
				continue
			}
			feeds = append(feeds, weighted{s.E[i-1] / d, d})
			if i <= len(s.Feed) && positive(s.Feed[i-1]) {
				speeds = append(speeds, weighted{s.Feed[i-1] / 60, d})
			}
		}
	}
	return feeds, speeds
}
