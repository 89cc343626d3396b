package making

import (
	"sheenlay/engine/bead"
	"sheenlay/engine/coverage"
	"sheenlay/engine/finding"
	"sheenlay/engine/join"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
)

// join writes the new bytes and proves them by reading the finished file from
// its first byte to the tail.
func (w *work) join() error {
	if w.Coarse {
		return nil
	}
	w.progress("writing the layer", 0.72)
	input := join.Input{Head: w.piece.Head, Settings: w.settings()}
	for i, l := range w.Layers {
		input.Cuts = append(input.Cuts, join.Cut{From: w.piece.Found.Layers[i].Offset, To: w.piece.Found.Layers[i+1].Offset})
		input.Layers = append(input.Layers, join.Layer{ZMM: l.Source.Z, Operations: l.Order})
	}
	result, found := join.Build(input)
	w.Findings = append(w.Findings, found...)
	if found.Worst() == finding.Stop {
		return nil
	}
	w.progress("proving the finished file", 0.78)
	finished := result.FinishedHead(w.piece.Head)
	w.Proof = join.Prove(finished, w.piece.Head, join.PlanOf(input, result, w.joinMachine()))
	w.Findings = append(w.Findings, w.Proof.Findings...)
	w.Join = result
	w.Block = finished[result.HeadLength:]
	return nil
}

func (w *work) joinMachine() join.Machine {
	m := w.Job.Machine
	return join.Machine{
		Bed:        join.Bed{Box: m.Bed(), Round: m.BedShape == machine.Round, KeepOut: m.KeepOut},
		FilamentMM: w.Line.Feed.FilamentDiameterMM, MaxFlowMM3s: m.MaxFlowMM3s, ColdC: m.ColdLimitC,
	}
}

// measure counts coverage and time, and compares the filament with the
// covered area.
func (w *work) measure() error {
	if w.Coarse {
		return nil
	}
	w.progress("measuring the coverage", 0.85)
	for i := range w.Layers {
		l := &w.Layers[i]
		job := coverage.Job{Face: l.Face, Strands: l.Strands, LineMM: w.Line.WidthMM, Kept: l.Kept,
			KeptMM: []float64{l.Footprint.PitchMM}, ShortestMM: w.Job.Machine.SmallestStepMM}
		if w.Job.Keep.MarginMM == 0 {
			job.Footprint = l.Footprint.Region
		}
		if n := len(l.Prime); n > 0 {
			job.PrimeEnd = &l.Prime[n-1]
		}
		if i+1 < len(w.Layers) {
			job.Next = nil
		} else if i+1 < len(w.piece.Layers) {
			job.Next = &w.piece.Layers[i+1]
		}
		measured := coverage.Measure(w.ctx, job)
		if w.ctx.Err() != nil {
			return w.ctx.Err()
		}
		w.Findings = append(w.Findings, atLayer(measured.Findings, l)...)
		if i == 0 {
			w.Coverage = measured
		}
		if l.Artwork.Drawn == nil {
			if _, problem := bead.CheckTotal(filamentOf(l.Order, join.Pattern), layArea(l), l.Feed); problem != nil {
				w.Findings = append(w.Findings, atLayer(finding.List{*problem}, l)...)
			}
		}
	}
	w.progress("predicting the time", 0.95)
	w.times()
	w.progress("done", 1)
	return nil
}

// layArea is the area that the beads of a layer are meant to cover, with the
// flow of each zone.
func layArea(l *Layer) float64 {
	sum := 0.0
	for _, s := range l.Strands {
		for i := 1; i < len(s.Points); i++ {
			flow := 1.0
			if len(s.Zone) >= i {
				if z := s.Zone[i-1]; z >= 0 && int(z) < len(l.Artwork.Pattern.Zones) && l.Artwork.Pattern.Zones[z].Flow > 0 {
					flow = l.Artwork.Pattern.Zones[z].Flow
				}
			}
			sum += s.Points[i].Dist(s.Points[i-1]) * s.Width[i-1] * flow
		}
	}
	return sum
}

func filamentOf(operations []join.Operation, role join.Role) float64 {
	sum := 0.0
	for _, op := range operations {
		if op.Role == role {
			for _, e := range op.E {
				sum += e
			}
		}
	}
	return sum
}

// Laid returns the box of everything the new layer lays.
func (l *Layer) Laid() plane.Box {
	box := plane.EmptyBox()
	for _, op := range l.Order {
		box = box.Union(plane.Polyline(op.Points).Bounds())
	}
	return box
}

// Count returns the number of the layer's strokes of each class.
func (l *Layer) Count() map[string]int {
	out := map[string]int{}
	for _, s := range l.Footprint.Strokes {
		out[s.Class.String()]++
	}
	return out
}
