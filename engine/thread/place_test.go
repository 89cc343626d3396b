package thread_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/fill/facetest"
	"sheenlay/engine/generators"
	"sheenlay/engine/plane"
)

// A face that lies elsewhere on the bed gets the same bead there, whatever the
// pattern: the rounding of coordinates decides nothing.
func TestAMovedFaceMovesItsBead(t *testing.T) {
	t.Parallel()
	face := plane.Region{facetest.Rect(-12, -10, 12, 10), facetest.Circle(3, 1, 2.5, 40).Reversed()}
	moves := []plane.Point{{X: 1000.1, Y: -900.3}, {X: 110, Y: 110}, {X: 37.123, Y: -12.77}}
	if testing.Short() {
		moves = moves[:1]
	}
	for _, g := range generators.All() {
		t.Run(g.ID, func(t *testing.T) {
			want := lay(t, face, build(t, g.ID, nil, face))
			for _, by := range moves {
				moved := plane.Translate(by.X, by.Y).ApplyRegion(face)
				got := lay(t, moved, build(t, g.ID, nil, moved))
				require.Len(t, got.Strands, len(want.Strands), "moved by %v", by)
				assert.Equal(t, len(want.Findings), len(got.Findings))
				for k, s := range want.Strands {
					require.Equal(t, s.Zone, got.Strands[k].Zone, "moved by %v", by)
					for i, p := range s.Points {
						require.InDelta(t, 0, p.Add(by).Dist(got.Strands[k].Points[i]), 1e-6, "moved by %v: point %d of strand %d at %v", by, i, k, p)
					}
					require.InDeltaSlice(t, s.Width, got.Strands[k].Width, 1e-6, "moved by %v", by)
				}
			}
		})
	}
}
