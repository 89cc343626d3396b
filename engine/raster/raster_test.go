package raster_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
)

type path = []plane.Point

func grid(pixel, degrees float64) raster.Grid {
	return raster.NewGrid(plane.Box{Min: plane.Point{X: -20, Y: -20}, Max: plane.Point{X: 20, Y: 20}}, pixel, degrees*math.Pi/180)
}

// TestClosedForms holds areas against closed forms: capsules 2rL + πr², lens of
// two discs 2r²·acos(d/2r) − (d/2)·√(4r² − d²), crossing and parallel capsules.
// Sources: the formulas are elementary geometry; the figures were computed
// independently (derived).
func TestClosedForms(t *testing.T) {
	cross := func(degrees float64) []path {
		d := plane.Point{X: 5}.Turn(degrees * math.Pi / 180)
		return []path{{{X: -5}, {X: 5}}, {d.Mul(-1), d}}
	}
	for _, c := range []struct {
		name        string
		paths       []path
		width       float64
		union, more float64 // mm², covered at all and by two or more
	}{
		{"nothing", nil, 1, 0, 0},
		{"one point", []path{{{X: 1}}}, 1, 0, 0},
		{"capsule r 3 L 10", []path{{{X: -5}, {X: 5}}}, 6, 88.2743, 0},
		{"capsule r 0.2 L 10", []path{{{X: -5}, {X: 5}}}, 0.4, 4.1256637, 0},
		{"disc", []path{{{X: 1}, {X: 1}}}, 6, 9 * math.Pi, 0},
		{"unit discs at 1", []path{{{}, {}}, {{X: 1}, {X: 1}}}, 2, 5.0548156, 1.2283697},
		{"crossing at 90", cross(90), 0.4, 8.0913274, 0.16},
		{"crossing at 60", cross(60), 0.4, 8.0665753, 2*4.1256637 - 8.0665753},
		{"parallel at 0.36", []path{{{X: -5}, {X: 5}}, {{X: -5, Y: 0.36}, {X: 5, Y: 0.36}}}, 0.4, 7.8466293, 0.4046981},
		{"parallel at one width", []path{{{X: -5}, {X: 5}}, {{X: -5, Y: 0.4}, {X: 5, Y: 0.4}}}, 0.4, 2 * 4.1256637, 0},
		{"the same twice", []path{{{X: -5}, {X: 5}}, {{X: 5}, {X: -5}}}, 0.4, 4.1256637, 4.1256637},
	} {
		for _, turn := range []float64{0, 1, 30, 45, 77} {
			t.Run(fmt.Sprintf("%s/%g", c.name, turn), func(t *testing.T) {
				n := raster.NewCounts(grid(0.02, turn+17.3))
				for _, p := range c.paths {
					n.AddPath(plane.Rotate(turn*math.Pi/180).ApplyLine(p), []float64{c.width})
				}
				got := n.All()
				assert.InDelta(t, c.union, float64(got.One+got.More)*n.PixelArea(), 0.005*c.union)
				assert.InDelta(t, c.more, float64(got.More)*n.PixelArea(), 0.005*c.union)
				hist := n.Histogram()
				assert.Equal(t, got.One, hist[1])
				assert.Equal(t, got.None, hist[0])
			})
		}
	}
}

func TestOnePathIsNotDoubleAtItsJoints(t *testing.T) {
	circle := path{}
	for i := 0; i <= 3000; i++ {
		circle = append(circle, plane.Point{X: 5}.Turn(2*math.Pi*float64(i)/3000))
	}
	zigzag := path{}
	for i := range 20 {
		y := 0.4 * float64(i)
		if i%2 == 0 {
			zigzag = append(zigzag, plane.Point{X: 0, Y: y}, plane.Point{X: 8, Y: y})
		} else {
			zigzag = append(zigzag, plane.Point{X: 8, Y: y}, plane.Point{X: 0, Y: y})
		}
	}
	for _, c := range []struct {
		name  string
		line  path
		union float64
		more  float64
	}{
		{"bend", path{{}, {X: 5}, {X: 5, Y: 5}}, 10*0.4 + math.Pi*0.04 - 0.04 + 0.01*math.Pi, 0},
		{"closed circle in short chords", circle, 2 * math.Pi * 5 * 0.4, 0},
		{"closed square", path{{}, {X: 5}, {X: 5, Y: 5}, {Y: 5}, {}}, 8 - 4*0.04 + 4*0.01*math.Pi, 0},
		// Round corners outside every turn: the box plus caps less the corners.
		{"zigzag at one width", zigzag, 8*19*0.4 + 19*0.4*0.4 + 2*8*0.2, 0},
		{"there and back", path{{}, {X: 10}, {}}, 4.1256637, 9 * 0.4},
		{"loop over itself", path{{X: -5}, {X: 5}, {X: 5, Y: 5}, {Y: 5}, {Y: -5}}, 30*0.4 + math.Pi*0.04 - 3*0.04*(1-math.Pi/4) - 0.16, 0.16},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := raster.NewCounts(grid(0.02, 11.7))
			n.AddPath(c.line, []float64{0.4})
			got := n.All()
			assert.InDelta(t, c.union, float64(got.One+got.More)*n.PixelArea(), 0.02*c.union)
			assert.InDelta(t, c.more, float64(got.More)*n.PixelArea(), 0.01*c.union)
		})
	}
}

func TestCountsSaturate(t *testing.T) {
	n := raster.NewCounts(grid(0.1, 0))
	for range 300 {
		n.AddPath(path{{X: -5}, {X: 5}}, []float64{1})
	}
	n.AddReach(path{{X: -5}, {X: 5}}, []float64{1}, 0.2)
	assert.Equal(t, 63, n.At(plane.Point{}))
	assert.True(t, n.NearAt(plane.Point{Y: 0.6}))
	assert.Zero(t, n.At(plane.Point{Y: 0.6}))
	n.AddPath(path{{X: -5}, {X: 5}}, []float64{1})
	assert.Equal(t, 63, n.At(plane.Point{}))
	assert.True(t, n.NearAt(plane.Point{}))
	hist := n.Histogram()
	assert.Zero(t, hist[62])
	assert.NotZero(t, hist[63])
}

func TestPathsBeyondTheGridAreCut(t *testing.T) {
	n := raster.NewCounts(grid(0.5, 0))
	n.AddPath(path{{X: -1000}, {X: 1000}}, []float64{4})
	n.AddPath(path{{X: 900}, {X: 1000}}, []float64{4})
	n.AddPath(path{{X: math.NaN()}, {X: 1}}, []float64{4})
	n.AddPath(path{{X: math.Inf(1)}, {X: 1}}, []float64{4})
	n.AddPath(path{{}, {X: 1}}, []float64{-1})
	n.AddPath(path{{}, {X: 1}}, nil)
	got := n.All()
	assert.Equal(t, 8*n.Columns, got.One)
	assert.Zero(t, got.More)
	empty := raster.NewCounts(raster.NewGrid(plane.EmptyBox(), 0.1, 0))
	empty.AddPath(path{{}, {X: 1}}, []float64{1})
	assert.Zero(t, empty.All())
	huge := raster.NewGrid(plane.Box{Max: plane.Point{X: 1e7, Y: 1e6}}, 0.01, 0.3)
	assert.Less(t, huge.Columns*huge.Rows, 80<<20)
}

func TestMaskAreasAndParity(t *testing.T) {
	square := plane.Ring{{X: -10, Y: -10}, {X: 10, Y: -10}, {X: 10, Y: 10}, {X: -10, Y: 10}}
	hole := plane.Ring{{X: -5, Y: -5}, {X: 5, Y: -5}, {X: 5, Y: 5}, {X: -5, Y: 5}}
	for _, turn := range []float64{0, 17.3, 45, 200} {
		g := grid(0.05, turn)
		assert.Zero(t, raster.NewMask(g, nil).Pixels())
		m := raster.NewMask(g, plane.Region{square, hole})
		assert.InDelta(t, 300, float64(m.Pixels())*g.PixelArea(), 0.5, "turn %g", turn)
	}
	g := grid(1, 0)
	cut := raster.NewMask(g, plane.Region{{{X: -100, Y: -100}, {X: 100, Y: -100}, {X: 100, Y: 100}, {X: -100, Y: 100}}})
	assert.Equal(t, g.Columns*g.Rows, cut.Pixels())
}

func TestWithinCountsOnlyTheMask(t *testing.T) {
	g := grid(0.02, 33)
	n := raster.NewCounts(g)
	n.AddPath(path{{X: -15}, {X: 15}}, []float64{2})
	n.AddPath(path{{Y: -15}, {Y: 15}}, []float64{2})
	m := raster.NewMask(g, plane.Region{{{X: -5, Y: -5}, {X: 5, Y: -5}, {X: 5, Y: 5}, {X: -5, Y: 5}}})
	got := n.Within(m)
	assert.InDelta(t, 4, float64(got.More)*g.PixelArea(), 0.02)
	assert.InDelta(t, 32, float64(got.One)*g.PixelArea(), 0.05)
	assert.InDelta(t, 64, float64(got.None)*g.PixelArea(), 0.05)
}

func TestQuietAngleKeepsAwayFromTheLines(t *testing.T) {
	assert.Equal(t, raster.QuietAngle(), raster.QuietAngle(nil))
	for degrees := 0.0; degrees < 180; degrees += 3.7 {
		d := plane.Point{X: 100}.Turn(degrees * math.Pi / 180)
		a := raster.QuietAngle(path{{}, d}, path{{}, d.Turn(math.Pi / 3)})
		for _, line := range []float64{degrees, degrees + 60} {
			off := math.Mod(math.Abs(a*180/math.Pi-line), 90)
			assert.Greater(t, math.Min(off, 90-off), 2.5, "lines at %g, rows at %g", degrees, a*180/math.Pi)
		}
	}
}

func TestSpots(t *testing.T) {
	g := grid(0.1, 20)
	n := raster.NewCounts(g)
	n.AddPath(path{{X: -5}, {X: 5}}, []float64{1})
	n.AddPath(path{{X: -8, Y: 5}, {X: -8, Y: 5}}, []float64{3})
	spots := n.Bitmap().Spots(func(v uint8) bool { return v > 0 }, 2)
	require.Len(t, spots, 2)
	assert.InDelta(t, 10+math.Pi/4, spots[0].AreaMM2, 0.3)
	assert.InDelta(t, 2.25*math.Pi, spots[1].AreaMM2, 0.2)
	assert.InDelta(t, 3, spots[1].Thickness, 0.25)
	assert.Less(t, spots[1].Worst.Dist(plane.Point{X: -8, Y: 5}), 0.5)
	assert.Empty(t, n.Bitmap().Spots(func(v uint8) bool { return v > 0 }, 100000))
	// A ring is one spot though no row joins its sides at once.
	ring := raster.NewCounts(g)
	circle := path{}
	for i := 0; i <= 200; i++ {
		circle = append(circle, plane.Point{X: 10}.Turn(2*math.Pi*float64(i)/200))
	}
	ring.AddPath(circle, []float64{1})
	assert.Len(t, ring.Bitmap().Spots(func(v uint8) bool { return v > 0 }, 1), 1)
	assert.Len(t, ring.Bitmap().Spots(func(v uint8) bool { return v == 0 }, 1), 2)
}

func TestLabels(t *testing.T) {
	n := raster.NewCounts(grid(0.1, 20))
	n.AddPath(path{{X: -5}, {X: 5}}, []float64{1})
	n.AddPath(path{{X: -5, Y: 5}, {X: 5, Y: 5}, {X: 5, Y: 3}, {X: -5, Y: 3}}, []float64{1})
	l := n.Bitmap().Labels(func(v uint8) bool { return v > 0 })
	assert.Equal(t, 2, l.Count)
	assert.Equal(t, l.At(plane.Point{X: -4, Y: 5}), l.At(plane.Point{X: -4, Y: 3}))
	assert.NotEqual(t, l.At(plane.Point{X: -4, Y: 5}), l.At(plane.Point{}))
	assert.Equal(t, -1, l.At(plane.Point{Y: 4}))
	assert.Equal(t, -1, l.At(plane.Point{Y: 400}))
	assert.Equal(t, -1, l.At(plane.Point{X: 400}))
}

func TestOutlineAreasAndDistance(t *testing.T) {
	for _, turn := range []float64{0, 13, 45} {
		g := grid(0.05, turn)
		n := raster.NewCounts(g)
		circle := path{}
		for i := 0; i <= 400; i++ {
			circle = append(circle, plane.Point{X: 10}.Turn(2*math.Pi*float64(i)/400))
		}
		n.AddPath(circle, []float64{2})
		out := n.Bitmap().Outline(func(v uint8) bool { return v > 0 })
		require.Len(t, out, 2)
		assert.InDelta(t, math.Pi*(121-81), out.Area(), 0.1)
		assert.Greater(t, out[0].Area(), 0.0)
		assert.Less(t, out[1].Area(), 0.0)
		for i, r := range out {
			straight := raster.Straighten(r, 0.02)
			assert.Less(t, len(straight), len(r)/4)
			for _, p := range straight {
				assert.InDelta(t, []float64{11, 9}[i], p.Norm(), 0.75*0.05)
			}
		}
	}
	full := raster.NewCounts(raster.NewGrid(plane.Box{Max: plane.Point{X: 1, Y: 1}}, 0.1, 0))
	full.AddPath(path{{X: -5}, {X: 5}}, []float64{20})
	assert.Len(t, full.Bitmap().Outline(func(v uint8) bool { return v > 0 }), 1)
	assert.Empty(t, full.Bitmap().Outline(func(v uint8) bool { return v == 0 }))
}

// plate is the load of the speed figures: beads of 2 to 9 mm, 0.42 mm wide, at
// pitch 0.38 in cells of random direction, meters long in all.
func plate(meters float64) []path {
	rng := rand.New(rand.NewPCG(7, 7))
	var out []path
	total := 0.0
	for total < meters*1000 {
		centre := plane.Point{X: 5 + 240*rng.Float64(), Y: 5 + 200*rng.Float64()}
		d := plane.Point{X: 1}.Turn(2 * math.Pi * rng.Float64())
		half := 1 + 3.5*rng.Float64()
		for k := range 20 {
			mid := centre.Add(d.Left().Mul(0.38 * float64(k)))
			out = append(out, path{mid.Sub(d.Mul(half)), mid.Add(d.Mul(half))})
			total += 2 * half
		}
	}
	return out
}

func BenchmarkCounts(b *testing.B) {
	box := plane.Box{Max: plane.Point{X: 250, Y: 210}}
	for _, meters := range []float64{1, 10, 100} {
		for _, pixel := range []float64{0.1, 0.05} {
			b.Run(fmt.Sprintf("meters=%g/pixel=%g", meters, pixel), func(b *testing.B) {
				paths := plate(meters)
				b.ReportAllocs()
				for b.Loop() {
					n := raster.NewCounts(raster.NewGrid(box, pixel, raster.QuietAngle(paths...)))
					for _, p := range paths {
						n.AddPath(p, []float64{0.42})
					}
					if n.All().One == 0 {
						b.Fatal("nothing drawn")
					}
				}
			})
		}
	}
}

// BenchmarkOnePath lays 100 m as one zigzag, so that every piece has a joint.
func BenchmarkOnePath(b *testing.B) {
	box := plane.Box{Max: plane.Point{X: 250, Y: 210}}
	for _, step := range []float64{200, 1.6, 0.4} {
		b.Run(fmt.Sprintf("moves=%gmm", step), func(b *testing.B) {
			var line path
			for k := 0; k < 500; k++ {
				for s := 0.0; s <= 200; s += step {
					x := s
					if k%2 == 1 {
						x = 200 - s
					}
					line = append(line, plane.Point{X: 20 + x, Y: 5 + 0.4*float64(k)}.Add(plane.Point{Y: 0.1 * math.Sin(x)}))
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				n := raster.NewCounts(raster.NewGrid(box, 0.05, raster.QuietAngle(line)))
				n.AddPath(line, []float64{0.4})
				if n.All().One == 0 {
					b.Fatal("nothing drawn")
				}
			}
		})
	}
}

func TestStraighten(t *testing.T) {
	assert.Empty(t, raster.Straighten(nil, 1))
	square := plane.Ring{{}, {X: 1}, {X: 2}, {X: 2, Y: 2}, {X: 1, Y: 2.04}, {Y: 2}}
	assert.Len(t, raster.Straighten(square, 0.05), 4)
	assert.Len(t, raster.Straighten(square, 0.01), 5)
	// A spike along the line between two points kept lies beyond their segment.
	spike := plane.Ring{{}, {X: 6}, {X: 6, Y: 4}, {X: 3, Y: 4}, {X: 3, Y: 2}, {X: 3, Y: 4.5}, {Y: 4}}
	assert.Contains(t, raster.Straighten(spike, 0.1), plane.Point{X: 3, Y: 2})
}
