package footprint_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/footprint"
	"sheenlay/engine/plane"
)

// TestBadInput holds every kind of odd first layer to a result or a reason.
func TestBadInput(t *testing.T) {
	spiral := []plane.Point{}
	for i := 0; i <= 720; i++ {
		spiral = append(spiral, plane.Point{X: 20}.Turn(float64(i)*math.Pi/180).Add(plane.Point{X: 50, Y: 50}))
	}
	varying := ring(width, box(0, 0, 30, 20))
	thick := append(plate(0, 0, 30, 20), rows(40, 0, 60, 20, pitch)...)
	for i := len(thick) - 30; i < len(thick); i++ {
		for k := range thick[i].E {
			thick[i].E[k] *= 1.4
		}
	}
	broken := plate(0, 0, 30, 20)
	broken = append(broken, deposit.Stroke{}, stroke(width, plane.Point{X: math.NaN()}, plane.Point{X: 4}), deposit.Stroke{Points: []plane.Point{{}, {X: 1}}})
	noFeed := ring(width, box(0, 0, 30, 20))
	clear(noFeed.E)
	var many []deposit.Stroke
	for i := range 300 {
		x, y := float64(i%20)*10, float64(i/20)*10
		many = append(many, plate(x, y, x+8, y+8)...)
	}
	for _, c := range []struct {
		name    string
		layer   deposit.Layer
		area    float64 // 0 = refused
		islands int
		code    string
	}{
		{"empty", layer(), 0, 0, "footprint-empty"},
		{"no filament", layer(noFeed), 0, 0, "footprint-no-width"},
		{"no height", deposit.Layer{Strokes: plate(0, 0, 30, 20)}, 600, 1, ""},
		{"only a skirt by name", layer(func() deposit.Stroke { s := varying; s.Label = "skirt"; return s }()), 0, 0, "footprint-no-piece"},
		{"only a brim by name", layer(func() deposit.Stroke { s := varying; s.Label = "Brim"; return s }()), 0, 0, "footprint-no-piece"},
		{"walls without fill", layer(ring(width, box(0, 0, 30, 20)), ring(width, box(pitch, pitch, 30-pitch, 20-pitch))), 0.45*100 + pitch*98, 1, "footprint-no-fill"},
		{"a single loop", layer(varying), 100 * width, 1, "footprint-no-fill"},
		{"spiral vase, two turns on top of each other", layer(stroke(width, spiral...)), 2 * math.Pi * 20 * width, 1, "footprint-no-fill"},
		{"gaps larger than a line", layer(append([]deposit.Stroke{ring(width, box(0.225, 0.225, 29.775, 19.775))}, rows(0.3, 0.3, 29.7, 19.7, 3)...)...), 600, 1, "footprint-gaps"},
		{"no walls", layer(rows(0, 0, 30, 20, pitch)...), 600, 1, "footprint-no-walls"},
		{"widths differ", layer(thick...), 0, 2, "footprint-widths-vary"},
		{"stray coordinate", layer(append(plate(0, 0, 30, 20), stroke(width, plane.Point{X: 1e6, Y: 1e6}, plane.Point{X: 1e6 + 5, Y: 1e6}))...), 0, 0, "footprint-too-wide"},
		{"broken strokes", layer(broken...), 600, 1, "footprint-broken-stroke"},
		{"300 islands", layer(many...), 300 * 64, 300, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := read(c.layer)
			if c.code != "" {
				assert.Contains(t, codes(got.Findings), c.code)
			} else {
				assert.Empty(t, got.Findings)
			}
			if c.islands == 0 {
				assert.Empty(t, got.Region)
				assert.Equal(t, finding.Stop, got.Findings.Worst())
				return
			}
			assert.Len(t, got.Islands, c.islands)
			if c.area > 0 {
				assert.InDelta(t, 1, got.Region.Area()/c.area, 0.01)
			}
			for _, f := range got.Findings {
				assert.NotEmpty(t, f.Text)
				assert.NotEmpty(t, f.Remedy)
			}
		})
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	got := footprint.Of(ctx, layer(plate(0, 0, 30, 20)...), footprint.Options{})
	assert.Empty(t, got.Region)
	assert.True(t, got.Findings.Has("footprint-cancelled"))
}

// TestAnythingIsAnswered reads layers of random strokes: no panic, and either a
// region in order or a finding that stops.
func TestAnythingIsAnswered(t *testing.T) {
	for k := range 100 {
		rng := rand.New(rand.NewPCG(61, uint64(k)))
		l := deposit.Layer{Height: []float64{0, 0.2, 0.3, -1, math.NaN()}[rng.IntN(5)]}
		for range rng.IntN(30) {
			var points []plane.Point
			at := plane.Point{X: 50 * rng.Float64(), Y: 50 * rng.Float64()}
			for range rng.IntN(20) {
				points = append(points, at)
				at = at.Add(plane.Point{X: 10*rng.Float64() - 5, Y: 10*rng.Float64() - 5}.Mul(float64(rng.IntN(3))))
			}
			if len(points) > 2 && rng.IntN(2) == 0 {
				points = append(points, points[0])
			}
			s := stroke(0.2+rng.Float64(), points...)
			s.Label = []string{"", "wall", "fill", "x", "Brim"}[rng.IntN(5)]
			l.Strokes = append(l.Strokes, s)
		}
		got := read(l)
		if len(got.Region) == 0 {
			require.Equal(t, finding.Stop, got.Findings.Worst(), "case %d", k)
			continue
		}
		require.Greater(t, got.Region.Area(), 0.0, "case %d", k)
		got.InsideKeptWalls(2, 0.15)
		got.Margin(3)
	}
}

// TestLoopsToTheMiddleAreSolid: fill that follows the outline is no lack of fill;
// a few loops round nothing are.
func TestLoopsToTheMiddleAreSolid(t *testing.T) {
	loops := func(from, to int) (out []deposit.Stroke) {
		for k := from; k < to; k++ {
			d := (float64(k) + 0.5) * pitch
			out = append(out, ring(width, box(d, d, 12-d, 10-d)))
		}
		return out
	}
	all := int(5 / pitch)
	assert.NotContains(t, codes(read(layer(loops(0, all)...)).Findings), "footprint-no-fill")
	assert.NotContains(t, codes(read(layer(loops(0, 8)...)).Findings), "footprint-no-fill")
	assert.Contains(t, codes(read(layer(loops(0, 3)...)).Findings), "footprint-no-fill")
}

// TestFilamentByVolume: E in mm³ makes no length that fits the lines.
func TestFilamentByVolume(t *testing.T) {
	for _, diameter := range []float64{1.75, 2.85} {
		for _, flow := range []float64{0.8, 0.9, 1, 1.1, 1.2} {
			strokes := plate(0, 0, 30, 20)
			for i := range strokes {
				for k := range strokes[i].E {
					strokes[i].E[k] *= flow
				}
			}
			assert.NotContains(t, codes(read(layer(strokes...)).Findings), "footprint-volume", "by length")
			for i := range strokes {
				for k := range strokes[i].E {
					strokes[i].E[k] *= math.Pi / 4 * 1.75 * 1.75
				}
			}
			for _, given := range []float64{0, diameter} {
				got := footprint.Of(context.Background(), layer(strokes...), footprint.Options{FilamentMM: given})
				assert.Contains(t, codes(got.Findings), "footprint-volume", "%g mm, flow %g", given, flow)
				assert.Equal(t, finding.Stop, got.Findings.Worst())
			}
		}
	}
}
