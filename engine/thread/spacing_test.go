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
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/thread"
)

// Where lines stand apart by more than the widest bead on a stretch too short
// for others to come in, that is reported: the area is counted on the field
// itself, its spacing 0.42 mm/|∇Level|, half a bead inside the border.
func TestSpacingBeyondTheLimitsIsReported(t *testing.T) {
	t.Parallel()
	// Lines along X that swell (or shrink) about x = 0.
	swell := func(by float64) grain.Function {
		return func(p plane.Point) float64 { return p.Y / (1 + by*math.Exp(-p.X*p.X)) }
	}
	face := plane.Region{facetest.Rect(-6, -5, 6, 5)}
	area := func(f grain.Function, off func(spacing float64) bool) float64 {
		const step = 0.02
		sum := 0.0
		for x := -5.8; x < 5.8; x += step {
			for y := -4.8; y < 4.8; y += step {
				if off(lineWidth / pattern.Slope(f, plane.Point{X: x, Y: y}).Norm()) {
					sum += step * step
				}
			}
		}
		return sum
	}
	find := func(f grain.Function, code string) finding.List {
		_, found, err := thread.New().Zone(context.Background(), areaOf(face, f))
		require.NoError(t, err)
		var out finding.List
		for _, f := range found {
			if f.Code == code {
				out = append(out, f)
			}
		}
		return out
	}
	assert.Empty(t, find(swell(0.2), "thread-lines-apart"), "±20 % is printable")
	assert.Empty(t, find(swell(0.2), "thread-lines-crowd"), "±20 % is printable")

	got := find(swell(0.8), "thread-lines-apart")
	require.Len(t, got, 1)
	assert.Equal(t, finding.Caution, got[0].Level)
	want := area(swell(0.8), func(s float64) bool { return s > 0.55*1.05 })
	t.Logf("apart over %.2f mm², by the field over %.2f", got[0].Value, want)
	assert.InDelta(t, want, got[0].Value, 0.45*want, "area where lines stand too far apart")
	assert.InDelta(t, 0, got[0].Place.At[0], 1, "worst in the middle")
	assert.Contains(t, got[0].Text, "widest bead is 0.55 mm")

	got = find(swell(-0.45), "thread-lines-crowd")
	require.Len(t, got, 1)
	want = area(swell(-0.45), func(s float64) bool { return s < 0.30*0.95 })
	t.Logf("crowd over %.2f mm², by the field over %.2f", got[0].Value, want)
	assert.InDelta(t, want, got[0].Value, 0.45*want, "area where lines crowd")
	assert.InDelta(t, 0, got[0].Place.At[0], 1, "worst in the middle")

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
