package strand_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

func TestStrand(t *testing.T) {
	s := strand.Strand{
		Points: []plane.Point{{}, {X: 3, Y: 4}, {X: 3, Y: 10}},
		Width:  []float64{0.4, 0.5}, Zone: []int32{7, strand.Connector}, Island: 2,
	}
	assert.Equal(t, 11.0, s.Length())
	assert.InDelta(t, 5*0.4+6*0.5, s.LaidArea(), 1e-12)
	assert.Equal(t, plane.Box{Max: plane.Point{X: 3, Y: 10}}, s.Bounds())
	back := s.Reversed()
	assert.Equal(t, strand.Strand{
		Points: []plane.Point{{X: 3, Y: 10}, {X: 3, Y: 4}, {}},
		Width:  []float64{0.5, 0.4}, Zone: []int32{strand.Connector, 7}, Island: 2,
	}, back)
	assert.Equal(t, s, back.Reversed())
	assert.Equal(t, s.LaidArea(), back.LaidArea())
	back.Points[0].X = 99
	assert.Equal(t, 3.0, s.Points[2].X, "a copy of its own")
}

func TestStrandOfNothing(t *testing.T) {
	for name, s := range map[string]strand.Strand{
		"empty": {}, "one point": {Points: []plane.Point{{X: 1}}}, "plain line": {Points: []plane.Point{{X: 1}, {X: 1}}, Width: []float64{0.4}},
	} {
		assert.Zero(t, s.Length(), name)
		assert.Zero(t, s.LaidArea(), name)
		assert.Nil(t, s.Reversed().Zone, name)
	}
	assert.True(t, strand.Strand{}.Bounds().Empty())
}
