package protocol

import (
	"context"
	"encoding/json"
	"fmt"

	"sheenlay/engine/finding"
	"sheenlay/engine/machine"
	"sheenlay/engine/trial"
)

// plateOf returns the trial plate that is laid for a job.
func (s *Session) plateOf(raw json.RawMessage) (*trial.Plate, error) {
	if err := s.needPiece(); err != nil {
		return nil, err
	}
	j, _, err := readJob(raw)
	if err != nil {
		return nil, err
	}
	if s.made == nil || len(s.made.Layers) == 0 || s.made.Layers[0].Artwork.Plate == nil || j.Art.Kind != "trial" {
		return nil, finding.Finding{Code: "trial-not-laid", Level: finding.Stop, Text: "No trial plate is laid.", Remedy: "Choose the trial plate as the artwork first."}
	}
	return s.made.Layers[0].Artwork.Plate, nil
}

// patchValue is one value of a patch, by the job's field that takes it.
type patchValue struct {
	Field string  `json:"field"`
	Label string  `json:"label"`
	Unit  string  `json:"unit"`
	Value float64 `json:"value"`
}

func patchValues(values []trial.Value) []patchValue {
	out := []patchValue{}
	for _, v := range values {
		out = append(out, patchValue{v.JobField, v.Label, v.Unit, v.Value})
	}
	return out
}

// trialKey returns the key of the trial plate laid, with the values that each
// patch would set.
func trialKey(s *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct{ Job json.RawMessage }
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	plate, err := s.plateOf(a.Job)
	if err != nil {
		return nil, nil, err
	}
	patches := []map[string]any{}
	for _, p := range plate.Patches {
		patches = append(patches, map[string]any{"name": p.Name, "values": patchValues(p.Values)})
	}
	key := plate.Key()
	return map[string]any{"title": key.Title, "how": key.How, "header": key.Header, "rows": key.Rows, "patches": patches}, nil, nil
}

// trialUse answers with the values of one patch of the plate laid, and with the
// machine given, if any, into which they are written: checked field by field
// before and after, and refused as a whole where one does not fit.
func trialUse(s *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct {
		Job    json.RawMessage
		Patch  string
		Preset json.RawMessage
	}
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	plate, err := s.plateOf(a.Job)
	if err != nil {
		return nil, nil, err
	}
	values, unknown := plate.Use(a.Patch)
	if unknown != nil {
		return nil, nil, *unknown
	}
	answer := map[string]any{"values": patchValues(values)}
	if len(a.Preset) == 0 || string(a.Preset) == "null" {
		return answer, nil, nil
	}
	list, found := machine.ReadPresets(fmt.Appendf(nil, `{"schema":%q,"presets":[%s]}`, machine.Schema, a.Preset))
	if found.Worst() != finding.Stop {
		answer["preset"], found = trial.IntoPreset(list[0], values)
	}
	for _, f := range found {
		if f.Level == finding.Stop {
			return nil, nil, f
		}
	}
	return answer, nil, nil
}
