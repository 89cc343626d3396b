package join_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/join"
	"sheenlay/engine/plane"
)

// FuzzBuild cuts any bytes at any two line starts: Build must refuse with a
// sentence or give a join that its proof finds sound.
func FuzzBuild(f *testing.F) {
	names, _ := filepath.Glob("../../testdata/sliced/*.gcode")
	for _, name := range names {
		if data, err := os.ReadFile(name); err == nil && len(data) < 40_000 {
			f.Add(data, uint16(60), uint16(300))
		}
	}
	f.Add([]byte(start+"M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X9\n"), uint16(6), uint16(9))
	f.Fuzz(func(t *testing.T, data []byte, first, last uint16) {
		starts := []int64{0}
		for i, c := range data {
			if c == '\n' {
				starts = append(starts, int64(i)+1)
			}
		}
		a, b := starts[int(first)%len(starts)], starts[int(last)%len(starts)]
		in := handInput(data, join.Cut{From: min(a, b), To: max(a, b)})
		if in.Arcs = first%3 == 0; in.Arcs {
			bent := join.Operation{Points: turned(plane.Point{X: 40, Y: 40}, 8, 0, float64(last%13)/2+0.2)}
			in.Layers[0].Operations = append(in.Layers[0].Operations, priced(bent, 0.034, 1200))
		}
		var r join.Result
		var found finding.List
		limits.Reader(t, func() { r, found = join.Build(in) })
		if len(r.Blocks) == 0 {
			if len(found) == 0 {
				t.Fatal("refused without a word")
			}
			return
		}
		// Height, and what the original itself does off the bed or cold, is the
		// input's matter here; bytes, state, commands and writing are not.
		var p join.Proof
		limits.Reader(t, func() { p = join.Prove(r.FinishedHead(data), data, join.PlanOf(in, r, join.Machine{})) })
		for _, finding := range p.Findings {
			switch finding.Code {
			case join.CodeHeight, join.CodeBelow, join.CodePerMM, join.CodeCold, join.CodeJump:
			default:
				t.Fatalf("%v\n%s", finding, bytes.ToValidUTF8(r.Blocks[0].Bytes, []byte("?")))
			}
		}
	})
}
