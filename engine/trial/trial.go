// Package trial lays out a trial plate: a grid of small patches on the face of
// a flat piece, each with another spacing, flow, speed or lay angle, marked so
// that the finished print can be read, and the way back from the patch that
// looks best to the settings that made it.
package trial

import (
	"fmt"
	"math"

	"sheenlay/engine/bead"
	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Quantity is what may differ from patch to patch.
type Quantity string

// The quantities.
const (
	Spacing Quantity = "spacing" // distance of neighbouring lines, mm
	Flow    Quantity = "flow"    // factor on the job's flow
	Speed   Quantity = "speed"   // mm/s
	Lay     Quantity = "lay"     // lay angle, degrees, bed frame seen from above
	Nothing Quantity = "none"
)

// quantity says what the person reads and where a value goes.
type quantity struct {
	id          Quantity
	label, unit string
	jobField    string
	presetField string // of machine.Machine; "" where a machine has no such thing
}

var quantities = [...]quantity{
	{Spacing, "Line spacing", "mm", "bead.widthMM", "firstWidthMM"},
	{Flow, "Flow", "%", "bead.flowPercent", "flowPercent"},
	{Speed, "Speed", "mm/s", "bead.speedMMs", "speedMMs"},
	{Lay, "Lay angle", "deg", "art.groundDeg", ""},
}

func lookUp(q Quantity) (quantity, bool) {
	for _, known := range quantities {
		if known.id == q {
			return known, true
		}
	}
	return quantity{}, false
}

// Axis is one quantity in equal steps. Steps = 1 takes From alone.
type Axis struct {
	Quantity Quantity
	From, To float64
	Steps    int
}

// value returns the value of step i, from 0. The last is To exactly.
func (a Axis) value(i int) float64 {
	if a.Steps <= 1 {
		return a.From
	}
	if i == a.Steps-1 {
		return a.To
	}
	return a.From + (a.To-a.From)*float64(i)/float64(a.Steps-1)
}

// Marks is how the ticks are made.
type Marks string

// The ways of marking.
const (
	// Turned marks differ from the ground by their lay alone: nothing of the
	// one bead is given up, and they are read in raking light.
	Turned Marks = "turned"
	// Cut marks are left without material, one layer deep: they can be felt.
	Cut Marks = "cut"
	// Raised marks stand alone in a strip left without material. Each becomes
	// an island of its own and costs a travel.
	Raised Marks = "raised"
)

// Spec is what a trial plate is to show.
type Spec struct {
	Across, Down Axis // from column to column and from row to row; Down may be Nothing

	// What the job does where nothing is varied.
	SpacingMM   float64
	FlowPercent float64
	SpeedMMs    float64
	LayDegrees  float64
	HeightMM    float64

	NozzleMM float64
	Limits   bead.Limits

	Marks           Marks
	SmallestPatchMM float64 // a patch under this cannot be judged; 0 = tol.TrialPatch
	FromBelow       bool    // the face is seen from below, as a printed bottom face is
}

// Patch is one field of the plate.
type Patch struct {
	Name   string    // "B3": row letter, column number, as seen
	Row    int       // from 0 = A, at the top as seen
	Column int       // from 0, at the left as seen
	Box    plane.Box // bed frame, mm
	Values []Value   // what is varied, across first
}

// Value is one varied quantity of a patch, in the units of the job.
type Value struct {
	Quantity    Quantity
	Label       string
	Unit        string
	Value       float64
	JobField    string // "bead.widthMM"
	PresetField string // field of a machine preset, "" if none
}

// Plate is a trial plate laid on a face.
type Plate struct {
	Rows, Columns int
	Area          plane.Box // rectangle used, bed frame
	Patches       []Patch   // row by row, as seen
	// Pattern has a zone for each patch, named after it, in the bed frame and
	// already turned to the side it is seen from: it must not be placed or
	// mirrored again.
	Pattern pattern.Pattern
	// Without is what stays without material (Cut and Raised marks), normal
	// form; take it away from the face before filling.
	Without   plane.Region
	FromBelow bool
	Marks     Marks
}

// mostSteps bounds rows and columns: letters and ticks stay readable.
const mostSteps = 12

// Validate refuses, by name and with the permitted range, what cannot be
// tried. It does not look at the face.
func (s Spec) Validate() finding.List {
	settings := bead.Settings{NozzleMM: s.NozzleMM, HeightMM: s.HeightMM, SpacingMM: s.SpacingMM, FilamentDiameterMM: 1.75,
		Flow: s.FlowPercent / 100, SpeedMMs: s.SpeedMMs, DensityGCm3: 1, Limits: s.Limits}
	found := settings.Validate()
	c := check{&found}
	c.within("trial.lay", "The lay angle", s.LayDegrees, -360, 360, "deg")
	if s.SmallestPatchMM != 0 {
		c.within("trial.smallestPatchMM", "The smallest patch", s.SmallestPatchMM, 3, 200, "mm")
	}
	if s.Marks != Turned && s.Marks != Cut && s.Marks != Raised {
		c.stop("trial-marks", "trial.marks", fmt.Sprintf("The marks are %q; permitted are \"turned\", \"cut\" and \"raised\".", string(s.Marks)), "Choose one of them.")
	}
	usable := len(found) == 0
	c.axis(s, s.Across, "across", false)
	c.axis(s, s.Down, "down", true)
	if s.Across.Quantity == s.Down.Quantity {
		c.stop("trial-same", "trial.down", "Across and down vary the same quantity.", "Vary two different ones, or nothing down.")
	}
	if usable && found.Worst() != finding.Stop {
		c.volumeFlow(s, settings)
	}
	return found
}

type check struct{ found *finding.List }

func (c check) stop(code, field, text, remedy string) {
	c.found.Add(finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy, Place: &finding.Place{Element: field}})
}

func (c check) within(field, what string, value, low, high float64, unit string) {
	if f, out := finding.OutOfRange("trial-range", field, what, value, low, high, unit); out {
		c.found.Add(f)
	}
}

func (c check) axis(s Spec, a Axis, name string, mayBeNothing bool) {
	field := "trial." + name
	if a.Quantity == Nothing && mayBeNothing {
		return
	}
	q, ok := lookUp(a.Quantity)
	if !ok {
		c.stop("trial-quantity", field, fmt.Sprintf("What varies %s is %q; permitted are \"spacing\", \"flow\", \"speed\" and \"lay\".", name, string(a.Quantity)), "Choose one of them.")
		return
	}
	c.within(field+".steps", "The number of steps "+name, float64(a.Steps), 1, mostSteps, "")
	low, high, unit := 0.5, 2.0, ""
	switch a.Quantity {
	case Spacing:
		low, high, unit = s.Limits.MinWidthNozzles*s.NozzleMM, s.Limits.MaxWidthNozzles*s.NozzleMM, q.unit
	case Speed:
		low, high, unit = 1, 500, q.unit
	case Lay:
		low, high, unit = -360, 360, q.unit
	}
	c.within(field+".from", q.label+" "+name+", first,", a.From, low, high, unit)
	if a.Steps > 1 {
		c.within(field+".to", q.label+" "+name+", last,", a.To, low, high, unit)
		if a.From == a.To {
			c.stop("trial-no-range", field+".to", fmt.Sprintf("%s %s goes from %s to the same value.", q.label, name, finding.Figure(a.From)), "Give a range, or a single step.")
		} else if a.Quantity == Lay && math.Abs(math.Remainder(a.To-a.From, 180))*math.Pi/180 <= tol.LayAngle {
			c.found.Add(finding.Finding{Code: "trial-lay-repeats", Level: finding.Caution,
				Text:   fmt.Sprintf("The first and the last lay angle %s, %s and %s degrees, are the same direction.", name, finding.Figure(a.From), finding.Figure(a.To)),
				Remedy: "End the range one step earlier, say at 150 instead of 180 degrees.", Place: &finding.Place{Element: field + ".to"}})
		}
	}
}

// volumeFlow refuses a plate one of whose patches asks too much of the hot
// end, and names that patch.
func (c check) volumeFlow(s Spec, settings bead.Settings) {
	worst, at := 0.0, ""
	for row := range s.rows() {
		for column := range s.columns() {
			p := settings
			for _, v := range []struct {
				axis Axis
				step int
			}{{s.Across, column}, {s.Down, row}} {
				switch value := v.axis.value(v.step); v.axis.Quantity {
				case Spacing:
					p.SpacingMM = value
				case Flow:
					p.Flow *= value
				case Speed:
					p.SpeedMMs = value
				}
			}
			if flow := p.VolumeFlow(); flow > worst {
				worst, at = flow, patchName(row, column)
			}
		}
	}
	if worst > s.Limits.MaxFlowMM3s {
		c.found.Add(finding.Finding{Code: "trial-volume-flow", Level: finding.Stop,
			Text:   fmt.Sprintf("Patch %s takes %s mm³/s; permitted is up to %s mm³/s.", at, finding.Figure(worst), finding.Figure(s.Limits.MaxFlowMM3s)),
			Remedy: "Narrow the range of speed, flow or spacing.", Place: &finding.Place{Element: "trial." + at},
			Value: worst, Unit: "mm³/s"})
	}
}

func (s Spec) columns() int { return max(1, s.Across.Steps) }

func (s Spec) rows() int {
	if s.Down.Quantity == Nothing {
		return 1
	}
	return max(1, s.Down.Steps)
}

func patchName(row, column int) string {
	return fmt.Sprintf("%c%d", 'A'+row, column+1)
}

// values returns what is varied in a patch, in the units of the job.
func (s Spec) values(row, column int) []Value {
	var out []Value
	add := func(a Axis, step int) {
		q, ok := lookUp(a.Quantity)
		if !ok {
			return
		}
		v := a.value(step)
		if a.Quantity == Flow {
			v *= s.FlowPercent
		}
		out = append(out, Value{a.Quantity, q.label, q.unit, tidy(v), q.jobField, q.presetField})
	}
	add(s.Across, column)
	add(s.Down, row)
	return out
}

// tidy rounds away the noise of steps like 0.38 + 2·0.03; the value printed in
// the key is the value used.
func tidy(v float64) float64 { return math.Round(v*tol.TrialStepsPerUnit) / tol.TrialStepsPerUnit }
