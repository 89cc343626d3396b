package tilings

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// byName groups the zones that lie wholly inside the site's box.
func byName(zones []pattern.Zone, box plane.Box) map[string][]pattern.Zone {
	out := map[string][]pattern.Zone{}
	for _, z := range zones {
		if b := z.Region.Bounds(); box.Contains(b.Min) && box.Contains(b.Max) {
			out[z.Name] = append(out[z.Name], z)
		}
	}
	return out
}

func areas(t *testing.T, zones []pattern.Zone, want, within float64) {
	t.Helper()
	require.NotEmpty(t, zones)
	for _, z := range zones {
		require.InDelta(t, want, z.Region.Area(), within, z.Name)
	}
}

// corners returns the inner angles of a ring in degrees, corners of 180°
// (where a neighbour's corner lies on a side) left out.
func corners(r plane.Ring) []float64 {
	var out []float64
	for i, b := range r {
		a, c := r[(i+len(r)-1)%len(r)], r[(i+1)%len(r)]
		u, v := a.Sub(b), c.Sub(b)
		angle := math.Atan2(v.Cross(u), v.Dot(u)) * 180 / math.Pi
		if angle < 0 {
			angle += 360
		}
		if math.Abs(angle-180) > 1e-6 {
			out = append(out, angle)
		}
	}
	return out
}

func degreesOf(z pattern.Zone) float64 { return math.Round(z.Lay.Angle*180/math.Pi*1e6) / 1e6 }

var wide = siteOf(0, 0, 120, 100, 0)

// Rhombille: 60° and 120°, area s²·√3/2 each, six tiles of a block's corner at
// 60° and three at 120° (published: Wikipedia, Rhombille tiling; areas and
// diagonals derived: long diagonals at 0°, 120°, 60°).
func TestTumblingBlocksMeasures(t *testing.T) {
	const side = 7.0
	zones, err := TumblingBlocks(side, AlongSide, wide)
	require.NoError(t, err)
	areas(t, zones, side*side*math.Sqrt(3)/2, 1e-9)
	meet := map[[2]int][]float64{}
	counts := map[string]int{}
	for _, z := range zones {
		r := z.Region[0]
		require.Len(t, r, 4)
		assert.InDeltaSlice(t, []float64{120, 60, 120, 60}, rotateTo(corners(r), 120), 1e-6)
		require.InDelta(t, math.Sqrt(3), math.Max(r[0].Dist(r[2]), r[1].Dist(r[3]))/math.Min(r[0].Dist(r[2]), r[1].Dist(r[3])), 1e-9)
		counts[z.Name]++
		for i, angle := range corners(r) {
			if p := r[i]; wide.Box.Contains(p) {
				key := [2]int{int(math.Round(p.X * 1e4)), int(math.Round(p.Y * 1e4))}
				meet[key] = append(meet[key], math.Round(angle))
			}
		}
	}
	for p, angles := range meet {
		switch angles[0] {
		case 60:
			require.Len(t, angles, 6, "%v", p)
		case 120:
			require.Len(t, angles, 3, "%v", p)
		}
	}
	// Rows of the table in check order: which way the diagonals lie.
	for lines, want := range map[Lines]map[string]float64{
		LongDiagonal:  {"top": 0, "left": 120, "right": 60},
		ShortDiagonal: {"top": 90, "left": 30, "right": 150},
		AlongSide:     {"top": 30, "left": 150, "right": 90},
	} {
		zones, err := TumblingBlocks(side, lines, wide)
		require.NoError(t, err)
		for _, z := range zones {
			require.Equal(t, want[z.Name], degreesOf(z))
			r := z.Region[0]
			directions := []plane.Point{r[2].Sub(r[0]), r[3].Sub(r[1])}
			if lines == AlongSide {
				directions = []plane.Point{r[1].Sub(r[0]), r[2].Sub(r[1])}
			}
			require.True(t, along(z, directions...), "%s lines %d", z.Name, lines)
		}
	}
	assert.InDelta(t, counts["top"], counts["left"], 20)
}

// along reports whether a zone's lay is parallel to one of the directions.
func along(z pattern.Zone, directions ...plane.Point) bool {
	for _, d := range directions {
		gap := math.Abs(plane.NormalLay(math.Atan2(d.Y, d.X)) - z.Lay.Angle)
		if math.Min(gap, math.Pi-gap) < 1e-9 {
			return true
		}
	}
	return false
}

func rotateTo(values []float64, first float64) []float64 {
	for k, v := range values {
		if math.Abs(v-first) < 1e-6 {
			return append(append([]float64{}, values[k:]...), values[:k]...)
		}
	}
	return values
}

// Every tile of these patterns has its lines along one of its own sides.
func TestDefaultsRunAlongSides(t *testing.T) {
	for name, make := range map[string]func() ([]pattern.Zone, error){
		"tumbling blocks": func() ([]pattern.Zone, error) { return TumblingBlocks(6, AlongSide, sites[1]) },
		"hexagons":        func() ([]pattern.Zone, error) { return Hexagons(6, sites[1]) },
		"triangles":       func() ([]pattern.Zone, error) { return Triangles(6, false, sites[1]) },
		"hemp leaf":       func() ([]pattern.Zone, error) { return HempLeaf(6, sites[1]) },
		"herringbone":     func() ([]pattern.Zone, error) { return Herringbone(3, 3, sites[1]) },
		"checker":         func() ([]pattern.Zone, error) { return Checker(6, sites[1]) },
		"chevron":         func() ([]pattern.Zone, error) { return Chevron(6, 9, 0.6, false, sites[1]) },
	} {
		zones, err := make()
		require.NoError(t, err)
		for _, z := range zones {
			var sides []plane.Point
			r := z.Region[0]
			for i, a := range r {
				sides = append(sides, r[(i+1)%len(r)].Sub(a))
			}
			require.True(t, along(z, sides...), "%s %s", name, z.Name)
		}
	}
}

// Bricks and blocks: neighbours differ by what the tiling can do at best, 90°
// for two-colourable ones and 60° where three tiles meet (check: χ_c 2 and 3).
func TestNeighboursDiffer(t *testing.T) {
	for _, c := range []struct {
		name    string
		make    func(s Site) ([]pattern.Zone, error)
		degrees float64
	}{
		{"tumbling blocks", func(s Site) ([]pattern.Zone, error) { return TumblingBlocks(6, AlongSide, s) }, 60},
		{"hexagons", func(s Site) ([]pattern.Zone, error) { return Hexagons(6, s) }, 60},
		{"hemp leaf", func(s Site) ([]pattern.Zone, error) { return HempLeaf(9, s) }, 60},
		{"triangles along", func(s Site) ([]pattern.Zone, error) { return Triangles(6, false, s) }, 60},
		{"triangles crossed", func(s Site) ([]pattern.Zone, error) { return Triangles(6, true, s) }, 90},
		{"checker", func(s Site) ([]pattern.Zone, error) { return Checker(6, s) }, 90},
		{"scales straight", func(s Site) ([]pattern.Zone, error) { return ScaleWaves(6, StraightScales, s) }, 60},
		{"petals", func(s Site) ([]pattern.Zone, error) { return SevenTreasures(6, false, s) }, 45},
		{"basket", func(s Site) ([]pattern.Zone, error) { return Basket(5, 3, s) }, 45},
		{"key fret", func(s Site) ([]pattern.Zone, error) { return KeyFret(2, s) }, 45},
		{"chevron, 35°", func(s Site) ([]pattern.Zone, error) { return Chevron(6, 9, degrees(35), false, s) }, 55},
		{"chevron crossed, 45°", func(s Site) ([]pattern.Zone, error) { return Chevron(6, 9, degrees(45), true, s) }, 90},
		{"rhombs", func(s Site) ([]pattern.Zone, error) { return Rhombs(6, ThickAlongSide, 5, s) }, 18},
		{"facets, 6 directions", func(s Site) ([]pattern.Zone, error) { return Facets(6, SpreadDirections, 6, 5, s) }, 30},
		{"facets, 9 directions", func(s Site) ([]pattern.Zone, error) { return Facets(6, SpreadDirections, 9, 5, s) }, 20},
		{"facets along sides", func(s Site) ([]pattern.Zone, error) { return Facets(6, AlongFacetSides, 6, 5, s) }, 15},
		{"sunburst of 24", func(s Site) ([]pattern.Zone, error) { return Sunburst(24, 0, AlongAndAcross, s), nil }, 75},
	} {
		for _, s := range []Site{sites[0], sites[1]} {
			zones, err := c.make(s)
			require.NoError(t, err)
			least := math.Inf(1)
			pairs(zones, func(a, b int) {
				d := math.Abs(zones[a].Lay.Angle - zones[b].Lay.Angle)
				least = math.Min(least, math.Min(d, math.Pi-d)*180/math.Pi)
			})
			assert.GreaterOrEqual(t, least, c.degrees-1e-6, c.name)
		}
	}
}

// pairs calls visit for every two zones that share a side.
func pairs(zones []pattern.Zone, visit func(a, b int)) {
	type side struct{ a, b plane.Point }
	owner := map[side]int{}
	for i, z := range zones {
		for _, r := range z.Region {
			for k, p := range r {
				owner[side{p, r[(k+1)%len(r)]}] = i
			}
		}
	}
	for e, i := range owner {
		if j, ok := owner[side{e.b, e.a}]; ok && i < j {
			visit(i, j)
		}
	}
}

// Hexagon 3√3/2·s² = 2.598076 s², triangle √3/4·s² (derived).
func TestHexagonAndTriangleAreas(t *testing.T) {
	hexes, err := Hexagons(5, wide)
	require.NoError(t, err)
	areas(t, hexes, 2.598076*25, 1e-4)
	assert.InDeltaSlice(t, []float64{120, 120, 120, 120, 120, 120}, corners(hexes[0].Region[0]), 1e-6)
	triangles, err := Triangles(5, false, wide)
	require.NoError(t, err)
	areas(t, triangles, math.Sqrt(3)/4*25, 1e-9)
	assert.InDeltaSlice(t, []float64{60, 60, 60}, corners(triangles[0].Region[0]), 1e-6)
}

// Asanoha: faces of 30°, 30°, 120°, area √3/12·a², sides at multiples of 30°,
// spokes a/√3 (derived; the tiling is the dual of 3.12.12, from memory).
func TestHempLeafMeasures(t *testing.T) {
	const a = 9.0
	zones, err := HempLeaf(a, wide)
	require.NoError(t, err)
	areas(t, zones, math.Sqrt(3)/12*a*a, 1e-9)
	for _, z := range zones {
		r := z.Region[0]
		require.InDeltaSlice(t, []float64{120, 30, 30}, rotateTo(corners(r), 120), 1e-6)
		for i, p := range r {
			d := r[(i+1)%3].Sub(p)
			turn := math.Atan2(d.Y, d.X) * 180 / math.Pi / 30
			require.InDelta(t, math.Round(turn), turn, 1e-6)
			require.True(t, math.Abs(d.Norm()-a) < 1e-9 || math.Abs(d.Norm()-a/math.Sqrt(3)) < 1e-9)
		}
	}
}

// Shippō: petal r²(π/2−1) = 0.570796 r², star (4−π)r² = 0.858407 r², two petals
// and a star per cell of 2r² (derived). Chords take a petal's two segments and
// give a star's four back: flattening within 0.02 mm, so below 0.02·arc.
func TestSevenTreasuresMeasures(t *testing.T) {
	const r = 9.0
	zones, err := SevenTreasures(r, false, wide)
	require.NoError(t, err)
	group := byName(zones, wide.Box)
	loss := 0.02 * r * math.Pi / 2
	for _, name := range []string{"lying petal", "standing petal"} {
		areas(t, group[name], 0.570796*r*r, 2*loss)
		assert.Less(t, group[name][0].Region.Area(), 0.570796*r*r, "chords lie inside")
	}
	areas(t, group["star"], 0.858407*r*r, 4*loss)
	assert.InDelta(t, 2*r*r, 2*group["lying petal"][0].Region.Area()+group["star"][0].Region.Area(), 1e-9,
		"what petals lose stars gain")
	for _, z := range group["star"] {
		for _, p := range z.Region[0] {
			nearest := math.Inf(1)
			c := z.Region.Bounds().Centre()
			for q := 0; q < 4; q++ {
				beside := c.Add(plane.Point{X: r * math.Sqrt2}.Turn(float64(q) * math.Pi / 2))
				nearest = math.Min(nearest, math.Abs(p.Dist(beside)-r))
			}
			require.Less(t, nearest, 1e-9, "every corner lies on a circle of a neighbour")
		}
	}
}

// Seigaiha: rows R/2 apart, shifted by R; the visible part of a scale measures
// exactly R² (derived), whatever the flattening, since scales are congruent.
func TestScaleWavesMeasures(t *testing.T) {
	for _, r := range []float64{3, 10, 25} {
		zones, err := ScaleWaves(r, RoundScales, wide)
		require.NoError(t, err)
		inner := 0
		for _, z := range zones {
			if b := z.Region.Bounds(); wide.Box.Contains(b.Min) && wide.Box.Contains(b.Max) {
				require.InDelta(t, r*r, z.Region.Area(), 1e-9*r*r)
				centre := z.Lay.Field.(grain.Concentric).Centre
				require.InDelta(t, r, z.Region.Bounds().Max.Y-centre.Y, 0.021)
				inner++
			}
		}
		assert.NotZero(t, inner)
	}
}

func TestBrickAndBasketAreas(t *testing.T) {
	bricks, err := Herringbone(4, 3, wide)
	require.NoError(t, err)
	areas(t, bricks, 48, 1e-9)
	weave, err := Basket(6, 2, wide)
	require.NoError(t, err)
	group := byName(weave, wide.Box)
	areas(t, group["lying strap"], 6*(6+2*2), 1e-9)
	areas(t, group["standing strap"], 6*(6+2*2), 1e-9)
	areas(t, group["square"], 4, 1e-9)
	// Key fret: of 42 unit squares the rail has 6, the arms 5+4+3+2+1.5 with
	// mitres 5-½, …: 15 in all counted on squared paper, the ground 21.
	fret, err := KeyFret(3, wide)
	require.NoError(t, err)
	sum := map[string]float64{}
	for _, z := range fret {
		sum[z.Name] += pattern.ClippedArea(z.Region, plane.Box{Min: wide.Anchor, Max: wide.Anchor.Add(plane.Point{X: 18, Y: 21})}) / 9
	}
	assert.InDelta(t, 6, sum["rail"], 1e-9)
	assert.InDelta(t, 4.5, sum["stem"], 1e-9)
	assert.InDelta(t, 4, sum["head"], 1e-9)
	assert.InDelta(t, 3, sum["drop"], 1e-9)
	assert.InDelta(t, 2, sum["turn"], 1e-9)
	assert.InDelta(t, 1.5, sum["tip"], 1e-9)
	assert.InDelta(t, 21, sum["ground"], 1e-9)
}

// Rhombs: areas sin 72° and sin 36° (ratio φ), five directions of sides 36°
// apart, counts towards φ : 1 (published: Penrose 1974, de Bruijn 1981).
func TestRhombMeasures(t *testing.T) {
	const side = 2.0
	phi := (1 + math.Sqrt(5)) / 2
	s := siteOf(0, 0, 200, 200, 0)
	for seed := uint64(1); seed <= 3; seed++ {
		zones, err := Rhombs(side, ThickAlongSide, seed, s)
		require.NoError(t, err)
		group := byName(zones, s.Box)
		areas(t, group["thick rhomb"], 0.951057*side*side, 1e-5*side*side)
		areas(t, group["thin rhomb"], 0.587785*side*side, 1e-5*side*side)
		ratio := float64(len(group["thick rhomb"])) / float64(len(group["thin rhomb"]))
		assert.InDelta(t, phi, ratio, 0.015, "seed %d, %d tiles", seed, len(zones))
		directions := map[int]bool{}
		for _, z := range zones {
			r := z.Region[0]
			for i, a := range r {
				d := r[(i+1)%4].Sub(a)
				require.InDelta(t, side, d.Norm(), 1e-9)
				turn := plane.NormalLay(math.Atan2(d.Y, d.X)) * 180 / math.Pi / 36
				require.InDelta(t, math.Round(turn), turn, 1e-6)
				directions[int(math.Round(turn))%5] = true
			}
		}
		assert.Len(t, directions, 5)
	}
}

// Inflation of thick and thin rhombs (T, t) → (2T + t, T + t), towards φ.
func TestRhombInflation(t *testing.T) {
	thick, thin := 1, 0
	for _, want := range [][2]int{{2, 1}, {5, 3}, {13, 8}, {34, 21}, {89, 55}, {233, 144}} {
		thick, thin = 2*thick+thin, thick+thin
		require.Equal(t, want, [2]int{thick, thin})
	}
	// The mean tile of tooMany: (φ·sin 72° + sin 36°)/(φ + 1).
	assert.InDelta(t, 0.8123, (233*0.951057+144*0.587785)/377, 1e-4)
}

func TestSectors(t *testing.T) {
	zones := Sunburst(24, 4, AlongAndAcross, wide)
	require.Len(t, zones, 25)
	for k, z := range zones[:24] {
		middle := (float64(k) + 0.5) * 15
		side := 15 * float64(k)
		want := math.Mod(side+90*float64(k%2), 180)
		assert.InDelta(t, want, degreesOf(z), 1e-6, "ray %d", k)
		p := wide.Anchor.Add(plane.Point{X: 20}.Turn(middle * math.Pi / 180))
		assert.True(t, z.Region.Contains(p), "ray %d", k)
	}
	assert.InDelta(t, 16*math.Pi, zones[24].Region.Area(), 0.02*8*math.Pi)
	assert.Len(t, Sunburst(7, 0, AlongAndAcross, wide), 8, "an odd number is made even")
}

// The triangulation's circles hold no other point, checked one by one; points
// on a square grid lie four to a circle.
func TestMeshIsDelaunay(t *testing.T) {
	for name, place := range map[string]func(k int) lattice2{
		"random": func(k int) lattice2 {
			return lattice2{int64(2000 * grain.Draw(3, k, 0)), int64(2000 * grain.Draw(3, k, 1))}
		},
		"square grid": func(k int) lattice2 { return lattice2{int64(k % 15 * 100), int64(k / 15 * 100)} },
		"in line":     func(k int) lattice2 { return lattice2{int64(k * 7), int64(k * 7)} },
		"twice":       func(k int) lattice2 { return lattice2{int64(k / 2 * 31 % 700), int64(k / 2 * 17 % 900)} },
	} {
		m := newMesh(-10000, 10000)
		for k := 0; k < 225; k++ {
			m.add(place(k))
		}
		area := int64(0)
		for i, c := range m.tri {
			a, b, d := m.points[c[0]], m.points[c[1]], m.points[c[2]]
			require.Positive(t, left(a, b, d), "%s triangle %d", name, i)
			area += left(a, b, d)
			for _, p := range m.points {
				require.False(t, inCircle(a, b, d, p), "%s triangle %d", name, i)
			}
		}
		assert.Equal(t, int64(2*20000*20000), area, name)
	}
}

// No two seeds of facets are nearer than 0.85 of the size, and no place of the
// face is farther than two sizes from one.
func TestScatter(t *testing.T) {
	box := plane.Box{Max: plane.Point{X: 80, Y: 80}}
	points := scatter(box, 5, 1)
	for i, p := range points {
		for _, q := range points[:i] {
			require.GreaterOrEqual(t, p.Dist(q), 4.25)
		}
	}
	mean := 80 * 80 / float64(len(points))
	assert.InDelta(t, 25, mean, 3, "a facet is about as large as its size squared")
	for x := 0.0; x < 80; x += 1.7 {
		for y := 0.0; y < 80; y += 1.9 {
			near := math.Inf(1)
			for _, q := range points {
				near = math.Min(near, q.Dist(plane.Point{X: x, Y: y}))
			}
			require.Less(t, near, 10.0, fmt.Sprint(x, y))
		}
	}
}
