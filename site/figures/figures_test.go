package main

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every peer comes to our result at the smallest size, so that the times stand
// for the same work.
func TestPeersDoTheSameWork(t *testing.T) {
	t.Chdir("../..")
	t.Setenv("TMPDIR", t.TempDir())
	for _, needed := range []string{"site/test/node_modules/clipper2-wasm", "site/test/node_modules/gcode-toolpath"} {
		_, err := os.Stat(needed)
		_, none := exec.LookPath("node")
		if err != nil || none != nil {
			if os.Getenv("CI") == "true" {
				t.Fatal("node or a package of site/test is missing")
			}
			t.Skip("node or a package of site/test is missing: no peer was compared")
		}
	}
	other, err := startNode()
	require.NoError(t, err)
	defer other.stop()
	for _, s := range stages() {
		require.Len(t, s.sizes, 5, s.name)
		for _, p := range s.peers {
			if p.agrees == 0 {
				continue
			}
			size := s.sizes[0]
			own, err := s.prepare(size)
			require.NoError(t, err)
			want, err := own.run()
			require.NoError(t, err)
			ask := p.inGo
			if p.request != nil {
				ask = other.inNode(p)
			}
			ms, got, failed, err := ask(size)
			require.NoError(t, err, "%s, %s", s.name, p.name)
			if failed != nil {
				t.Logf("%s, %s fails: %v", s.name, p.name, failed)
				continue
			}
			assert.Positive(t, ms, "%s, %s", s.name, p.name)
			assert.InEpsilon(t, want, got, p.agrees, "%s, %s", s.name, p.name)
		}
	}
}

func TestStageTable(t *testing.T) {
	s := stage{name: "knots", title: "Knots", about: "Tied.", sizes: []float64{1, 10}, size: "m", work: "m of rope", each: "m/s",
		peers: []peer{{name: "hand", part: "no bowlines", agrees: 0.01}, {name: "machine"}}}
	list := timingList{
		{Stage: "knots", Who: native, Size: 1, Work: 2, MS: 4, Value: 7}, {Stage: "knots", Who: native, Size: 10, Work: 20, MS: 40, Value: 70},
		{Stage: "knots", Who: wasm, Size: 1, MS: 8, Value: 7}, {Stage: "knots", Who: wasm, Size: 10, MS: 120, Value: 71},
		{Stage: "knots", Who: "hand", Size: 1, MS: 2, Value: 7.05}, {Stage: "knots", Who: "hand", Size: 10, MS: 80, Value: 77},
		{Stage: "knots", Who: "machine", Size: 1, Failed: "jam"},
	}
	var b bytes.Buffer
	require.NoError(t, writeStage(&b, s, list))
	assert.Equal(t, `
### Knots

Tied.

| m | m of rope | native, ms | m/s | wasm, ms | wasm/native | hand, ms | machine, ms |
| --- | --- | --- | --- | --- | --- | --- | --- |
| 1 | 2.00 | 4.00 | 500 | 8.00 | 2.00 | 2.00 (× 0.5) | fails |
| 10 | 20.0 | 40.0 | 500 | 120 | 3.00 | 80.0 (× 2.00) | – |

From the smallest to the largest the native time grows as the work to the power 1.00; wasm takes 2.00 to 3.00 times the native time. hand (no bowlines) is **faster than native at 1 m and faster than wasm at every size**. machine gives no answer.

machine fails, first at 1 m: “jam”.

**At 10 m wasm finds 71 and the native engine 70. ✗**

At 10 m the result of hand, 77, and the engine's, 70, are **10.0 % apart**.
`, b.String())
	assert.Contains(t, list.agreement([]stage{s}), "In 1 of 2 runs")
	assert.Error(t, writeStage(&b, stage{name: "gone", sizes: []float64{1}}, list))
}

func TestBestTakesTheLeast(t *testing.T) {
	calls := 0
	ms, value, err := best(func() (float64, error) { calls++; return float64(calls), nil })
	require.NoError(t, err)
	assert.Greater(t, calls, runs)
	assert.Equal(t, float64(calls), value)
	assert.Less(t, ms, 2.0)
	_, _, err = best(func() (float64, error) { return 0, os.ErrInvalid })
	assert.ErrorIs(t, err, os.ErrInvalid)
}

func TestFigure(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 0.01234: "0.0123", 1.234: "1.23", 12.34: "12.3", 1234: "1234", math.Inf(1): "+Inf"} {
		assert.Equal(t, want, figure(v))
	}
}
