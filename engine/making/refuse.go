package making

import "sheenlay/engine/finding"

// jobFields are the job's fields behind the numbers that the bead's own checks
// name. The height is the file's: what can be corrected here is the nozzle.
var jobFields = map[string]string{
	"bead.nozzleMM": "machine.nozzleMM", "bead.filamentDiameterMM": "machine.filamentDiameterMM", "bead.flow": "bead.flowPercent",
	"bead.densityGCm3": "bead.densityGCM3", "bead.heightMM": "machine.nozzleMM", "bead.spacingMM": "bead.widthMM",
	"limits.minWidthNozzles": "bead.minWidthShare", "limits.maxWidthNozzles": "bead.maxWidthShare",
	"limits.maxHeightNozzles": "machine.maxHeightShare", "limits.maxFlowMM3s": "machine.maxFlowMM3s",
	"speed.beadMMs": "bead.speedMMs", "speed.startMMs": "bead.startSpeedMMs", "speed.startLengthMM": "bead.startLengthMM",
	"speed.turnMMs": "bead.turnSpeedMMs", "speed.turnRadiusMM": "bead.widthMM", "speed.travelMMs": "bead.travelSpeedMMs",
}

// asJob makes the findings of the bead's checks point to the job's fields.
func asJob(list finding.List) finding.List {
	for i := range list {
		if f := &list[i]; f.Place != nil {
			if f.Place.Element == "bead.heightMM" {
				f.Remedy = "Slice the piece with a lower first layer, or correct the nozzle's width."
			}
			if path, ok := jobFields[f.Place.Element]; ok {
				f.Place.Element = path
			}
			f.Place.File = "job"
		}
	}
	return list
}

// refused takes findings over and returns the first that stops the job.
func (w *work) refused(list finding.List) error {
	for i, f := range asJob(list) {
		if f.Level == finding.Stop {
			w.Findings = append(w.Findings, list[i+1:]...)
			return f
		}
		w.Findings.Add(f)
	}
	return nil
}
