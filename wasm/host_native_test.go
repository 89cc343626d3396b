//go:build !js

package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const sliced = "../testdata/sliced/absolute-retracted-lifted.gcode"

// folder holds a sliced file and a job beside it.
func folder(t *testing.T, job string, packed bool) (dir, jobPath string, source []byte) {
	t.Helper()
	dir = t.TempDir()
	source, err := os.ReadFile(sliced)
	require.NoError(t, err)
	written := source
	if packed {
		var b bytes.Buffer
		w := gzip.NewWriter(&b)
		_, err = w.Write(source)
		require.NoError(t, err)
		require.NoError(t, w.Close())
		written = b.Bytes()
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "label.gcode"), written, 0o600))
	jobPath = filepath.Join(dir, "job.json")
	require.NoError(t, os.WriteFile(jobPath, []byte(job), 0o600))
	return dir, jobPath, source
}

func names(t *testing.T, dir string) (out []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func TestJobFromTheCommandLine(t *testing.T) {
	for _, packed := range []bool{false, true} {
		dir, job, source := folder(t, `{"sheenlay":1,"piece":{"file":"label.gcode"}}`, packed)
		out, report := filepath.Join(dir, "out.gcode"), filepath.Join(dir, "report.json")
		require.NoError(t, run(context.Background(), job, out, report))
		finished, err := os.ReadFile(out)
		require.NoError(t, err)
		raw, err := os.ReadFile(report)
		require.NoError(t, err)
		var made struct {
			OK       bool
			Finished struct{ HeadEnd, TailStart, BlockBytes, Size int }
			Whole    struct{ Known bool }
			Figures  struct{ WholeTimeS, OldWholeTimeS, AddedTimeS, WholeEMM float64 }
		}
		require.NoError(t, json.Unmarshal(raw, &made))
		f := made.Finished
		assert.True(t, made.OK)
		assert.True(t, made.Whole.Known, "the file was followed to its end")
		assert.Positive(t, made.Figures.WholeEMM)
		assert.InDelta(t, made.Figures.AddedTimeS, made.Figures.WholeTimeS-made.Figures.OldWholeTimeS, 1e-9)
		assert.Len(t, finished, f.Size)
		assert.Equal(t, source[:f.HeadEnd], finished[:f.HeadEnd], "head")
		assert.Equal(t, source[f.TailStart:], finished[f.HeadEnd+f.BlockBytes:], "tail")
		assert.ElementsMatch(t, []string{"job.json", "label.gcode", "out.gcode", "report.json"}, names(t, dir), "nothing half-written stays")
	}
}

func TestTheHostRefuses(t *testing.T) {
	for _, row := range []struct{ name, job, out, says string }{
		{"a job without a piece", `{"sheenlay":1}`, "out.gcode", "names no sliced file"},
		{"an unknown field", `{"sheenlay":1,"bead":{"withMM":1}}`, "out.gcode", "bead.withMM"},
		{"a file that is not there", `{"sheenlay":1,"piece":{"file":"gone.gcode"}}`, "out.gcode", "gone.gcode"},
		{"the source as output", `{"sheenlay":1,"piece":{"file":"label.gcode"}}`, "label.gcode", "overwrite"},
		{"another file than the job's", `{"sheenlay":1,"piece":{"file":"label.gcode","sha256":"00"}}`, "out.gcode", "not the one"},
		{"a piece off the bed", `{"sheenlay":1,"piece":{"file":"label.gcode"},"machine":{"bedWidthMM":20,"bedDepthMM":20}}`, "out.gcode", "bed"},
		{"a job file as the piece", `{"sheenlay":1,"piece":{"file":"job.json"}}`, "out.gcode", "G-code"},
	} {
		t.Run(row.name, func(t *testing.T) {
			dir, job, source := folder(t, row.job, false)
			err := run(context.Background(), job, filepath.Join(dir, row.out), "")
			require.Error(t, err)
			assert.Contains(t, err.Error(), row.says)
			left, err := os.ReadFile(filepath.Join(dir, "label.gcode"))
			require.NoError(t, err)
			assert.Equal(t, source, left, "the source is as it was")
			assert.ElementsMatch(t, []string{"job.json", "label.gcode"}, names(t, dir), "nothing is written")
		})
	}
}

func TestFingerprintIsThatOfTheSlices(t *testing.T) {
	dir, _, source := folder(t, "{}", false)
	got, err := fingerprint(filepath.Join(dir, "label.gcode"))
	require.NoError(t, err)
	assert.Equal(t, hexSum([]byte(hexSum(source))), got, "one slice: the hash of its hash")
}
