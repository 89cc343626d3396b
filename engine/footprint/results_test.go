package footprint_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/footprint"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

func TestFilamentAndSection(t *testing.T) {
	for _, c := range []struct {
		filament, width, height float64
		section                 bead.Model
	}{
		{1.75, 0.45, 0.2, bead.Stadium}, {2.85, 0.45, 0.2, bead.Stadium}, {1.75, 0.42, 0.25, bead.Stadium},
		{1.75, 0.45, 0.2, bead.Rectangle}, {2.85, 0.5, 0.3, bead.Rectangle}, {1.75, 0.8, 0.4, bead.Stadium},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			perMM := bead.EPerMM(c.section.Area(c.width, c.height), c.filament, 1)
			p := c.section.Pitch(c.width, c.height)
			l := deposit.Layer{Height: c.height}
			add := func(points ...plane.Point) {
				s := deposit.Stroke{Points: points}
				for i := 1; i < len(points); i++ {
					s.E, s.Feed = append(s.E, math.Round(points[i].Dist(points[i-1])*perMM*1e5)/1e5), append(s.Feed, 1200)
				}
				l.Strokes = append(l.Strokes, s)
			}
			r := box(c.width/2, c.width/2, 30-c.width/2, 20-c.width/2)
			add(append(r, r[0])...)
			for y := c.width * 1.4; y < 20-c.width*1.4; y += p {
				add(plane.Point{X: c.width * 1.4, Y: y}, plane.Point{X: 30 - c.width*1.4, Y: y})
			}
			got := read(l)
			assert.Equal(t, c.filament, got.FilamentDiameterMM)
			assert.Equal(t, c.section, got.Section)
			assert.InDelta(t, c.width, got.LineWidthMM, 0.001)
			assert.InDelta(t, p, got.PitchMM, 0.001)
			assert.InDelta(t, 600, got.Region.Area(), 0.2)
			given := footprint.Of(context.Background(), l, footprint.Options{FilamentMM: c.filament})
			assert.InDelta(t, c.width, given.LineWidthMM, 0.001)
		})
	}
}

func TestInsideKeptWallsAndMargin(t *testing.T) {
	s := specimen.Make(specimen.Options{Shape: specimen.Rectangle(30, 20), At: plane.Point{X: 60, Y: 60}, Walls: 2, Layers: 1})
	got := read(layerOf(s))
	w, p := s.Truth.WidthMM, s.Truth.PitchMM
	assert.InDelta(t, 600, got.InsideKeptWalls(0, 0.15).Area(), 0.1)
	for k, inset := range []float64{0, w/2 + p/2 - 0.15*w, w/2 + 1.5*p - 0.15*w, w/2 + 1.5*p - 0.15*w} {
		assert.InDelta(t, (30-2*inset)*(20-2*inset), got.InsideKeptWalls(k, 0.15).Area(), 0.15, "%d walls", k)
	}
	assert.InDelta(t, 32*22, got.Margin(1).Area(), 0.1)
	assert.InDelta(t, 28*18, got.Margin(-1).Area(), 0.1)
}

// TestKeepingEverythingReproducesTheDeposit keeps all classes and all walls: the
// same strokes in the same order, and the same filament.
func TestKeepingEverythingReproducesTheDeposit(t *testing.T) {
	for _, shape := range shapes {
		s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 110, Y: 100}, Walls: 3, Layers: 1, Skirt: true, Brim: 2, PrimeLine: true, Support: true, Types: specimen.TypeSet(1)})
		l := layerOf(s)
		got := read(l)
		kept := got.Kept(got.WallDepth, deposit.Unknown, deposit.Fill, deposit.Skirt, deposit.Brim, deposit.Support, deposit.Priming)
		require.Len(t, kept, len(l.Strokes), shape.Name)
		total, all := 0.0, 0.0
		for i, k := range kept {
			require.Equal(t, i, k)
			require.Equal(t, l.Strokes[i].Points, got.Strokes[k].Points)
			require.Equal(t, l.Strokes[i].E, got.Strokes[k].E)
			total, all = total+got.Strokes[k].Filament(), all+l.Strokes[i].Filament()
		}
		assert.InEpsilon(t, all, total, 1e-12)
		// The default: no walls, no fill.
		for _, k := range got.Kept(0, deposit.Skirt, deposit.Brim, deposit.Support) {
			c := got.Strokes[k].Class
			assert.True(t, c == deposit.Skirt || c == deposit.Brim || c == deposit.Support)
		}
		one := got.Kept(1)
		assert.NotEmpty(t, one)
		for _, k := range one {
			assert.Equal(t, deposit.Wall, got.Strokes[k].Class)
		}
	}
}

// TestTurningAndMovingMovesTheResultOnly turns strokes, not shapes, so that every
// number of the file changes.
func TestTurningAndMovingMovesTheResultOnly(t *testing.T) {
	for _, shape := range shapes {
		s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 110, Y: 100}, Walls: 2, Layers: 1, Skirt: true, FillDegree: 45})
		base := read(layerOf(s))
		for _, degrees := range []float64{3, 61, 199} {
			m := plane.Rotate(degrees * math.Pi / 180).Then(plane.Translate(30, -80))
			l := layerOf(s)
			for i := range l.Strokes {
				l.Strokes[i].Points = m.ApplyLine(l.Strokes[i].Points)
			}
			got := read(l)
			back := m.ApplyRegion(base.Region)
			assert.InDelta(t, base.Region.Area(), got.Region.Area(), 1e-2, shape.Name)
			assert.Less(t, borderDistance(got.Region, back), 0.002, shape.Name)
			assert.Equal(t, len(base.Islands), len(got.Islands))
			for i := range base.Strokes {
				require.Equal(t, base.Strokes[i].Class, got.Strokes[i].Class, "%s stroke %d", shape.Name, i)
			}
		}
	}
}

func TestIslandsCarryTheirObject(t *testing.T) {
	s := specimen.Make(specimen.Options{Shape: specimen.Tag(20, 10, 2), At: plane.Point{X: 60, Y: 60}, Walls: 1, Layers: 1,
		Copies: []plane.Point{{X: 40}, {Y: 30}}})
	l := layerOf(s)
	for i := range l.Strokes {
		p := l.Strokes[i].Points[0]
		l.Strokes[i].Object = map[bool]string{true: "far ", false: "near "}[p.X > 80] + map[bool]string{true: "high", false: "low"}[p.Y > 75]
	}
	got := read(l)
	require.Len(t, got.Islands, 3)
	seen := map[string]bool{}
	for _, g := range got.Islands {
		assert.NotEmpty(t, g.Object)
		seen[g.Object] = true
		assert.InDelta(t, 200-4*math.Pi, g.AreaMM2, 0.05)
	}
	assert.Len(t, seen, 3)
	for _, w := range got.Walls {
		assert.GreaterOrEqual(t, w.Island, 0)
		assert.Equal(t, got.Islands[w.Island].Object, got.Strokes[w.Stroke].Object)
		assert.Equal(t, 1, w.Depth)
	}
}
