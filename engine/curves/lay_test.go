package curves

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/plane"
)

func TestLayTurnsCounterClockwise(t *testing.T) {
	s := Site{Anchor: plane.Point{X: 10, Y: 20}, Turn: math.Pi / 2}
	got := s.lay([][]plane.Point{{{X: 3, Y: 1}, {X: 3, Y: 2}}}, plane.Point{X: 1, Y: 1}, 0.5, true)
	assert.True(t, got[0].Closed)
	assert.InDelta(t, 0, got[0].Points[0].Dist(plane.Point{X: 10, Y: 21}), 1e-12, "along +X becomes along +Y")
	assert.InDelta(t, 0, got[0].Points[1].Dist(plane.Point{X: 9.5, Y: 21}), 1e-12, "along +Y becomes along −X")
}
