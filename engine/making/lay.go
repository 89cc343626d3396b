package making

import (
	"math"

	"sheenlay/engine/artwork"
	"sheenlay/engine/fill"
	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// artworks places the artwork on every layer.
func (w *work) artworks() error {
	for i := range w.Layers {
		l := &w.Layers[i]
		w.progress("drawing the pattern", 0.05+0.1*float64(i)/float64(len(w.Layers)))
		art, err := artwork.Make(w.ctx, artwork.Input{Art: w.Job.Art, Placement: w.Job.Placement, Face: w.Layers[0].Face,
			WidthMM: w.Line.WidthMM, NozzleMM: w.Job.Machine.NozzleMM, HeightMM: w.Line.HeightMM,
			FlowPercent: w.Job.Bead.FlowPercent, SpeedMMs: w.Job.Bead.SpeedMMs, Limits: w.limits()})
		if i == 0 {
			w.Findings = append(w.Findings, art.Findings...)
		}
		if err != nil {
			return err
		}
		if i > 0 {
			shiftLays(&art.Pattern, float64(i)*w.Job.Layers.TurnDeg*math.Pi/180, float64(i)*w.Job.Layers.ShiftMM)
		}
		if len(art.Without) > 0 {
			l.Face = overlay.Subtract(l.Face, art.Without)
		}
		l.Artwork = art
	}
	return nil
}

// shiftLays turns and shifts the lines of a further layer; the shapes stay.
func shiftLays(p *pattern.Pattern, turn, shift float64) {
	p.Ground.Angle = plane.NormalLay(p.Ground.Angle + turn)
	p.GroundPhase += shift
	for i := range p.Zones {
		p.Zones[i].Lay.Angle = plane.NormalLay(p.Zones[i].Lay.Angle + turn)
		p.Zones[i].Phase += shift
	}
}

// fill lays the beads of every layer.
func (w *work) fill() error {
	for i := range w.Layers {
		l := &w.Layers[i]
		from, share := 0.15+0.55*float64(i)/float64(len(w.Layers)), 0.55/float64(len(w.Layers))
		report := func(done float64) { w.progress("laying the bead", from+share*done) }
		if l.Artwork.Drawn != nil {
			w.drawn(l)
		} else if err := w.fillIslands(l, report); err != nil {
			return err
		}
		if len(l.Strands) == 0 {
			return finding.Finding{Code: "making-nothing-laid", Level: finding.Stop, Text: "No line of the pattern fits on the face.",
				Remedy: "Move the pattern onto the face, choose a thinner line, or keep fewer walls.", Place: &finding.Place{File: "piece", Layer: l.Source.Index + 1}}
		}
	}
	return nil
}

// atLayer notes the layer in findings that name a place without one.
func atLayer(list finding.List, l *Layer) finding.List {
	for i := range list {
		if list[i].Place == nil {
			list[i].Place = &finding.Place{}
		}
		list[i].Place.Layer = l.Source.Index + 1
	}
	return list
}

func addStats(sum *fill.Stats, s fill.Stats) {
	before := sum.LengthMM
	sum.LengthMM += s.LengthMM
	sum.Islands += s.Islands
	sum.Strands += s.Strands
	sum.Travels += s.Travels
	sum.Crossings += s.Crossings
	sum.Zones = max(sum.Zones, s.Zones)
	sum.Cells += s.Cells
	sum.Bridges += s.Bridges
	sum.Spines += s.Spines
	sum.SpineMM += s.SpineMM
	sum.LinkMM += s.LinkMM
	sum.LeftOutMM2 += s.LeftOutMM2
	if sum.LengthMM > 0 {
		sum.ShareOfLayWithin1Deg = (sum.ShareOfLayWithin1Deg*before + s.ShareOfLayWithin1Deg*s.LengthMM) / sum.LengthMM
	}
}
