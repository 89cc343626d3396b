package tilings

import (
	"fmt"
	"math"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// around returns, for every corner well inside the box, the angles of the tiles
// that meet there, rising, each as often as it occurs: "60×6".
func around(zones []pattern.Zone, box plane.Box) map[string]int {
	meet := map[[2]int][]int{}
	for _, z := range zones {
		r := z.Region[0]
		for i, b := range r {
			if !box.Contains(b) {
				continue
			}
			u, v := r[(i+len(r)-1)%len(r)].Sub(b), r[(i+1)%len(r)].Sub(b)
			angle := math.Mod(math.Atan2(v.Cross(u), v.Dot(u))*180/math.Pi+360, 360)
			key := [2]int{int(math.Round(b.X * 1e5)), int(math.Round(b.Y * 1e5))}
			meet[key] = append(meet[key], int(math.Round(angle)))
		}
	}
	out := map[string]int{}
	for _, angles := range meet {
		sort.Ints(angles)
		text := ""
		for i := 0; i < len(angles); {
			n := i
			for n < len(angles) && angles[n] == angles[i] {
				n++
			}
			text += fmt.Sprintf("%d×%d ", angles[i], n-i)
			i = n
		}
		out[text]++
	}
	return out
}

// Vertex figures: the regular tilings 6³, 3⁶ and 4⁴, and the triakis triangular
// tiling V3.12², whose triangles meet three and twelve at a point (Grünbaum &
// Shephard, Tilings and Patterns, 1987, §2.1 and §2.7, from memory). In
// herringbone and plain weave only right and straight angles meet.
func TestVertexFigures(t *testing.T) {
	inside := wide.Box.Grow(-20)
	for _, c := range []struct {
		name string
		make func() ([]pattern.Zone, error)
		want []string
	}{
		{"hexagons", func() ([]pattern.Zone, error) { return Hexagons(5, wide) }, []string{"120×3 "}},
		{"triangles", func() ([]pattern.Zone, error) { return Triangles(5, false, wide) }, []string{"60×6 "}},
		{"checker", func() ([]pattern.Zone, error) { return Checker(5, wide) }, []string{"90×4 "}},
		{"hemp leaf", func() ([]pattern.Zone, error) { return HempLeaf(9, wide) }, []string{"120×3 ", "30×12 "}},
		{"herringbone", func() ([]pattern.Zone, error) { return Herringbone(4, 2, wide) }, []string{"90×2 180×1 "}},
		{"basket weave", func() ([]pattern.Zone, error) { return Basket(5, 2, wide) }, []string{"90×2 180×1 "}},
	} {
		zones, err := c.make()
		require.NoError(t, err)
		var got []string
		for figure, n := range around(zones, inside) {
			assert.Greater(t, n, 10, "%s %s", c.name, figure)
			got = append(got, figure)
		}
		sort.Strings(got)
		assert.Equal(t, c.want, got, c.name)
	}
}

// How many tiles a tile touches along a side: six for hexagons and for
// herringbone of 1 : 2, which is a distorted honeycomb; three for triangles,
// four for squares. The mean over Voronoi cells is six, whatever the points
// (Okabe et al., Spatial Tessellations, 2000, property V9, from memory).
func TestNeighbours(t *testing.T) {
	for _, c := range []struct {
		name  string
		make  func() ([]pattern.Zone, error)
		want  float64
		exact bool
	}{
		{"hexagons", func() ([]pattern.Zone, error) { return Hexagons(5, wide) }, 6, true},
		{"herringbone", func() ([]pattern.Zone, error) { return Herringbone(4, 2, wide) }, 6, true},
		{"triangles", func() ([]pattern.Zone, error) { return Triangles(5, false, wide) }, 3, true},
		{"hemp leaf", func() ([]pattern.Zone, error) { return HempLeaf(9, wide) }, 3, true},
		{"checker", func() ([]pattern.Zone, error) { return Checker(5, wide) }, 4, true},
		{"tumbling blocks", func() ([]pattern.Zone, error) { return TumblingBlocks(5, AlongSide, wide) }, 4, true},
		{"rhombs", func() ([]pattern.Zone, error) { return Rhombs(4, ThickAlongSide, 3, wide) }, 4, true},
		{"facets", func() ([]pattern.Zone, error) { return Facets(3, SpreadDirections, 6, 4, wide) }, 6, false},
	} {
		zones, err := c.make()
		require.NoError(t, err)
		touching := map[int]map[int]bool{}
		pairs(zones, func(a, b int) {
			for _, p := range [2][2]int{{a, b}, {b, a}} {
				if touching[p[0]] == nil {
					touching[p[0]] = map[int]bool{}
				}
				touching[p[0]][p[1]] = true
			}
		})
		inside, sum, count := wide.Box.Grow(-10), 0.0, 0.0
		for i, z := range zones {
			b := z.Region.Bounds()
			if !inside.Contains(b.Min) || !inside.Contains(b.Max) {
				continue
			}
			if c.exact {
				require.Len(t, touching[i], int(c.want), c.name)
			}
			sum, count = sum+float64(len(touching[i])), count+1
		}
		require.Greater(t, count, 30.0, c.name)
		assert.InDelta(t, c.want, sum/count, 0.05, "%s, %g tiles", c.name, count)
	}
}

// Squares of one colour on a board of n × n: ⌈n²/2⌉ (OEIS A000982).
func TestCheckerCounts(t *testing.T) {
	for i, want := range []int{1, 2, 5, 8, 13, 18, 25, 32} {
		n := i + 1
		side := 3.0
		s := Site{Box: plane.Box{Max: plane.Point{X: side * float64(n), Y: side * float64(n)}}}
		zones, err := Checker(side, s)
		require.NoError(t, err)
		group := byName(zones, s.Box.Grow(1e-9))
		lying, standing := len(group["lying"]), len(group["standing"])
		assert.Equal(t, n*n, lying+standing, "n = %d", n)
		assert.Equal(t, want, max(lying, standing), "n = %d", n)
	}
}

// An arm of a chevron is a parallelogram: upright sides a stripe high, an arm's
// width apart, its corners 90° ± the slope (derived).
func TestChevronMeasures(t *testing.T) {
	const stripe, arm, slope = 6.0, 9.0, 35.0
	zones, err := Chevron(stripe, arm, degrees(slope), true, wide)
	require.NoError(t, err)
	areas(t, zones, stripe*arm, 1e-9)
	for _, z := range zones {
		require.InDeltaSlice(t, []float64{90 - slope, 90 + slope, 90 - slope, 90 + slope}, rotateTo(corners(z.Region[0]), 90-slope), 1e-6)
		lay := degreesOf(z)
		require.True(t, math.Abs(lay-slope) < 1e-6 || math.Abs(lay-(180-slope)) < 1e-6, "%g", lay)
	}
}

// A border of b round w × h: a middle of (w − 2b)(h − 2b) and mitred rails of
// b(w − b) and b(h − b); round, a disc of πr² (derived).
func TestBorderMeasures(t *testing.T) {
	s := siteOf(0, 0, 60, 40, 0)
	areas(t, Straight(s), 2400, 1e-9)
	zones := Bordered(5, s.Box, s)
	require.Len(t, zones, 5)
	for i, want := range []float64{50 * 30, 5 * 55, 5 * 35, 5 * 55, 5 * 35} {
		assert.InDelta(t, want, zones[i].Region.Area(), 1e-9, zones[i].Name)
	}
	for _, rail := range zones[1:] {
		assert.ElementsMatch(t, []int{45, 45, 135, 135}, rounded(corners(rail.Region[0])))
	}
	round := BorderedRound(5, s.Box, s)
	assert.InDelta(t, math.Pi*15*15, round[0].Region.Area(), 0.02*2*math.Pi*15)
	assert.InDelta(t, 2400, round[0].Region.Area()+round[1].Region.Area(), 1e-9)
}

func rounded(values []float64) []int {
	out := make([]int, len(values))
	for i, v := range values {
		out[i] = int(math.Round(v))
	}
	return out
}

// Ring k of width w measures π·w²·(2k + 1): the areas stand as the odd numbers
// (derived).
func TestRingAreas(t *testing.T) {
	const w = 7.0
	s := siteOf(-60, -60, 60, 60, 0)
	zones, err := Rings(w, Stepped, 0.3, s)
	require.NoError(t, err)
	seen := 0
	for _, z := range zones {
		outer := z.Region.Bounds().Max.X
		k := int(math.Round(outer/w)) - 1
		if outer > 59 {
			continue
		}
		assert.InDelta(t, math.Pi*w*w*float64(2*k+1), z.Region.Area(), 0.02*2*math.Pi*w*float64(2*k+1), "ring %d", k)
		seen++
	}
	assert.Equal(t, 8, seen)
}
