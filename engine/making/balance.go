package making

import (
	"fmt"
	"math"

	"sheenlay/engine/bead"
	"sheenlay/engine/coverage"
	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// balance settles the filament of a layer so that what is laid fills what is
// covered: places where beads meet twice, and connectors, would otherwise make
// the whole layer a little too full. Covered is the face without its open
// gaps, since narrower ones close by squeeze, and with what is spilled.
//
// Lines that are drawn one by one, and patterns that leave much of the face
// open or lie far apart, keep their filament: they do not make a solid layer. A
// pattern that is much too fine for its bead is refused.
func (w *work) balance(l *Layer, measured coverage.Result) {
	l.Balance = 1
	covered := measured.FaceMM2 - measured.Open.MM2 + measured.Spilled.MM2
	isSolid := w.isSolid(l, measured)
	if isSolid {
		laid := 0.0
		for _, s := range l.Strands {
			laid += s.LaidArea()
		}
		b := covered / laid
		if problem := unbalanced(b); problem != nil {
			w.Findings = append(w.Findings, atLayer(finding.List{*problem}, l)...)
			isSolid = math.Abs(b-1) <= tol.BalanceMost
		}
		if isSolid {
			l.Balance = b
			l.Feed.Flow *= b
		}
	}
	fed := 0.0
	for _, s := range l.Strands {
		for _, e := range l.Feed.AppendE(nil, s, zoneFlow(l)) {
			fed += e
		}
	}
	plain := l.Feed
	plain.Flow /= l.Balance
	filled, problem := bead.CheckTotal(fed, covered*flowShare(l), plain)
	l.Filled = filled
	if isSolid && problem != nil {
		w.Findings = append(w.Findings, atLayer(finding.List{*problem}, l)...)
	}
}

// isSolid reports whether the lines of a layer are meant to fill it.
func (w *work) isSolid(l *Layer, measured coverage.Result) bool {
	return w.Job.Art.Kind != "lines" && len(l.Strands) > 0 && measured.Open.MM2 <= tol.BalanceOpen*measured.FaceMM2
}

// unbalanced says what a balance means for the maker; nil where it is slight.
func unbalanced(b float64) *finding.Finding {
	off := math.Abs(b - 1)
	if off <= tol.BalanceSlight {
		return nil
	}
	f := finding.Finding{Code: "making-balance", Level: finding.Caution, Value: 100 * (b - 1), Unit: "%",
		Text:   fmt.Sprintf("The lines of this pattern meet so often that the layer is fed %.1f %% less filament than its lines would take one by one.", 100*off),
		Remedy: "Enlarge the pattern if single lines look thin.", Place: &finding.Place{File: "job", Element: "placement.scale"}}
	switch {
	case b > 1+tol.BalanceMost:
		f.Text = fmt.Sprintf("The lines of this pattern lie so far apart that they fill only %.0f %% of the layer; they keep their filament, and the gaps stay.", 100/b)
		f.Remedy = "Bring the lines nearer to each other, or use wider ones, if the layer should be solid."
	case b > 1:
		f.Text = fmt.Sprintf("The lines of this pattern leave so many narrow gaps that the layer is fed %.1f %% more filament, so that they close.", 100*off)
		f.Remedy = "Enlarge the pattern if single lines look thick."
	case off > tol.BalanceMost:
		f.Level = finding.Stop
		f.Text = fmt.Sprintf("The pattern is too fine for its line width: its lines would lay %.0f %% of what the face holds.", 100/b)
		f.Remedy = "Enlarge the pattern, or use thinner lines; a smallest step near the line width does this too."
	}
	return &f
}
