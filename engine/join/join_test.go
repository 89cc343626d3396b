package join_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/join"
	"sheenlay/engine/layers"
	"sheenlay/engine/specimen"
)

func allFiles() []specimen.Sample { return append(specimen.Samples(), specimen.TestFiles()...) }

// TestKeptFiles joins every file of testdata/sliced, cut at several right
// places, and proves the result.
func TestKeptFiles(t *testing.T) {
	for _, s := range allFiles() {
		t.Run(s.ID, func(t *testing.T) {
			m := specimen.Make(s.Options)
			for k := range uint64(6) {
				in := inputFor(m, 1, rand.New(rand.NewPCG(k, 1)))
				r, p := proved(t, s.ID, m, in)
				assert.Equal(t, in.Cuts[0].From, r.HeadLength)
				assert.Equal(t, in.Cuts[0].To, r.TailOffset)
				assert.InEpsilon(t, m.Truth.EPerMM, p.PieceEPerMM, 0.05)
				for _, c := range p.Clauses {
					assert.True(t, c.OK, c.Name)
				}
			}
		})
	}
}

// TestRandomFiles does the same for specimens drawn at random, on one to three
// layers.
func TestRandomFiles(t *testing.T) {
	n := uint64(400)
	if testing.Short() {
		n = 60
	}
	for seed := range n {
		m := specimen.Random(seed)
		if m.Truth.Refuse == "tool change" {
			continue // refused by Build, see TestRefusals
		}
		r := rand.New(rand.NewPCG(seed, 2))
		layers := 1
		if seed%5 == 0 {
			layers = 1 + int(seed/5)%2
		}
		in := inputFor(m, layers, r)
		proved(t, fmt.Sprintf("seed %d", seed), m, in)
	}
}

func TestEmptyInput(t *testing.T) {
	r, found := join.Build(join.Input{Head: []byte("G28\nG1 X5\n")})
	require.Empty(t, found)
	assert.Empty(t, r.Blocks)
	p := join.Prove([]byte("G28\n"), []byte("G28\nG1 X5\n"), join.Plan{})
	assert.True(t, p.OK, p.Findings)
	p = join.Prove([]byte("G29\n"), []byte("G28\nG1 X5\n"), join.Plan{})
	assert.True(t, p.Findings.Has(join.CodeHead))
}

// TestJoinAgain takes the finished file as a piece of its own: its layers are
// found, and a second join over the first is sound.
func TestJoinAgain(t *testing.T) {
	n := uint64(120)
	if testing.Short() {
		n = 20
	}
	for seed := range n {
		m := specimen.Random(seed)
		if m.Truth.Refuse != "" {
			continue
		}
		name := fmt.Sprintf("seed %d", seed)
		in := inputFor(m, 1, rand.New(rand.NewPCG(seed, 7)))
		r, _ := proved(t, name, m, in)
		finished := append(r.FinishedHead(m.Bytes), m.Bytes[r.TailOffset:]...)
		found := layers.Find(finished, layers.Options{})
		require.False(t, found.NeedsChoice, name)
		require.NotEqual(t, finding.Stop, found.Findings.Worst(), "%s %v", name, found.Findings)
		again := in
		again.Head = finished
		again.Pause = nil
		again.Cuts = []join.Cut{{From: found.Layers[0].Offset, To: found.Layers[1].Offset}}
		second, problems := join.Build(again)
		require.Empty(t, problems, name)
		p := join.Prove(second.FinishedHead(finished), finished, join.PlanOf(again, second, machineOf(m)))
		require.True(t, p.OK, "%s %v", name, p.Findings)
	}
}
