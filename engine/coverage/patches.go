package coverage

import (
	"fmt"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
)

// This file contains the checks that read the map.

// caution makes a finding at a place of the face.
func caution(code, text, remedy string, at plane.Point, value float64, unit string) finding.Finding {
	return finding.Finding{Code: code, Level: finding.Caution, Text: text, Remedy: remedy,
		Place: &finding.Place{File: "finished", At: &[2]float64{at.X, at.Y}}, Value: value, Unit: unit}
}

// checkPatches lists the worst patches and reports open spots and excess.
func (r *Result) checkPatches(job *Job) {
	least := max(1, int(0.02/r.Map.PixelArea()))
	spots := r.Map.SpotsOf(&raster.Classes{Open: uint8(Open), Double: uint8(Double), Spilled: uint8(Spilled)}, least)
	for _, kind := range []Kind{Open, Double, Spilled} {
		for _, s := range spots[kind][:min(len(spots[kind]), worstListed)] {
			r.Worst = append(r.Worst, Place{kind, s.Worst, s.AreaMM2, s.Thickness})
		}
	}
	// A spot larger than a bead: as thick as one, less the rim that closes.
	r.reportOpen(spots[Open], 0.75*job.LineMM)
	r.reportExcess(spots[Spilled], job)
}

func (r *Result) reportOpen(spots []raster.Spot, thick float64) {
	count, worst := 0, raster.Spot{}
	for _, s := range spots {
		if s.Thickness >= thick {
			count++
			if s.AreaMM2 > worst.AreaMM2 {
				worst = s
			}
		}
	}
	if count > 0 {
		r.Findings.Add(caution("coverage-open-spot",
			fmt.Sprintf("%s larger than a bead, the largest %.2f mm².", finding.Some(count, "uncovered spot is", "uncovered spots are"), worst.AreaMM2),
			"Make the pattern larger, or turn it a little: wide zones close such spots.", worst.Worst, worst.AreaMM2, "mm²"))
	}
}

// reportExcess looks at spilled patches that leave the footprint by more than
// half a line.
func (r *Result) reportExcess(spots []raster.Spot, job *Job) {
	count, sum, worst := 0, 0.0, raster.Spot{}
	for _, s := range spots {
		if s.Thickness < job.LineMM/2 || job.Footprint.Contains(s.Worst) {
			continue
		}
		count++
		sum += s.AreaMM2
		if s.AreaMM2 > worst.AreaMM2 {
			worst = s
		}
	}
	if count > 0 {
		r.Findings.Add(caution("coverage-excess",
			fmt.Sprintf("The pattern reaches beyond the face at %s, %.2f mm² in all.", finding.Some(count, "place", "places"), sum),
			"Set the margin to trim to 0, or cut the excess off by hand once it is cold.", worst.Worst, sum, "mm²"))
	}
}
