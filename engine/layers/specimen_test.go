package layers_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/finding"
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
