package bezier

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/plane"
)

func toSegment(p, a, b plane.Point) float64 {
	return p.Dist(plane.NearestOnSegment(a, b, p))
}

// Random curves, cusps and loops among them: no chord leaves its curve by more
// than the tolerance, and half the steps would not do for the plain parabola,
// where the bound is sharp. Seed 4.
func TestStepsKeepTolerance(t *testing.T) {
	random := rand.New(rand.NewSource(4))
	point := func() plane.Point {
		return plane.Point{X: float64(random.Intn(21)) - 10, Y: float64(random.Intn(21)) - 10}
	}
	const tolerance = 0.01
	worst := func(steps float64, at func(t float64) plane.Point) float64 {
		n := max(1, int(math.Ceil(steps)))
		out := 0.0
		for i := range n {
			a, b := at(float64(i)/float64(n)), at(float64(i+1)/float64(n))
			for _, s := range []float64{0.2, 0.5, 0.8} {
				out = math.Max(out, toSegment(at((float64(i)+s)/float64(n)), a, b))
			}
		}
		return out
	}
	for range 500 {
		p, c, d, q := point(), point(), point(), point()
		assert.LessOrEqual(t, worst(QuadSteps(p, c, q, tolerance), func(t float64) plane.Point { return Quad(p, c, q, t) }), tolerance+1e-12, "seed 4")
		assert.LessOrEqual(t, worst(CubicSteps(p, c, d, q, tolerance), func(t float64) plane.Point { return Cubic(p, c, d, q, t) }), tolerance+1e-12, "seed 4")
	}
	parabola := func(t float64) plane.Point {
		return Quad(plane.Point{X: -10, Y: 10}, plane.Point{Y: -10}, plane.Point{X: 10, Y: 10}, t)
	}
	n := QuadSteps(plane.Point{X: -10, Y: 10}, plane.Point{Y: -10}, plane.Point{X: 10, Y: 10}, tolerance)
	assert.Greater(t, worst(n/2, parabola), tolerance)
}

func TestStraightCurvesTakeNoSteps(t *testing.T) {
	a, b := plane.Point{X: 1}, plane.Point{X: 3}
	assert.Zero(t, QuadSteps(a, plane.Point{X: 2}, b, 0.01))
	assert.Equal(t, plane.Point{X: 2}, Quad(a, plane.Point{X: 2}, b, 0.5))
	assert.Equal(t, b, Cubic(a, a, b, b, 1))
}
