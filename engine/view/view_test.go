package view

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

var black = Colour{A: 255}

func inked(c *Canvas) (mm2 float64) {
	for i := 3; i < len(c.Pixels); i += 4 {
		mm2 += float64(c.Pixels[i]) / 255
	}
	return mm2 / c.scale / c.scale
}

// Capsule 2rL + πr² (closed form, coverage areas).
func TestBeadCoversACapsule(t *testing.T) {
	for _, degrees := range []float64{0, 17, 45, 90, 133} {
		c := NewCanvas(plane.Box{Max: plane.Point{X: 20, Y: 20}}, 400, 400, false)
		d := plane.Point{X: 5}.Turn(degrees * math.Pi / 180)
		m := plane.Point{X: 10, Y: 10}
		c.Bead(m.Sub(d), m.Add(d), 6, black, 0)
		assert.InEpsilon(t, 88.2743, inked(c), 0.003, "at %g°", degrees)
	}
}

func TestThinBeadFades(t *testing.T) {
	c := NewCanvas(plane.Box{Max: plane.Point{X: 100, Y: 100}}, 100, 100, false)
	c.Bead(plane.Point{X: 10, Y: 50.5}, plane.Point{X: 90, Y: 50.5}, 0.25, black, 0)
	assert.InEpsilon(t, 20, inked(c), 0.1)
}

func TestBelowMirrors(t *testing.T) {
	box := plane.Box{Max: plane.Point{X: 10, Y: 10}}
	above, below := NewCanvas(box, 50, 50, false), NewCanvas(box, 50, 50, true)
	for _, c := range []*Canvas{above, below} {
		c.Bead(plane.Point{X: 1, Y: 1}, plane.Point{X: 3, Y: 6}, 1, black, 0)
	}
	for row := 0; row < 50; row++ {
		for col := 0; col < 50; col++ {
			require.InDelta(t, above.Pixels[4*(row*50+col)+3], below.Pixels[4*(row*50+49-col)+3], 1)
		}
	}
}

func TestLinesStopsAtTheShare(t *testing.T) {
	path := Path{Points: []plane.Point{{X: 0, Y: 5}, {X: 10, Y: 5}}, Width: []float64{1}}
	for share, want := range map[float64]float64{0: 0, 0.25: 2.5, 1: 10, 7: 10, -1: 0} {
		c := NewCanvas(plane.Box{Max: plane.Point{X: 10, Y: 10}}, 100, 100, false)
		nozzle, err := Lines(context.Background(), c, []Path{path}, Ink{Bead: black}, share)
		require.NoError(t, err)
		assert.InDelta(t, want, nozzle.X, 1e-9)
	}
}

// In one ink for all, each sort of path but kept and new beads is still known
// by its outline: rungs stand out of the prime line, travels are dashed.
func TestSortsAreToldApartByShape(t *testing.T) {
	drawn := func(sort Sort) (along, beside float64) {
		c := NewCanvas(plane.Box{Max: plane.Point{X: 10, Y: 10}}, 200, 200, false)
		path := Path{Points: []plane.Point{{X: 1, Y: 5}, {X: 9, Y: 5}}, Width: []float64{0.4}, Sort: sort}
		_, err := Lines(context.Background(), c, []Path{path}, Ink{Bead: black, Kept: black, Prime: black, Travel: black}, 1)
		require.NoError(t, err)
		for col := range 200 {
			along += float64(c.Pixels[4*(100*200+col)+3]) / 255
			beside += float64(c.Pixels[4*(106*200+col)+3]) / 255 // 0.3 mm off the middle
		}
		return along, beside
	}
	whole, none := drawn(Pattern)
	assert.InDelta(t, 168, whole, 1)
	assert.Zero(t, none)
	along, beside := drawn(Prime)
	assert.InDelta(t, whole, along, 0.01, "its width is true")
	assert.InDelta(t, 160/rungPixels*1.2, beside, 5, "rungs")
	along, _ = drawn(Travel)
	assert.Less(t, along, 0.7*whole)
}

func TestNothingToDraw(t *testing.T) {
	c := NewCanvas(plane.EmptyBox(), 0, 1<<30, false)
	_, err := Lines(context.Background(), c, nil, Ink{}, 0.5)
	require.NoError(t, err)
	assert.Zero(t, inked(c))
	assert.Equal(t, 1, c.Width)
	assert.Equal(t, MaxSide, c.Height)
}

func BenchmarkLines(b *testing.B) {
	var path Path
	for y, i := 0.2, 0; y < 200; y, i = y+0.42, i+1 {
		for x := 0.0; x < 200; x += 5 {
			q := x
			if i%2 == 1 {
				q = 200 - x
			}
			path.Points = append(path.Points, plane.Point{X: q, Y: y})
		}
	}
	for range path.Points[1:] {
		path.Width = append(path.Width, 0.42)
	}
	for b.Loop() {
		c := NewCanvas(plane.Box{Max: plane.Point{X: 200, Y: 200}}, 1200, 1000, true)
		Lines(context.Background(), c, []Path{path}, Ink{Bead: black, Relief: 0.4}, 1)
	}
}
