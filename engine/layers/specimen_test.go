package layers_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/layers"
	"sheenlay/engine/specimen"
)

// TestRandomSpecimens finds the layers of files drawn at random by the
// generator of sliced files, whose truth is the oracle: no answer may be wrong,
// at most 2 % may be asked for, and what cannot carry a pattern is refused. The
// full count of a separate run was 10,000; it takes 40 s, so here are fewer.
func TestRandomSpecimens(t *testing.T) {
	n := 800
	if testing.Short() {
		n = 150
	}
	asked := 0
	for seed := range n {
		s := specimen.Random(uint64(seed))
		r := layers.Find(s.Bytes, layers.Options{})
		if refused := r.Findings.Worst() == finding.Stop; refused != (s.Truth.Refuse != "") {
			t.Errorf("seed %d: to be refused for %q, findings %v", seed, s.Truth.Refuse, r.Findings)
		}
		if r.NeedsChoice {
			asked++
			continue
		}
		for i, b := range r.Layers[:2] {
			truth := s.Truth.End
			if i < len(s.Truth.Layers) {
				truth = s.Truth.Layers[i]
			}
			if b.Offset < truth.FromOffset || b.Offset > truth.ToOffset {
				t.Errorf("seed %d: layer %d at line %d, truth is %d to %d; %+v", seed, i+1, b.Line, truth.FromLine, truth.ToLine, r.Why)
			}
		}
	}
	assert.LessOrEqual(t, asked*50, n, "%d of %d asked", asked, n)
}

// A plain line says the same to a finder whether it is handed over as a line or
// by its place alone.
func TestPlainLinesByTheirPlaces(t *testing.T) {
	for seed := range uint64(100) {
		data := specimen.Random(seed).Bytes
		whole, plain := layers.NewFinder(layers.Options{}), layers.NewFinder(layers.Options{})
		in := gcode.NewInterp(gcode.Options{})
		s := gcode.NewScanner(data)
		for line := 1; in.Next(s); line++ {
			if s.Passed() {
				plain.AddPlain(line, s.Start(), s.Offset(), in.Move(), in.At().Tool)
			} else {
				plain.Add(s.Line(), in.Move(), in.At().Tool)
			}
			whole.Add(s.Line(), in.Move(), in.At().Tool)
		}
		assert.Equal(t, whole.Result(true), plain.Result(true), "seed %d", seed)
		assert.Equal(t, whole.Enough(), plain.Enough())
	}
}
