package thread

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/grain"
	"sheenlay/engine/plane"
)

// A corner that the grid cut off comes back on the ridge of the field; a bend that
// is none, and a line that turns back, stay as they are.
func TestPointed(t *testing.T) {
	roof := grain.Function(func(p plane.Point) float64 { return p.Y + math.Abs(p.X) })
	steep := grain.Function(func(p plane.Point) float64 { return p.Y/6 + math.Abs(p.X) })
	got := pointed(roof, 0, line{points: []plane.Point{{X: -1, Y: -1}, {X: -0.1, Y: -0.1}, {X: 0.1, Y: -0.1}, {X: 1, Y: -1}}})
	assert.Len(t, got.points, 5)
	assert.InDelta(t, 0, got.points[2].Norm(), 1e-6)
	for name, l := range map[string]struct {
		field grain.Function
		line  line
	}{
		"nothing":   {roof, line{}},
		"a bend":    {func(p plane.Point) float64 { return p.Norm() }, line{points: []plane.Point{{X: 5}, {X: 4.9, Y: 0.995}}}},
		"back":      {steep, line{points: []plane.Point{{X: -0.1, Y: -0.6}, {X: 0.1, Y: -0.6}}}},
		"too short": {roof, line{points: []plane.Point{{X: -0.02, Y: -0.02}, {X: 0.02, Y: -0.02}}}},
	} {
		assert.Equal(t, l.line.points, pointed(l.field, 0, l.line).points, name)
	}
}
