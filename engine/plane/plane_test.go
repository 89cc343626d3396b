package plane_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

func points(v ...float64) (out []plane.Point) {
	for i := 0; i+1 < len(v); i += 2 {
		out = append(out, plane.Point{X: v[i], Y: v[i+1]})
	}
	return out
}

// The two shoelace examples of the textbooks (from memory; worked out again):
// (3,4)(5,11)(12,8)(9,5)(5,6) runs clockwise and encloses 30,
// (1,6)(3,1)(7,2)(4,4)(8,5) encloses 16.5. A lattice polygon has the area
// I + B/2 − 1 (Pick 1899).
func TestRingArea(t *testing.T) {
	for _, c := range []struct {
		name string
		ring plane.Ring
		want float64
	}{
		{"empty", nil, 0},
		{"one point", points(3, 4), 0},
		{"two points", points(3, 4, 5, 6), 0},
		{"there and back", points(0, 0, 9, 0, 0, 0), 0},
		{"textbook, clockwise", points(3, 4, 5, 11, 12, 8, 9, 5, 5, 6), -30},
		{"textbook", points(1, 6, 3, 1, 7, 2, 4, 4, 8, 5), 16.5},
		{"Pick: 1 inside, 8 on the border", points(0, 0, 2, 0, 2, 2, 0, 2), 1 + 8/2.0 - 1},
		{"far from the origin", points(1e6, 1e6, 1e6+1, 1e6, 1e6+1, 1e6+1, 1e6, 1e6+1), 1},
	} {
		assert.InDelta(t, c.want, c.ring.Area(), 1e-9, c.name)
		assert.InDelta(t, -c.want, c.ring.Reversed().Area(), 1e-9, c.name)
	}
	assert.Zero(t, plane.Region(nil).Area())
	hole := plane.Region{points(0, 0, 10, 0, 10, 10, 0, 10), points(2, 2, 2, 4, 4, 4, 4, 2)}
	assert.Equal(t, 96.0, hole.Area())
	assert.Equal(t, 48.0, hole.Length())
}

// A disc as n-gon misses 4.507 % (12), 0.16056 % (64), 0.005077 % (360) of its
// area (derived).
func TestDiscAsPolygon(t *testing.T) {
	for n, percent := range map[int]float64{12: 4.507, 64: 0.16056, 360: 0.005077} {
		r := make(plane.Ring, n)
		for i := range r {
			r[i] = plane.Point{X: 10}.Turn(2 * math.Pi * float64(i) / float64(n))
		}
		assert.InDelta(t, percent, 100*(1-r.Area()/(100*math.Pi)), percent*2e-4, "%d", n)
		assert.InDelta(t, float64(n)*20*math.Sin(math.Pi/float64(n)), r.Length(), 1e-9)
	}
}

func TestLengths(t *testing.T) {
	assert.Zero(t, plane.Polyline(nil).Length())
	assert.Zero(t, plane.Polyline(points(1, 2)).Length())
	assert.Equal(t, 12.0, plane.Polyline(points(0, 0, 3, 4, 3, 11)).Length())
	assert.Zero(t, plane.Ring(points(1, 2)).Length())
	assert.Equal(t, 12.0, plane.Ring(points(0, 0, 3, 0, 3, 4)).Length())
	assert.Equal(t, plane.Polyline(points(3, 4, 0, 0)), plane.Polyline(points(0, 0, 3, 4)).Reversed())
	assert.Empty(t, plane.Polyline(nil).Reversed())
}

func TestBoxes(t *testing.T) {
	empty := plane.EmptyBox()
	assert.True(t, empty.Empty())
	assert.False(t, plane.Box{}.Empty(), "the zero box is a point")
	assert.True(t, plane.Region{nil}.Bounds().Empty())
	assert.True(t, plane.Polyline(nil).Bounds().Empty())
	b := empty.Include(plane.Point{X: 2, Y: 3}).Include(plane.Point{X: -1, Y: 5})
	assert.Equal(t, plane.Box{Min: plane.Point{X: -1, Y: 3}, Max: plane.Point{X: 2, Y: 5}}, b)
	assert.Equal(t, b, b.Union(empty))
	assert.Equal(t, b, empty.Union(b))
	assert.Equal(t, plane.Point{X: 3, Y: 2}, b.Size())
	assert.Equal(t, plane.Point{X: 0.5, Y: 4}, b.Centre())
	assert.True(t, b.Contains(b.Min) && b.Contains(b.Max), "the border belongs to it")
	assert.True(t, b.Intersects(plane.Box{Min: b.Max, Max: b.Max}), "a corner is shared")
	assert.False(t, b.Intersects(empty))
	assert.True(t, b.Grow(-1.1).Empty())
}

func TestNearestOnSegment(t *testing.T) {
	a, b := plane.Point{X: 1, Y: 1}, plane.Point{X: 5, Y: 1}
	for _, c := range []struct{ p, want plane.Point }{
		{plane.Point{X: 3, Y: 9}, plane.Point{X: 3, Y: 1}},
		{plane.Point{X: -3, Y: 2}, a},
		{plane.Point{X: 8, Y: -2}, b},
		{plane.Point{X: 5, Y: 1}, b},
	} {
		assert.Equal(t, c.want, plane.NearestOnSegment(a, b, c.p))
	}
	assert.Equal(t, a, plane.NearestOnSegment(a, a, b), "no length")
}

func TestUnitAndFinite(t *testing.T) {
	assert.Equal(t, plane.Point{}, plane.Point{}.Unit())
	assert.Equal(t, plane.Point{X: 0.6, Y: 0.8}, plane.Point{X: 3, Y: 4}.Unit())
	assert.Equal(t, plane.Point{X: -4, Y: 3}, plane.Point{X: 3, Y: 4}.Left())
	assert.True(t, plane.Point{X: 1e308}.Finite())
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		assert.False(t, plane.Point{X: bad}.Finite())
		assert.False(t, plane.Point{Y: bad}.Finite())
	}
}

// Regions that share a border share no point and leave none out, on a lattice on
// which every place lies on a border; and a point of a disc lies in it by
// Pythagoras. Seed 21.
func TestContainsPartsThePlane(t *testing.T) {
	var cells []plane.Region
	for x := range 4 {
		for y := range 4 {
			a, b := float64(x), float64(y)
			cells = append(cells, plane.Region{points(a, b, a+1, b, a+1, b+1)}, plane.Region{points(a, b, a+1, b+1, a, b+1)})
		}
	}
	for i := range 33 {
		for j := range 33 {
			p, holders := plane.Point{X: float64(i) / 8, Y: float64(j) / 8}, 0
			for _, g := range cells {
				if g.Contains(p) {
					holders++
				}
			}
			want := 1
			if p.X == 4 || p.Y == 4 {
				want = 0 // these borders belong to what lies beyond
			}
			require.Equal(t, want, holders, "%v", p)
		}
	}
	r := rand.New(rand.NewPCG(21, 0))
	ring := make(plane.Ring, 720)
	for i := range ring {
		ring[i] = plane.Point{X: 5}.Turn(2 * math.Pi * float64(i) / 720)
	}
	for range 2000 {
		p := plane.Point{X: 12*r.Float64() - 6, Y: 12*r.Float64() - 6}
		if math.Abs(p.Norm()-5) > 1e-4 {
			require.Equal(t, p.Norm() < 5, plane.Region{ring}.Contains(p), "%v", p)
		}
	}
	assert.False(t, plane.Region(nil).Contains(plane.Point{}))
}

// The matrix of W3C SVG 2, §8.5: (x, y) → (a·x + c·y + e, b·x + d·y + f).
func TestAffine(t *testing.T) {
	p := plane.Point{X: 3, Y: 4}
	assert.Equal(t, p, plane.Identity().Apply(p))
	assert.Equal(t, plane.Point{}, plane.Affine{}.Apply(p))
	assert.Equal(t, plane.Point{X: 1*3 + 3*4 + 5, Y: 2*3 + 4*4 + 6}, plane.Affine{A: 1, B: 2, C: 3, D: 4, E: 5, F: 6}.Apply(p))
	m := plane.Scale(2, 3).Then(plane.Translate(1, 1))
	assert.Equal(t, plane.Point{X: 7, Y: 13}, m.Apply(p), "the first is applied first")
	assert.Equal(t, 6.0, m.Det())
	square := plane.Region{points(0, 0, 1, 0, 1, 1, 0, 1)}
	assert.Equal(t, 6.0, m.ApplyRegion(square).Area())
	assert.Equal(t, 6.0, plane.Scale(-2, 3).ApplyRegion(square).Area(), "mirrored rings are turned round")
	assert.Empty(t, m.ApplyRegion(nil))
	r := rand.New(rand.NewPCG(22, 0))
	draw := func() plane.Affine {
		return plane.Affine{A: r.NormFloat64(), B: r.NormFloat64(), C: r.NormFloat64(), D: r.NormFloat64(), E: r.NormFloat64(), F: r.NormFloat64()}
	}
	for range 200 {
		a, b := draw(), draw()
		require.InDelta(t, 0, b.Apply(a.Apply(p)).Dist(a.Then(b).Apply(p)), 1e-12)
		require.InDelta(t, a.Det()*b.Det(), a.Then(b).Det(), 1e-12)
	}
}

// A lay has no sense of direction (ASME B46.1): angles count modulo 180°.
func TestLayAngles(t *testing.T) {
	const degree = math.Pi / 180
	for _, c := range []struct{ in, want float64 }{{0, 0}, {180, 0}, {-1, 179}, {190, 10}, {-350, 10}, {360, 0}, {539, 179}} {
		assert.InDelta(t, c.want*degree, plane.NormalLay(c.in*degree), 1e-12, "%g°", c.in)
	}
	assert.Zero(t, plane.NormalLay(-1e-300), "rounding up to 180° is 0°")
	assert.InDelta(t, 75*degree, plane.Rotate(30*degree).Angle(45*degree), 1e-12)
	assert.InDelta(t, 135*degree, plane.Scale(-1, 1).Angle(45*degree), 1e-12)
	assert.InDelta(t, math.Atan(2), plane.Scale(1, 2).Angle(45*degree), 1e-12)
}

// Rows of a capsule add up to its area, 2rL + πr² (derived): r 0.2, L 10 give
// 4.1256637; a row beside it has no stretch.
func TestCapsuleRows(t *testing.T) {
	for _, turn := range []float64{0, 0.3, math.Pi / 2, 2.5} {
		a, b := plane.Point{X: 1, Y: 2}, plane.Point{X: 1, Y: 2}.Add(plane.Point{X: 10}.Turn(turn))
		area := 0.0
		const step = 0.0005
		for y := -9.0; y < 13; y += step {
			if lo, hi := plane.CapsuleRow(a, b, b.Sub(a).Unit(), 0.2, y); hi > lo {
				area += (hi - lo) * step
			}
		}
		assert.InDelta(t, 4.1256637, area, 2e-3, "turned by %g", turn)
		lo, hi := plane.CapsuleRow(a, b, b.Sub(a).Unit(), 0.2, 99)
		assert.Greater(t, lo, hi)
	}
	lo, hi := plane.CapsuleRow(plane.Point{}, plane.Point{}, plane.Point{}, 2, 0)
	assert.Equal(t, [2]float64{-2, 2}, [2]float64{lo, hi}, "a capsule without length is a disc")
}
