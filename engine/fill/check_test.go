package fill

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// TestCrossingsSeesFaults plants faults in a clean bead and expects each to be
// seen.
func TestCrossingsSeesFaults(t *testing.T) {
	clean := lay(t, disc(30), blocks(10, 0.2, disc(30).Bounds())).Strands
	require.Len(t, clean, 1)
	require.Zero(t, Crossings(clean))
	long := func(s strand.Strand) int { // a segment of some length in the middle
		for i := len(s.Width) / 2; ; i++ {
			if s.Points[i].Dist(s.Points[i+1]) > 4 {
				return i
			}
		}
	}
	for name, fault := range map[string]func(s strand.Strand) []strand.Strand{
		"a point pushed over its neighbours": func(s strand.Strand) []strand.Strand {
			i := long(s)
			s.Points[i] = s.Points[i].Add(s.Points[i+1].Sub(s.Points[i]).Unit().Left().Mul(0.6))
			return []strand.Strand{s}
		},
		"two rows swapped": func(s strand.Strand) []strand.Strand {
			i := long(s)
			s.Points[i], s.Points[i+4] = s.Points[i+4], s.Points[i]
			return []strand.Strand{s}
		},
		"a stroke laid over the bead": func(s strand.Strand) []strand.Strand {
			return []strand.Strand{s, {Points: []plane.Point{{X: -5, Y: 0.1}, {X: 5, Y: 0.3}}, Width: []float64{0.4}}}
		},
		"a row laid twice": func(s strand.Strand) []strand.Strand {
			i := long(s)
			return []strand.Strand{s, {Points: []plane.Point{s.Points[i], s.Points[i+1]}, Width: []float64{0.4}}}
		},
		"an end that touches": func(s strand.Strand) []strand.Strand {
			i := long(s)
			return []strand.Strand{s, {Points: []plane.Point{s.Points[i].Lerp(s.Points[i+1], 0.5), {X: 90, Y: 90}}, Width: []float64{0.4}}}
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := clean[0]
			s.Points = append([]plane.Point(nil), s.Points...)
			assert.Positive(t, Crossings(fault(s)))
		})
	}
}

// TestCrossingsAgainstAllPairs compares the grid's count with looking at every
// pair of segments.
func TestCrossingsAgainstAllPairs(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 4))
		var s strand.Strand
		for range 60 {
			s.Points = append(s.Points, plane.Point{X: rng.Float64() * 20, Y: rng.Float64() * 20})
		}
		s.Width = make([]float64, len(s.Points)-1)
		want := map[[2]int]bool{}
		for i := range s.Width {
			for k := i + 2; k < len(s.Width); k++ {
				if (near.Segment{A: s.Points[i], B: s.Points[i+1]}).Crosses(near.Segment{A: s.Points[k], B: s.Points[k+1]}) {
					want[[2]int{i, k}] = true
				}
			}
		}
		require.Equal(t, len(want), Crossings([]strand.Strand{s}), "seed %d", seed)
	}
}

// TestTurnedAndMoved lays the same job turned and moved: it must stay one clean
// bead of about the same length.
func TestTurnedAndMoved(t *testing.T) {
	face := letterA()
	for i, p := range []pattern.Pattern{
		blocks(9, 0, face.Bounds()), facets(3, 8, face.Bounds()), oneDirection(0.7),
	} {
		length := lay(t, face, p).Stats.LengthMM
		rng := rand.New(rand.NewPCG(uint64(i), 6))
		for k := range 6 {
			m := plane.Rotate(rng.Float64() * 2 * math.Pi).Then(plane.Translate(rng.Float64()*300, rng.Float64()*300))
			if k == 0 {
				m = plane.Rotate(math.Pi / 2)
			}
			res := lay(t, m.ApplyRegion(face), pattern.Transform(p, m))
			name := fmt.Sprintf("pattern %d, move %d", i, k)
			assert.Equal(t, 1, len(res.Strands), name)
			assert.Zero(t, Crossings(res.Strands), name)
			assert.InEpsilon(t, length, res.Stats.LengthMM, 0.02, name)
		}
	}
}

// TestSameEveryTime: maps and caches must not decide anything.
func TestSameEveryTime(t *testing.T) {
	face := plate(60, 4, 8)
	p := facets(5, 8, face.Bounds())
	want := lay(t, face, p)
	for range 4 {
		require.Equal(t, want, lay(t, face, p))
	}
}

// TestFacetSeeds runs the pattern with the most difficult corners on many
// seeds: one bead, no crossing, and nearly nothing left out.
func TestFacetSeeds(t *testing.T) {
	seeds := uint64(24)
	if testing.Short() {
		seeds = 6
	}
	for seed := range seeds {
		face := disc(50)
		res := lay(t, face, facets(100+seed, 8, face.Bounds()))
		assert.Equal(t, 1, len(res.Strands), "seed %d", seed)
		assert.Zero(t, Crossings(res.Strands), "seed %d", seed)
		assert.Less(t, res.Stats.LeftOutMM2, 0.004*face.Area(), "seed %d", seed)
	}
}

// TestVolume: area laid against area of the face. Σ length × width is the
// covered area plus what is laid twice or over the border (the model-free
// invariant of the check values, "Bead geometry").
func TestVolume(t *testing.T) {
	for name, c := range map[string]struct {
		face plane.Region
		p    pattern.Pattern
		most float64 // share of overlap that is still right
	}{
		"one direction": {disc(60), oneDirection(0.3), 0.012},
		"blocks":        {disc(60), blocks(10, 0.1, disc(60).Bounds()), 0.03},
	} {
		t.Run(name, func(t *testing.T) {
			sum := 0.0
			for _, s := range lay(t, c.face, c.p).Strands {
				sum += s.LaidArea()
			}
			assert.InDelta(t, 1, sum/c.face.Area(), c.most)
		})
	}
}

// TestIslands: travels only between islands, each island one bead, beginning
// near where the last one ended.
func TestIslands(t *testing.T) {
	var face plane.Region
	for i := range 4 {
		face = append(face, circle(float64(i)*15, 0, 6, 60))
	}
	face = append(face, circle(15, 0, 2, 20).Reversed())
	res := lay(t, face, oneDirection(1))
	assert.Equal(t, 4, res.Stats.Islands)
	assert.Equal(t, 4, len(res.Strands))
	assert.Zero(t, res.Stats.Travels, "none within an island")
	for i, s := range res.Strands {
		assert.Equal(t, i, s.Island)
	}
}

func TestProgressRises(t *testing.T) {
	last, calls := -1.0, 0
	_, err := Fill(context.Background(), Request{Face: disc(30), Pattern: blocks(8, 0, disc(30).Bounds()), WidthMM: 0.42,
		Progress: func(s float64) {
			assert.GreaterOrEqual(t, s, last)
			last = s
			calls++
		}})
	require.NoError(t, err)
	assert.Equal(t, 1.0, last)
	assert.Greater(t, calls, 5)
}
