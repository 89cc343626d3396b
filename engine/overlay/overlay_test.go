package overlay_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
)

// box returns the rectangle with these corners, counter-clockwise.
func box(x0, y0, x1, y1 float64) plane.Ring {
	return plane.Ring{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func disc(x, y, radius float64, n int) plane.Ring {
	r := make(plane.Ring, n)
	for i := range r {
		r[i] = plane.Point{X: x, Y: y}.Add(plane.Point{X: radius}.Turn(2 * math.Pi * float64(i) / float64(n)))
	}
	return r
}

// star has tips of the given full angle (degrees) at radius outer.
func star(tips int, outer, tipDegrees float64) plane.Ring {
	// The notch lies on the ray between tips, where the tip's side meets it.
	half, step := tipDegrees/2*math.Pi/180, math.Pi/float64(tips)
	inner := outer * math.Sin(half) / math.Sin(half+step)
	var r plane.Ring
	for i := 0; i < 2*tips; i++ {
		radius := outer
		if i%2 == 1 {
			radius = inner
		}
		r = append(r, plane.Point{X: radius}.Turn(step*float64(i)))
	}
	return r
}

func TestBooleansOfBoxes(t *testing.T) {
	a, b := plane.Region{box(0, 0, 4, 4)}, plane.Region{box(2, 2, 6, 6)}
	for _, c := range []struct {
		name                    string
		a, b                    plane.Region
		union, both, minus, xor float64
		rings                   int // of the union
	}{
		{"empty", nil, nil, 0, 0, 0, 0, 0},
		{"one empty", a, nil, 16, 0, 16, 16, 1},
		{"the same", a, a, 16, 16, 0, 0, 1},
		{"overlapping", a, b, 28, 4, 12, 24, 1},
		{"shared edge", a, plane.Region{box(4, 0, 6, 4)}, 24, 0, 16, 24, 1},
		{"part of an edge shared", a, plane.Region{box(4, 1, 6, 3)}, 20, 0, 16, 20, 1},
		{"corner touch", a, plane.Region{box(4, 4, 6, 6)}, 20, 0, 16, 20, 2},
		{"inside", a, plane.Region{box(1, 1, 2, 2)}, 16, 1, 15, 15, 1},
		{"clockwise operand", a, plane.Region{box(2, 2, 6, 6).Reversed()}, 28, 4, 12, 24, 1},
		{"hole filled", plane.Region{box(0, 0, 4, 4), box(1, 1, 3, 3).Reversed()}, plane.Region{box(1, 1, 3, 3)}, 16, 0, 12, 16, 1},
		{"spike", plane.Region{{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 8, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 0, Y: 4}}}, nil, 16, 0, 16, 16, 1},
		{"two points", plane.Region{{{X: 0, Y: 0}, {X: 4, Y: 0}}}, nil, 0, 0, 0, 0, 0},
		{"not a number", plane.Region{{{X: 0, Y: 0}, {X: math.NaN(), Y: 0}, {X: 1, Y: 1}}}, a, 16, 0, 0, 16, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			union := overlay.Union(c.a, c.b)
			assert.Equal(t, c.union, union.Area(), "union")
			assert.Len(t, union, c.rings)
			assert.Equal(t, c.both, overlay.Intersect(c.a, c.b).Area(), "intersect")
			assert.Equal(t, c.minus, overlay.Subtract(c.a, c.b).Area(), "subtract")
			assert.Equal(t, c.xor, overlay.Xor(c.a, c.b).Area(), "xor")
		})
	}
}

func TestNormalizeRules(t *testing.T) {
	// Two overlapping boxes, one of them twice, and a clockwise one.
	rings := []plane.Ring{box(0, 0, 4, 4), box(0, 0, 4, 4), box(2, 0, 6, 4), box(10, 0, 11, 1).Reversed()}
	assert.Equal(t, 16.0+1, overlay.Normalize(rings, overlay.EvenOdd).Area())
	assert.Equal(t, 24.0+1, overlay.Normalize(rings, overlay.NonZero).Area())
	assert.Equal(t, 24.0, overlay.Normalize(rings, overlay.Positive).Area())
	// Bow tie: two triangles of 1 mm² that touch at the crossing.
	bow := []plane.Ring{{{X: 0, Y: 0}, {X: 2, Y: 2}, {X: 2, Y: 0}, {X: 0, Y: 2}}}
	got := overlay.Normalize(bow, overlay.EvenOdd)
	assert.Equal(t, 2.0, got.Area())
	assert.Len(t, got, 2)
}

func TestIslandsGroupsHolesWithTheirOuterRing(t *testing.T) {
	rings := []plane.Ring{box(0, 0, 20, 20), box(2, 2, 18, 18), box(4, 4, 16, 16), box(6, 6, 7, 7), box(8, 8, 9, 9), box(30, 0, 31, 1)}
	islands := overlay.Islands(overlay.Normalize(rings, overlay.EvenOdd))
	require.Len(t, islands, 3)
	assert.Len(t, islands[0], 2)
	assert.Equal(t, 400.0-256, islands[0].Area())
	assert.Len(t, islands[1], 3)
	assert.Equal(t, 144.0-2, islands[1].Area())
	assert.Equal(t, 1.0, islands[2].Area())
	assert.Nil(t, overlay.Islands(nil))
}

func TestHoleThatTouchesTheBorderIsARingOfItsOwn(t *testing.T) {
	hole := plane.Region{{{X: 0, Y: 2}, {X: 2, Y: 1}, {X: 2, Y: 3}}}
	got := overlay.Subtract(plane.Region{box(0, 0, 4, 4)}, hole)
	require.Len(t, got, 2)
	assert.Equal(t, 16.0, got[0].Area())
	assert.Equal(t, -2.0, got[1].Area())
	assert.Len(t, overlay.Islands(got), 1)
	// A diamond that touches all four sides leaves four islands.
	diamond := plane.Region{{{X: 2, Y: 0}, {X: 4, Y: 2}, {X: 2, Y: 4}, {X: 0, Y: 2}}}
	assert.Len(t, overlay.Islands(overlay.Subtract(plane.Region{box(0, 0, 4, 4)}, diamond)), 4)
}

func TestOffset(t *testing.T) {
	const fine = 0.0001
	square := plane.Region{box(0, 0, 10, 10)}
	holed := plane.Region{box(0, 0, 10, 10), box(4, 4, 6, 6).Reversed()}
	// Steiner's formula for convex shapes: A + P·d + π·d².
	for _, c := range []struct {
		name   string
		g      plane.Region
		d      float64
		join   overlay.Join
		area   float64
		islets int
	}{
		{"empty", nil, 1, overlay.Round(), 0, 0},
		{"zero", square, 0, overlay.Round(), 100, 1},
		{"not a number", square, math.NaN(), overlay.Round(), 100, 1},
		{"grow round", square, 1, overlay.Round(), 140 + math.Pi, 1},
		{"grow mitre", square, 1, overlay.Mitre(2), 144, 1},
		// The tips are cut at 1 mm from the corner: each loses a triangle of
		// height √2−1 and base 2(√2−1).
		{"grow mitre at limit", square, 1, overlay.Mitre(1), 144 - 4*math.Pow(math.Sqrt2-1, 2), 1},
		{"shrink", square, -2, overlay.Round(), 36, 1},
		{"shrink to nothing", square, -5, overlay.Round(), 0, 0},
		{"shrink beyond nothing", square, -50, overlay.Mitre(4), 0, 0},
		{"hole closes", holed, 1, overlay.Mitre(2), 144, 1},
		{"hole overclosed", holed, 3, overlay.Mitre(2), 256, 1},
		{"hole grows round", holed, -1, overlay.Round(), 64 - (4 + 8 + math.Pi), 1},
		{"hole grows mitre", holed, -1, overlay.Mitre(2), 64 - 16, 1},
		{"frame breaks", holed, -2.5, overlay.Mitre(2), 0, 0},
		{"dumbbell breaks in two", overlay.Union(square, plane.Region{box(20, 0, 30, 10)}, plane.Region{box(9, 4.5, 21, 5.5)}), -1, overlay.Mitre(2), 128, 2},
		{"neighbours merge", overlay.Union(square, plane.Region{box(11, 0, 21, 10)}), 0.5, overlay.Mitre(2), 22 * 11, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := overlay.Offset(c.g, c.d, c.join, fine)
			assert.InDelta(t, c.area, got.Area(), 0.002)
			assert.Len(t, overlay.Islands(got), c.islets)
		})
	}
}

func TestOffsetOfDiscsFollowsTheCircle(t *testing.T) {
	g := plane.Region{disc(3, 4, 20, 720)}
	for _, d := range []float64{5, 0.2, -0.2, -5, -19.5} {
		r := 20 + d
		got := overlay.Offset(g, d, overlay.Round(), 0.0005)
		require.Len(t, got, 1, "d=%g", d)
		assert.InDelta(t, math.Pi*r*r, got.Area(), 2*math.Pi*r*0.002, "d=%g", d)
		for _, p := range got[0] {
			assert.InDelta(t, r, p.Dist(plane.Point{X: 3, Y: 4}), 0.001)
		}
	}
	assert.Empty(t, overlay.Offset(g, -20.001, overlay.Round(), 0.001))
}

func TestMitreKeepsTwentyDegreeTips(t *testing.T) {
	for turn := 0.0; turn < 60; turn += 7 {
		want := plane.Region{star(7, 30, 20)}
		want = plane.Rotate(turn * math.Pi / 180).ApplyRegion(want)
		there := overlay.Offset(want, -0.225, overlay.Mitre(8), 0)
		back := overlay.Offset(there, 0.225, overlay.Mitre(8), 0)
		assert.InDelta(t, want.Area(), back.Area(), 1e-3)
		assert.Less(t, overlay.Xor(want, back).Area(), 1e-3)
	}
}

func TestCoordinatesBeyondTheFineLattice(t *testing.T) {
	for _, at := range []float64{0, 500, 5000, 100000, 1e6} {
		a := plane.Region{box(at, at, at+4, at+4)}
		b := plane.Region{box(at+2, at+2, at+6, at+6)}
		assert.InDelta(t, 28, overlay.Union(a, b).Area(), 0.05, "at %g", at)
	}
	assert.Empty(t, overlay.Union(plane.Region{box(0, 0, 1e9, 1)}))
	assert.Empty(t, overlay.Union(plane.Region{box(0, 0, math.Inf(1), 1)}))
}

// TestOffsetAlikeOnBothWays takes regions whose rings keep apart, which are offset
// as they are, and the same with two squares far away that touch, so that all of
// it is tidied before: the same offset, however the rings are turned and listed.
func TestOffsetAlikeOnBothWays(t *testing.T) {
	turned := func(g plane.Region) (out plane.Region) {
		for i := range g {
			out = append(out, g[len(g)-1-i].Reversed())
		}
		return out
	}
	nested := plane.Region{box(0, 0, 40, 40), box(5, 5, 35, 35), box(10, 10, 30, 30), box(12, 12, 20, 20), box(22, 12, 28, 28), box(50, 0, 60, 10), box(52, 2, 58, 8)}
	touching := plane.Region{box(300, 300, 310, 310), box(310, 310, 320, 320)}
	for _, c := range []struct {
		name string
		g    plane.Region
	}{{"nested boxes", nested}, {"nested, turned", turned(nested)}, {"waves with holes", wavy(400)}, {"waves, turned", turned(wavy(400))}} {
		for _, join := range []overlay.Join{overlay.Round(), overlay.Mitre(3)} {
			for _, d := range []float64{-4.5, -2, -0.21, -1e-5, 1e-5, 0.21, 2, 4.5} {
				plain := overlay.Offset(c.g, d, join, 0.001)
				both := overlay.Offset(append(append(plane.Region{}, c.g...), touching...), d, join, 0.001)
				extra := overlay.Offset(touching, d, join, 0.001)
				require.Len(t, both, len(plain)+len(extra), "%s, %g", c.name, d)
				require.InDelta(t, both.Area()-extra.Area(), plain.Area(), 1e-5*c.g.Length(), "%s, %g", c.name, d)
			}
		}
	}
}
