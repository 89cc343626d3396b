package lay_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/lay"
	"sheenlay/engine/plane"
	"sheenlay/engine/tilings"
)

// Random planar graphs: never worse than four colours would give, never above
// the bound, equal from run to run. Cells of random facets are planar.
func TestFacetGraphs(t *testing.T) {
	box := plane.Box{Max: plane.Point{X: 60, Y: 60}}
	for seed := uint64(1); seed <= 6; seed++ {
		zones, err := tilings.Facets(6+float64(seed), tilings.SpreadDirections, 6, seed, tilings.Site{Box: box, Anchor: box.Centre()})
		require.NoError(t, err)
		g, err := lay.Adjacency(zones, nil, 0.05)
		require.NoError(t, err)
		r := lay.Assign(g, nil, lay.Options{})
		assert.GreaterOrEqual(t, r.SmallestDifference*180/math.Pi, 45-1e-9, "seed %d, %d zones", seed, len(zones))
		assert.LessOrEqual(t, r.SmallestDifference, r.Bound+1e-12)
	}
}

// The rhombille tiling's own graph: three classes, 60° is the optimum.
func TestRhombille(t *testing.T) {
	box := plane.Box{Max: plane.Point{X: 60, Y: 60}}
	zones, err := tilings.TumblingBlocks(8, tilings.AlongSide, tilings.Site{Box: box})
	require.NoError(t, err)
	g, err := lay.Adjacency(zones, nil, 0)
	require.NoError(t, err)
	r := lay.Assign(g, nil, lay.Options{})
	assert.InDelta(t, 60, r.SmallestDifference*180/math.Pi, 1e-9)
	assert.True(t, r.Optimal)
}

func BenchmarkFacets(b *testing.B) {
	for _, size := range []float64{16, 8, 3.4} {
		box := plane.Box{Max: plane.Point{X: 400, Y: 400}}
		zones, err := tilings.Facets(size, tilings.SpreadDirections, 6, 1, tilings.Site{Box: box, Anchor: box.Centre()})
		require.NoError(b, err)
		b.Run(fmt.Sprintf("n=%d", len(zones)), func(b *testing.B) {
			for i := 0; i < b.N; i++ {
				start := time.Now()
				g, err := lay.Adjacency(zones, nil, 0)
				require.NoError(b, err)
				b.ReportMetric(float64(time.Since(start).Milliseconds()), "ms-adjacency")
				r := lay.Assign(g, nil, lay.Options{})
				b.ReportMetric(r.SmallestDifference*180/math.Pi, "degrees")
			}
		})
	}
}
