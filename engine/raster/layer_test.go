package raster_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/tol"
)

// away returns the distance from p to the segment from a to b.
func away(p, a, b plane.Point) float64 {
	d := b.Sub(a)
	t := 0.0
	if n := d.Dot(d); n > 0 {
		t = math.Min(math.Max(p.Sub(a).Dot(d)/n, 0), 1)
	}
	return p.Dist(a.Add(d.Mul(t)))
}

// layersAt counts by the definition how often a path lies over p: once for every
// piece that reaches p, unless bead of the stretch of path just before the piece
// does. near tells that a border passes p so closely that rounding decides.
func layersAt(p plane.Point, line path, width []float64) (n int, near bool) {
	for i := 0; i+1 < len(line); i++ {
		off := away(p, line[i], line[i+1]) - width[i]/2
		near = near || math.Abs(off) < 1e-9
		if off > 0 {
			continue
		}
		taken := false
		left := tol.RasterStretch
		for k := i - 1; k >= 0 && left > 0; k-- {
			from := line[k]
			length := line[k].Dist(line[k+1])
			if length > left {
				from = line[k+1].Lerp(line[k], left/length)
			}
			off := away(p, from, line[k+1]) - width[k]/2
			near = near || math.Abs(off) < 1e-9
			taken = taken || off <= 0
			left -= length
		}
		if !taken {
			n++
		}
	}
	return n, near
}

// TestRunsCountAsTheDefinitionSays lays paths that go straight, sway, bend, turn
// about and cross themselves, in pieces of many lengths, and holds every pixel
// against the definition. Widths alternate, so that no pieces are joined.
func TestRunsCountAsTheDefinitionSays(t *testing.T) {
	cases := 40
	if testing.Short() {
		cases = 12
	}
	for k := range cases {
		rng := rand.New(rand.NewPCG(41, uint64(k)))
		step := 0.15 + 1.5*rng.Float64()
		curl := 0.6 * (rng.Float64() - 0.5) * float64(k%3)
		turn := 0.05 * float64(k%4)
		at, way := plane.Point{}, 2*math.Pi*rng.Float64()
		var line path
		var width []float64
		for i := range 5 + int(12/step) {
			line = append(line, at)
			width = append(width, 0.3+0.1*float64(k%5)+0.01*float64(i%2))
			if rng.Float64() < turn {
				way += math.Pi * (0.5 + rng.Float64())
			}
			way += curl
			at = at.Add(plane.Point{X: step}.Turn(way))
		}
		width = width[:len(line)-1]
		box := plane.EmptyBox()
		for _, p := range line {
			box = box.Include(p)
		}
		c := raster.NewCounts(raster.NewGrid(box.Grow(0.3), 0.1, 2*math.Pi*rng.Float64()))
		c.AddPath(line, width)
		c.AddReach(line, width, 0.11)
		for j := range c.Rows {
			for i, v := range c.Row(j) {
				p := c.ToBed(float64(i), float64(j))
				want, close := layersAt(p, line, width)
				if close {
					continue
				}
				require.Equal(t, want, int(v&raster.Layers), "case %d at %v", k, p)
				reach := math.Inf(1)
				for s := range width {
					reach = math.Min(reach, away(p, line[s], line[s+1])-width[s]/2-0.11)
				}
				if math.Abs(reach) > 1e-9 {
					require.Equal(t, reach < 0, v&raster.Near != 0, "case %d at %v: reach", k, p)
				}
			}
		}
	}
}
