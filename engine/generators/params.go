package generators

import (
	"math"

	"sheenlay/engine/curves"
	"sheenlay/engine/pattern"
	"sheenlay/engine/tilings"
)

// minPitchMM is the least pitch of a curve: half a usual bead; finer lines
// cannot be laid side by side.
const minPitchMM = 0.2

// sizeOf is the parameter most patterns have.
func sizeOf(label string, usual, least, most float64, doc string) Param {
	return Param{Key: "sizeMM", Label: label, Unit: Millimetres, Default: usual, Min: least, Max: most, Step: 0.5, Doc: doc}
}

// turnOf turns the whole pattern.
func turnOf(usual float64) Param {
	return Param{Key: "turnDeg", Label: "Turn", Unit: Degrees, Default: usual, Min: -180, Max: 180, Step: 1,
		Doc: "Turns the whole pattern about the middle of the face, counter-clockwise."}
}

func choiceOf(key, label, doc string, choices ...string) Param {
	return Param{Key: key, Label: label, Max: float64(len(choices) - 1), Step: 1, Choices: choices, Doc: doc}
}

// usually returns the parameter with another default.
func (p Param) usually(value float64) Param {
	p.Default = value
	return p
}

func countOf(key, label string, usual, least, most float64, doc string) Param {
	return Param{Key: key, Label: label, Default: usual, Min: least, Max: most, Step: 1, Whole: true, Doc: doc}
}

func lengthOf(key, label string, usual, least, most, step float64, doc string) Param {
	return Param{Key: key, Label: label, Unit: Millimetres, Default: usual, Min: least, Max: most, Step: step, Doc: doc}
}

func degreesOf(key, label string, usual, least, most float64, doc string) Param {
	return Param{Key: key, Label: label, Unit: Degrees, Default: usual, Min: least, Max: most, Step: 1, Doc: doc}
}

func pitchParam() Param {
	return Param{Key: PitchKey, Label: "Line distance", Unit: Millimetres, Default: 0, Min: 0, Max: 20, Step: 0.01,
		Doc: "Distance of neighbouring lines; 0 takes the job's line spacing. More than that leaves gaps."}
}

// pitch returns the line distance of a curve.
func (v values) pitch() float64 {
	p := v[PitchKey]
	if p == 0 {
		return DefaultSpacingMM
	}
	return math.Max(p, minPitchMM)
}

// site is where the tilings of a call lie.
func (v values) site(on ground) tilings.Site {
	return tilings.Site{Anchor: on.face.Centre(), Turn: v.angle("turnDeg"), Box: on.part.Grow(marginMM)}
}

// curveSite is where the curves of a call lie.
func (v values) curveSite(on ground) curves.Site {
	return curves.Site{Anchor: on.face.Centre(), Turn: v.angle("turnDeg"), Box: on.part.Grow(marginMM), Whole: on.face.Grow(marginMM)}
}

// ofZones makes a pattern of zones.
func ofZones(zones []pattern.Zone, err error) (pattern.Pattern, error) {
	return pattern.Pattern{Zones: zones}, err
}

// ofCurves makes a pattern of curves.
func ofCurves(lines []pattern.Curve, err error) (pattern.Pattern, error) {
	return pattern.Pattern{Curves: lines}, err
}

// ofField makes a pattern of one zone, the part wanted and its margin, with a
// field.
func ofField(f pattern.Field, on ground) (pattern.Pattern, error) {
	zones := tilings.Straight(tilings.Site{Box: on.part.Grow(marginMM)})
	zones[0].Lay = pattern.Lay{Field: f}
	return pattern.Pattern{Zones: zones}, nil
}
