package near

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

func at(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

func TestCrossesAndDist(t *testing.T) {
	for _, c := range []struct {
		name    string
		a, b    Segment
		crosses bool
		dist    float64
	}{
		{"cross", Segment{at(0, 0), at(2, 2)}, Segment{at(0, 2), at(2, 0)}, true, 0},
		{"share an end", Segment{at(0, 0), at(2, 2)}, Segment{at(2, 2), at(3, 0)}, true, 0},
		{"touch", Segment{at(0, 0), at(2, 0)}, Segment{at(1, 0), at(1, 3)}, true, 0},
		{"along each other", Segment{at(0, 0), at(2, 0)}, Segment{at(1, 0), at(5, 0)}, true, 0},
		{"in line, apart", Segment{at(0, 0), at(1, 0)}, Segment{at(2, 0), at(5, 0)}, false, 1},
		{"side by side", Segment{at(0, 0), at(4, 0)}, Segment{at(1, 0.3), at(3, 0.3)}, false, 0.3},
		{"end to middle", Segment{at(0, 0), at(4, 0)}, Segment{at(2, 1), at(2, 3)}, false, 1},
		{"two points", Segment{at(0, 0), at(0, 0)}, Segment{at(3, 4), at(3, 4)}, false, 5},
		{"boxes overlap, no crossing", Segment{at(0, 0), at(4, 4)}, Segment{at(3, 0), at(4, 1)}, false, 1.5 * math.Sqrt2},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.crosses, c.a.Crosses(c.b))
			assert.Equal(t, c.crosses, c.b.Crosses(c.a))
			assert.InDelta(t, c.dist, c.a.Dist(c.b), 1e-12)
		})
	}
}

// TestNearMissesNothing compares the grid with looking at every segment.
func TestNearMissesNothing(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 2))
		box := plane.Box{Min: at(-5, -3), Max: at(6, 8)}
		g := New(box, 0.2+2*rng.Float64())
		point := func() plane.Point { return at(rng.Float64()*16-8, rng.Float64()*16-8) } // some outside
		for i := range 80 {
			a := point()
			b := point()
			switch i % 4 {
			case 1:
				b = a.Add(at(0.1, -0.05))
			case 2:
				b.Y = a.Y
			case 3:
				b.X = a.X
			}
			g.Add(a, b)
		}
		for range 40 {
			q, reach := Segment{point(), point()}, rng.Float64()
			found := map[int]bool{}
			g.Near(q.A, q.B, reach, func(i int) bool { found[i] = true; return true })
			for i := range g.Len() {
				if g.Segment(i).Dist(q) <= reach {
					require.True(t, found[i], "seed %d: segment %v within %g of %v", seed, g.Segment(i), reach, q)
				}
			}
		}
	}
}

func TestNearStopsAndEmptyGrid(t *testing.T) {
	g := New(plane.EmptyBox(), 0)
	g.Near(at(0, 0), at(1, 1), 1, func(int) bool { t.Fatal("nothing is there"); return true })
	g.Add(at(0, 0), at(0, 0))
	g.Add(at(0, 0), at(0, 0))
	calls := 0
	g.Near(at(0, 0), at(0, 0), 1, func(int) bool { calls++; return false })
	assert.Equal(t, 1, calls)
}
