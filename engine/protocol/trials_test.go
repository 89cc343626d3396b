package protocol

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/machine"
	"sheenlay/engine/specimen"
)

// trialPlate opens a plate of 90 mm and lays a trial plate on it.
func trialPlate(t *testing.T, art string) (s *Session, job string) {
	t.Helper()
	o := specimen.Samples()[0].Options
	o.Shape = specimen.Rectangle(90, 90)
	s = NewSession()
	result(t, openFile(t, s, "plate.gcode", specimen.Make(o).Bytes))
	job = `{"sheenlay":1,"bead":{"flowPercent":98},"art":` + art + `}`
	tree, _ := walk(t, s, "lay", `{"coarse":true,"job":`+job+`}`)
	result(t, tree)
	require.NotNil(t, s.made.Layers[0].Artwork.Plate, "%v", s.made.Findings)
	return s, job
}

// From the plate to the preset: the values that the key prints beside B3 are
// those that it gives the job and writes into the machine, and nothing else of
// the machine changes.
func TestUsePatchWritesThePreset(t *testing.T) {
	s, job := trialPlate(t, `{"kind":"trial","trialAcross":"spacing","trialAcrossFrom":0.38,"trialAcrossTo":0.46,"trialColumns":3,
		"trialDown":"flow","trialDownFrom":0.96,"trialDownTo":1.04,"trialRows":3}`)
	tree, _ := walk(t, s, "trial.key", `{"job":`+job+`}`)
	key := result(t, tree)
	row := key["rows"].([]any)[5].([]any)
	require.Equal(t, []any{"B3", "0.46", "98"}, row)

	before := machine.Presets()[2]
	raw, err := json.Marshal(before)
	require.NoError(t, err)
	tree, _ = walk(t, s, "trial.use", fmt.Sprintf(`{"job":%s,"patch":"b3","preset":%s}`, job, raw))
	used := result(t, tree)
	values := used["values"].([]any)
	assert.Equal(t, map[string]any{"field": "bead.widthMM", "label": "Line spacing", "unit": "mm", "value": 0.46}, values[0])
	assert.Equal(t, map[string]any{"field": "bead.flowPercent", "label": "Flow", "unit": "%", "value": 98.0}, values[1])
	want := before
	want.FirstWidthMM, want.FlowPercent, want.KeepOut = 0.46, 98, machine.Boxes{}
	raw, err = json.Marshal(used["preset"])
	require.NoError(t, err)
	var got machine.Machine
	require.NoError(t, json.Unmarshal(raw, &got))
	assert.Equal(t, want, got)

	tree, _ = walk(t, s, "trial.use", `{"job":`+job+`,"patch":"A1"}`)
	assert.NotContains(t, result(t, tree), "preset", "without one, the values alone")
}

// What cannot be used is refused in words, and no half of it is written.
func TestUsePatchRefuses(t *testing.T) {
	s, job := trialPlate(t, `{"kind":"trial","trialAcross":"speed","trialAcrossFrom":10,"trialAcrossTo":100,"trialColumns":2,"trialDown":"none"}`)
	slow := machine.Default()
	slow.Name, slow.MaxFlowMM3s = "slow hot end", 2
	raw, err := json.Marshal(slow)
	require.NoError(t, err)
	for name, row := range map[string]struct{ args, code string }{
		"no such patch":           {`{"job":` + job + `,"patch":"Z9"}`, "trial-no-patch"},
		"no patch named":          {`{"job":` + job + `}`, "trial-no-patch"},
		"beyond the machine":      {`{"job":` + job + `,"patch":"A2","preset":` + string(raw) + `}`, "machine-pair"},
		"a preset of nonsense":    {`{"job":` + job + `,"patch":"A1","preset":{"name":"x","nozzleMM":-1}}`, "machine-range"},
		"a preset that is none":   {`{"job":` + job + `,"patch":"A1","preset":[1,2]}`, "presets-form"},
		"a job that is no trial":  {`{"job":{"sheenlay":1},"patch":"A1"}`, "trial-not-laid"},
		"no job":                  {`{"patch":"A1"}`, "job-not-json"},
		"a preset that says more": {`{"job":` + job + `,"patch":"A1","preset":{"name":"x"},"more":1}`, ""},
	} {
		t.Run(name, func(t *testing.T) {
			tree, _ := walk(t, s, "trial.use", row.args)
			if row.code == "" {
				result(t, tree)
				return
			}
			require.NotNil(t, tree["error"])
			assert.Equal(t, row.code, tree["error"].(map[string]any)["code"])
		})
	}
	tree, _ := walk(t, NewSession(), "trial.use", `{"job":{"sheenlay":1},"patch":"A1"}`)
	assert.Equal(t, "no-piece", tree["error"].(map[string]any)["code"])
}
