package fill

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// rowsOf returns the heights of the beads along +X in the middle of a face,
// ascending, and their widths.
func rowsOf(t *testing.T, phase float64) (y []float64, res Result, p pattern.Pattern) {
	t.Helper()
	p = pattern.Pattern{Zones: []pattern.Zone{{Region: plane.Region{rect(-50, -50, 50, 50)}, Phase: phase}}}
	res, err := Fill(context.Background(), Request{
		Face: plane.Region{rect(-10, -8, 10, 8)}, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.24, MaxWidthMM: 0.8,
	})
	require.NoError(t, err)
	for _, s := range res.Strands {
		for i := range s.Width {
			a, b := s.Points[i], s.Points[i+1]
			if a.X*b.X < 0 && a.Y == b.Y && math.Abs(a.Y) < 5 {
				y = append(y, a.Y)
			}
		}
	}
	return y, res, p
}

// TestPhase: the rows of a layer above are to lie between those below. A phase
// of half a line moves all rows but the outermost as far as the widths of those
// two allow, 0.18 mm of 0.21, and the face is covered as well as without it.
func TestPhase(t *testing.T) {
	plain, before, p := rowsOf(t, 0)
	require.Greater(t, len(plain), 20)
	good := measure(plane.Region{rect(-10, -8, 10, 8)}, p, before.Strands, lineWidth, 0.04)
	away := func(y float64, list []float64) (signed float64) {
		signed = math.Inf(1)
		for _, v := range list {
			if math.Abs(y-v) < math.Abs(signed) {
				signed = y - v
			}
		}
		return signed
	}
	for _, c := range []struct{ phase, moved float64 }{
		{0, 0}, {0.05, 0.05}, {-0.1, -0.1}, {0.21, 0.18}, {0.42, 0}, {0.47, 0.05}, {math.NaN(), 0}, {math.Inf(1), 0},
	} {
		t.Run(fmt.Sprint(c.phase), func(t *testing.T) {
			shifted, res, p := rowsOf(t, c.phase)
			require.NotEmpty(t, shifted)
			for _, y := range shifted {
				// Rows are adapted: 0.42 is not quite their distance.
				assert.InDelta(t, c.moved, away(y, plain), 0.012)
			}
			f := measure(plane.Region{rect(-10, -8, 10, 8)}, p, res.Strands, lineWidth, 0.04)
			assert.Len(t, res.Strands, 1)
			assert.Zero(t, Crossings(res.Strands))
			assert.Greater(t, f.Covered, good.Covered-0.3)
			assert.Less(t, f.Spill, 0.2)
			for _, s := range res.Strands {
				for _, w := range s.Width {
					assert.GreaterOrEqual(t, w, 0.24-1e-9)
					assert.LessOrEqual(t, w, 0.8+1e-9)
				}
			}
		})
	}
}

// TestGroundPhase: lines of the ground move with its phase as those of a zone do.
func TestGroundPhase(t *testing.T) {
	face := plane.Region{rect(-10, -8, 10, 8)}
	laid := func(p pattern.Pattern) Result {
		res, err := Fill(context.Background(), Request{Face: face, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.24, MaxWidthMM: 0.8})
		require.NoError(t, err)
		return res
	}
	for _, phase := range []float64{0, 0.1, math.NaN()} {
		zone := laid(pattern.Pattern{Zones: []pattern.Zone{{Region: face, Phase: phase}}})
		ground := laid(pattern.Pattern{GroundPhase: phase})
		require.Len(t, ground.Strands, len(zone.Strands))
		assert.Equal(t, zone.Strands[0].Points, ground.Strands[0].Points, "phase %g", phase)
	}
	assert.NotEqual(t, laid(pattern.Pattern{}).Strands[0].Points, laid(pattern.Pattern{GroundPhase: 0.1}).Strands[0].Points)
}
