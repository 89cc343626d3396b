package fill

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// randomFace is a wavy outline of about r mm with up to three round holes that
// keep at least 3 mm from each other and from the outline.
func randomFace(rng *rand.Rand, r float64) plane.Region {
	a2, a3, a5 := 0.2*rng.Float64(), 0.15*rng.Float64(), 0.08*rng.Float64()
	p2, p3, p5 := rng.Float64()*7, rng.Float64()*7, rng.Float64()*7
	radius := func(t float64) float64 {
		return r * (1 + a2*math.Sin(2*t+p2) + a3*math.Sin(3*t+p3) + a5*math.Sin(5*t+p5))
	}
	n := 40 + rng.IntN(300)
	var ring plane.Ring
	for i := range n {
		t := 2 * math.Pi * float64(i) / float64(n)
		s, c := math.Sincos(t)
		ring = append(ring, plane.Point{X: radius(t) * c, Y: radius(t) * s})
	}
	g := plane.Region{ring}
	type hole struct {
		plane.Point
		r float64
	}
	var holes []hole
	for range 3 {
		h := hole{plane.Point{X: (rng.Float64() - 0.5) * r, Y: (rng.Float64() - 0.5) * r}, (0.05 + 0.1*rng.Float64()) * r}
		ok := h.Norm()+h.r < 0.57*r-3
		for _, o := range holes {
			ok = ok && o.Dist(h.Point) > o.r+h.r+3
		}
		if ok {
			holes = append(holes, h)
			g = append(g, circle(h.X, h.Y, h.r, 12+rng.IntN(50)).Reversed())
		}
	}
	return g
}

func randomPattern(rng *rand.Rand, box plane.Box) (string, pattern.Pattern) {
	turn := rng.Float64() * math.Pi
	switch rng.IntN(4) {
	case 0:
		return "blocks", blocks(6+8*rng.Float64(), turn, box)
	case 1:
		return "facets", facets(rng.Uint64(), 6+6*rng.Float64(), box)
	case 2:
		return "one direction", oneDirection(turn)
	}
	return "herringbone", herringbone(5+5*rng.Float64(), 12+8*rng.Float64(), box)
}

// TestRandomFaces is the main property: on random connected faces the bead is
// one, crosses nothing, and leaves little bare. 40 faces; 12 in short mode.
func TestRandomFaces(t *testing.T) {
	faces := uint64(40)
	if testing.Short() {
		faces = 12
	}
	for seed := range faces {
		t.Run(fmt.Sprintf("seed=%d", seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 11))
			face := randomFace(rng, 15+25*rng.Float64())
			name, p := randomPattern(rng, face.Bounds())
			res := lay(t, face, p)
			assert.Equal(t, 1, len(res.Strands), name)
			assert.Zero(t, Crossings(res.Strands), name)
			assert.Less(t, res.Stats.LeftOutMM2, 0.01*face.Area(), name)
			for _, s := range res.Strands {
				requireStrand(t, s.Points, s.Width, s.Zone)
			}
			for _, f := range res.Findings {
				t.Logf("%s: %s %.2f %s", name, f.Code, f.Value, f.Unit)
			}
		})
	}
}

func requireStrand(t *testing.T, points []plane.Point, width []float64, zone []int32) {
	t.Helper()
	require.Len(t, width, len(points)-1)
	require.Len(t, zone, len(points)-1)
	for i, w := range width {
		require.True(t, points[i].Finite())
		require.GreaterOrEqual(t, w, 0.3)
		require.LessOrEqual(t, w, 0.55)
		require.GreaterOrEqual(t, points[i].Dist(points[i+1]), 0.05-1e-9, "segment %d of %d", i, len(width))
	}
}
