package tilings

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// all makes every tiling at a size.
var all = []struct {
	name string
	make func(size float64, s Site) ([]pattern.Zone, error)
}{
	{"tumbling blocks", func(size float64, s Site) ([]pattern.Zone, error) { return TumblingBlocks(size, AlongSide, s) }},
	{"hexagons", Hexagons},
	{"triangles", func(size float64, s Site) ([]pattern.Zone, error) { return Triangles(size, false, s) }},
	{"hemp leaf", HempLeaf},
	{"herringbone 2", func(size float64, s Site) ([]pattern.Zone, error) { return Herringbone(size/2, 2, s) }},
	{"herringbone 5", func(size float64, s Site) ([]pattern.Zone, error) { return Herringbone(size/2, 5, s) }},
	{"basket", func(size float64, s Site) ([]pattern.Zone, error) { return Basket(size, 0.37*size, s) }},
	{"chevron", func(size float64, s Site) ([]pattern.Zone, error) { return Chevron(size, 1.3*size, 0.7, false, s) }},
	{"chevron crossed", func(size float64, s Site) ([]pattern.Zone, error) { return Chevron(size, 1.3*size, 1.2, true, s) }},
	{"checker", Checker},
	{"key fret", func(size float64, s Site) ([]pattern.Zone, error) { return KeyFret(size/3, s) }},
	{"seven treasures", func(size float64, s Site) ([]pattern.Zone, error) { return SevenTreasures(size, false, s) }},
	{"scale waves", func(size float64, s Site) ([]pattern.Zone, error) { return ScaleWaves(size, RoundScales, s) }},
	{"arc tiles", func(size float64, s Site) ([]pattern.Zone, error) { return ArcTiles(size, 4, s), nil }},
	{"sunburst", func(size float64, s Site) ([]pattern.Zone, error) { return Sunburst(24, 3, AlongAndAcross, s), nil }},
	{"sunburst without hub", func(size float64, s Site) ([]pattern.Zone, error) { return Sunburst(7, 0, AlongRays, s), nil }},
	{"rings", func(size float64, s Site) ([]pattern.Zone, error) { return Rings(size, RoundAndPlain, 0, s) }},
	{"stepped rings", func(size float64, s Site) ([]pattern.Zone, error) { return Rings(size, Stepped, 0.3, s) }},
	{"rhombs", func(size float64, s Site) ([]pattern.Zone, error) { return Rhombs(size, ThickAlongSide, 2, s) }},
	{"facets", func(size float64, s Site) ([]pattern.Zone, error) { return Facets(size, SpreadDirections, 6, 3, s) }},
	{"facets along sides", func(size float64, s Site) ([]pattern.Zone, error) { return Facets(size, AlongFacetSides, 6, 3, s) }},
	{"straight", func(size float64, s Site) ([]pattern.Zone, error) { return Straight(s), nil }},
	{"bordered", func(size float64, s Site) ([]pattern.Zone, error) { return Bordered(size, s.Box.Grow(-0.1), s), nil }},
	{"bordered round", func(size float64, s Site) ([]pattern.Zone, error) {
		return BorderedRound(size, s.Box.Grow(-0.1), s), nil
	}},
}

func siteOf(x0, y0, x1, y1, turn float64) Site {
	b := plane.Box{Min: plane.Point{X: x0, Y: y0}, Max: plane.Point{X: x1, Y: y1}}
	return Site{Anchor: b.Centre(), Turn: turn, Box: b}
}

var sites = []Site{
	siteOf(-30, -30, 30, 30, 0),
	siteOf(100, 50, 163, 71, 0.5),
	siteOf(0, 0, 9, 80, 2.7),
	siteOf(5, 5, 5.5, 5.5, 1.2),
}

func TestEveryTilingIsAPartition(t *testing.T) {
	for _, g := range all {
		for _, s := range sites {
			for _, size := range []float64{4, 11.3} {
				zones, err := g.make(size, s)
				require.NoError(t, err, g.name)
				found := pattern.CheckPartition(zones, s.Box, 40)
				assert.Empty(t, found, "%s, size %g, turn %g, box %v", g.name, size, s.Turn, s.Box)
			}
		}
	}
}

// Laws 2 and 3: every side inside the box is the same side, the other way
// round, of exactly one other zone; the same call gives the same bits.
func TestTilesShareTheirSides(t *testing.T) {
	for _, g := range all {
		s := sites[1]
		zones, err := g.make(5, s)
		require.NoError(t, err)
		type side struct{ a, b plane.Point }
		sides := map[side]int{}
		for _, z := range zones {
			for _, r := range z.Region {
				for i, a := range r {
					b := r[(i+1)%len(r)]
					require.NotEqual(t, a, b, "%s: a side of no length", g.name)
					sides[side{a, b}]++
				}
			}
		}
		for e, n := range sides {
			require.Equal(t, 1, n, "%s: side %v appears twice", g.name, e)
			mid := e.a.Lerp(e.b, 0.5)
			if s.Box.Grow(-0.01).Contains(mid) {
				require.Equal(t, 1, sides[side{e.b, e.a}], "%s: side %v has no partner", g.name, e)
			}
		}
		again, err := g.make(5, s)
		require.NoError(t, err)
		assert.Equal(t, zones, again, g.name)
	}
}

func TestLaysAreNormalAndNamed(t *testing.T) {
	for _, g := range all {
		zones, err := g.make(6, sites[1])
		require.NoError(t, err)
		for _, z := range zones {
			require.True(t, z.Lay.Angle >= 0 && z.Lay.Angle < math.Pi, g.name)
			require.NotEmpty(t, z.Name, g.name)
			require.Greater(t, z.Region.Area(), 0.0, g.name)
		}
	}
}

func TestTooManyZonesAreRefused(t *testing.T) {
	wide := siteOf(0, 0, 400, 400, 0)
	for _, g := range all {
		zones, err := g.make(0.3, wide)
		if err == nil {
			assert.LessOrEqual(t, len(zones), MaxZones, g.name)
			continue
		}
		var f finding.Finding
		require.ErrorAs(t, err, &f, g.name)
		assert.Equal(t, "tilings-too-many", f.Code, g.name)
		assert.Contains(t, f.Remedy, "at least", g.name)
	}
}

// asWideAsTheFace are the tilings with zones that grow with the box.
var asWideAsTheFace = map[string]bool{
	"straight": true, "bordered": true, "bordered round": true, "arc tiles": true, "rings": true, "stepped rings": true,
	"key fret": true, "chevron": true, "sunburst": true, "sunburst without hub": true,
}

// A larger box only adds tiles.
func TestTilesDoNotDependOnTheBox(t *testing.T) {
	for _, g := range all {
		if asWideAsTheFace[g.name] {
			continue
		}
		small := siteOf(-10, -10, 10, 10, 0.3)
		large := small
		large.Box = small.Box.Grow(17)
		have, err := g.make(5, small)
		require.NoError(t, err)
		more, err := g.make(5, large)
		require.NoError(t, err)
		in := map[string]bool{}
		for _, z := range more {
			in[fmt.Sprint(z.Region)] = true
		}
		for _, z := range have {
			if small.Box.Contains(z.Region.Bounds().Centre()) {
				require.True(t, in[fmt.Sprint(z.Region)], "%s: a tile at %v is gone", g.name, z.Region.Bounds().Centre())
			}
		}
	}
}

func BenchmarkTilings(b *testing.B) {
	for _, g := range all {
		for _, side := range []float64{50, 200, 400} {
			b.Run(fmt.Sprintf("%s/mm=%g", g.name, side), func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; i < b.N; i++ {
					if _, err := g.make(10, siteOf(0, 0, side, side, 0.2)); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
