package join_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/join"
	"sheenlay/engine/plane"
)

// TestAStoppedJoinIsNoJoin stops building and proving at every asking: neither
// gives anything that could be taken for a finished join.
func TestAStoppedJoinIsNoJoin(t *testing.T) {
	m, in := faultCase()
	long := zigzag(plane.Box{Min: plane.Point{X: 90, Y: 90}, Max: plane.Point{X: 130, Y: 130}}, 0.004, m.Truth.EPerMM, 1200)
	in.Layers[0].Operations = append(in.Layers[0].Operations[:1], long)
	sound, _ := proved(t, "sound", m, in)
	counted := func(limit int) (func() bool, *int) {
		asked := 0
		return func() bool { asked++; return asked > limit }, &asked
	}
	stop, asked := counted(1 << 30)
	in.Stop = stop
	_, found := join.Build(in)
	require.Empty(t, found)
	for limit := range *asked {
		in.Stop, _ = counted(limit)
		r, found := join.Build(in)
		assert.Empty(t, r.Blocks)
		assert.Empty(t, found)
	}
	plan := join.PlanOf(in, sound, machineOf(m))
	plan.Stop, asked = counted(1 << 30)
	assert.True(t, join.Prove(sound.FinishedHead(m.Bytes), m.Bytes, plan).OK)
	require.Greater(t, *asked, 1)
	for limit := range *asked {
		plan.Stop, _ = counted(limit)
		assert.False(t, join.Prove(sound.FinishedHead(m.Bytes), m.Bytes, plan).OK, limit)
	}
}
