package picture

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What lies between dark and light counts as a zone only where it is wider than
// a rim. Bands stand upright across a picture of 40 × 20 mm; areas by hand.
func TestRimsAreNoZones(t *testing.T) {
	band := func(from, to, inside, left, right float64) func(x, y float64) float64 {
		return func(x, _ float64) float64 {
			switch {
			case x*40 < from:
				return left
			case x*40 < to:
				return inside
			}
			return right
		}
	}
	for _, c := range []struct {
		name   string
		at     func(x, y float64) float64
		levels int
		area   []float64 // of each level, mm²
	}{
		{"a sharp edge", band(20, 20, 0, 0, 255), 4, []float64{400, 0, 0, 400}},
		{"a rim of 0.8 mm", band(20, 20.8, 119, 0, 255), 3, []float64{408, 0, 392}},
		{"a band of 4 mm", band(20, 24, 119, 0, 255), 3, []float64{400, 80, 320}},
		{"a grey line on white", band(20, 21.2, 119, 255, 255), 3, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := paint(400, 200, func(x, y float64) float64 {
				if c.area == nil && y < 0.1 {
					return 0 // for the levels to be the same as in the others
				}
				return c.at(x, y)
			})
			out := trace(t, p, Options{WidthMM: 40, Levels: c.levels})
			if c.area == nil {
				assert.Greater(t, out.Levels[1].AreaMM2, 8.0, "a line of a level between is kept")
				return
			}
			require.Len(t, out.Levels, len(c.area))
			for k, want := range c.area {
				assert.InDelta(t, want, out.Levels[k].AreaMM2, 8, "level %d", k+1)
			}
		})
	}
}

// Rims of a picture of chance: levels still lie within one another, so that no
// place is left out.
func TestRimsKeepLevelsNested(t *testing.T) {
	p := paint(120, 90, func(x, y float64) float64 {
		return 127 + 127*math.Tanh(20*math.Sin(9*x+4*y)+15*math.Sin(7*y-3*x))
	})
	g := newGrid(p, Options{WidthMM: 40, Levels: 3}.filled())
	l := divide(sampleLight(context.Background(), p, g), g, Options{WidthMM: 40, Levels: 3}.filled())
	r := findRims(context.Background(), l.tone, l.thresholds, g)
	require.NotNil(t, r)
	moved := 0
	for k := 2; k <= len(l.thresholds); k++ {
		lower, upper := r.field(k-1), r.field(k)
		for i := range l.tone {
			require.False(t, upper[i] >= l.thresholds[k-1] && lower[i] < l.thresholds[k-2], "sample %d, level %d", i, k)
		}
	}
	for i := range l.tone {
		if r.low[i] != r.high[i] {
			moved++
		}
	}
	assert.Positive(t, moved)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	assert.Nil(t, findRims(ctx, l.tone, l.thresholds, g))
	assert.Empty(t, grid{stepX: 1, stepY: 1}.around(-1))
}
