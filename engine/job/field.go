// Package job holds the whole of a job as data: which piece, which artwork,
// where, how thick, for which machine. A job file is JSON; the page and the
// native host read and write the same one. Every field stands in one table
// (Fields) with its unit, default and limits; reading, the page's cards, the
// documentation and the tests all take it from there.
package job

import (
	"math"

	"sheenlay/engine/machine"
)

// Version is the number a job file carries in its field "sheenlay".
const Version = 1

// Kind says what a field holds.
type Kind string

// The kinds of fields.
const (
	Number Kind = "number" // a JSON number
	Whole  Kind = "whole"  // a JSON number without fraction
	Choice Kind = "choice" // one of Choices
	Bool   Kind = "bool"   // true or false
	Text   Kind = "text"   // a string of at most Max bytes
	Lines  Kind = "lines"  // a list of whole numbers, at most Max long
	Table  Kind = "table"  // an object of numbers by name, at most Max entries
	Words  Kind = "words"  // an object of words by name, at most Max entries
	Areas  Kind = "areas"  // a list of rectangles [xMin, yMin, xMax, yMax], at most Max
)

// Option is one value of a Choice with the words a person reads.
type Option struct {
	Value string `json:"value"`
	Label string `json:"label"`
}

// Field describes one entry of a job file.
type Field struct {
	Path    string   `json:"path"`              // "bead.widthMM"
	Section string   `json:"section"`           // "bead"
	Label   string   `json:"label"`             // "Line width"
	Unit    string   `json:"unit,omitempty"`    // "mm", "deg", "mm/s", "%"; "" for none
	Kind    Kind     `json:"kind"`              //
	Default any      `json:"default"`           // value in force where the file has none
	Min     float64  `json:"min"`               // Number, Whole; entries of Lines and Table
	Max     float64  `json:"max"`               // same; for Text, Lines, Table, Words the longest
	Step    float64  `json:"step,omitempty"`    // one press of an arrow key
	Choices []Option `json:"choices,omitempty"` // of a Choice; permitted words of a Words
	Doc     string   `json:"doc"`               // one sentence for the card and the docs
	Zero    string   `json:"zero,omitempty"`    // what 0 means where it is permitted beside Min to Max
	Read    bool     `json:"read,omitempty"`    // may be prefilled from the sliced file
	Heavy   bool     `json:"heavy,omitempty"`   // content (artwork), never part of a link
	Private bool     `json:"private,omitempty"` // names a file of the person: never part of a link

	// Former are words of a Choice that older jobs and links hold, with the word
	// of now. They are read and never written.
	Former map[string]string `json:"-"`
}

const (
	mebi     = 1 << 20
	anyLine  = 1 << 40 // line numbers of a file, more than any file has
	noNumber = math.MaxInt32
)

func num(path, label, unit string, def, min, max, step float64, doc string) Field {
	return Field{Path: path, Label: label, Unit: unit, Kind: Number, Default: def, Min: min, Max: max, Step: step, Doc: doc}
}

func whole(path, label string, def, min, max float64, doc string) Field {
	return Field{Path: path, Label: label, Kind: Whole, Default: def, Min: min, Max: max, Step: 1, Doc: doc}
}

func choice(path, label, def, doc string, options ...Option) Field {
	return Field{Path: path, Label: label, Kind: Choice, Default: def, Choices: options, Doc: doc}
}

func flag(path, label string, def bool, doc string) Field {
	return Field{Path: path, Label: label, Kind: Bool, Default: def, Doc: doc}
}

func text(path, label, def string, max float64, doc string) Field {
	return Field{Path: path, Label: label, Kind: Text, Default: def, Max: max, Doc: doc}
}

func (f Field) read() Field { f.Read = true; return f }

func (f Field) zero(means string) Field { f.Zero = means; return f }

func (f Field) heavy() Field   { f.Heavy = true; return f }
func (f Field) private() Field { f.Private = true; return f }

// Fields returns the table of all fields in the order in which a job file
// lists them.
func Fields() []Field {
	var all []Field
	for _, part := range [][]Field{pieceFields(), artFields(), placementFields(), keepFields(),
		layersFields(), beadFields(), primeFields(), joinFields(), machineFields()} {
		all = append(all, part...)
	}
	for i := range all {
		for j, c := range all[i].Path {
			if c == '.' {
				all[i].Section = all[i].Path[:j]
				break
			}
		}
	}
	return all
}

// machineFields takes the machine's own table under the section "machine".
func machineFields() []Field {
	var out []Field
	for _, m := range machine.Fields() {
		out = append(out, fromMachine(m))
	}
	return out
}

func fromMachine(m machine.Field) Field {
	f := Field{Path: "machine." + m.Name, Label: m.Label, Unit: m.Unit, Kind: Kind(m.Kind),
		Min: m.Min, Max: m.Max, Step: m.Step, Doc: m.Doc, Read: m.Read, Former: m.Former}
	for _, c := range m.Choices {
		f.Choices = append(f.Choices, Option(c))
	}
	switch m.Kind {
	case machine.Number:
		f.Default = m.Default
	case machine.Choice, machine.Text:
		f.Default = m.DefaultWord
	case machine.Areas:
		f.Default = []any{}
	}
	return f
}
