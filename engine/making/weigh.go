package making

import (
	"fmt"

	"sheenlay/engine/coverage"
	"sheenlay/engine/finding"
)

// A blemish is worth a caution only when it can be seen on the finished face
// or felt in the hand. Below these shares and sizes it stays as a note, with
// its figure and its place. Our own choice, after prints are held at arm's
// length: common practice, no published source.
const (
	slightLength = 0.01  // share of the bead's length
	slightWidths = 0.03  // the same for line that is thinner or wider than one bead, within what the nozzle lays
	slightStart  = 20.0  // mm: a drawn-back nozzle hardly drips on so short a travel
	slightArea   = 0.004 // share of the face: the target for open gaps
	slightSpot   = 1.0   // mm²: a pinhead
	slightSpill  = 0.002 // share of the face: the target for spilled bead
)

// partlyPercent of the face is what artwork covers at least; below it no gap
// between lines is what leaves the face bare, but the artwork itself.
const partlyPercent = 90.0

// weigh turns cautions about slight blemishes of a layer into notes, and says it
// in one sentence where a good part of the face stays bare.
func weigh(list finding.List, l *Layer, c coverage.Result) finding.List {
	length := l.Stats.LengthMM
	for i := range list {
		f := &list[i]
		slight := false
		if f.Code == "coverage-open-spot" && c.Covered.Percent < partlyPercent {
			f.Code, f.Value, f.Unit = "making-partly-covered", c.Covered.Percent, "%"
			f.Text = fmt.Sprintf("Only %.0f %% of the face is covered; the rest of it stays bare, and the next layer finds nothing to lie on there.", c.Covered.Percent)
			f.Remedy = "Make the artwork larger or move it until it covers the face, or choose a pattern that does."
			continue
		}
		switch f.Code {
		case "coverage-lines-close", "coverage-lines-far", "coverage-short-pieces":
			slight = f.Unit == "mm" && f.Value < slightLength*length
		case "coverage-line-width":
			slight = f.Value < slightWidths*length
		case "coverage-start":
			slight = f.Value < slightStart
		case "coverage-open-spot":
			slight = f.Value < slightSpot && c.Open.MM2 < slightArea*c.FaceMM2
		case "coverage-excess":
			slight = c.Spilled.MM2 < slightSpill*c.FaceMM2
		}
		if slight && f.Level == finding.Caution {
			f.Level = finding.Note
		}
	}
	return list
}
