package footprint

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/plane"
)

// Within its reach a shore answers as all edges asked one by one; beyond it
// the answer is no less than the reach.
func TestShoreKnowsPlacesWithinItsReach(t *testing.T) {
	const reach = 0.84
	round := make(plane.Ring, 500)
	for i := range round {
		round[i] = plane.Point{X: 20}.Turn(2 * math.Pi * float64(i) / 500)
	}
	draw := rand.New(rand.NewPCG(1, 20))
	for name, ring := range map[string]plane.Ring{
		"empty": nil, "a point": {{X: 1, Y: 1}}, "a square": {{}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, "round": round,
	} {
		line := shoreOf(ring, reach)
		for range 2000 {
			p := plane.Point{X: 50*draw.Float64() - 25, Y: 50*draw.Float64() - 25}
			want, got := math.Inf(1), line.distance(p)
			if nearest, ok := (plane.Region{ring}).Nearest(p); ok {
				want = nearest.Dist(p)
			}
			if want <= reach {
				assert.InDelta(t, want, got, 1e-12, "%s, %v", name, p)
			} else {
				assert.GreaterOrEqual(t, got, reach, "%s, %v", name, p)
			}
		}
	}
}
