package claims

import (
	"fmt"
	"math"

	"sheenlay/engine/bead"
	"sheenlay/engine/finding"
)

// Change is what the new first layer changes. Times are s. Old and new layer are
// to be planned by one motion model, so that its error cancels in the difference
// of the totals; the totals themselves carry the error of the whole file's.
type Change struct {
	FirstLine, NextLine int // the lines from FirstLine to NextLine−1 were replaced
	BeforeSeconds       float64
	AfterSeconds        float64
	LayerAfterSeconds   float64 // of the new first layer
	BeforeFilamentMM    float64
	AfterFilamentMM     float64
	FilamentDiameterMM  float64
	DensityGCm3         float64
}

// Correction is a claim that no longer holds.
type Correction struct {
	Claim
	Difference float64 // true minus claimed, in the claim's unit
	True       float64 // what the line would have to say
}

// Wrong returns the claims that the change makes wrong by at least half of
// their last digit, in the order of the file. Claims inside the replaced lines
// are gone and not returned.
//
// A total is wrong wherever it stands; an elapsed time only behind the new
// layer, a remaining one only before it; progress in percent is moved by both
// its parts. What a file claims is taken as right for the file as it was.
func Wrong(list []Claim, c Change) []Correction {
	var out []Correction
	longer := c.AfterSeconds - c.BeforeSeconds
	more := c.AfterFilamentMM - c.BeforeFilamentMM
	area := bead.FilamentArea(c.FilamentDiameterMM)
	for _, claim := range list {
		if claim.Line >= c.FirstLine && claim.Line < c.NextLine {
			continue
		}
		before := claim.Line < c.FirstLine
		difference := 0.0
		switch claim.Kind {
		case TotalTime:
			difference = longer
		case ElapsedTime:
			if !before {
				difference = longer
			}
		case RemainingTime:
			if before {
				difference = longer
			}
		case FirstLayerTime:
			difference = c.LayerAfterSeconds - claim.Value
		case Percent:
			elapsed := claim.Value / 100 * c.BeforeSeconds
			if !before {
				elapsed += longer
			}
			difference = 100*elapsed/c.AfterSeconds - claim.Value
		case FilamentLength:
			difference = more
		case FilamentVolume:
			difference = more * area
		case FilamentMass:
			const mm3PerCm3 = 1000
			difference = more * area / mm3PerCm3 * c.DensityGCm3
		}
		if math.Abs(difference) >= claim.Step/2 {
			out = append(out, Correction{claim, difference, claim.Value + difference})
		}
	}
	return out
}

// unitOf returns the unit of a kind.
func unitOf(k Kind) string {
	switch k {
	case Percent:
		return "%"
	case FilamentLength:
		return "mm"
	case FilamentVolume:
		return "mm³"
	case FilamentMass:
		return "g"
	}
	return "s"
}

// Findings sums the corrections up: one Note for each kind, with the number of
// lines, the first of them, and the true difference there.
func Findings(list []Correction) finding.List {
	var found finding.List
	for _, kind := range []Kind{TotalTime, FirstLayerTime, ElapsedTime, RemainingTime, Percent, FilamentLength, FilamentVolume, FilamentMass} {
		var first *Correction
		count := 0
		for i := range list {
			if list[i].Kind != kind {
				continue
			}
			if count++; first == nil {
				first = &list[i]
			}
		}
		if first == nil || math.IsNaN(first.Difference) || math.IsInf(first.Difference, 0) {
			continue
		}
		lines := "1 line says"
		if count > 1 {
			lines = fmt.Sprintf("%d lines say", count)
		}
		unit := unitOf(kind)
		found.Add(finding.Finding{
			Code: "claims-" + map[Kind]string{TotalTime: "time", FirstLayerTime: "time", ElapsedTime: "time", RemainingTime: "time",
				Percent: "progress", FilamentLength: "filament", FilamentVolume: "filament", FilamentMass: "filament"}[kind],
			Level: finding.Note,
			Text: fmt.Sprintf("%s something about %s that holds for the file as it was sliced; the first would have to say %.6g %s (%+.3g %s).",
				lines, kind, first.True, unit, first.Difference, unit),
			Remedy: "The lines stay as they are, and nothing that is laid depends on them; a display will be off by this much.",
			Place:  &finding.Place{File: "piece", Line: first.Line, Offset: first.Offset},
			Value:  first.Difference, Unit: unit, Quote: first.Quote,
		})
	}
	return found
}
