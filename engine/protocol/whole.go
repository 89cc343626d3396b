package protocol

import (
	"encoding/json"
	"fmt"
	"math"

	"sheenlay/engine/claims"
	"sheenlay/engine/finding"
	"sheenlay/engine/making"
	"sheenlay/engine/motion"
	"sheenlay/engine/piece"
)

// againBytes is the size up to which a host does well to follow the file again
// when the machine was changed: about a second's work in a browser.
const againBytes = 64 << 20

// totals is the whole file before and after the change.
type totals struct {
	beforeS, afterS   float64 // s
	beforeMM, afterMM float64 // filament, mm
}

// totals returns the whole of the file with the job's layers in it; nil where
// nothing is joined, or the file was not followed to its end. The layers
// replaced and the new ones are planned with one set of limits, so that the
// difference holds whatever the rest was planned with.
func (s *Session) totals(m *making.Made) *totals {
	if s.whole == nil || !s.whole.Timed || m == nil || len(m.Join.Blocks) == 0 {
		return nil
	}
	t, w := m.Times, s.whole
	return &totals{w.TimeS, w.TimeS - t.OldS + t.NewS, w.FilamentMM, w.FilamentMM - t.OldFilamentMM + t.NewMM}
}

// wholeReport is what a report says of the whole file.
type wholeReport struct {
	Known bool   `json:"known"`
	Text  string `json:"text"` // a sentence or two
	// Again: the machine is no longer the one for which the file was followed,
	// and the file is small enough to be followed once more.
	Again bool `json:"again"`
}

// wholeOf says in words what the job makes of the whole file.
func (s *Session) wholeOf(m *making.Made) *wholeReport {
	if m == nil || len(m.Join.Blocks) == 0 {
		return nil
	}
	change := fmt.Sprintf("%s and %s", compared(m.Times.NewS-m.Times.OldS), moreFilament(m.Times.NewMM-m.Times.OldFilamentMM))
	all := s.totals(m)
	if all == nil {
		why := "its rest has not been followed yet"
		if s.piece.Size > piece.DeepBytes {
			why = "it is too large to be followed to its end"
		}
		return &wholeReport{Text: fmt.Sprintf("The time and the filament of the whole file are not known: %s. The new layer alone makes it %s.", why, change)}
	}
	out := &wholeReport{Known: true, Text: fmt.Sprintf("The finished file takes %s, the sliced one %s: %s. It feeds %.2f m of filament instead of %.2f m.",
		duration(all.afterS), duration(all.beforeS), change, all.afterMM/1000, all.beforeMM/1000)}
	if s.whole.Limits != m.Job.Machine.MotionLimits() {
		out.Again = s.piece.Size <= againBytes
		out.Text += " The time of the rest was worked out for the machine as it was set before; the difference is that of the machine of now."
	}
	return out
}

// compared says how much longer something takes.
func compared(seconds float64) string {
	const unseen = 0.5 // s: rounds to none
	switch {
	case math.Abs(seconds) < unseen:
		return "no longer and no shorter"
	case seconds < 0:
		return duration(-seconds) + " shorter"
	}
	return duration(seconds) + " longer"
}

func moreFilament(mm float64) string {
	const unseen = 0.5 // mm
	if math.Abs(mm) < unseen {
		return "with as much filament"
	}
	word, amount := "more", math.Abs(mm)
	if mm < 0 {
		word = "less"
	}
	if amount < 1000 {
		return fmt.Sprintf("with %.0f mm %s filament", amount, word)
	}
	return fmt.Sprintf("with %.2f m %s filament", amount/1000, word)
}

// claimsBroken lists what the file says about its time and filament that the
// new layer makes wrong; nothing until the whole file was surveyed.
func (s *Session) claimsBroken(m *making.Made) finding.List {
	all := s.totals(m)
	if all == nil {
		return nil
	}
	bounds := s.piece.Found.Layers
	return claims.Findings(claims.Wrong(s.whole.Claims, claims.Change{
		FirstLine: bounds[0].Line, NextLine: bounds[len(m.Layers)].Line,
		BeforeSeconds: all.beforeS, AfterSeconds: all.afterS, LayerAfterSeconds: m.Times.NewS,
		BeforeFilamentMM: all.beforeMM, AfterFilamentMM: all.afterMM,
		FilamentDiameterMM: m.Line.Feed.FilamentDiameterMM, DensityGCm3: m.Job.Bead.DensityGCM3,
	}))
}

// tailHot says where the rest of the file heats beyond what the machine takes.
// These are the maker's own bytes, which stay as they are, so that it is a
// caution; up to the tail the proof makes it a stop. Nothing until the whole
// file was surveyed.
func (s *Session) tailHot(m *making.Made) (found finding.List) {
	if s.totals(m) == nil {
		return nil
	}
	tail := s.piece.Found.Layers[len(m.Layers)].Line
	for _, h := range []struct {
		code, what, label string
		heat              piece.Heat
		limit             float64
	}{
		{"tail-nozzle-hot", "nozzle", "Hottest nozzle", s.whole.Nozzle, m.Job.Machine.MaxNozzleC},
		{"tail-bed-hot", "bed", "Hottest bed", s.whole.Bed, m.Job.Machine.MaxBedC},
	} {
		if h.heat.C <= h.limit || h.heat.Line < tail {
			continue
		}
		found.Add(finding.Finding{Code: h.code, Level: finding.Caution, Value: h.heat.C, Unit: "°C", Quote: h.heat.Quote,
			Text:   fmt.Sprintf("Above the pattern the file heats the %s to %s °C; this machine takes %s °C.", h.what, finding.Figure(h.heat.C), finding.Figure(h.limit)),
			Remedy: "That part of the file stays as it is: slice again with a temperature your machine takes, or correct “" + h.label + "” in the machine.",
			Place:  &finding.Place{File: "piece", Line: h.heat.Line, Offset: h.heat.Offset}})
	}
	return found
}

// ofTheWhole is everything that following the file to its end adds to a job's
// findings.
func (s *Session) ofTheWhole(m *making.Made) finding.List {
	return append(s.claimsBroken(m), s.tailHot(m)...)
}

// surveyMachine returns the limits of motion for which the file is followed:
// those of the job named, else of the job laid last, else the usual ones.
func (s *Session) surveyMachine(named json.RawMessage) (motion.Limits, error) {
	if len(named) > 0 && string(named) != "null" {
		j, _, err := s.readJob(named)
		return j.Machine.MotionLimits(), err
	}
	if s.machine != nil {
		return *s.machine, nil
	}
	return motion.DefaultLimits(), nil
}

// surveyed is the answer to a survey: what it found, and what that adds to the
// report of the job that was laid meanwhile.
type surveyed struct {
	piece.Surveyed
	Laid *laidWhole `json:"laid,omitempty"`
}

// laidWhole completes a report that was given before the file was surveyed.
type laidWhole struct {
	Whole    *wholeReport   `json:"whole"`
	Figures  map[string]any `json:"figures"`
	Findings finding.List   `json:"findings"`
}

// completed returns what the survey adds to the report of the last job; nil
// where there is none.
func (s *Session) completed() *laidWhole {
	if s.totals(s.made) == nil {
		return nil
	}
	return &laidWhole{s.wholeOf(s.made), figures(s.made, s.totals(s.made)), listed(s.ofTheWhole(s.made))}
}
