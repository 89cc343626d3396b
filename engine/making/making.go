// Package making does a job from end to end: piece and job in, new bytes and
// everything measured about them out. Each stage takes only what the stage
// before gave: face, artwork, beads, operations, bytes, proof, figures.
package making

import (
	"context"
	"math"

	"sheenlay/engine/artwork"
	"sheenlay/engine/bead"
	"sheenlay/engine/coverage"
	"sheenlay/engine/deposit"
	"sheenlay/engine/fill"
	"sheenlay/engine/finding"
	"sheenlay/engine/footprint"
	"sheenlay/engine/job"
	"sheenlay/engine/join"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// Progress is told the stage in words and the share of the whole that is done.
type Progress func(stage string, share float64)

// Made is a job done.
type Made struct {
	Job      job.Job
	Line     Line
	Layers   []Layer // those that carry the pattern, from the bottom
	Join     join.Result
	Proof    join.Proof
	Block    []byte // the new bytes between head and tail
	Coverage coverage.Result
	Times    Times
	Findings finding.List
	Coarse   bool // a preview: nothing is joined, proved or measured
}

// OK reports whether a finished file may be offered.
func (m *Made) OK() bool { return !m.Coarse && m.Findings.Worst() != finding.Stop && len(m.Block) > 0 }

// Layer is one layer of the pattern.
type Layer struct {
	Source    deposit.Layer
	Footprint footprint.Footprint
	Face      plane.Region // what the pattern covers
	Artwork   artwork.Artwork
	Strands   []strand.Strand
	Stats     fill.Stats
	Kept      []deposit.Stroke // laid again as they were, in order
	Prime     []plane.Point    // centre line of the prime line and what leads in; nil without
	Feed      bead.Feed
	Balance   float64  // factor on the filament, in Feed already; see work.balance
	Filled    float64  // volume laid ÷ volume of what is covered, after the balance: 1 for a solid layer
	Travels   []Travel // the way to each run of Order; nil: straight
	Order     []join.Operation
	Old       []deposit.Stroke // strokes that the pattern replaces
}

// Line is the bead of a job, resolved.
type Line struct {
	WidthMM, HeightMM, MinMM, MaxMM float64
	Feed                            bead.Feed
	EPerMM                          float64 // of a line of WidthMM
	SectionMM2                      float64 // plastic in its cross-section
	FlowMM3s                        float64 // at the job's speed
	FromPiece                       bool
}

// ByItself returns how wide one line is beside no neighbour, and in what width
// it then touches the plate, mm: its section taken as a rectangle with
// half-round ends (bead.Stadium). Both are 0 where so little is fed that it
// would be higher than wide.
func (l Line) ByItself() (widthMM, flatMM float64) {
	widthMM = bead.Stadium.Width(l.SectionMM2, l.HeightMM)
	if math.IsNaN(widthMM) {
		return 0, 0
	}
	return widthMM, bead.Stadium.Flat(widthMM, l.HeightMM)
}

// Make does one job; see Maker.Make.
func Make(ctx context.Context, p *piece.Piece, j job.Job, coarse bool, progress Progress) (*Made, error) {
	return new(Maker).Make(ctx, p, j, coarse, progress)
}

// Make does the job. The error is only ever the context's: everything else
// that stands in the way is a finding, and Made holds what was reached.
func (k *Maker) Make(ctx context.Context, p *piece.Piece, j job.Job, coarse bool, progress Progress) (*Made, error) {
	if progress == nil {
		progress = func(string, float64) {}
	}
	k.about(p)
	m := &Made{Job: j, Coarse: coarse}
	w := &work{Made: m, ctx: ctx, piece: p, progress: progress, maker: k}
	for _, stage := range []func() error{w.check, w.line, w.sharedFaces, w.sharedBeads, w.measure, w.operations, w.join, w.predict} {
		if err := stage(); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			f, ok := err.(finding.Finding)
			if !ok {
				f = finding.Finding{Code: "making-failed", Level: finding.Stop, Text: err.Error(), Remedy: "Change the setting that led here, or report it with a copy of the job."}
			}
			m.Findings.Add(f)
			return m, nil
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if m.Findings.Worst() == finding.Stop && len(m.Layers) > 0 && len(m.Layers[0].Strands) == 0 {
			return m, nil
		}
	}
	return m, nil
}

// work is a job under way.
type work struct {
	*Made
	ctx      context.Context
	piece    *piece.Piece
	progress Progress
	maker    *Maker
}

// check looks at what can be judged before any work.
func (w *work) check() error {
	if !w.piece.Settled() {
		w.Findings = append(w.Findings, w.piece.Findings...)
		return finding.Finding{Code: "making-no-piece", Level: finding.Stop,
			Text:   "The sliced file's first layer is not settled yet.",
			Remedy: "Choose where the first layer begins, or open another file.", Place: &finding.Place{File: "piece"}}
	}
	if need := w.piece.NeedLayers(w.Job.Layers.Count); need != nil {
		return *need
	}
	w.Findings = append(w.Findings, w.piece.Findings...)
	w.Findings = append(w.Findings, w.Job.Machine.Disagree(w.piece.Evidence)...)
	return nil
}

// line settles the bead: as in the piece, or the job's own.
func (w *work) line() error {
	b, m, foot := w.Job.Bead, w.Job.Machine, w.piece.Footprint
	height := w.piece.Layers[0].Height
	l := Line{WidthMM: b.WidthMM, HeightMM: height, FromPiece: b.Source == "piece"}
	if l.WidthMM == 0 {
		l.WidthMM = foot.PitchMM
	}
	l.MinMM, l.MaxMM = m.NozzleMM*b.MinWidthShare, m.NozzleMM*b.MaxWidthShare
	flow := b.FlowPercent / 100
	own := bead.Covering(height, m.FilamentDiameterMM, flow)
	l.Feed = own
	if l.FromPiece {
		feed, found := bead.FromPiece(foot.EPerMM, foot.PitchMM, height, foot.FilamentDiameterMM)
		w.Findings = append(w.Findings, found...)
		feed.Flow = flow
		l.Feed = feed
		if math.Abs(foot.FilamentDiameterMM-m.FilamentDiameterMM) > 0.01 {
			w.Findings.Add(finding.Finding{Code: "bead-diameter", Level: finding.Caution, Value: foot.FilamentDiameterMM, Unit: "mm",
				Text:   "The file counts its filament with another diameter than the machine's.",
				Remedy: "The file's is used; correct the machine if the file is right.", Place: &finding.Place{File: "job", Element: "machine.filamentDiameterMM"}})
		}
		if c := bead.Compare(feed, own, l.WidthMM); c.Level != finding.Note {
			w.Findings.Add(c)
		}
	} else if feed, found := bead.FromPiece(foot.EPerMM, foot.PitchMM, height, foot.FilamentDiameterMM); found.Worst() != finding.Stop {
		c := bead.Compare(feed, own, l.WidthMM) // the person chose it: shown, not held against them
		c.Level, c.Remedy = finding.Note, ""
		w.Findings.Add(c)
	}
	if b.HeightMM != 0 && math.Abs(b.HeightMM-height) > heightAgrees {
		w.Findings.Add(finding.Finding{Code: "bead-height", Level: finding.Caution, Value: height, Unit: "mm",
			Text:   "The first layer of the file is " + finding.Figure(height) + " mm high, not " + finding.Figure(b.HeightMM) + " mm.",
			Remedy: "The file's height is used; slice again if it is wrong.", Place: &finding.Place{File: "job", Element: "bead.heightMM"}})
	}
	settings := bead.Settings{NozzleMM: m.NozzleMM, HeightMM: height, SpacingMM: l.WidthMM, FilamentDiameterMM: l.Feed.FilamentDiameterMM,
		Flow: flow, SpeedMMs: b.SpeedMMs, DensityGCm3: b.DensityGCM3, Limits: w.limits()}
	if err := w.refused(settings.Validate()); err != nil {
		return err
	}
	l.EPerMM = l.Feed.EPerMM(l.WidthMM)
	l.SectionMM2 = bead.AreaFromE(l.EPerMM, l.Feed.FilamentDiameterMM)
	l.FlowMM3s = bead.VolumeFlow(l.SectionMM2, b.SpeedMMs)
	w.Line = l
	return nil
}

// heightAgrees (mm) is the difference of layer heights that no setting shows.
const heightAgrees = 0.005

// limits are the machine's for the bead, with the job's own widths.
func (w *work) limits() bead.Limits {
	l := w.Job.Machine.BeadLimits()
	l.MinWidthNozzles, l.MaxWidthNozzles = w.Job.Bead.MinWidthShare, w.Job.Bead.MaxWidthShare
	return l
}
