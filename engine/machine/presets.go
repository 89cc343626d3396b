package machine

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"

	"sheenlay/engine/finding"
)

// Schema names the form of a preset file. A later form that cannot be read as
// this one gets another number.
const Schema = "sheenlay-machines/1"

// Bounds of a preset file. They are generous for a person's presets and small
// enough that a hostile file costs nothing.
const (
	LargestFile = 256 << 10 // bytes
	MostPresets = 100
)

// WritePresets returns the presets as a file, fields in the order of the
// table, ending with a newline.
func WritePresets(list []Machine) ([]byte, error) {
	if list == nil {
		list = []Machine{}
	}
	data, err := json.MarshalIndent(struct {
		Schema  string    `json:"schema"`
		Presets []Machine `json:"presets"`
	}{Schema, list}, "", "  ")
	return append(data, '\n'), err
}

// ReadPresets reads a preset file. Every preset is validated; what is wrong is
// named with preset and field, and with any Stop among the findings no preset
// is returned. A field that is left out takes its default and is named in a
// Note.
func ReadPresets(data []byte) ([]Machine, finding.List) {
	r := reader{data: data}
	list := r.file()
	if r.found.Worst() == finding.Stop {
		return nil, r.found
	}
	return list, r.found
}

type reader struct {
	data  []byte
	found finding.List
}

func (r *reader) stop(code, element, text, remedy string) {
	r.found.Add(finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy,
		Place: &finding.Place{File: "presets", Element: element}})
}

// pair is one entry of a JSON object, in the order of the file.
type pair struct {
	key   string
	value json.RawMessage
}

var (
	errNoObject = errors.New("not an object")
	errTwice    = errors.New("twice")
)

// object splits a valid JSON value into the entries of an object and refuses a key that stands
// in it twice, of which encoding/json would silently take the last.
func object(data []byte) ([]pair, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	if open, err := d.Token(); err != nil {
		return nil, err
	} else if open != json.Delim('{') {
		return nil, errNoObject
	}
	var pairs []pair
	seen := map[string]bool{}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return nil, err
		}
		p := pair{key: key.(string)}
		if err := d.Decode(&p.value); err != nil {
			return nil, err
		}
		if seen[p.key] {
			return nil, fmt.Errorf("%q %w", shorten(p.key), errTwice)
		}
		seen[p.key] = true
		pairs = append(pairs, p)
	}
	return pairs, nil
}

func (r *reader) file() []Machine {
	rows, ok := r.rows()
	if !ok {
		return nil
	}
	var list []Machine
	names := map[string]int{}
	for i, row := range rows {
		m := r.preset(i, row)
		if first, ok := names[m.Name]; ok {
			r.stop("presets-name", fmt.Sprintf("presets[%d].name", i), fmt.Sprintf("Presets %d and %d have the same name %q.", first+1, i+1, shorten(m.Name)), "Rename one of them.")
		}
		names[m.Name] = i
		list = append(list, m)
	}
	return list
}

const wantPresets = "Choose a file that was saved with “Export all” on the card of the machine."

// rows returns the presets of a file unread, and whether it has the form of a
// preset file.
func (r *reader) rows() (rows []json.RawMessage, ok bool) {
	switch {
	case len(r.data) > LargestFile:
		r.stop("presets-size", "", fmt.Sprintf("The preset file has %d bytes; permitted are %d.", len(r.data), LargestFile), wantPresets)
		return nil, false
	case !utf8.Valid(r.data):
		r.stop("presets-form", "", "The preset file is not text.", wantPresets)
		return nil, false
	}
	// Checked as a whole first: only then are the offsets of errors counted
	// from the start of the file.
	if err := json.Unmarshal(r.data, new(json.RawMessage)); err != nil {
		r.form(err)
		return nil, false
	}
	pairs, err := object(r.data)
	if err != nil {
		r.form(err)
		return nil, false
	}
	schema, present := "", false
	for _, p := range pairs {
		switch p.key {
		case "schema":
			if json.Unmarshal(p.value, &schema) != nil {
				schema = string(p.value)
			}
		case "presets":
			present = true
			if json.Unmarshal(p.value, &rows) != nil {
				r.stop("presets-form", "presets", "\"presets\" is not a list.", wantPresets)
				return nil, false
			}
		default:
			r.stop("presets-unknown", shorten(p.key), fmt.Sprintf("The preset file has an unknown entry %q.", shorten(p.key)), "Remove it: only \"schema\" and \"presets\" are known.")
		}
	}
	if schema != Schema {
		r.stop("presets-schema", "schema", fmt.Sprintf("The preset file says it is %q; this page reads %q.", shorten(schema), Schema), wantPresets)
		return nil, false
	}
	if !present {
		r.stop("presets-form", "presets", "The preset file has no \"presets\".", wantPresets)
	}
	if len(rows) > MostPresets {
		r.stop("presets-size", "presets", fmt.Sprintf("The file has %d presets; permitted are %d.", len(rows), MostPresets), "Split the file.")
		return nil, false
	}
	return rows, true
}

// form reports a file that is not the JSON it should be, with line and column
// where the decoder knows them.
func (r *reader) form(err error) {
	f := finding.Finding{Code: "presets-form", Level: finding.Stop, Remedy: wantPresets, Place: &finding.Place{File: "presets"}}
	var syntax *json.SyntaxError
	switch {
	case len(bytes.TrimSpace(r.data)) == 0:
		f.Text = "The preset file is empty."
	case errors.As(err, &syntax):
		at := min(max(int(syntax.Offset)-1, 0), len(r.data))
		before := r.data[:at]
		f.Text = "The preset file is not JSON: " + syntax.Error() + "."
		f.Place.Line = 1 + bytes.Count(before, []byte("\n"))
		f.Place.Column = at - bytes.LastIndexByte(before, '\n')
		f.Place.Offset = int64(at)
	default:
		f.Text = "The preset file is not a JSON object: " + err.Error() + "."
	}
	r.found.Add(f)
}

// preset reads one machine and validates it.
func (r *reader) preset(index int, row json.RawMessage) Machine {
	m := Default()
	where := fmt.Sprintf("presets[%d]", index)
	pairs, err := object(row)
	if err != nil {
		r.stop("presets-form", where, fmt.Sprintf("Preset %d is not a JSON object with each name once: %v.", index+1, err), "Correct or remove it.")
		return m
	}
	fields := Fields()
	given := map[string]bool{}
	for _, p := range pairs {
		f, known := find(fields, p.key)
		if !known {
			remedy := "Remove it."
			if near := nearest(fields, p.key); near != "" {
				remedy = fmt.Sprintf("Remove it, or did you mean %q?", near)
			}
			r.stop("presets-unknown", where+"."+shorten(p.key), fmt.Sprintf("Preset %d has an unknown field %q.", index+1, shorten(p.key)), remedy)
			continue
		}
		given[p.key] = true
		if problem := f.set(&m, p.value); problem != "" {
			r.stop("presets-value", where+"."+p.key, fmt.Sprintf("Preset %d: %s %s.", index+1, f.Label, problem), f.permitted())
		}
	}
	if !given["name"] || m.Name == "" {
		r.stop("presets-name", where+".name", fmt.Sprintf("Preset %d has no name.", index+1), "Give it one.")
	}
	for _, f := range m.Validate() {
		f.Text = fmt.Sprintf("Preset %d (%s): %s", index+1, shorten(m.Name), f.Text)
		f.Place = &finding.Place{File: "presets", Element: where + f.Place.Element[len("machine"):]}
		r.found.Add(f)
	}
	for _, f := range fields {
		if !given[f.Name] && f.Kind != Text {
			r.found.Add(finding.Finding{Code: "presets-default", Level: finding.Note,
				Text:  fmt.Sprintf("Preset %d does not give %q; its default was taken.", index+1, f.Name),
				Place: &finding.Place{File: "presets", Element: where + "." + f.Name}})
		}
	}
	return m
}

func find(fields []Field, name string) (Field, bool) {
	for _, f := range fields {
		if f.Name == name {
			return f, true
		}
	}
	return Field{}, false
}

// nearest returns the field whose name is at most a third of its letters away
// from name, "" if there is none.
func nearest(fields []Field, name string) string {
	if len(name) > 2*longestName {
		return ""
	}
	best, bestDistance := "", len(name)/3+1
	for _, f := range fields {
		if d := levenshtein.ComputeDistance(f.Name, name); d < bestDistance {
			best, bestDistance = f.Name, d
		}
	}
	return best
}

// set stores a JSON value and returns what is wrong with its form, "" if
// nothing. Ranges are left to Validate.
func (f Field) set(m *Machine, value json.RawMessage) string {
	found := shorten(string(bytes.TrimSpace(value)))
	if found == "null" {
		return "is null"
	}
	switch f.Kind {
	case Number:
		if json.Unmarshal(value, f.number(m)) != nil {
			return fmt.Sprintf("is %s, which is not a usable number", found)
		}
	case Choice, Text:
		if json.Unmarshal(value, f.word(m)) != nil {
			return fmt.Sprintf("is %s, which is not a word in quotes", found)
		}
		*f.word(m) = f.Current(*f.word(m))
	case Areas:
		if err := json.Unmarshal(value, &m.KeepOut); err != nil {
			return fmt.Sprintf("are not usable: %v", err)
		}
	}
	return ""
}

// permitted says in a sentence what the field takes.
func (f Field) permitted() string {
	switch f.Kind {
	case Number:
		text := fmt.Sprintf("Give a number from %s to %s", finding.Figure(f.Min), finding.Figure(f.Max))
		if f.Unit != "" {
			text += " " + f.Unit
		}
		return text + "."
	case Choice:
		return badWord(f, "").Remedy
	case Areas:
		return "Give a list of [xMin, yMin, xMax, yMax]."
	}
	return fmt.Sprintf("Give at most %g characters.", f.Max)
}
