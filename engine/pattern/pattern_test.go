package pattern_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tilings"
)

func box(x0, y0, x1, y1 float64) plane.Box {
	return plane.Box{Min: plane.Point{X: x0, Y: y0}, Max: plane.Point{X: x1, Y: y1}}
}

func rectangle(b plane.Box) plane.Ring {
	return plane.Ring{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

func zone(b plane.Box, degrees float64) pattern.Zone {
	return pattern.Zone{Region: plane.Region{rectangle(b)}, Lay: pattern.Lay{Angle: degrees * math.Pi / 180}}
}

func TestClippedArea(t *testing.T) {
	for _, c := range []struct {
		name string
		g    plane.Region
		want float64
	}{
		{"nothing", nil, 0},
		{"inside", plane.Region{rectangle(box(1, 1, 3, 4))}, 6},
		{"outside", plane.Region{rectangle(box(11, 1, 13, 4))}, 0},
		{"across a corner", plane.Region{rectangle(box(8, 8, 13, 14))}, 4},
		{"around all", plane.Region{rectangle(box(-5, -5, 15, 15))}, 100},
		{"with a hole", plane.Region{rectangle(box(-5, -5, 15, 15)), rectangle(box(5, 5, 20, 20)).Reversed()}, 75},
		{"in two parts: a U upside down", plane.Region{{{X: 1, Y: -5}, {X: 2, Y: -5}, {X: 2, Y: 20}, {X: 8, Y: 20}, {X: 8, Y: -5}, {X: 9, Y: -5}, {X: 9, Y: 30}, {X: 1, Y: 30}}}, 20},
		{"touching", plane.Region{rectangle(box(10, 0, 12, 10))}, 0},
	} {
		assert.InDelta(t, c.want, pattern.ClippedArea(c.g, box(0, 0, 10, 10)), 1e-12, c.name)
	}
}

func TestPartitionCheckerSeesSeededFaults(t *testing.T) {
	face := box(0, 0, 40, 40)
	whole := func() []pattern.Zone {
		zones, err := tilings.HempLeaf(9, tilings.Site{Box: face})
		require.NoError(t, err)
		return zones
	}
	assert.Empty(t, pattern.CheckPartition(whole(), face, 60))
	assert.Empty(t, pattern.CheckPartition(nil, plane.EmptyBox(), 60))

	inside := 0
	for i, z := range whole() {
		if b := z.Region.Bounds(); face.Contains(b.Min) && face.Contains(b.Max) {
			inside = i
		}
	}
	missing := append(whole()[:inside], whole()[inside+1:]...)
	found := pattern.CheckPartition(missing, face, 60)
	assert.True(t, found.Has("pattern-area-sum"), "a tile is missing")
	assert.True(t, found.Has("pattern-cover-count"))

	doubled := append(whole(), whole()[inside])
	found = pattern.CheckPartition(doubled, face, 60)
	assert.True(t, found.Has("pattern-area-sum"), "a tile is there twice")

	// Two faults that cancel in the area sum are seen by the samples.
	swapped := append(missing, missing[inside-1])
	assert.True(t, pattern.CheckPartition(swapped, face, 60).Has("pattern-cover-count"))

	nudged := whole()
	ring := append(plane.Ring(nil), nudged[inside].Region[0]...)
	ring[0] = ring[0].Add(plane.Point{X: 0.01})
	nudged[inside].Region = plane.Region{ring}
	assert.True(t, pattern.CheckPartition(nudged, face, 10).Has("pattern-area-sum"), "a corner moved by 0.01 mm")

	wrongWay := whole()
	wrongWay[3].Region = plane.Region{wrongWay[3].Region[0].Reversed()}
	assert.True(t, pattern.CheckPartition(wrongWay, face, 5).Has("pattern-zone-form"))
}

func TestIndexPaintsTopmost(t *testing.T) {
	p := pattern.Pattern{
		Zones:  []pattern.Zone{zone(box(0, 0, 6, 6), 30), zone(box(4, 4, 10, 10), 135), zone(box(20, 20, 30, 30), 10)},
		Ground: pattern.Lay{Angle: math.Pi / 2},
	}
	r, err := p.Index(box(0, 0, 10, 10), 0.5)
	require.NoError(t, err)
	assert.Equal(t, [2]int{20, 20}, [2]int{r.W, r.H})
	at := func(x, y float64) (int32, float64) {
		k := int(y/0.5)*r.W + int(x/0.5)
		return r.Zone[k], pattern.AngleOf(r.Angle[k]) * 180 / math.Pi
	}
	for _, c := range []struct {
		x, y    float64
		zone    int32
		degrees float64
	}{
		{1, 1, 0, 30}, {5, 5, 1, 135}, {3.9, 5, 0, 30}, {9.9, 9.9, 1, 135}, {9, 1, pattern.NoZone, 90}, {1, 9, pattern.NoZone, 90},
	} {
		z, a := at(c.x, c.y)
		assert.Equal(t, c.zone, z, "at (%g, %g)", c.x, c.y)
		assert.InDelta(t, c.degrees, a, 0.003, "at (%g, %g)", c.x, c.y)
	}
}

// A pixel is in the zone that Region.Contains names, for every pixel and every
// kind of tile, so zones that share a border share no pixel.
func TestIndexAgreesWithContains(t *testing.T) {
	face := box(3, -7, 33, 18)
	for _, turn := range []float64{0, 0.37} {
		site := tilings.Site{Box: face, Turn: turn}
		blocks, err := tilings.TumblingBlocks(5, tilings.AlongSide, site)
		require.NoError(t, err)
		petals, err := tilings.SevenTreasures(4, false, site)
		require.NoError(t, err)
		checker, err := tilings.Checker(2, site) // corners on pixel centres
		require.NoError(t, err)
		for name, zones := range map[string][]pattern.Zone{"blocks": blocks, "petals": petals, "checker": checker} {
			r, err := pattern.Pattern{Zones: zones}.Index(face, 0.4)
			require.NoError(t, err)
			for j := 0; j < r.H; j++ {
				for i := 0; i < r.W; i++ {
					z := r.Zone[j*r.W+i]
					require.NotEqual(t, int32(pattern.NoZone), z, "%s turn %g pixel %d %d", name, turn, i, j)
					if turn != 0 { // on a border, Contains rounds another way
						require.True(t, zones[z].Region.Contains(r.Centre(i, j)), "%s pixel %d %d", name, i, j)
					}
				}
			}
		}
	}
}

func TestIndexOfFields(t *testing.T) {
	p := pattern.Pattern{Zones: []pattern.Zone{{
		Region: plane.Region{rectangle(box(-10, -10, 10, 10))},
		Lay:    pattern.Lay{Field: grain.Concentric{}},
	}}}
	r, err := p.Index(box(-10, -10, 10, 10), 0.1)
	require.NoError(t, err)
	for _, c := range []struct{ i, j int }{{0, 0}, {199, 3}, {150, 100}, {40, 170}} {
		at := r.Centre(c.i, c.j)
		want := plane.NormalLay(math.Atan2(at.Y, at.X) + math.Pi/2)
		got := pattern.AngleOf(r.Angle[c.j*r.W+c.i])
		d := math.Abs(want - got)
		assert.Less(t, math.Min(d, math.Pi-d), 1e-4)
	}
}

// Fields without a slope of their own are differenced: the same picture, also
// where another zone cuts the runs of pixels.
func TestIndexOfPlainFields(t *testing.T) {
	whole := plane.Region{rectangle(box(-10, -10, 10, 10))}
	picture := func(f pattern.Field) []uint16 {
		p := pattern.Pattern{Zones: []pattern.Zone{{Region: whole, Lay: pattern.Lay{Field: f}}, zone(box(-3, -3, 4, 2), 20)}}
		r, err := p.Index(box(-10, -10, 10, 10), 0.2)
		require.NoError(t, err)
		return r.Angle
	}
	centre := plane.Point{X: 2, Y: -12}
	want, got := picture(grain.Concentric{Centre: centre}), picture(grain.Function(grain.Concentric{Centre: centre}.Level))
	for k := range want {
		d := math.Abs(pattern.AngleOf(want[k]) - pattern.AngleOf(got[k]))
		require.Less(t, math.Min(d, math.Pi-d), 0.002, "pixel %d", k)
	}
}

func TestIndexRefusals(t *testing.T) {
	face := box(0, 0, 10, 10)
	for _, pixel := range []float64{0, -1, math.NaN(), math.Inf(1), 1e-5} {
		_, err := pattern.Pattern{}.Index(face, pixel)
		var f finding.Finding
		require.ErrorAs(t, err, &f, "pixel %g", pixel)
		assert.NotEmpty(t, f.Remedy)
	}
	_, err := pattern.Pattern{}.Index(box(0, 0, math.NaN(), 1), 0.1)
	assert.Error(t, err)
	r, err := pattern.Pattern{}.Index(plane.EmptyBox(), 0.1)
	require.NoError(t, err)
	assert.Zero(t, r.W*r.H)
	r, err = pattern.Pattern{}.Index(box(5, 5, 5, 5), 0.1)
	require.NoError(t, err)
	assert.Equal(t, 1, r.W*r.H)
}

func TestTransform(t *testing.T) {
	line := grain.Straight{Origin: plane.Point{X: 1, Y: 2}, Angle: 0.4}
	p := pattern.Pattern{
		Zones: []pattern.Zone{
			{Region: plane.Region{rectangle(box(0, 0, 4, 2))}, Lay: pattern.Lay{Angle: 0.4}, Phase: 0.1, Spacing: 0.5, Name: "a", Kind: 3},
			{Region: plane.Region{rectangle(box(4, 0, 8, 2))}, Lay: pattern.Lay{Field: line}},
		},
		Curves:      []pattern.Curve{{Points: []plane.Point{{X: 1}, {X: 2}}, Closed: true}},
		Ground:      pattern.Lay{Angle: 0.2},
		GroundPhase: 0.3,
		ReadsOneWay: true,
	}
	maps := map[string]plane.Affine{
		"identity":               plane.Identity(),
		"turn":                   plane.Rotate(0.7),
		"moved, turned, doubled": plane.Translate(3, 4).Then(plane.Rotate(2)).Then(plane.Scale(2, 2)),
		"mirror":                 {A: -1, D: 1, E: 10},
		"mirror turned":          plane.Affine{A: -1, D: 1, E: 10}.Then(plane.Rotate(1)),
	}
	for name, m := range maps {
		q := pattern.Transform(p, m)
		scale := math.Sqrt(math.Abs(m.Det()))
		assert.True(t, q.ReadsOneWay)
		assert.InDelta(t, p.Zones[0].Region.Area()*scale*scale, q.Zones[0].Region.Area(), 1e-9, "%s keeps the normal form", name)
		assert.Equal(t, "a", q.Zones[0].Name)
		assert.Equal(t, 3, q.Zones[0].Kind)
		assert.Equal(t, 0.5, q.Zones[0].Spacing)
		assert.InDelta(t, 0.1*scale, q.Zones[0].Phase, 1e-12)
		assert.InDelta(t, 0.3*scale, q.GroundPhase, 1e-12)
		at := m.Apply(plane.Point{X: 5, Y: 1})
		// The field turns as the fixed angle does, and keeps its slope of 1.
		assert.InDelta(t, q.Zones[0].Lay.Angle, q.Zones[1].Lay.AngleAt(at), 1e-9, name)
		assert.InDelta(t, 1, pattern.Slope(q.Zones[1].Lay.Field, at).Norm(), 1e-9, name)
		assert.InDelta(t, scale*line.Level(plane.Point{X: 5, Y: 1}), q.Zones[1].Lay.Field.Level(at), 1e-9, name)
		assert.Equal(t, m.Apply(plane.Point{X: 2}), q.Curves[0].Points[1])
		assert.True(t, q.Curves[0].Closed)
	}
	assert.Equal(t, plane.Point{X: 1}, p.Curves[0].Points[0], "the argument is not changed")
	// There and back.
	m := plane.Rotate(0.3).Then(plane.Translate(5, 6))
	back := plane.Translate(-5, -6).Then(plane.Rotate(-0.3))
	twice := pattern.Transform(pattern.Transform(p, m), back)
	at := plane.Point{X: 6, Y: 1.5}
	assert.InDelta(t, line.Level(at), twice.Zones[1].Lay.Field.Level(at), 1e-9)
}

func TestTransformOfNothing(t *testing.T) {
	flat := pattern.Transform(pattern.Pattern{Zones: []pattern.Zone{zone(box(0, 0, 1, 1), 0)}, ReadsOneWay: true}, plane.Scale(0, 1))
	assert.Equal(t, pattern.Pattern{ReadsOneWay: true}, flat)
	assert.Equal(t, pattern.Pattern{ReadsOneWay: true}, pattern.Transform(flat, plane.Affine{A: math.NaN(), D: 1}))
	assert.Equal(t, pattern.Pattern{}, pattern.Transform(pattern.Pattern{}, plane.Identity()))
}

func TestMirrorTwiceIsNothing(t *testing.T) {
	p := pattern.Pattern{Zones: []pattern.Zone{zone(box(1, 2, 3, 5), 30)}}
	once := pattern.Mirror(p, 4)
	assert.Equal(t, box(5, 2, 7, 5), once.Zones[0].Region.Bounds())
	assert.InDelta(t, 150, once.Zones[0].Lay.Angle*180/math.Pi, 1e-9)
	twice := pattern.Mirror(once, 4)
	assert.Equal(t, p.Zones[0].Region.Bounds(), twice.Zones[0].Region.Bounds())
	assert.InDelta(t, 30, twice.Zones[0].Lay.Angle*180/math.Pi, 1e-9)
}

func BenchmarkIndex(b *testing.B) {
	face := box(0, 0, 200, 200)
	for _, size := range []float64{20, 4.8, 1.6} {
		zones, err := tilings.TumblingBlocks(size, tilings.AlongSide, tilings.Site{Box: face, Turn: 0.1})
		require.NoError(b, err)
		for _, pixels := range []float64{500, 1000, 2000} {
			b.Run(fmt.Sprintf("zones=%d/px=%g", len(zones), pixels), func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; i < b.N; i++ {
					if _, err := (pattern.Pattern{Zones: zones}).Index(face, 200/pixels); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
	field := []pattern.Zone{{Region: plane.Region{rectangle(face)}, Lay: pattern.Lay{Field: grain.Concentric{}}}}
	b.Run("field/px=2000", func(b *testing.B) {
		for i := 0; i < b.N; i++ {
			if _, err := (pattern.Pattern{Zones: field}).Index(face, 0.1); err != nil {
				b.Fatal(err)
			}
		}
	})
}
