package making

import (
	"slices"

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
	w.progress("writing the layer", 0.82)
	input := join.Input{Head: w.piece.Head, Settings: w.settings(), Stop: w.stopped}
	for i, l := range w.Layers {
		input.Cuts = append(input.Cuts, join.Cut{From: w.piece.Found.Layers[i].Offset, To: w.piece.Found.Layers[i+1].Offset})
		input.Layers = append(input.Layers, join.Layer{ZMM: l.Source.Z, Operations: l.Order})
	}
	result, found := join.Build(input)
	w.Findings = append(w.Findings, found...)
	if found.Worst() == finding.Stop || w.stopped() {
		return nil
	}
	if w.piece.Start.Inches {
		w.Findings.Add(finding.Finding{Code: "join-inches", Level: finding.Note,
			Text: "The file counts in inches. The new lines are written in millimetres, and inches are given back where they end.", Place: &finding.Place{File: "piece"}})
	}
	w.progress("proving the finished file", 0.88)
	finished := result.FinishedHead(w.piece.Head)
	w.Proof = join.Prove(finished, w.piece.Head, join.PlanOf(input, result, w.joinMachine()))
	w.Findings = append(w.Findings, w.Proof.Findings...)
	w.Join = result
	w.Block = finished[result.HeadLength:]
	return nil
}

// stopped reports whether the job is no longer wanted.
func (w *work) stopped() bool { return w.ctx.Err() != nil }

func (w *work) joinMachine() join.Machine {
	m := w.Job.Machine
	return join.Machine{
		Bed:        join.Bed{Box: m.Bed(), Round: m.BedShape == machine.Round, KeepOut: m.KeepOut},
		FilamentMM: w.Line.Feed.FilamentDiameterMM, MaxFlowMM3s: m.MaxFlowMM3s, ColdC: m.ColdLimitC,
		HotC: m.MaxNozzleC, HotBedC: m.MaxBedC,
	}
}

// measure counts the coverage of every layer and settles the amount of
// material by it.
func (w *work) measure() error {
	if w.Coarse {
		return nil
	}
	w.progress("measuring the coverage", 0.72)
	for i := range w.Layers {
		l := &w.Layers[i]
		l.Feed = w.Line.Feed
		l.Feed.HeightMM = l.Source.Height
		l.Strands = slices.Clone(l.Strands) // a later job may begin with them
		for k, s := range l.Strands {
			l.Strands[k] = bead.MergeShort(s, w.Job.Machine.SmallestStepMM)
		}
		l.Prime = w.primeFor(l)
		job := coverage.Job{Face: l.Face, Strands: l.Strands, LineMM: w.Line.WidthMM, Kept: l.Kept,
			KeptMM: []float64{l.Footprint.PitchMM}, ShortestMM: w.Job.Machine.SmallestStepMM}
		if l.Travels = w.plannedTravels(l); l.Travels != nil {
			for _, t := range l.Travels {
				job.Travels = append(job.Travels, coverage.Travel{At: t.To, BareMM: t.BareMM})
			}
		}
		if w.Job.Keep.MarginMM == 0 {
			job.Footprint = l.Footprint.Region
		}
		if n := len(l.Prime); n > 0 {
			job.PrimeEnd = &l.Prime[n-1]
		}
		if i == len(w.Layers)-1 && i+1 < len(w.piece.Layers) {
			job.Next = &w.piece.Layers[i+1]
		}
		measured, err := w.measured(i, job)
		if err != nil {
			return err
		}
		w.Findings = append(w.Findings, weigh(atLayer(slices.Clone(measured.Findings), l), l, measured)...)
		if i == 0 {
			w.Coverage = measured
		}
		w.balance(l, measured)
	}
	return nil
}

// zoneFlow answers with the flow of a zone, 0 where it has none of its own.
func zoneFlow(l *Layer) func(zone int32) float64 {
	zones := l.Artwork.Pattern.Zones
	return func(zone int32) float64 {
		if zone < 0 || int(zone) >= len(zones) {
			return 0
		}
		return zones[zone].Flow
	}
}

// predict plans the time of the old and of the new layers.
func (w *work) predict() error {
	if w.Coarse {
		return nil
	}
	w.progress("predicting the time", 0.95)
	w.times()
	w.progress("done", 1)
	return nil
}

// flowShare is the mean factor by which the zones' own flow changes what a
// layer takes, weighted by the area laid; 1 where no zone has one.
func flowShare(l *Layer) float64 {
	plain, weighted := 0.0, 0.0
	zones := l.Artwork.Pattern.Zones
	for _, s := range l.Strands {
		for i := 1; i < len(s.Points); i++ {
			area := s.Points[i].Dist(s.Points[i-1]) * s.Width[i-1]
			plain += area
			if len(s.Zone) >= i {
				if z := s.Zone[i-1]; z >= 0 && int(z) < len(zones) && zones[z].Flow > 0 {
					area *= zones[z].Flow
				}
			}
			weighted += area
		}
	}
	if plain == 0 {
		return 1
	}
	return weighted / plain
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
