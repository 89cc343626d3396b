package pattern_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/tilings"
)

func TestKinds(t *testing.T) {
	zones, err := tilings.TumblingBlocks(6, tilings.AlongSide, tilings.Site{Box: box(0, 0, 40, 40)})
	require.NoError(t, err)
	p := pattern.Pattern{Zones: zones}
	kinds := pattern.Kinds(p)
	require.Len(t, kinds, 3)
	sum := 0
	for k, name := range []string{"top", "left", "right"} {
		assert.Equal(t, name, kinds[k].Name)
		assert.False(t, kinds[k].Mixed || kinds[k].Field)
		assert.InDelta(t, float64(kinds[k].Zones)*36*math.Sqrt(3)/2, kinds[k].Area, 1e-6)
		sum += kinds[k].Zones
	}
	assert.Equal(t, len(zones), sum)

	dragged := pattern.WithKindLay(p, 1, -0.2)
	for i, z := range dragged.Zones {
		if z.Kind == 1 {
			require.InDelta(t, math.Pi-0.2, z.Lay.Angle, 1e-12)
		} else {
			require.Equal(t, p.Zones[i], z)
		}
	}
	assert.InDelta(t, math.Pi*5/6, pattern.Kinds(p)[1].Angle, 1e-12, "the argument is not changed")
	assert.Equal(t, p.Zones, pattern.WithKindLay(p, 99, 1).Zones)
	assert.Empty(t, pattern.Kinds(pattern.Pattern{}))

	scales := pattern.Pattern{Zones: []pattern.Zone{{Lay: pattern.Lay{Field: grain.Concentric{}}}, {}}}
	assert.True(t, pattern.Kinds(scales)[0].Field)
	assert.True(t, pattern.Kinds(scales)[0].Mixed)
	assert.Nil(t, pattern.WithKindLay(scales, 0, 1).Zones[0].Lay.Field)
}
