package generators

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// inner are the zones and the steps of curves that lie wholly within a box.
func inner(p pattern.Pattern, box plane.Box) (zones map[string]int, steps map[[2]plane.Point]int) {
	zones, steps = map[string]int{}, map[[2]plane.Point]int{}
	for _, z := range p.Zones {
		if b := z.Region.Bounds(); box.Contains(b.Min) && box.Contains(b.Max) {
			zones[fmt.Sprint(z.Region)]++
		}
	}
	for _, c := range p.Curves {
		for i := 1; i < len(c.Points); i++ {
			if a, b := c.Points[i-1], c.Points[i]; box.Contains(a) && box.Contains(b) {
				steps[[2]plane.Point{a, b}]++
			}
		}
	}
	return zones, steps
}

// zoneAt returns the zone that holds a place, nil where none does.
func zoneAt(p pattern.Pattern, at plane.Point) *pattern.Zone {
	for i := range p.Zones {
		if p.Zones[i].Region.Contains(at) {
			return &p.Zones[i]
		}
	}
	return nil
}

// A part of a pattern is that part of the whole to the last bit: every tile and
// every step of a curve, and at every place the same kind and the same lay. Of
// facets the cells are the same, see BuildPart.
func TestAPartIsAPartOfTheWhole(t *testing.T) {
	const seed = 5
	face := plane.Box{Min: plane.Point{X: -90, Y: -80}, Max: plane.Point{X: 90, Y: 80}}
	for k, part := range []plane.Box{
		{Min: plane.Point{X: 45, Y: 40}, Max: plane.Point{X: 88, Y: 73}},   // off the middle
		{Min: plane.Point{X: -31, Y: -20}, Max: plane.Point{X: 29, Y: 24}}, // about it
		{Min: plane.Point{X: -90, Y: -8}, Max: plane.Point{X: -62, Y: 30}}, // at the border
		face,
	} {
		for _, g := range All() {
			random := rand.New(rand.NewPCG(seed, uint64(k)))
			params := g.WithSpacing(map[string]float64{"turnDeg": 17}, 0.9)
			whole, err := g.Build(params, seed, face)
			require.NoError(t, err)
			got, err := g.BuildPart(params, seed, face, part)
			require.NoError(t, err)
			wantZones, wantSteps := inner(whole, part)
			gotZones, gotSteps := inner(got, part)
			assert.Equal(t, wantZones, gotZones, "%s, part %d", g.ID, k)
			assert.Equal(t, wantSteps, gotSteps, "%s, part %d", g.ID, k)
			if part != face {
				assert.LessOrEqual(t, len(got.Zones), len(whole.Zones), g.ID)
			}
			for range 100 {
				at := part.Min.Add(plane.Point{X: random.Float64() * part.Size().X, Y: random.Float64() * part.Size().Y})
				a, b := zoneAt(whole, at), zoneAt(got, at)
				require.Equal(t, a == nil, b == nil, "%s, part %d, seed %d, at %v", g.ID, k, seed, at)
				if a == nil || g.ID == "facets" {
					continue
				}
				assert.Equal(t, a.Kind, b.Kind, g.ID)
				assert.Equal(t, a.Lay.Angle, b.Lay.Angle, g.ID)
				if a.Lay.Field != nil {
					assert.Equal(t, a.Lay.Field.Level(at), b.Lay.Field.Level(at), g.ID)
				}
			}
		}
	}
	g, err := ByID("checker")
	require.NoError(t, err)
	none, err := g.BuildPart(nil, 1, face, plane.EmptyBox())
	require.NoError(t, err)
	assert.Empty(t, none.Zones)
}

// A pattern a metre away is made of as many zones and points as one in its
// middle, give or take its border: none is refused for what nobody sees.
func TestAPartFarOffCostsNoMore(t *testing.T) {
	for _, g := range All() {
		count := func(x float64) int {
			face := plane.Box{Min: plane.Point{X: -x - 30, Y: -30}, Max: plane.Point{X: x + 30, Y: 30}}
			p, err := g.BuildPart(g.WithSpacing(nil, 0.42), 1, face, plane.Box{Min: plane.Point{X: x - 30, Y: -30}, Max: plane.Point{X: x + 30, Y: 30}})
			require.NoError(t, err, g.ID)
			n := len(p.Zones)
			for _, c := range p.Curves {
				n += len(c.Points)
			}
			return n
		}
		near, far := count(0), count(1000)
		if g.ID == "spiral" { // whole turns
			near *= 12
		}
		assert.LessOrEqual(t, far, near*5/4+12, g.ID)
	}
}
