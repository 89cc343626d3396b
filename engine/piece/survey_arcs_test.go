package piece

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/motion"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// The time of a file does not depend on whether its curves are written as arcs:
// an arc is followed along its way, a full circle too.
func TestTimeFollowsArcs(t *testing.T) {
	surveyed := func(arcs, full bool) Surveyed {
		m := specimen.Make(specimen.Options{Name: "disc", Shape: specimen.Disc(12), At: plane.Point{X: 100, Y: 100}, Walls: 3, FillDegree: 45,
			RelativeE: true, Heated: true, Arcs: arcs, FullCircles: full})
		r := NewReader(Options{Name: "disc", Size: int64(len(m.Bytes)), Layers: 1})
		r.Feed(m.Bytes)
		p := r.Finish(context.Background())
		require.True(t, p.Settled(), "%v", p.Findings)
		s := NewSurvey(p, motion.DefaultLimits())
		s.Feed(m.Bytes)
		return s.Finish()
	}
	straight := surveyed(false, false)
	for _, full := range []bool{false, true} {
		bent := surveyed(true, full)
		assert.InEpsilon(t, straight.TimeS, bent.TimeS, 0.02, "full circles: %v", full)
		assert.InEpsilon(t, straight.FilamentMM, bent.FilamentMM, 0.01)
	}
}
