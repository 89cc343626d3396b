package piece

import (
	"context"
	"fmt"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/footprint"
	"sheenlay/engine/gcode"
	"sheenlay/engine/layers"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
)

// Piece is a sliced file as far as the pattern is concerned.
type Piece struct {
	Name   string
	Size   int64
	Head   []byte // from the first byte to beyond the layers read
	Found  layers.Result
	Layers []deposit.Layer // those that may be replaced, and the one above them
	Bead   bead.Inferred   // of the first layer
	// Footprint is that of the first layer with the file's own filament
	// diameter and no corrections; see FootprintOf for others.
	Footprint footprint.Footprint
	Start     gcode.State // where the first layer begins
	Reads     []Reading
	Evidence  machine.Evidence
	Findings  finding.List
}

// Settled reports whether the piece can be worked on: boundaries are found and
// nothing stops.
func (p *Piece) Settled() bool {
	return !p.Found.NeedsChoice && len(p.Layers) > 0 && p.Findings.Worst() != finding.Stop
}

// Finish judges what was read. The piece is always returned; its findings say
// what stands in the way of using it.
func (r *Reader) Finish(ctx context.Context) *Piece {
	p := &Piece{Name: r.options.Name, Size: r.options.Size, Head: r.head}
	if r.refused == nil && len(r.head) == 0 {
		r.refused = gcode.Sniff(nil, true)
	}
	if r.refused != nil {
		r.refused.Place = &finding.Place{File: "piece"}
		p.Findings.Add(*r.refused)
		return p
	}
	if r.options.Packed {
		p.Findings.Add(finding.Finding{Code: "piece-packed", Level: finding.Note,
			Text: "The file came packed; the finished file is plain.", Place: &finding.Place{File: "piece"}})
	}
	whole := int64(len(r.head)) >= r.options.Size && r.beyond == 0 // the finder saw it all
	p.Found = r.finder.Result(whole)
	p.Found.Quote(r.head)
	p.Findings = append(p.Findings, p.Found.Findings...)
	p.Findings = append(p.Findings, r.interp.Findings()...)
	if p.Found.NeedsChoice || len(p.Found.Layers) < 2 {
		return p
	}
	read, found := layers.Read(r.head, p.Found, max(r.options.Layers, 1)+1, gcode.Options{})
	p.Layers = read
	p.Findings = append(p.Findings, found...)
	if len(p.Layers) == 0 {
		return p
	}
	p.Start = stateAt(r.head, p.Found.Layers[0].Offset)
	p.Footprint = footprint.Of(ctx, p.Layers[0], footprint.Options{Above: p.Above(0)})
	judged := p.Layers[0]
	judged.Strokes = p.Footprint.Strokes // with the classes that the file's comments leave open
	inferred, found := bead.Infer(judged, p.Footprint.FilamentDiameterMM)
	p.Bead = inferred
	p.Findings = append(p.Findings, p.Footprint.Findings...)
	p.Findings = append(p.Findings, found...)
	laid := plane.EmptyBox()
	for _, s := range p.Footprint.Strokes {
		if s.Class != deposit.Priming { // it may be laid beside the bed, and does not stay
			laid = laid.Union(plane.Polyline(s.Points).Bounds())
		}
	}
	p.Evidence = r.evidence(laid)
	p.read(r)
	return p
}

// stateAt returns the state of the machine where a line begins.
func stateAt(head []byte, offset int64) gcode.State {
	in := gcode.NewInterp(gcode.Options{})
	for s := gcode.NewScanner(head[:offset]); in.Next(s); {
	}
	return in.State()
}

// Above returns the layer above layer n, nil where it was not read.
func (p *Piece) Above(n int) *deposit.Layer {
	if n+1 >= len(p.Layers) {
		return nil
	}
	return &p.Layers[n+1]
}

// LayersKnown is the number of layers that can be replaced: the one above the
// last of them is known.
func (p *Piece) LayersKnown() int { return max(len(p.Found.Layers)-1, 0) }

// NeedLayers refuses a wish for more layers than were read, saying whether
// reading again would help.
func (p *Piece) NeedLayers(n int) *finding.Finding {
	known := p.LayersKnown()
	if n <= known && n <= len(p.Layers) {
		return nil
	}
	f := finding.Finding{Code: "piece-needs-more", Level: finding.Stop, Value: float64(n),
		Text: fmt.Sprintf("The pattern is asked for on %d layers; %d are read so far.", n, min(known, len(p.Layers))), Place: &finding.Place{File: "piece"}}
	if n > known && int64(len(p.Head)) >= p.Size {
		f.Code = "piece-few-layers"
		f.Text = fmt.Sprintf("The pattern is asked for on %d layers; the file has %d with another one above.", n, known)
		f.Remedy = "Ask for fewer layers."
		f.Place.Element = "layers.count"
	}
	return &f
}
