//go:build !js

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/protocol"
	"sheenlay/engine/specimen"
)

// tallFile is a sliced file whose sixth layer begins far beyond the first slice
// that a host reads.
func tallFile() specimen.Specimen {
	return specimen.Make(specimen.Options{
		Name: "tall", Shape: specimen.Parts(8, 8, 20, 20, 24), At: plane.Point{X: 110, Y: 110}, Walls: 2, FillDegree: 45, Heated: true, RelativeE: true,
		Retract: specimen.RetractByE, LiftMM: 0.4, Layers: 8, Marker: specimen.Marker{Text: specimen.MarkColon, Word: "LAYER"},
	})
}

// A job of five layers, more than are read when a file is opened.
func TestFiveLayersFromTheCommandLine(t *testing.T) {
	m := tallFile()
	require.Greater(t, m.Truth.Layers[5].FromOffset, int64(1<<20), "the first slice does not hold the layers")
	dir := t.TempDir()
	job, out, report := filepath.Join(dir, "job.json"), filepath.Join(dir, "out.gcode"), filepath.Join(dir, "report.json")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "tall.gcode"), m.Bytes, 0o600))
	require.NoError(t, os.WriteFile(job, []byte(`{"sheenlay":1,"piece":{"file":"tall.gcode"},"layers":{"count":5}}`), 0o600))
	require.NoError(t, run(context.Background(), job, out, report))
	finished, err := os.ReadFile(out)
	require.NoError(t, err)
	raw, err := os.ReadFile(report)
	require.NoError(t, err)
	var made struct {
		Figures  struct{ Layers int }
		Finished struct{ HeadEnd, TailStart, BlockBytes int }
	}
	require.NoError(t, json.Unmarshal(raw, &made))
	assert.Equal(t, 5, made.Figures.Layers)
	f := made.Finished
	assert.Equal(t, m.Bytes[:f.HeadEnd], finished[:f.HeadEnd], "head")
	assert.Equal(t, m.Bytes[f.TailStart:], finished[f.HeadEnd+f.BlockBytes:], "tail")
	assert.True(t, m.Truth.Accepts(5, int64(f.TailStart)), "the tail is the sixth layer")
	assert.Equal(t, 5, bytes.Count(finished, []byte("; sheenlay: new face begins")))
}

// A host that opened the file before it knew the job, in slices, is told how
// many layers to read, and then the same job is done.
func TestAHostIsToldToReadMoreLayers(t *testing.T) {
	const slice = 64 << 10
	m := tallFile()
	session := protocol.NewSession()
	open := func(choice any) {
		t.Helper()
		_, _, err := ask(context.Background(), session, "piece.begin", map[string]any{"name": "tall.gcode", "size": len(m.Bytes), "choice": choice})
		require.NoError(t, err)
		for from := 0; from < len(m.Bytes) && session.Feed(protocol.PieceReader, m.Bytes[from:min(from+slice, len(m.Bytes))]); from += slice {
		}
		_, _, err = ask(context.Background(), session, "piece.end", nil)
		require.NoError(t, err)
	}
	lay := func() (finding.List, [][]byte) {
		t.Helper()
		answer, buffers, err := ask(context.Background(), session, "lay", map[string]any{"job": json.RawMessage(`{"sheenlay":1,"layers":{"count":5}}`)})
		require.NoError(t, err)
		var made struct{ Findings finding.List }
		require.NoError(t, json.Unmarshal(answer, &made))
		return made.Findings, buffers
	}
	require.Greater(t, m.Truth.Layers[5].FromOffset, int64(slice), "the first slice does not hold the layers")

	open(nil)
	found, buffers := lay()
	require.True(t, found.Has("piece-needs-more"), "%v", found)
	assert.Empty(t, buffers, "nothing half-done is handed out")
	want := 0.0
	for _, f := range found {
		if f.Code == "piece-needs-more" {
			want = f.Value
		}
	}
	assert.Equal(t, 5.0, want)

	open(map[string]any{"layers": want})
	found, buffers = lay()
	assert.False(t, found.Has("piece-needs-more"))
	require.Len(t, buffers, 1, "%v", found)
	assert.Equal(t, 5, bytes.Count(buffers[0], []byte("; sheenlay: new face begins")), fmt.Sprint(found))
}
