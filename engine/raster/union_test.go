package raster_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
)

// capsule returns the outline of a bead, its round ends in n chords whose area is
// that of the half disc.
func capsule(a, b plane.Point, width float64, n int) plane.Ring {
	u := b.Sub(a).Unit()
	if u == (plane.Point{}) {
		u = plane.Point{X: 1}
	}
	step := math.Pi / float64(n)
	u = u.Mul(width / 2 * math.Sqrt(step/math.Sin(step)))
	var r plane.Ring
	for k := range 2 * (n + 1) {
		end, turn := b, float64(k)
		if k > n {
			end, turn = a, float64(k-1)
		}
		r = append(r, end.Add(u.Turn(-math.Pi/2+turn*step)))
	}
	return r
}

// areas returns the exact areas under at least one and at least two of the rings.
func areas(rings []plane.Ring) (union, double float64) {
	var once, twice plane.Region
	for _, r := range rings {
		g := plane.Region{r}
		twice = overlay.Union(twice, overlay.Intersect(once, g))
		once = overlay.Union(once, g)
	}
	return once.Area(), twice.Area()
}

// TestLatticeBeadsAgainstPolygons lays beads and bars on a lattice whose pitch is
// their width, so that they touch, repeat and overlap along lines, turned by
// several angles, and compares with exact polygon areas.
func TestLatticeBeadsAgainstPolygons(t *testing.T) {
	cases := 30
	if testing.Short() {
		cases = 10
	}
	for k := range cases {
		rng := rand.New(rand.NewPCG(9, uint64(k)))
		degrees := []float64{0, 30, 45, 90, 360 * rng.Float64()}[k%5]
		m := plane.Rotate(degrees * math.Pi / 180)
		var paths []path
		var rings []plane.Ring
		for range 40 {
			a := plane.Point{X: float64(rng.IntN(20)), Y: float64(rng.IntN(20))}
			b := a
			if rng.IntN(2) == 0 {
				b.X += float64(rng.IntN(8))
			} else {
				b.Y += float64(rng.IntN(8))
			}
			if len(paths) > 0 && rng.IntN(5) == 0 {
				paths, rings = append(paths, paths[len(paths)-1]), append(rings, rings[len(rings)-1])
				continue
			}
			p := path{m.Apply(a.Mul(0.42)), m.Apply(b.Mul(0.42))}
			paths, rings = append(paths, p), append(rings, capsule(p[0], p[1], 0.42, 24))
		}
		union, double := areas(rings)
		box := plane.EmptyBox()
		for _, r := range rings {
			box = box.Union(r.Bounds())
		}
		n := raster.NewCounts(raster.NewGrid(box.Grow(0.1), 0.02, raster.QuietAngle(paths...)))
		for _, p := range paths {
			n.AddPath(p, []float64{0.42})
		}
		got := n.All()
		require.InDelta(t, union, float64(got.One+got.More)*n.PixelArea(), 0.002*union, "case %d", k)
		require.InDelta(t, double, float64(got.More)*n.PixelArea(), 0.003*union, "case %d", k)
	}
}

// TestUnionAreaOfAPlate holds the area under 10 m of beads of many directions
// against the exact union, within 0.02 % at 0.05 mm.
func TestUnionAreaOfAPlate(t *testing.T) {
	paths := plate(10)
	var rings []plane.Ring
	box := plane.EmptyBox()
	for _, p := range paths {
		r := capsule(p[0], p[1], 0.42, 24)
		rings, box = append(rings, r), box.Union(r.Bounds())
	}
	want := overlay.Normalize(rings, overlay.NonZero).Area()
	for _, pixel := range []float64{0.1, 0.05} {
		n := raster.NewCounts(raster.NewGrid(box.Grow(0.2), pixel, raster.QuietAngle(paths...)))
		for _, p := range paths {
			n.AddPath(p, []float64{0.42})
		}
		got := n.All()
		t.Logf("pixel %g mm: %+.4f %%", pixel, 100*(float64(got.One+got.More)*n.PixelArea()/want-1))
		assert.InDelta(t, 1, float64(got.One+got.More)*n.PixelArea()/want, 0.004*pixel)
	}
}
