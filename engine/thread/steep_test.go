package thread_test

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/fill/facetest"
	"sheenlay/engine/finding"
	"sheenlay/engine/grain"
	"sheenlay/engine/plane"
	"sheenlay/engine/thread"
)

// The lines of a plane of slope m stand m times nearer than those of slope 1,
// so up to 4 they are laid (and the crowd is reported), beyond they are refused
// in words before any is traced; a steep spot alone is no reason to.
func TestSteepFieldsAreRefused(t *testing.T) {
	sloped := func(m float64) grain.Function { return func(p plane.Point) float64 { return m * p.X } }
	far := plane.Region{facetest.Rect(900, 900, 905, 905)}
	for _, c := range []struct {
		name    string
		field   grain.Function
		face    plane.Region
		refused bool
	}{
		{"slope 1", sloped(1), facetest.Disc(30), false},
		{"slope 3.8", sloped(3.8), facetest.Disc(30), false},
		{"slope 5", sloped(5), facetest.Disc(30), true},
		{"slope 300", sloped(300), facetest.Disc(30), true},
		{"slope 1e7", sloped(1e7), facetest.Disc(30), true},
		{"slope 1e15", sloped(1e15), facetest.Disc(30), true},
		{"a saddle far off, slope 318", func(p plane.Point) float64 { return p.X * p.Y / 4 }, far, true},
		{"a fan's centre on the face", func(p plane.Point) float64 { return 2 * math.Log(p.Norm()+1e-3) }, facetest.Disc(30), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			made, _, err := thread.New().Zone(context.Background(), areaOf(c.face, c.field))
			if !c.refused {
				require.NoError(t, err)
				assert.NotEmpty(t, made)
				return
			}
			var f finding.Finding
			require.ErrorAs(t, err, &f)
			assert.Equal(t, "thread-too-steep", f.Code)
			assert.Equal(t, finding.Stop, f.Level)
			assert.False(t, math.IsInf(f.Value, 0))
			assert.Empty(t, made)
		})
	}
}

// The slowest field that is still laid stops soon after a cancel, wherever that
// falls.
func TestCancelOfACrowd(t *testing.T) {
	size := 60.0
	if testing.Short() {
		size = 40
	}
	face := plane.Region{facetest.Rect(-size/2, -size/2, size/2, size/2)}
	a := areaOf(face, grain.Function(func(p plane.Point) float64 { return 3.5*p.X + math.Sin(p.Y) }))
	for _, after := range []time.Duration{20, 60, 180, 500} {
		ctx, cancel := context.WithTimeout(context.Background(), after*time.Millisecond)
		_, _, err := thread.New().Zone(ctx, a)
		if ctx.Err() != nil {
			deadline, _ := ctx.Deadline()
			t.Logf("stopped %v after the cancel at %d ms", time.Since(deadline), after)
			require.ErrorIs(t, err, context.DeadlineExceeded)
		}
		cancel()
	}
}
