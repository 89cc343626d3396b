package thread_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/fill/facetest"
	"sheenlay/engine/fill/loops"
	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/thread"
)

// radii returns the distances of loops about the origin, rising.
func radii(made []loops.Loop) []float64 {
	var out []float64
	for _, l := range made {
		out = append(out, l.Points[0].Norm())
	}
	slices.Sort(out)
	return out
}

// A phase of half a spacing puts every circle midway between two of the
// circles without one (Field: line k runs where Level = Phase + k·spacing);
// a whole spacing changes nothing. The border's own circle stays.
func TestPhaseShiftsLevels(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		face plane.Region
	}{
		{"round a centre", plane.Region{facetest.Circle(0, 0, 10, 2000)}},
		{"between two borders", plane.Region{facetest.Circle(0, 0, 10, 2000), facetest.Circle(0, 0, 4, 1000).Reversed()}},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := func(phase float64) []float64 {
				a := areaOf(c.face, grain.Concentric{})
				a.Phase = phase
				made, _, err := thread.New().Zone(context.Background(), a)
				require.NoError(t, err)
				requireValid(t, made, a, c.face)
				return radii(made)
			}
			still := at(0)
			assert.Equal(t, still, at(lineWidth))
			assert.Equal(t, still, at(-3*lineWidth))
			last := len(still) - 1
			step := (still[last-1] - still[1]) / float64(last-2)
			for _, share := range []float64{0.25, 0.5, 0.75, -0.25} {
				moved := at(share * lineWidth)
				require.InDelta(t, len(still), len(moved), 1)
				for _, r := range moved {
					if r < still[0]+2.2*lineWidth || r > still[last]-2.2*lineWidth {
						continue // beside the border lines are shared out
					}
					steps := (r-still[1])/step - share
					assert.InDelta(t, math.Round(steps), steps, 0.01, "radius %g at a phase of %g", r, share)
				}
				assert.InDelta(t, still[last], moved[len(moved)-1], 1e-9, "the border stays")
			}
		})
	}
	// Both layers of a shifted pair cover alike.
	face := facetest.Disc(30)
	p := build(t, "flowing-noise", nil, face)
	for _, phase := range []float64{0, 0.21} {
		q := pattern.Pattern{Zones: slices.Clone(p.Zones)}
		for i := range q.Zones {
			q.Zones[i].Phase = phase
		}
		f := measured(face, q, lay(t, face, q))
		assert.GreaterOrEqual(t, f.Covered.Percent, 98.9, "phase %g", phase)
		assert.LessOrEqual(t, f.Double.Percent, 1.0, "phase %g", phase)
	}
}
