package job

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/machine"
)

// structPaths lists the JSON paths of a struct, section by section.
func structPaths(v any) map[string]bool {
	paths := map[string]bool{}
	outer := reflect.TypeOf(v)
	for i := range outer.NumField() {
		section := outer.Field(i)
		name := section.Tag.Get("json")
		if section.Type.Kind() != reflect.Struct {
			continue
		}
		for j := range section.Type.NumField() {
			paths[name+"."+section.Type.Field(j).Tag.Get("json")] = true
		}
	}
	return paths
}

func TestTableAndStructAgree(t *testing.T) {
	table := map[string]bool{}
	for _, f := range Fields() {
		assert.False(t, table[f.Path], "%s stands twice", f.Path)
		table[f.Path] = true
	}
	assert.Equal(t, table, structPaths(Job{}))
}

func TestEveryFieldIsDocumentedAndItsDefaultFits(t *testing.T) {
	for _, f := range Fields() {
		t.Run(f.Path, func(t *testing.T) {
			assert.NotEmpty(t, f.Label)
			assert.True(t, strings.HasSuffix(f.Doc, "."), "doc is a sentence: %q", f.Doc)
			raw, err := json.Marshal(f.Default)
			require.NoError(t, err)
			var v any
			require.NoError(t, json.Unmarshal(raw, &v))
			assert.Nil(t, f.check(v), "default %v", f.Default)
		})
	}
}

func TestDefaultsAreFilledIn(t *testing.T) {
	job, found := Read([]byte(`{"sheenlay": 1}`))
	require.Empty(t, found)
	assert.Equal(t, 20.0, job.Bead.SpeedMMs)
	assert.Zero(t, job.Bead.WidthMM, "0: as in the sliced file")
	assert.Equal(t, "tumbling-blocks", job.Art.Generator)
	assert.Equal(t, 220.0, job.Machine.BedWidthMM)
	assert.Equal(t, Default(), job)
}

func TestRead(t *testing.T) {
	for _, row := range []struct{ name, text, code, element string }{
		{"empty", ``, "job-not-json", ""},
		{"not an object", `[1]`, "job-not-json", ""},
		{"null", `null`, "job-not-json", ""},
		{"cut short", `{"sheenlay": 1,`, "job-not-json", ""},
		{"two jobs", `{"sheenlay": 1} {}`, "job-not-json", ""},
		{"no version", `{}`, "job-version", "sheenlay"},
		{"newer version", `{"sheenlay": 2}`, "job-version", "sheenlay"},
		{"unknown section", `{"sheenlay": 1, "beat": {}}`, "job-unknown-field", "beat"},
		{"unknown field", `{"sheenlay": 1, "bead": {"withMM": 1}}`, "job-unknown-field", "bead.withMM"},
		{"section is a number", `{"sheenlay": 1, "bead": 3}`, "job-unfit-field", "bead"},
		{"too wide", `{"sheenlay": 1, "bead": {"widthMM": 3.5}}`, "job-out-of-range", "bead.widthMM"},
		{"word for number", `{"sheenlay": 1, "bead": {"widthMM": "wide"}}`, "job-unfit-field", "bead.widthMM"},
		{"half a wall", `{"sheenlay": 1, "keep": {"walls": 1.5}}`, "job-unfit-field", "keep.walls"},
		{"unknown choice", `{"sheenlay": 1, "prime": {"side": "under"}}`, "job-unfit-field", "prime.side"},
		{"flag as number", `{"sheenlay": 1, "keep": {"around": 1}}`, "job-unfit-field", "keep.around"},
		{"negative island", `{"sheenlay": 1, "piece": {"islands": [-1]}}`, "job-unfit-field", "piece.islands"},
		{"class unknown", `{"sheenlay": 1, "piece": {"classes": {"3": "roof"}}}`, "job-unfit-field", "piece.classes"},
		{"parameter is a word", `{"sheenlay": 1, "art": {"params": {"sizeMM": "x"}}}`, "job-unfit-field", "art.params"},
		{"lay beyond a turn", `{"sheenlay": 1, "art": {"lays": {"kind:0": 1e9}}}`, "job-out-of-range", "art.lays.kind:0"},
		{"hot", `{"sheenlay": 1, "machine": {"maxNozzleC": 500}}`, "job-out-of-range", "machine.maxNozzleC"},
		{"areas", `{"sheenlay": 1, "machine": {"keepOut": [[1,2,3]]}}`, "job-unfit-field", "machine.keepOut"},
	} {
		t.Run(row.name, func(t *testing.T) {
			job, found := Read([]byte(row.text))
			require.NotEmpty(t, found)
			assert.Equal(t, row.code, found[0].Code)
			assert.Equal(t, finding.Stop, found[0].Level)
			assert.NotEmpty(t, found[0].Remedy)
			assert.Equal(t, row.element, found[0].Place.Element)
			assert.Equal(t, Job{}, job, "nothing half-read")
		})
	}
}

// Words that older jobs hold mean what they meant then: "e" was the default and
// stood for the file's own way.
func TestFormerWordsAreRead(t *testing.T) {
	for word, want := range map[string]string{
		"e": machine.AsFile, "file": machine.AsFile, "filament": machine.ByE, "command": machine.ByCommand, "none": machine.Never,
	} {
		job, found := Read([]byte(`{"sheenlay": 1, "machine": {"retractBy": "` + word + `"}}`))
		require.Empty(t, found, word)
		assert.Equal(t, want, job.Machine.RetractBy, word)
		raw, err := json.Marshal(job)
		require.NoError(t, err)
		assert.Contains(t, string(raw), `"retractBy":"`+want+`"`)
	}
	_, found := Read([]byte(`{"sheenlay": 1, "machine": {"retractBy": "E"}}`))
	assert.True(t, found.Has("job-unfit-field"))
	assert.Equal(t, machine.AsFile, Default().Machine.RetractBy)
}

func TestEveryBadFieldIsNamed(t *testing.T) {
	_, found := Read([]byte(`{"sheenlay": 1, "bead": {"widthMM": 9, "colour": 1}, "keep": {"walls": 7}}`))
	var elements []string
	for _, f := range found {
		elements = append(elements, f.Place.Element)
	}
	assert.Equal(t, []string{"bead.colour", "bead.widthMM", "keep.walls"}, elements)
}

func TestNearNameIsOffered(t *testing.T) {
	_, found := Read([]byte(`{"sheenlay": 1, "bead": {"widhtMM": 0.4}}`))
	assert.Contains(t, found[0].Remedy, "bead.widthMM")
}

func TestPlaceOfASyntaxFault(t *testing.T) {
	_, found := Read([]byte("{\"sheenlay\": 1,\n \"bead\": oops}"))
	assert.Equal(t, 2, found[0].Place.Line)
	assert.Equal(t, 10, found[0].Place.Column)
}

func TestEveryLimitHolds(t *testing.T) {
	for _, f := range Fields() {
		if f.Kind != Number && f.Kind != Whole {
			continue
		}
		for _, v := range []float64{f.Min, f.Max} {
			assert.Nil(t, f.check(v), "%s at %g", f.Path, v)
		}
		if f.Zero != "" {
			assert.Nil(t, f.check(0.0), "%s at 0: %s", f.Path, f.Zero)
		}
		for _, v := range []float64{f.Min - 1, f.Max + 1, math.NaN(), math.Inf(1)} {
			assert.NotNil(t, f.check(v), "%s at %g", f.Path, v)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"sheenlay": 1, "bead": {"widthMM": 0.5}, "art": {"lays": {"kind:1": 30}}}`))
	f.Add([]byte(`{"sheenlay": 1e308, "machine": {"keepOut": [[0,0,1,1]]}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var job Job
		var found finding.List
		limits.Reader(t, func() { job, found = Read(data) })
		if found.Worst() == finding.Stop {
			return
		}
		raw, err := json.Marshal(job)
		require.NoError(t, err)
		again, found := Read(raw)
		require.NotEqual(t, finding.Stop, found.Worst(), "%v", found)
		assert.Equal(t, job, again, "a job survives writing and reading")
	})
}

// A field that the job leaves out takes the value read where it may and fits.
func TestReadOnAFile(t *testing.T) {
	for _, row := range []struct {
		name, job string
		read      map[string]any
		want      func(*Job)
	}{
		{"nothing read", `{"sheenlay":1}`, nil, func(*Job) {}},
		{"left out", `{"sheenlay":1}`, map[string]any{"machine.origin": "centre", "bead.travelSpeedMMs": 90.0},
			func(j *Job) { j.Machine.Origin, j.Bead.TravelSpeedMMs = "centre", 90 }},
		{"stated", `{"sheenlay":1,"machine":{"origin":"corner"}}`, map[string]any{"machine.origin": "centre"}, func(*Job) {}},
		{"out of range", `{"sheenlay":1}`, map[string]any{"bead.travelSpeedMMs": 1e9, "machine.origin": "moon"}, func(*Job) {}},
		{"of the wrong kind", `{"sheenlay":1}`, map[string]any{"bead.travelSpeedMMs": "fast"}, func(*Job) {}},
		{"not for reading", `{"sheenlay":1}`, map[string]any{"keep.walls": 2.0, "no.such": 1.0}, func(*Job) {}},
	} {
		t.Run(row.name, func(t *testing.T) {
			want := Default()
			row.want(&want)
			got, found := ReadOn([]byte(row.job), row.read)
			assert.Empty(t, found)
			assert.Equal(t, want, got)
		})
	}
	_, found := ReadOn([]byte(`{"sheenlay":1,"bead":{"travelSpeedMMs":1e9}}`), map[string]any{"bead.travelSpeedMMs": 90.0})
	assert.Equal(t, finding.Stop, found.Worst(), "what the job states is not replaced")
}
