package gcode

import (
	"fmt"

	"sheenlay/engine/finding"
)

// maxLogged bounds the kinds of findings one reader keeps.
const maxLogged = 64

// maxQuote is the number of bytes of a line that a finding quotes.
const maxQuote = 60

// Log collects findings about lines: one per code, with the place of the first
// and the number of all, so that a bad file of a million lines gives a short
// report. The zero Log is ready.
type Log struct {
	items  []finding.Finding
	counts []int
}

// Add notes a finding at a line. Column is a byte column from 1, or 0.
func (g *Log) Add(code string, level finding.Level, l *Line, column int, text, remedy string) {
	for i := range g.items {
		if g.items[i].Code == code {
			g.counts[i]++
			return
		}
	}
	if len(g.items) == maxLogged {
		return
	}
	g.items = append(g.items, finding.Finding{
		Code: code, Level: level, Text: text, Remedy: remedy, Quote: quote(l.Raw),
		Place: &finding.Place{File: "piece", Line: l.Number, Column: column, Offset: l.Offset},
	})
	g.counts = append(g.counts, 1)
}

// Findings returns the findings in the order first found. Value holds the
// number of lines where it is more than one.
func (g *Log) Findings() finding.List {
	out := make(finding.List, len(g.items))
	for i, f := range g.items {
		if g.counts[i] > 1 {
			f.Value, f.Unit = float64(g.counts[i]), "lines"
			f.Text = fmt.Sprintf("%s This is the first of %d such lines.", f.Text, g.counts[i])
		}
		place := *f.Place
		f.Place = &place
		out[i] = f
	}
	return out
}

// quote returns the start of a line as text that can be shown: bytes that are
// no text become "·".
func quote(raw []byte) string {
	out := make([]rune, 0, maxQuote)
	for _, r := range string(raw[:min(len(raw), 4*maxQuote)]) {
		if len(out) == maxQuote {
			return string(out) + "…"
		}
		if r < ' ' || r == '\ufffd' || r == 0x7f {
			r = '·'
		}
		out = append(out, r)
	}
	return string(out)
}

// troubles are the findings of what can be wrong with a line by itself.
var troubles = []struct {
	bit          Trouble
	code         string
	level        finding.Level
	text, remedy string
}{
	{BadChecksum, "gcode-checksum", finding.Caution, "The checksum of a line does not fit its bytes.", "The file may be damaged: slice it again, or copy it again."},
	{BadNumber, "gcode-number", finding.Caution, "A number cannot be read.", "Look at the line; its word is ignored here."},
	{Exponent, "gcode-exponent", finding.Caution, "A number seems to be written with an exponent, which G-code does not have; it is read as an E word.", "Have the number written without exponent: machines read this in different ways."},
	{BlankInNumber, "gcode-blank-in-number", finding.Note, "A number has blanks inside. The standard joins its parts, and so does this reading; some machines stop at the blank.", "Remove the blanks if the line is yours."},
	{StrayByte, "gcode-stray", finding.Caution, "A line holds characters that belong to no word.", "Look at the line; they are ignored here."},
	{Expression, "gcode-expression", finding.Stop, "A line uses parameters or expressions (# or [ ]), which are not evaluated here.", "Have the values written out by the program that makes the file."},
	{TooManyWords, "gcode-words", finding.Caution, "A line has more words than any machine reads.", "Look at the line; the rest of it is ignored here."},
	{TooLong, "gcode-long-line", finding.Caution, "A line is longer than 65,536 bytes; its words are not read.", "Check that the file is G-code and not damaged."},
	{OpenComment, "gcode-open-comment", finding.Note, "A comment opens with ( and is not closed on its line.", "It is taken to reach the end of the line."},
	{NestedComment, "gcode-nested-comment", finding.Note, "A comment holds another opening parenthesis.", "It ends at the first closing one."},
	{BadLineNumber, "gcode-line-number", finding.Note, "A line number is not a plain whole number.", "Look at the line."},
	{RepeatedLetter, "gcode-repeated-letter", finding.Caution, "A letter stands twice on one line; the last one counts here.", "Look at the line: machines may take the first."},
}

// NoteLine adds the findings about the line itself. A comment may be of any
// length: it has no words that would not be read.
func (g *Log) NoteLine(l *Line) {
	trouble := l.Trouble
	if l.Is(HasComment) {
		trouble &^= TooLong
	}
	for _, t := range troubles {
		if trouble&t.bit != 0 {
			g.Add(t.code, t.level, l, l.Column, t.text, t.remedy)
		}
	}
}
