package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/agnivade/levenshtein"

	"sheenlay/engine/finding"
)

// MaxBytes bounds a job file: the largest artwork, doubled by JSON escapes,
// and room for the rest. A longer file is refused unread.
const MaxBytes = 64 * mebi

// Read reads a job file. Every unknown or unfit field is refused by name; then
// the job is not usable and the findings hold a Stop for each. Fields that the
// file leaves out take their default. Nothing is clamped or guessed.
func Read(data []byte) (Job, finding.List) { return ReadOn(data, nil) }

// ReadOn is Read for a job on a sliced file that shows some of its fields by
// itself: values by the path of a field. A field that the job leaves out, and
// that may be read (Field.Read), takes the value read; one that does not fit the
// field is passed over. The page shows the fields of a job in the same way.
func ReadOn(data []byte, read map[string]any) (Job, finding.List) {
	var found finding.List
	if len(data) > MaxBytes {
		found.Add(finding.Finding{Code: "job-too-large", Level: finding.Stop,
			Text:   fmt.Sprintf("The job file has %d bytes; at most %d are read.", len(data), MaxBytes),
			Remedy: "Use smaller artwork.", Place: &finding.Place{File: "job"}})
		return Job{}, found
	}
	tree, err := parse(data)
	if err != nil {
		found.Add(*err)
		return Job{}, found
	}
	return fromTree(tree, read)
}

// FromTree is Read for JSON that is already an object tree, as
// encoding/json makes it. The tree is not changed.
func FromTree(tree map[string]any) (Job, finding.List) { return fromTree(tree, nil) }

func fromTree(tree, read map[string]any) (Job, finding.List) {
	var found finding.List
	checkVersion(tree, &found)
	full := map[string]any{"sheenlay": Version}
	table := map[string]Field{}
	sections := map[string]bool{}
	for _, f := range Fields() {
		table[f.Path] = f
		sections[f.Section] = true
		set(full, f.Path, f.Default)
		if value, ok := read[f.Path]; ok && f.Read && f.check(value) == nil {
			set(full, f.Path, value)
		}
	}
	for _, section := range sortedKeys(tree) {
		if section == "sheenlay" {
			continue
		}
		if !sections[section] {
			found.Add(unknown(section, sections))
			continue
		}
		entries, ok := tree[section].(map[string]any)
		if !ok {
			found.Add(unfit(Field{Path: section}, "an object with named fields"))
			continue
		}
		for _, key := range sortedKeys(entries) {
			path := section + "." + key
			field, ok := table[path]
			if !ok {
				found.Add(unknown(path, table))
				continue
			}
			value := field.current(entries[key])
			if bad := field.check(value); bad != nil {
				found.Add(*bad)
				continue
			}
			set(full, path, value)
		}
	}
	if found.Worst() == finding.Stop {
		return Job{}, found
	}
	var job Job
	raw, err := json.Marshal(full)
	if err == nil {
		err = json.Unmarshal(raw, &job)
	}
	if err != nil { // the table and the struct disagree; a test holds them together
		found.Add(finding.Finding{Code: "job-unreadable", Level: finding.Stop, Text: "The job cannot be read: " + err.Error(), Place: &finding.Place{File: "job"}})
		return Job{}, found
	}
	found = append(found, job.Machine.Validate()...)
	return job, found
}

// Default returns the job in which every field has its default.
func Default() Job {
	job, _ := FromTree(map[string]any{"sheenlay": float64(Version)})
	return job
}

func parse(data []byte) (map[string]any, *finding.Finding) {
	dec := json.NewDecoder(bytes.NewReader(data))
	var tree map[string]any
	err := dec.Decode(&tree)
	if err == nil && dec.More() {
		err = errors.New("something follows after the end of the job")
	}
	if err == nil && tree == nil {
		err = errors.New("it holds no object")
	}
	if err == nil {
		return tree, nil
	}
	place := &finding.Place{File: "job"}
	offset := dec.InputOffset()
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		offset = syntax.Offset - 1 // it counts the byte at fault as read
	}
	place.Line, place.Column = lineColumn(data, offset)
	return nil, &finding.Finding{Code: "job-not-json", Level: finding.Stop,
		Text:   "This is not a job file: " + err.Error() + ".",
		Remedy: "Open a job file that was saved here, or correct the place named.", Place: place}
}

func lineColumn(data []byte, offset int64) (line, column int) {
	head := data[:max(0, min(offset, int64(len(data))))]
	return 1 + bytes.Count(head, []byte{'\n'}), len(head) - bytes.LastIndexByte(head, '\n')
}

func checkVersion(tree map[string]any, found *finding.List) {
	v, ok := tree["sheenlay"].(float64)
	switch {
	case !ok:
		found.Add(finding.Finding{Code: "job-version", Level: finding.Stop,
			Text:   "The field \"sheenlay\" with the version of the job format is missing.",
			Remedy: "Add \"sheenlay\": 1.", Place: &finding.Place{File: "job", Element: "sheenlay"}})
	case v != Version:
		found.Add(finding.Finding{Code: "job-version", Level: finding.Stop,
			Text:   fmt.Sprintf("The job has version %s; this program reads version %d.", finding.Figure(v), Version),
			Remedy: "Load a newer copy of the page.", Place: &finding.Place{File: "job", Element: "sheenlay"}})
	}
}

// unknown refuses a name and offers the nearest known one.
func unknown[T any](path string, known map[string]T) finding.Finding {
	best, distance := "", len(path)/2+1
	for _, name := range sortedKeys(known) {
		if d := levenshtein.ComputeDistance(path, name); d < distance {
			best, distance = name, d
		}
	}
	f := finding.Finding{Code: "job-unknown-field", Level: finding.Stop,
		Text:   fmt.Sprintf("The job has a field %q that this version does not know.", clip(path)),
		Remedy: "Take it out.", Place: &finding.Place{File: "job", Element: clip(path)}}
	if best != "" {
		f.Remedy = fmt.Sprintf("Did you mean %q? Otherwise take it out.", best)
	}
	return f
}

func unfit(f Field, want string) finding.Finding {
	return finding.Finding{Code: "job-unfit-field", Level: finding.Stop,
		Text:   fmt.Sprintf("The field %q does not hold %s.", clip(f.Path), want),
		Remedy: "Correct it or take it out; its default is used then.",
		Place:  &finding.Place{File: "job", Element: clip(f.Path)}}
}

// current returns the value of now for one that an older job may hold, and any
// other as it is.
func (f Field) current(v any) any {
	if word, ok := v.(string); ok {
		if now, old := f.Former[word]; old {
			return now
		}
	}
	return v
}

// Fits reports whether a value, as encoding/json reads it, is permitted.
func (f Field) Fits(v any) bool { return f.check(v) == nil }

// check returns nil when v fits the field.
func (f Field) check(v any) *finding.Finding {
	refuse := func(want string) *finding.Finding { g := unfit(f, want); return &g }
	switch f.Kind {
	case Number, Whole:
		n, ok := v.(float64)
		if !ok {
			return refuse("a number")
		}
		if f.Kind == Whole && n != math.Trunc(n) {
			return refuse("a whole number")
		}
		return f.inRange(f.Path, n)
	case Bool:
		if _, ok := v.(bool); !ok {
			return refuse("true or false")
		}
	case Choice:
		s, ok := v.(string)
		if !ok || !f.permits(s) {
			return refuse("one of " + f.choiceList())
		}
	case Text:
		s, ok := v.(string)
		if !ok {
			return refuse("a text")
		}
		if float64(len(s)) > f.Max {
			return refuse(fmt.Sprintf("a text of at most %.0f bytes", f.Max))
		}
	case Lines:
		list, ok := v.([]any)
		if !ok || float64(len(list)) > f.Max {
			return refuse(fmt.Sprintf("a list of at most %.0f whole numbers", f.Max))
		}
		for _, e := range list {
			n, ok := e.(float64)
			if !ok || n != math.Trunc(n) || n < 0 || n > anyLine {
				return refuse("a list of whole numbers from 0")
			}
		}
	case Areas:
		return f.checkAreas(v)
	case Table, Words:
		return f.checkEntries(v)
	}
	return nil
}

func (f Field) checkEntries(v any) *finding.Finding {
	refuse := func(want string) *finding.Finding { g := unfit(f, want); return &g }
	entries, ok := v.(map[string]any)
	if !ok || float64(len(entries)) > f.Max {
		return refuse(fmt.Sprintf("an object of at most %.0f entries", f.Max))
	}
	for _, key := range sortedKeys(entries) {
		if len(key) > 64 {
			return refuse("names of at most 64 bytes")
		}
		switch e := entries[key].(type) {
		case float64:
			if f.Kind != Table {
				return refuse("words")
			}
			if math.Abs(e) > math.Abs(f.Min) {
				return f.inEntryRange(key, e)
			}
		case string:
			if f.Kind != Words || !f.permits(e) {
				return refuse("one of " + f.choiceList())
			}
		default:
			return refuse("numbers or words by name")
		}
	}
	return nil
}

func (f Field) checkAreas(v any) *finding.Finding {
	refuse := func() *finding.Finding {
		g := unfit(f, fmt.Sprintf("a list of at most %.0f rectangles [xMin, yMin, xMax, yMax]", f.Max))
		return &g
	}
	list, ok := v.([]any)
	if !ok || float64(len(list)) > f.Max {
		return refuse()
	}
	for _, e := range list {
		corners, ok := e.([]any)
		if !ok || len(corners) != 4 {
			return refuse()
		}
		for _, c := range corners {
			if _, ok := c.(float64); !ok {
				return refuse()
			}
		}
	}
	return nil
}

func (f Field) inEntryRange(key string, n float64) *finding.Finding {
	limit := math.Abs(f.Min)
	bad, _ := finding.OutOfRange("job-out-of-range", f.Path+"."+clip(key), fmt.Sprintf("The entry %q of %q", clip(key), f.Path), n, -limit, limit, f.Unit)
	return &bad
}

func (f Field) inRange(path string, n float64) *finding.Finding {
	if n == 0 && f.Zero != "" {
		return nil
	}
	bad, out := finding.OutOfRange("job-out-of-range", path, fmt.Sprintf("The field %q (%s)", path, strings.ToLower(f.Label)), n, f.Min, f.Max, f.Unit)
	if !out {
		return nil
	}
	return &bad
}

func (f Field) permits(value string) bool {
	for _, c := range f.Choices {
		if c.Value == value {
			return true
		}
	}
	return false
}

func (f Field) choiceList() string {
	var words []string
	for _, c := range f.Choices {
		words = append(words, c.Value)
	}
	return strings.Join(words, ", ")
}

func set(tree map[string]any, path string, v any) {
	section, key, _ := strings.Cut(path, ".")
	entries, ok := tree[section].(map[string]any)
	if !ok {
		entries = map[string]any{}
		tree[section] = entries
	}
	entries[key] = v
}

func sortedKeys[T any](m map[string]T) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

func clip(s string) string {
	if len(s) > 80 {
		return s[:80] + "…"
	}
	return s
}
