package generators

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

func TestNotes(t *testing.T) {
	face := faceOf(60, 60)
	build := func(id string, params map[string]float64) pattern.Pattern {
		g, err := ByID(id)
		require.NoError(t, err)
		p, err := g.Build(params, 1, face)
		require.NoError(t, err)
		return p
	}
	assert.Empty(t, Notes(pattern.Pattern{}, face, 0.42))
	assert.Empty(t, Notes(build("checker", nil), plane.EmptyBox(), 0.42))
	assert.Empty(t, Notes(build("tumbling-blocks", nil), face, 0.42))

	small := Notes(build("facets", map[string]float64{"sizeMM": 3}), face, 0.42)
	require.True(t, small.Has("generators-small-zones"))
	assert.Contains(t, small[0].Remedy, "times as large")

	wood := Notes(build("wood-grain", nil), face, 0.42)
	require.True(t, wood.Has("generators-line-distance"))
	assert.LessOrEqual(t, wood[0].Value, grain.MaxSlope/grain.MinSlope*1.05)
}

// Blocks of 10 mm with lines along a side: turns cost 4.9 % of the length where
// beads are 0.42 mm wide (measured figure of the method's description; here
// from B·w/(2A) = 2·s·sin 60°·w/(2·s²·√3/2) = w/s = 4.2 %, whole tiles only).
func TestTurnsOfBlocks(t *testing.T) {
	g, err := ByID("tumbling-blocks")
	require.NoError(t, err)
	face := faceOf(80, 80)
	p, err := g.Build(nil, 0, face)
	require.NoError(t, err)
	assert.InDelta(t, 0.042, turns(p, face, 0.42), 1e-9)
}
