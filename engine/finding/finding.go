// Package finding holds what the engine has to say about a file or a result:
// facts with a stable code, a level, a sentence, and a place that a page can
// point at. Errors that stop a job are findings too.
package finding

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Level says what a finding asks of the person.
type Level string

// The three levels, in rising order.
const (
	Note    Level = "note"    // good to know; nothing to do
	Caution Level = "caution" // look before you print
	Stop    Level = "stop"    // no file is offered until this is solved
)

// Place says where a finding is. Fields that do not apply stay zero; Line and
// Column count from 1, Offset counts bytes from 0.
type Place struct {
	File    string      `json:"file,omitempty"`    // "piece", "artwork", "job", "finished"
	Line    int         `json:"line,omitempty"`    // line number, from 1
	Column  int         `json:"column,omitempty"`  // byte column, from 1
	Offset  int64       `json:"offset,omitempty"`  // byte offset, from 0
	Element string      `json:"element,omitempty"` // SVG element (with its id) or job field by name
	At      *[2]float64 `json:"at,omitempty"`      // bed coordinates, mm
	Layer   int         `json:"layer,omitempty"`   // layer, from 1
}

// Finding is one thing found.
type Finding struct {
	Code   string  `json:"code"`             // stable, kebab-case, "package-fact"
	Level  Level   `json:"level"`            //
	Text   string  `json:"text"`             // what was found, in words, one sentence
	Remedy string  `json:"remedy,omitempty"` // what to do next
	Place  *Place  `json:"place,omitempty"`  // where; nil for the whole job
	Value  float64 `json:"value,omitempty"`  // the measured figure, if one
	Unit   string  `json:"unit,omitempty"`   // unit of Value
	Quote  string  `json:"quote,omitempty"`  // the text at the place, shortened
}

// Error makes a Finding usable as an error: what, then where, then what to do.
func (f Finding) Error() string {
	var b strings.Builder
	b.WriteString(f.Text)
	if f.Place != nil {
		if f.Place.Line > 0 {
			fmt.Fprintf(&b, " (line %d", f.Place.Line)
			if f.Place.Column > 0 {
				fmt.Fprintf(&b, ", column %d", f.Place.Column)
			}
			b.WriteString(")")
		} else if f.Place.Element != "" {
			fmt.Fprintf(&b, " (at %s)", f.Place.Element)
		}
	}
	if f.Remedy != "" {
		b.WriteString(" ")
		b.WriteString(f.Remedy)
	}
	return b.String()
}

// List collects findings in the order found.
type List []Finding

// Add appends f.
func (l *List) Add(f Finding) { *l = append(*l, f) }

// Worst returns the highest level in the list; Note for an empty one.
func (l List) Worst() Level {
	worst := Note
	for _, f := range l {
		if f.Level == Stop {
			return Stop
		}
		if f.Level == Caution {
			worst = Caution
		}
	}
	return worst
}

// Has reports whether the list holds a finding with this code.
func (l List) Has(code string) bool {
	for _, f := range l {
		if f.Code == code {
			return true
		}
	}
	return false
}

// Some writes a number before the words for one or for more: "1 travel crosses",
// "3 travels cross".
func Some(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// longestQuote is the number of characters of a file that a finding quotes.
const longestQuote = 60

// Quoted makes a piece of a file fit into a sentence: its first characters, an
// ellipsis when there were more, and "·" for what is no text.
func Quoted(s string) string {
	var b strings.Builder
	n := 0
	for _, r := range s {
		if n == longestQuote {
			b.WriteRune('…')
			break
		}
		if unicode.IsControl(r) || r == utf8.RuneError {
			r = '·'
		}
		b.WriteRune(r)
		n++
	}
	return b.String()
}
