package generators

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

func faceOf(w, h float64) plane.Box {
	return plane.Box{Min: plane.Point{X: 90, Y: 80}, Max: plane.Point{X: 90 + w, Y: 80 + h}}
}

func TestListIsWellFormed(t *testing.T) {
	ids := map[string]bool{}
	kebab := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	for _, g := range All() {
		assert.Regexp(t, kebab, g.ID)
		assert.False(t, ids[g.ID], g.ID)
		ids[g.ID] = true
		assert.NotEmpty(t, g.Name)
		assert.Regexp(t, `^[^.]+\.$`, g.About, "%s: one sentence", g.ID)
		keys := map[string]bool{}
		for _, p := range g.Params {
			assert.False(t, keys[p.Key], "%s %s", g.ID, p.Key)
			keys[p.Key] = true
			assert.True(t, p.Min < p.Max && p.Default >= p.Min && p.Default <= p.Max && p.Step > 0, "%s %s", g.ID, p.Key)
			assert.NotEmpty(t, p.Label)
			assert.NotEmpty(t, p.Doc)
			if p.Choices != nil {
				assert.Equal(t, float64(len(p.Choices)-1), p.Max)
			}
			switch p.Unit {
			case Millimetres:
				assert.Regexp(t, `MM$`, p.Key)
			case Degrees:
				assert.Regexp(t, `Deg$`, p.Key)
			}
		}
	}
	for _, id := range []string{
		"tumbling-blocks", "hexagons", "herringbone", "basket-weave", "chevron", "checker", "triangles", "hemp-leaf",
		"seven-treasures", "scale-waves", "key-fret", "sunburst", "rings", "spiral", "facets", "rhombs",
		"arc-tiles", "wood-grain", "flowing-noise", "hilbert", "peano", "gosper", "sierpinski", "straight", "straight-border",
	} {
		_, err := ByID(id)
		assert.NoError(t, err)
	}
	_, err := ByID("no-such")
	assert.ErrorContains(t, err, "tumbling-blocks")
}

func TestDefaultsCoverTheFace(t *testing.T) {
	face := faceOf(60, 45)
	for _, g := range All() {
		p, err := g.Build(nil, 1, face)
		require.NoError(t, err, g.ID)
		require.True(t, (len(p.Zones) > 0) != (len(p.Curves) > 0), g.ID)
		if len(p.Zones) > 0 {
			assert.Empty(t, pattern.CheckPartition(p.Zones, face.Grow(marginMM), 40), g.ID)
		}
	}
}

// Every parameter at both limits and the middle, every choice: a partition or
// a refusal that says what to do; never a panic, never too many zones.
func TestEveryParameterAtItsLimits(t *testing.T) {
	for _, face := range []plane.Box{faceOf(30, 22), faceOf(400, 400), faceOf(3, 200), faceOf(0.01, 0.01), faceOf(0, 0)} {
		for _, g := range All() {
			for _, p := range g.Params {
				values := []float64{p.Min, p.Max, math.Round((p.Min + p.Max) / 2)}
				for _, value := range values {
					if face.Size().X == 400 && g.Params[0].Key == PitchKey && p.Key != PitchKey {
						continue // a million points each; the pitch itself is tried
					}
					label := fmt.Sprintf("%s %s=%g on %v", g.ID, p.Key, value, face.Size())
					got, err := g.Build(map[string]float64{p.Key: value}, 7, face)
					if err != nil {
						var f finding.Finding
						require.True(t, errors.As(err, &f), label)
						require.NotEmpty(t, f.Remedy, label)
						require.Equal(t, 400.0, face.Size().X, label)
						continue
					}
					require.LessOrEqual(t, len(got.Zones), 20000, label)
					if len(got.Zones) > 0 && len(got.Zones) < 3000 && face.Size().X < 400 {
						require.Empty(t, pattern.CheckPartition(got.Zones, face.Grow(0.5), 12), label)
					}
				}
			}
		}
	}
}

func TestBadParametersAreRefusedByName(t *testing.T) {
	for _, g := range All() {
		_, err := g.Build(map[string]float64{"noSuch": 1}, 0, faceOf(20, 20))
		assert.ErrorContains(t, err, "noSuch", g.ID)
		for _, p := range g.Params {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), p.Min - 0.5, p.Max + 0.5} {
				_, err := g.Build(map[string]float64{p.Key: bad}, 0, faceOf(20, 20))
				var f finding.Finding
				require.True(t, errors.As(err, &f), "%s %s=%g", g.ID, p.Key, bad)
				assert.Contains(t, f.Text, p.Key)
				assert.Contains(t, f.Text, fmt.Sprintf("%g and %g", p.Min, p.Max))
				assert.Equal(t, p.Key, f.Place.Element)
			}
			if p.Whole || p.Choices != nil {
				_, err := g.Build(map[string]float64{p.Key: p.Min + 0.5}, 0, faceOf(20, 20))
				assert.ErrorContains(t, err, "whole number")
			}
		}
	}
}

func TestBadFaces(t *testing.T) {
	for _, g := range All() {
		p, err := g.Build(nil, 0, plane.EmptyBox())
		assert.NoError(t, err)
		assert.Empty(t, p.Zones)
		for _, face := range []plane.Box{
			{Min: plane.Point{X: math.NaN()}, Max: plane.Point{X: 1, Y: 1}},
			{Max: plane.Point{X: 1e12, Y: 1}},
		} {
			_, err = g.Build(nil, 0, face)
			assert.ErrorContains(t, err, "face", g.ID)
		}
	}
}

func TestSeedsDecide(t *testing.T) {
	face := faceOf(40, 40)
	at := plane.Point{X: 101.3, Y: 93.7}
	print := func(p pattern.Pattern) string {
		if len(p.Zones) == 1 && p.Zones[0].Lay.Field != nil {
			return fmt.Sprint(p.Zones[0].Lay.Field.Level(at))
		}
		return fmt.Sprint(p.Zones, p.Curves)
	}
	for _, g := range All() {
		a, err := g.Build(nil, 1, face)
		require.NoError(t, err)
		b, _ := g.Build(nil, 1, face)
		c, _ := g.Build(nil, 2, face)
		assert.Equal(t, print(a), print(b), g.ID)
		assert.Equal(t, g.Random, print(a) != print(c), g.ID)
	}
}

func TestPitchTakesTheJobsSpacing(t *testing.T) {
	g, err := ByID("spiral")
	require.NoError(t, err)
	given := map[string]float64{"turnDeg": 5}
	with := g.WithSpacing(given, 0.5)
	assert.Equal(t, map[string]float64{"turnDeg": 5, PitchKey: 0.5}, with)
	assert.NotContains(t, given, PitchKey, "the argument is not changed")
	assert.Equal(t, 0.7, g.WithSpacing(map[string]float64{PitchKey: 0.7}, 0.5)[PitchKey])
	plain, _ := ByID("checker")
	assert.NotContains(t, plain.WithSpacing(nil, 0.5), PitchKey)
}

func BenchmarkBuild(b *testing.B) {
	for _, g := range All() {
		for _, side := range []float64{50, 200} {
			b.Run(fmt.Sprintf("%s/mm=%g", g.ID, side), func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; i < b.N; i++ {
					if _, err := g.Build(nil, 1, faceOf(side, side)); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
