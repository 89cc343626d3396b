package thread_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/fill/facetest"
	"sheenlay/engine/finding"
	"sheenlay/engine/grain"
	"sheenlay/engine/plane"
	"sheenlay/engine/thread"
)

// Rays about a point 20 mm under the face: lines in the direction of r stand
// s·r/r₀ apart, so the area where that is more than the widest bead (0.55 mm
// and a twentieth) or less than the narrowest (0.30 mm) is known in closed form, half a bead inside the border.
func TestSpacingBeyondTheLimitsIsReported(t *testing.T) {
	// Level = r₀·φ, spacing s·r/r₀ but for the ladder's fit, which keeps the
	// number of lines whole.
	fan := func(r0 float64) grain.Function {
		return func(p plane.Point) float64 { return r0 * math.Atan2(p.X, p.Y+20) }
	}
	find := func(face plane.Region, r0 float64) finding.List {
		_, found, err := thread.New().Zone(context.Background(), areaOf(face, fan(r0)))
		require.NoError(t, err)
		var out finding.List
		for _, f := range found {
			if f.Code == "thread-lines-apart" || f.Code == "thread-lines-crowd" {
				out = append(out, f)
			}
		}
		return out
	}
	face := plane.Region{facetest.Rect(-5, 0, 5, 20)}
	assert.Empty(t, find(plane.Region{facetest.Rect(-3, 0, 3, 3)}, 21.5), "±7 % is printable")

	// r₀ = 20: 0.42 mm at the bottom, 0.84 mm at the top; too far from r = 27.5.
	got := find(face, 20)
	require.Len(t, got, 1)
	assert.Equal(t, "thread-lines-apart", got[0].Code)
	assert.Equal(t, finding.Caution, got[0].Level)
	assert.InDelta(t, 9.58*(39.79-0.55*1.05/0.42*20), got[0].Value, 12, "area where lines stand too far apart")
	assert.Greater(t, got[0].Place.At[1], 18.5, "worst at the top")
	assert.Contains(t, got[0].Text, "widest bead is 0.55 mm")

	// r₀ = 40: 0.21 mm at the bottom, too near up to r = 27.1.
	got = find(face, 40)
	require.Len(t, got, 1)
	assert.Equal(t, "thread-lines-crowd", got[0].Code)
	assert.InDelta(t, 9.58*(0.30*0.95/0.42*40-20.21), got[0].Value, 12, "area where lines crowd")
	assert.Less(t, got[0].Place.At[1], 1.5, "worst at the bottom")

	// A centre, a ridge and the built-in fields say nothing.
	for name, f := range map[string]grain.Function{
		"centre": func(p plane.Point) float64 { return p.Norm() },
		"ridge":  func(p plane.Point) float64 { return math.Abs(p.X) + 0.2*p.Y },
	} {
		_, found, err := thread.New().Zone(context.Background(), areaOf(facetest.Disc(20), f))
		require.NoError(t, err)
		assert.False(t, found.Has("thread-lines-apart") || found.Has("thread-lines-crowd"), name)
	}
	for _, id := range []string{"wood-grain", "flowing-noise", "rings", "scale-waves", "arc-tiles"} {
		face := facetest.Disc(60)
		p := build(t, id, nil, face)
		r := request(face, p)
		r.MinWidthMM, r.MaxWidthMM = 0.24, 0.8 // 0.6 and 2 nozzles of 0.4 mm
		for i, z := range p.Zones {
			if z.Lay.Field == nil || i > 40 {
				continue
			}
			a := areaOf(face, z.Lay.Field)
			a.Min, a.Max = r.MinWidthMM, r.MaxWidthMM
			a.Covers[0].Region = z.Region
			_, found, err := thread.New().Zone(context.Background(), a)
			require.NoError(t, err)
			assert.False(t, found.Has("thread-lines-apart") || found.Has("thread-lines-crowd"), "%s, zone %d", id, i)
		}
	}
}
