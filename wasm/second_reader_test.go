//go:build !js

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every kept sliced file goes through the host, every second one with a pattern
// of rings written as arcs, and a reader that shares no code with the engine
// finds nothing wrong with the finished file.
func TestSecondReaderAcceptsFinishedFiles(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("node is not installed; the second reader cannot run")
		}
		t.Skip("node is not installed: the second reader cannot run")
	}
	files, err := filepath.Glob("../testdata/sliced/*.gcode")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 12)
	for i, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".gcode"), func(t *testing.T) {
			original, err := os.ReadFile(file)
			require.NoError(t, err)
			settings := `{"sheenlay":1,"piece":{"file":"piece.gcode"}}`
			if i%2 == 1 {
				settings = `{"sheenlay":1,"piece":{"file":"piece.gcode"},"art":{"generator":"rings"},"join":{"arcs":true}}`
			}
			made, finished, err := throughTheHost(t, original, settings)
			require.NoError(t, err)
			f := made.Finished
			head, err := json.Marshal(map[string]any{"original": len(original), "finished": len(finished), "job": map[string]any{
				"blocks": []map[string]any{{"from": f.HeadEnd, "to": f.TailStart, "start": f.HeadEnd, "end": f.HeadEnd + f.BlockBytes, "z": made.Figures.HeightMM, "eMM": made.Figures.EMM}},
				"bed":    []float64{0, 0, 220, 220}, "perMM": made.Figures.EPerMM, "short": 2 * made.Figures.WidthMM, "lift": 0.4,
			}})
			require.NoError(t, err)
			cmd := exec.Command(node, "../testdata/secondreader/reader.js")
			cmd.Stdin = bytes.NewReader(bytes.Join([][]byte{append(head, '\n'), original, finished}, nil))
			answer, err := cmd.Output()
			require.NoError(t, err)
			line, err := bufio.NewReader(bytes.NewReader(answer)).ReadBytes('\n')
			require.NoError(t, err)
			var wrong []string
			require.NoError(t, json.Unmarshal(line, &wrong))
			assert.Empty(t, wrong)
			assert.Equal(t, i%2 == 1, made.Figures.Arcs > 0)
		})
	}
}

type madeFile struct {
	Finished struct{ HeadEnd, TailStart, BlockBytes int }
	Figures  struct{ HeightMM, EMM, EPerMM, WidthMM, Arcs float64 }
}

func throughTheHost(t *testing.T, original []byte, settings string) (made madeFile, finished []byte, err error) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "piece.gcode"), original, 0o600))
	job, out, report := filepath.Join(dir, "job.json"), filepath.Join(dir, "out.gcode"), filepath.Join(dir, "report.json")
	require.NoError(t, os.WriteFile(job, []byte(settings), 0o600))
	if err := run(context.Background(), job, out, report); err != nil {
		return made, nil, fmt.Errorf("the host refused: %w", err)
	}
	raw, err := os.ReadFile(report)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(raw, &made))
	finished, err = os.ReadFile(out)
	return made, finished, err
}
