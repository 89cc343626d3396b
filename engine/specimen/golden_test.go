package specimen_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/specimen"
)

var update = flag.Bool("update", false, "write testdata/sliced anew")

const folder = "../../testdata/sliced"

// TestGolden holds the kept files against the generator: a missing, a changed
// and a left-over file all fail. Run with -update to write them anew.
func TestGolden(t *testing.T) {
	want := map[string][]byte{}
	for _, s := range append(specimen.Samples(), specimen.TestFiles()...) {
		m := specimen.Make(s.Options)
		truth, err := json.MarshalIndent(struct {
			About string
			specimen.Truth
		}{s.About, m.Truth}, "", " ")
		require.NoError(t, err)
		require.NotContains(t, want, s.ID+".gcode", "two samples of one name")
		want[s.ID+".gcode"] = m.Bytes
		want[s.ID+".json"] = append(truth, '\n')
	}
	if *update {
		require.NoError(t, os.MkdirAll(folder, 0o755))
		for name, data := range want {
			require.NoError(t, os.WriteFile(filepath.Join(folder, name), data, 0o644))
		}
	}
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		if !assert.Contains(t, want, e.Name(), "stale: nothing makes this file") {
			continue
		}
		have, err := os.ReadFile(filepath.Join(folder, e.Name()))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(have, want[e.Name()]), "%s is stale: run go test ./engine/specimen -update", e.Name())
		delete(want, e.Name())
	}
	for name := range want {
		t.Errorf("%s is missing: run go test ./engine/specimen -update", name)
	}
}

func TestSamplesAreSmall(t *testing.T) {
	for _, s := range specimen.Samples() {
		assert.Less(t, len(specimen.Make(s.Options).Bytes), 150_000, s.ID)
	}
}
