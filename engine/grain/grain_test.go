package grain

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

var face = plane.Box{Min: plane.Point{X: -30, Y: -20}, Max: plane.Point{X: 30, Y: 20}}

func TestDistancesHaveUnitSlope(t *testing.T) {
	curve := []plane.Point{{X: -10, Y: 0}, {X: 0, Y: 5}, {X: 10, Y: -5}}
	fields := map[string]pattern.Field{
		"concentric":   Concentric{plane.Point{X: 3, Y: 4}},
		"straight":     Straight{plane.Point{X: 1}, 0.7},
		"open curve":   AlongCurve(curve, false),
		"closed curve": AlongCurve(curve, true),
	}
	for name, f := range fields {
		m := MeasureSlope(f, face, 80)
		assert.InDelta(t, 1, m.Min, 1e-9, name)
		assert.InDelta(t, 1, m.Max, 1e-9, name)
	}
	assert.InDelta(t, 5, Concentric{}.Level(plane.Point{X: 3, Y: 4}), 1e-12)
	assert.InDelta(t, math.Sqrt2/2, Straight{Angle: math.Pi / 4}.Level(plane.Point{Y: 1}), 1e-12)
}

func TestAlongCurveIsTheNearestDistance(t *testing.T) {
	var curve []plane.Point
	for k := 0; k < 200; k++ {
		curve = append(curve, plane.Point{X: 40*Draw(5, k, 0) - 20, Y: 40*Draw(5, k, 1) - 20})
	}
	f := AlongCurve(curve, true)
	for k := 0; k < 2000; k++ {
		p := plane.Point{X: 120*Draw(6, k, 0) - 60, Y: 120*Draw(6, k, 1) - 60}
		want := math.Inf(1)
		for i, a := range curve {
			want = math.Min(want, p.Dist(plane.NearestOnSegment(a, curve[(i+1)%len(curve)], p)))
		}
		require.InDelta(t, want, f.Level(p), 1e-12, "place %d of seed 6", k)
	}
	assert.Nil(t, AlongCurve(nil, false))
	assert.Nil(t, AlongCurve(curve[:1], true))
	same := AlongCurve([]plane.Point{{X: 1}, {X: 1}}, false)
	assert.InDelta(t, 1, same.Level(plane.Point{}), 1e-12, "a curve of no length is a point")
}

func TestNoiseIsEvenAndSmooth(t *testing.T) {
	sum, most := 0.0, 0.0
	for k := 0; k < 20000; k++ {
		x, y := 100*Draw(1, k, 0), 100*Draw(1, k, 1)
		n := gradientNoise(9, x, y)
		sum += n
		most = math.Max(most, math.Abs(n))
		require.InDelta(t, n, gradientNoise(9, x+1e-6, y), 1e-5, "continuous")
	}
	assert.InDelta(t, 0, sum/20000, 0.02)
	assert.LessOrEqual(t, most, 1.0)
	assert.Zero(t, gradientNoise(9, 3, -4), "zero at whole places")
	assert.NotEqual(t, Hash(1, 0, 0), Hash(2, 0, 0))
	assert.Equal(t, Draw(7, 1, 2), Draw(7, 1, 2))
}

func TestWoodKeepsAPrintableSpacing(t *testing.T) {
	for seed := uint64(1); seed <= 12; seed++ {
		for _, arched := range []bool{false, true} {
			o := WoodOptions{Turn: 0.3, Arched: arched, WaveMM: 3, LengthMM: 40, Knots: 4, KnotMM: 9}
			w, m := NewWood(plane.Point{X: 2, Y: 1}, o, seed, face)
			assert.GreaterOrEqual(t, m.Min, MinSlope*0.97, "seed %d arched %v", seed, arched)
			assert.LessOrEqual(t, m.Max, MaxSlope*1.03, "seed %d arched %v", seed, arched)
			assert.LessOrEqual(t, m.Outside, 0.01, "seed %d arched %v", seed, arched)
			assert.NotEmpty(t, w.Knots(), "seed %d", seed)
		}
	}
}

func TestWoodIsContinuous(t *testing.T) {
	w, _ := NewWood(plane.Point{}, WoodOptions{WaveMM: 2, LengthMM: 40, Knots: 5, KnotMM: 12}, 3, face)
	const step = 0.01
	worst := 0.0
	for y := face.Min.Y; y < face.Max.Y; y += 0.37 {
		last := w.Level(plane.Point{X: face.Min.X, Y: y})
		for x := face.Min.X + step; x < face.Max.X; x += step {
			now := w.Level(plane.Point{X: x, Y: y})
			worst = math.Max(worst, math.Abs(now-last))
			last = now
		}
	}
	assert.Less(t, worst, 2.5*step, "the level never jumps")
}

// Around a knot the border is one level line, and the grain line through it
// runs out of both of its points.
func TestKnotBorderIsALevelLine(t *testing.T) {
	w := &Wood{Scale: 1, LengthMM: 40, frame: axisAt(plane.Point{}, 0)}
	w.setKnots([]Knot{{At: plane.Point{X: 5, Y: 2}, Half: 6}})
	k := w.knots[0]
	for x := -6.0; x <= 6; x += 0.25 {
		y := math.Sqrt(k.radius*k.radius-x*x) - k.centre
		assert.InDelta(t, 2, w.Level(plane.Point{X: 5 + x, Y: 2 + y}), 1e-9)
		assert.InDelta(t, 2, w.Level(plane.Point{X: 5 + x, Y: 2 - y}), 1e-9)
	}
	assert.InDelta(t, 2, w.Level(plane.Point{X: 30, Y: 2}), 1e-12)
	assert.InDelta(t, 2-k.height, w.Level(plane.Point{X: 5, Y: 2}), 1e-9, "innermost ring")
}

func TestFlowingSwingsAsAsked(t *testing.T) {
	for seed := uint64(1); seed <= 8; seed++ {
		for _, degrees := range []float64{0, 20, 40, 55} {
			f, m := NewFlowing(plane.Point{X: 1}, 0, 25, degrees*math.Pi/180, seed, face)
			assert.LessOrEqual(t, m.Swing, degrees*math.Pi/180+1e-6, "seed %d", seed)
			assert.GreaterOrEqual(t, m.Min, MinSlope*0.99)
			assert.LessOrEqual(t, m.Max, MaxSlope*1.01)
			if degrees == 0 {
				assert.InDelta(t, 7, f.Level(plane.Point{X: 3, Y: 7}), 1e-9)
			}
		}
	}
}

func TestMeasureSlopeSeesASeededFault(t *testing.T) {
	steep := Function(func(p plane.Point) float64 { return 3 * p.X })
	assert.InDelta(t, 1, MeasureSlope(steep, face, 20).Outside, 0)
	assert.Zero(t, MeasureSlope(steep, plane.EmptyBox(), 20).Max)
}

func BenchmarkWoodLevel(b *testing.B) {
	w, _ := NewWood(plane.Point{}, WoodOptions{WaveMM: 2, LengthMM: 40, Knots: 5, KnotMM: 12}, 3, face)
	sum := 0.0
	for i := 0; i < b.N; i++ {
		sum += w.Level(plane.Point{X: float64(i%60) - 30, Y: float64(i%41) - 20})
	}
	if math.IsNaN(sum) {
		b.Fatal("not a number")
	}
}
