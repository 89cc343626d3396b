package drawing

import (
	"fmt"

	"sheenlay/engine/finding"
)

// notebook gathers findings. What is found many times becomes one finding
// with a count and the place of the first.
type notebook struct {
	order []string
	found map[string]*tally
}

type tally struct {
	finding finding.Finding
	what    string // the sentence without its count
	unit    string // what is counted, singular
	count   int
}

func newNotebook() *notebook { return &notebook{found: map[string]*tally{}} }

// add notes something found at an element.
func (b *notebook) add(code string, level finding.Level, what, remedy string, n *node) {
	b.addAt(code, level, what, "element", remedy, n.place())
}

// addQuoting notes something found at an element and quotes the first of it.
func (b *notebook) addQuoting(code string, level finding.Level, what, remedy, text string, n *node) {
	if key := code + "\x00" + what; b.found[key] == nil {
		b.add(code, level, what, remedy, n)
		b.found[key].finding.Quote = finding.Quoted(text)
		return
	}
	b.add(code, level, what, remedy, n)
}

// addAt notes something found at a place. One code with two texts counts as
// two things.
func (b *notebook) addAt(code string, level finding.Level, what, unit, remedy string, place *finding.Place) {
	key := code + "\x00" + what
	t := b.found[key]
	if t == nil {
		t = &tally{what: what, unit: unit, finding: finding.Finding{Code: code, Level: level, Remedy: remedy, Place: place}}
		b.found[key] = t
		b.order = append(b.order, key)
	}
	t.count++
}

// list returns the findings in the order first found.
func (b *notebook) list() finding.List {
	var out finding.List
	for _, key := range b.order {
		t := b.found[key]
		f := t.finding
		f.Text = t.what + "."
		if t.count > 1 {
			f.Text = fmt.Sprintf("%s: %d %ss, the first at this place.", t.what, t.count, t.unit)
		}
		if t.unit != "" {
			f.Value, f.Unit = float64(t.count), t.unit+"s"
		}
		out.Add(f)
	}
	return out
}
