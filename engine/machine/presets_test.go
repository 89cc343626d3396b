package machine_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/machine"
)

// A preset written when "e" was the word for the file's own way is read as such
// and written anew.
func TestFormerWordsOfPresetsAreRead(t *testing.T) {
	list, found := machine.ReadPresets([]byte(`{"schema":"sheenlay-machines/1","presets":[{"name":"old","retractBy":"e"},{"name":"new","retractBy":"filament"}]}`))
	require.NotEqual(t, finding.Stop, found.Worst(), "%v", found)
	require.Len(t, list, 2)
	assert.Equal(t, machine.AsFile, list[0].RetractBy)
	assert.Equal(t, machine.ByE, list[1].RetractBy)
	again, err := machine.WritePresets(list)
	require.NoError(t, err)
	assert.Contains(t, string(again), `"retractBy": "file"`)
}

func TestPresetsRoundTrip(t *testing.T) {
	list := machine.Presets()
	list[0].KeepOut = machine.Boxes{box(0, 0, 20, 10)}
	for i := range list {
		if list[i].KeepOut == nil {
			list[i].KeepOut = machine.Boxes{}
		}
	}
	data, err := machine.WritePresets(list)
	require.NoError(t, err)
	back, found := machine.ReadPresets(data)
	require.Empty(t, found)
	assert.Equal(t, list, back)
	data, err = machine.WritePresets(nil)
	require.NoError(t, err)
	back, found = machine.ReadPresets(data)
	assert.Empty(t, back)
	assert.Empty(t, found)
}

// one wraps the fields of a preset into a file.
func one(fields string) string {
	return `{"schema":"sheenlay-machines/1","presets":[{"name":"Reading room",` + fields + `}]}`
}

func TestPresetFilesAreRefusedByName(t *testing.T) {
	for name, c := range map[string]struct{ file, element, text string }{
		"empty":              {"", "", "The preset file is empty."},
		"blank":              {" \n", "", "The preset file is empty."},
		"not JSON":           {"G1 X10", "", "The preset file is not JSON: invalid character 'G' looking for beginning of value."},
		"cut off":            {`{"schema":"sheenlay-mach`, "", "The preset file is not JSON: unexpected end of JSON input."},
		"a list":             {`[]`, "", "The preset file is not a JSON object: not an object."},
		"two objects":        {`{"schema":"sheenlay-machines/1","presets":[]}{}`, "", "The preset file is not JSON: invalid character '{' after top-level value."},
		"other schema":       {`{"schema":"sheenlay-machines/2","presets":[]}`, "schema", `The preset file says it is "sheenlay-machines/2"; this page reads "sheenlay-machines/1".`},
		"no schema":          {`{"presets":[]}`, "schema", `The preset file says it is ""; this page reads "sheenlay-machines/1".`},
		"no presets":         {`{"schema":"sheenlay-machines/1"}`, "presets", `The preset file has no "presets".`},
		"unknown entry":      {`{"schema":"sheenlay-machines/1","presets":[],"colour":"red"}`, "colour", `The preset file has an unknown entry "colour".`},
		"presets no list":    {`{"schema":"sheenlay-machines/1","presets":7}`, "presets", `"presets" is not a list.`},
		"presets twice":      {`{"schema":"sheenlay-machines/1","presets":[],"presets":[]}`, "", `The preset file is not a JSON object: "presets" twice.`},
		"preset is a number": {`{"schema":"sheenlay-machines/1","presets":[7]}`, "presets[0]", "Preset 1 is not a JSON object with each name once: not an object."},
		"field twice":        {one(`"nozzleMM":0.4,"nozzleMM":0.6`), "presets[0]", `Preset 1 is not a JSON object with each name once: "nozzleMM" twice.`},
		"unknown field":      {one(`"nozleMM":0.4`), "presets[0].nozleMM", `Preset 1 has an unknown field "nozleMM".`},
		"other case":         {one(`"NozzleMM":0.4`), "presets[0].NozzleMM", `Preset 1 has an unknown field "NozzleMM".`},
		"no name":            {`{"schema":"sheenlay-machines/1","presets":[{"nozzleMM":0.4}]}`, "presets[0].name", "Preset 1 has no name."},
		"hot nozzle":         {one(`"maxNozzleC":500`), "presets[0].maxNozzleC", "Preset 1 (Reading room): Hottest nozzle is 500 °C; permitted is 150 to 350 °C."},
		"hostile number":     {one(`"speedMMs":1e308`), "presets[0].speedMMs", "Preset 1 (Reading room): Speed is 1e+308 mm/s; permitted is 1 to 500 mm/s."},
		"beyond numbers":     {one(`"speedMMs":1e999`), "presets[0].speedMMs", "Preset 1: Speed is 1e999, which is not a usable number."},
		"NaN in quotes":      {one(`"nozzleMM":"NaN"`), "presets[0].nozzleMM", `Preset 1: Nozzle is "NaN", which is not a usable number.`},
		"null":               {one(`"nozzleMM":null`), "presets[0].nozzleMM", "Preset 1: Nozzle is null."},
		"bare NaN":           {one(`"nozzleMM":NaN`), "", "The preset file is not JSON: invalid character 'N' looking for beginning of value."},
		"number as word":     {one(`"eMode":7`), "presets[0].eMode", "Preset 1: Filament positions is 7, which is not a word in quotes."},
		"unknown word":       {one(`"eMode":"both"`), "presets[0].eMode", `Preset 1 (Reading room): Filament positions is "both"; permitted is one of "absolute", "relative".`},
		"bad area":           {one(`"keepOut":[[1,2]]`), "presets[0].keepOut", "Preset 1: Areas to keep free are not usable: area 1 has 2 numbers; want [xMin, yMin, xMax, yMax]."},
		"negative bed":       {one(`"bedWidthMM":-220`), "presets[0].bedWidthMM", "Preset 1 (Reading room): Bed width is -220 mm; permitted is 20 to 2000 mm."},
		"bytes":              {"\xff\xfe", "", "The preset file is not text."},
		"too large":          {strings.Repeat(" ", machine.LargestFile+1), "", "The preset file has 262145 bytes; permitted are 262144."},
		"too many":           {`{"schema":"sheenlay-machines/1","presets":[` + strings.Repeat("{},", 100) + `{}]}`, "presets", "The file has 101 presets; permitted are 100."},
		"same name":          {`{"schema":"sheenlay-machines/1","presets":[{"name":"a"},{"name":"a"}]}`, "presets[1].name", `Presets 1 and 2 have the same name "a".`},
	} {
		t.Run(name, func(t *testing.T) {
			list, found := machine.ReadPresets([]byte(c.file))
			assert.Nil(t, list)
			var stops finding.List
			for _, f := range found {
				if f.Level == finding.Stop {
					stops.Add(f)
				}
			}
			require.Len(t, stops, 1)
			assert.Equal(t, c.text, stops[0].Text)
			assert.Equal(t, c.element, stops[0].Place.Element)
			assert.NotEmpty(t, stops[0].Remedy)
		})
	}
}

func TestPresetFindingsHelp(t *testing.T) {
	_, found := machine.ReadPresets([]byte(one(`"nozleMM":0.4`)))
	assert.Equal(t, `Remove it, or did you mean "nozzleMM"?`, found[0].Remedy)
	_, found = machine.ReadPresets([]byte("{\n  \"schema\": \"sheenlay-machines/1\",\n  \"presets\": [,]\n}"))
	require.Len(t, found, 1)
	assert.Equal(t, 3, found[0].Place.Line)
	assert.Equal(t, 15, found[0].Place.Column)
	list, found := machine.ReadPresets([]byte(one(`"nozzleMM":0.6`)))
	require.Len(t, list, 1)
	assert.Equal(t, 0.6, list[0].NozzleMM)
	assert.Equal(t, finding.Note, found.Worst(), "left-out fields are named")
	assert.Len(t, found, len(machine.Fields())-2)
}

// Whatever is read passes validation, can be written, and reads back the same.
func FuzzReadPresets(f *testing.F) {
	data, err := machine.WritePresets(machine.Presets()[:2])
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(data))
	for _, m := range machine.Presets() {
		f.Add(one(fmt.Sprintf(`"bedWidthMM":%v,"origin":%q,"keepOut":[[0,0,%v,5]]`, m.BedWidthMM, m.Origin, m.BedDepthMM)))
	}
	for _, s := range []string{"", "{}", "[", one(`"maxNozzleC":500`), one(`"nozzleMM":1e999`), `{"schema":1}`, "{\"schema\":\"sheenlay-machines/1\",\"presets\":[{\"name\":\"\\ud800\"}]}"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var list []machine.Machine
		var found finding.List
		limits.Reader(t, func() { list, found = machine.ReadPresets([]byte(text)) })
		if found.Worst() == finding.Stop {
			require.Nil(t, list)
			return
		}
		for _, m := range list {
			require.Empty(t, m.Validate())
		}
		data, err := machine.WritePresets(list)
		require.NoError(t, err)
		back, again := machine.ReadPresets(data)
		if len(data) > machine.LargestFile {
			return
		}
		require.Empty(t, again)
		require.Equal(t, len(list), len(back))
		for i := range list {
			if len(list[i].KeepOut) == 0 {
				list[i].KeepOut, back[i].KeepOut = nil, nil
			}
		}
		if len(list) > 0 {
			require.Equal(t, list, back)
		}
	})
}
