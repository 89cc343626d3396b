// Package generators is the list of patterns that are made from a few numbers:
// tilings, fields and curves, each with its parameters, their limits and their
// meaning. A page builds its controls from it; a job names a generator and its
// parameters by ID and Key.
package generators

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// Unit is the unit of a parameter as a person reads it.
type Unit string

// The units. Plain is a count, a share or a choice.
const (
	Millimetres Unit = "mm"
	Degrees     Unit = "deg"
	Plain       Unit = ""
)

// Param is one number that a person may set.
type Param struct {
	Key     string   `json:"key"`
	Label   string   `json:"label"`
	Unit    Unit     `json:"unit"`
	Default float64  `json:"default"`
	Min     float64  `json:"min"`
	Max     float64  `json:"max"`
	Step    float64  `json:"step"`              // of the control; values between are legal unless Choices or Whole
	Whole   bool     `json:"whole,omitempty"`   // must be a whole number
	Choices []string `json:"choices,omitempty"` // when set the value is an index into it
	Doc     string   `json:"doc"`
}

// Generator makes a pattern.
type Generator struct {
	ID     string  `json:"id"`    // kebab-case, stable: jobs refer to it
	Name   string  `json:"name"`  // as shown
	About  string  `json:"about"` // one sentence: where the name comes from, what it does in light
	Params []Param `json:"params"`
	Random bool    `json:"random"` // the seed changes the result

	build func(v values, seed uint64, on ground) (pattern.Pattern, error)
}

// PitchKey is the parameter that stands for the distance of neighbouring lines
// of a curve; its value 0 means the job's line spacing, see WithSpacing.
const PitchKey = "pitchMM"

// DefaultSpacingMM is the pitch of a curve whose pitchMM is 0 and for which no
// job's spacing was given. Reason: the usual line of a 0.4 mm nozzle (common
// practice, no published source).
const DefaultSpacingMM = 0.42

// marginMM is how far patterns reach beyond the box they are asked for. Reason:
// more than a bead, so that rounding at the outline never meets a bare edge.
const marginMM = 1.0

// maxFaceMM bounds the sides and the coordinates of a face, far above any
// plate, so that no count overflows.
const maxFaceMM = 2000

// values are the checked parameters of one call.
type values map[string]float64

// choice returns a parameter that is an index or a count.
func (v values) choice(key string) int { return int(v[key]) }

// angle returns a parameter given in degrees in radians.
func (v values) angle(key string) float64 { return v[key] * math.Pi / 180 }

// ground is where a pattern lies: the face that it is made for, in the middle of
// which it is anchored, and the part of it that is wanted.
type ground struct{ face, part plane.Box }

// whole returns the same with all of the face wanted.
func (g ground) whole() ground { return ground{g.face, g.face} }

// Build makes the pattern over face (mm, bed frame) and a margin beyond it,
// centred on it. Missing params take their defaults. Refused with a
// finding.Finding: unknown keys, values that are no number, out of range, or
// not whole where a count or choice is asked, a face that is not finite or too
// large, and sizes that would give more zones or points than can be laid. An
// empty face gives the empty pattern. The result depends on the arguments only;
// generators without Random ignore seed.
func (g Generator) Build(params map[string]float64, seed uint64, face plane.Box) (pattern.Pattern, error) {
	return g.BuildPart(params, seed, face, face)
}

// BuildPart makes what Build would make over face, but no more of it than part,
// a box within it, needs: within part the two are the same to the last bit. A
// pattern placed far off costs no more than one in the middle that way. Facets
// are the exception: their cells are the same, their lays are chosen among
// those that are made. Counts are bounded for the part alone.
func (g Generator) BuildPart(params map[string]float64, seed uint64, face, part plane.Box) (pattern.Pattern, error) {
	v, err := g.check(params)
	if err != nil {
		return pattern.Pattern{}, err
	}
	if face.Empty() || part.Empty() {
		return pattern.Pattern{}, nil
	}
	if !face.Min.Finite() || !face.Max.Finite() ||
		math.Max(math.Max(math.Abs(face.Min.X), math.Abs(face.Max.X)), math.Max(math.Abs(face.Min.Y), math.Abs(face.Max.Y))) > maxFaceMM {
		return pattern.Pattern{}, finding.Finding{
			Code: "generators-face", Level: finding.Stop,
			Text:   fmt.Sprintf("The face reaches from (%g, %g) to (%g, %g) mm; at most %d mm from the bed's origin can be covered.", face.Min.X, face.Min.Y, face.Max.X, face.Max.Y, maxFaceMM),
			Remedy: "Check the outline of the piece.",
		}
	}
	p, err := g.build(v, seed, ground{face, part})
	if err != nil {
		return pattern.Pattern{}, err
	}
	return p, nil
}

// check returns params with defaults filled in, or the first fault by key.
func (g Generator) check(params map[string]float64) (values, error) {
	v := values{}
	for _, p := range g.Params {
		v[p.Key] = p.Default
	}
	keys := make([]string, 0, len(params))
	for key := range params {
		keys = append(keys, key)
	}
	sort.Strings(keys)
	for _, key := range keys {
		k := slices.IndexFunc(g.Params, func(p Param) bool { return p.Key == key })
		if k < 0 {
			return nil, finding.Finding{
				Code: "generators-unknown-param", Level: finding.Stop,
				Text:   fmt.Sprintf("%s has no parameter named %q.", g.Name, key),
				Remedy: fmt.Sprintf("Use one of: %s.", strings.Join(g.keys(), ", ")),
				Place:  &finding.Place{File: "job", Element: key},
			}
		}
		value := params[key]
		if err := g.Params[k].check(g.Name, value); err != nil {
			return nil, err
		}
		v[key] = value
	}
	return v, nil
}

func (g Generator) keys() []string {
	out := make([]string, len(g.Params))
	for k, p := range g.Params {
		out[k] = p.Key
	}
	return out
}

func (p Param) check(of string, value float64) error {
	bad := finding.Finding{
		Code: "generators-param-range", Level: finding.Stop,
		Place: &finding.Place{File: "job", Element: p.Key}, Value: value, Unit: string(p.Unit),
	}
	switch whole := p.Whole || p.Choices != nil; {
	case math.IsNaN(value) || value < p.Min || value > p.Max:
		bad.Text = fmt.Sprintf("%s of %s (%s) is %g; it must lie between %g and %g%s.", p.Label, of, p.Key, value, p.Min, p.Max, p.Unit.spaced())
		bad.Remedy = fmt.Sprintf("Set %s to a value from %g to %g%s; %g is usual.", p.Key, p.Min, p.Max, p.Unit.spaced(), p.Default)
	case whole && value != math.Trunc(value):
		bad.Text = fmt.Sprintf("%s of %s (%s) is %g; it must be a whole number from %g to %g.", p.Label, of, p.Key, value, p.Min, p.Max)
		bad.Remedy = fmt.Sprintf("Set %s to %g or %g.", p.Key, math.Floor(value), math.Ceil(value))
	default:
		return nil
	}
	return bad
}

func (u Unit) spaced() string {
	if u == Plain {
		return ""
	}
	return " " + string(u)
}

// WithSpacing returns a copy of params in which a generator's pitch of 0 (or
// none) is replaced by the job's line spacing in mm, kept within the pitch's
// limits. Generators without a pitch get a plain copy.
func (g Generator) WithSpacing(params map[string]float64, spacingMM float64) map[string]float64 {
	out := make(map[string]float64, len(params)+1)
	for key, value := range params {
		out[key] = value
	}
	k := slices.IndexFunc(g.Params, func(p Param) bool { return p.Key == PitchKey })
	if k >= 0 && out[PitchKey] == 0 {
		out[PitchKey] = math.Max(minPitchMM, math.Min(spacingMM, g.Params[k].Max))
	}
	return out
}

// All returns the generators in the order in which a page offers them. The
// slice is the caller's own.
func All() []Generator {
	var out []Generator
	out = append(out, blocks()...)
	out = append(out, bricks()...)
	out = append(out, rounds()...)
	out = append(out, wild()...)
	out = append(out, lines()...)
	return out
}

// ByID returns the generator with an ID; the error is a finding.Finding that
// lists the IDs.
func ByID(id string) (Generator, error) {
	var ids []string
	for _, g := range All() {
		if g.ID == id {
			return g, nil
		}
		ids = append(ids, g.ID)
	}
	return Generator{}, finding.Finding{
		Code: "generators-unknown", Level: finding.Stop,
		Text:   fmt.Sprintf("There is no pattern named %q.", id),
		Remedy: "Use one of: " + strings.Join(ids, ", ") + ".",
		Place:  &finding.Place{File: "job", Element: "pattern"},
	}
}
