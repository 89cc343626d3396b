package curves

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/plane"
)

// Gosper's island has a ragged border; the square about the middle of its box
// that it covers was measured by looking for the nearest grid point that the
// curve leaves out.
func TestGosperReach(t *testing.T) {
	s := GosperSystem
	for level := 2; level <= 6; level++ {
		visited := map[[2]int]bool{}
		key := func(p plane.Point) [2]int {
			b := math.Round(p.Y / (math.Sqrt(3) / 2))
			return [2]int{int(math.Round(p.X - b/2)), int(b)}
		}
		for _, p := range s.Trace(level, everywhere)[0] {
			visited[key(p)] = true
		}
		middle := s.Extent(level).Centre()
		nearest := math.Inf(1)
		size := int(math.Pow(7, float64(level)/2))
		for a := -2 * size; a <= 2*size; a++ {
			for b := -2 * size; b <= 2*size; b++ {
				p := s.place(node{a, b})
				if !visited[[2]int{a, b}] {
					nearest = math.Min(nearest, math.Max(math.Abs(p.X-middle.X), math.Abs(p.Y-middle.Y)))
				}
			}
		}
		assert.Greater(t, nearest, gosperReach*math.Pow(7, float64(level)/2), "level %d: %.3f", level, nearest/math.Pow(7, float64(level)/2))
	}
}
