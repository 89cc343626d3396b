package protocol

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/machine"
)

// badNumber is what stands in a file where a number should, as JSON text.
type badNumber struct {
	text    string
	isRange bool // a number, but out of range: the permitted one is told
	isForm  bool // no JSON number at all
}

// badNumbers are the texts that no field takes: beyond each end of its range by
// the least that shows and by all that can be written, nothing, negative, and
// what is no number.
func badNumbers(f job.Field) []badNumber {
	number := func(v float64) badNumber {
		raw, _ := json.Marshal(v)
		return badNumber{text: string(raw), isRange: true}
	}
	out := []badNumber{number(1e308), number(-1e308)}
	least := 1.0 // of a whole number
	if f.Kind == job.Number {
		least = math.Max(math.Abs(f.Max), math.Abs(f.Min)) * 1e-9
	}
	if below := f.Min - least; below != 0 || f.Zero == "" {
		out = append(out, number(below))
	}
	out = append(out, number(f.Max+least))
	if f.Min > 0 {
		out = append(out, number(-f.Min))
		if f.Zero == "" {
			out = append(out, badNumber{text: "0", isRange: true}, badNumber{text: "-0", isRange: true})
		}
	}
	for _, text := range []string{`"NaN"`, `"Infinity"`, `"-Infinity"`, `"0.4"`, `""`, `true`, `null`, `[]`, `{}`, `[1]`} {
		out = append(out, badNumber{text: text})
	}
	for _, text := range []string{`NaN`, `Infinity`, `-Infinity`, `1e999`, `-1e999`, `0x10`, `1,5`, `.5`, `+1`} {
		out = append(out, badNumber{text: text, isForm: true})
	}
	return out
}

// linkOf packs settings into a link's text, as anyone can.
func linkOf(t *testing.T, plain string) string {
	t.Helper()
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.NoCompression)
	require.NoError(t, err)
	_, err = w.Write([]byte(plain))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return "1." + base64.RawURLEncoding.EncodeToString(packed.Bytes())
}

// refusals asks a door and returns what it says that stops, and whether it gave
// any settings nevertheless.
type door struct {
	name string
	asks func(t *testing.T, f job.Field, text string) (stops finding.List, gave bool)
	has  func(f job.Field) bool
}

func stopsIn(t *testing.T, tree map[string]any) finding.List {
	t.Helper()
	list := []any{}
	if tree["error"] != nil {
		list = append(list, tree["error"])
	} else {
		list = tree["result"].(map[string]any)["findings"].([]any)
	}
	raw, err := json.Marshal(list)
	require.NoError(t, err)
	var all, stops finding.List
	require.NoError(t, json.Unmarshal(raw, &all))
	for _, f := range all {
		if f.Level == finding.Stop {
			stops.Add(f)
		}
	}
	return stops
}

func doors() []door {
	ask := func(t *testing.T, op string, args map[string]any) map[string]any {
		raw, err := json.Marshal(args)
		require.NoError(t, err)
		tree, _ := walk(t, NewSession(), op, string(raw))
		return tree
	}
	inJob := func(f job.Field, text string) string {
		return fmt.Sprintf(`{"sheenlay":1,%q:{%q:%s}}`, f.Section, strings.TrimPrefix(f.Path, f.Section+"."), text)
	}
	return []door{
		{"job file", func(t *testing.T, f job.Field, text string) (finding.List, bool) {
			// What is no JSON never reaches a request; the host reads the file by
			// the same reader.
			if _, found := job.Read([]byte(inJob(f, text))); !json.Valid([]byte(inJob(f, text))) {
				return found, false
			}
			tree := ask(t, "job.check", map[string]any{"job": json.RawMessage(inJob(f, text))})
			given, _ := tree["result"].(map[string]any)
			return stopsIn(t, tree), given["job"] != nil
		}, func(job.Field) bool { return true }},
		{"link", func(t *testing.T, f job.Field, text string) (finding.List, bool) {
			tree := ask(t, "link.decode", map[string]any{"text": linkOf(t, fmt.Sprintf(`{%q:%s}`, f.Path, text))})
			return stopsIn(t, tree), tree["result"] != nil
		}, func(f job.Field) bool { return !f.Private && !f.Heavy }},
		{"preset", func(t *testing.T, f job.Field, text string) (finding.List, bool) {
			file := fmt.Sprintf(`{"schema":%q,"presets":[{"name":"mine",%q:%s}]}`, machine.Schema, strings.TrimPrefix(f.Path, "machine."), text)
			tree := ask(t, "preset.read", map[string]any{"text": file})
			return stopsIn(t, tree), tree["result"].(map[string]any)["presets"] != nil
		}, func(f job.Field) bool { return f.Section == "machine" }},
	}
}

// Every number of the table, at every door, with everything that it cannot be:
// refused by the name of its field with the permitted range, and nothing of the
// rest taken. 3,500 numbers; every fifth field in short mode.
func TestEveryNumberIsRefusedAtEveryDoor(t *testing.T) {
	asked := 0
	for _, d := range doors() {
		t.Run(d.name, func(t *testing.T) {
			for i, f := range job.Fields() {
				if f.Kind != job.Number && f.Kind != job.Whole || !d.has(f) || testing.Short() && i%5 != 0 {
					continue
				}
				name := strings.TrimPrefix(f.Path, "machine.")
				for _, bad := range badNumbers(f) {
					if bad.isForm && i%7 != 0 {
						continue // text that is no JSON is refused before any field is looked at
					}
					asked++
					what := fmt.Sprintf("%s = %s", f.Path, bad.text)
					stops, gave := d.asks(t, f, bad.text)
					require.False(t, gave, what)
					require.NotEmpty(t, stops, what)
					first := stops[0]
					assert.NotEmpty(t, first.Text, what)
					assert.NotEmpty(t, first.Remedy, what)
					if bad.isForm {
						continue // no field can be named where the file has no form
					}
					require.NotNil(t, first.Place, what)
					assert.Contains(t, first.Place.Element, name, what)
					if bad.isRange {
						assert.Contains(t, first.Text, "permitted is "+finding.Figure(f.Min)+" to "+finding.Figure(f.Max), what)
					}
				}
			}
		})
	}
	assert.Greater(t, asked, 500)
	t.Logf("%d numbers refused", asked)
}

// The table of bad numbers would notice a door that lets one in: everything
// that is permitted goes through, at both ends of every range.
func TestEveryPermittedNumberGoesThrough(t *testing.T) {
	for _, d := range doors() {
		for _, f := range job.Fields() {
			if f.Kind != job.Number && f.Kind != job.Whole || !d.has(f) {
				continue
			}
			for _, v := range []float64{f.Min, f.Max} {
				raw, _ := json.Marshal(v)
				stops, _ := d.asks(t, f, string(raw))
				for _, s := range stops {
					assert.Equal(t, "machine-pair", s.Code, "%s, %s = %s: only numbers that contradict others are refused", d.name, f.Path, raw)
				}
			}
		}
	}
}
