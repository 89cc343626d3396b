//go:build !js

package outside_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/footprint"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// chordsOfCapsule divides each round end finely enough that no chord is farther
// than half a micrometre from the arc.
const chordsOfCapsule = 24

// capsules returns the outlines of all stretches of strokes.
func capsules(strokes []deposit.Stroke, width float64) (rings []plane.Ring) {
	for _, s := range strokes {
		for i := 1; i < len(s.Points); i++ {
			rings = append(rings, capsuleOf(s.Points[i-1], s.Points[i], width/2, chordsOfCapsule))
		}
	}
	return rings
}

// latticeStrokes lays lines nine tenths of a width apart, some of them moved by a
// width so that they touch others: some laid twice, touching along sides and at
// corners, crossing, overlapping along lines. No gap is just one line wide, where
// closing by one line is not defined.
func latticeStrokes(rng *rand.Rand, width, height float64) (out []deposit.Stroke) {
	turn := plane.Rotate([]float64{0, 30, 45, 90, 360 * rng.Float64()}[rng.IntN(5)] * math.Pi / 180).Then(plane.Translate(100, 100))
	perMM := bead.EPerMM(bead.Stadium.Area(width, height), 1.75, 1)
	on := func(n int) float64 { return width * (0.9*float64(n) + float64(rng.IntN(4)/3)) }
	add := func(a, b plane.Point) {
		points := []plane.Point{turn.Apply(a), turn.Apply(b)}
		length := points[0].Dist(points[1])
		out = append(out, deposit.Stroke{Points: points, E: []float64{length * perMM}, Feed: []float64{1200}, Z: height})
	}
	for k := range 12 + rng.IntN(12) {
		y := on(k)
		add(plane.Point{Y: y}, plane.Point{X: on(12 + rng.IntN(10)), Y: y})
	}
	for range 12 {
		a := plane.Point{X: on(rng.IntN(30)), Y: on(rng.IntN(30))}
		b := a
		if rng.IntN(2) == 0 {
			b.X += 0.9 * width * float64(1+rng.IntN(9))
		} else {
			b.Y += 0.9 * width * float64(1+rng.IntN(9))
		}
		add(a, b)
		if rng.IntN(4) == 0 {
			add(b, a)
		}
	}
	return out
}

// TestFootprintsAgainstTheUnionOfBeads holds the area of footprints, with walls
// and without, beside the union of all beads as another engine has it, closed by
// one line width. Where some gap is so nearly one line wide that pixels decide
// whether it closes, the area must lie between those closed by a little less and
// a little more.
func TestFootprintsAgainstTheUnionOfBeads(t *testing.T) {
	p := startPeer(t)
	const width, height, agree = 0.45, 0.2, 1e-3
	worst, cases, even := 0.0, 0, 0
	compare := func(name string, strokes []deposit.Stroke) {
		// All is told to be fill, or wall where it closes: classes are not the
		// matter here.
		fix := map[int]deposit.Class{}
		for i, s := range strokes {
			fix[i] = deposit.Fill
			if s.Points[0].Dist(s.Points[len(s.Points)-1]) < 1e-9 {
				fix[i] = deposit.Wall
			}
		}
		layer := deposit.Layer{Z: height, Height: height, Strokes: strokes}
		got := footprint.Of(context.Background(), layer, footprint.Options{Corrections: fix})
		area := got.Region.Area()
		closed := func(share float64) float64 {
			return p.number(t, map[string]any{"kind": "closing", "a": ringsOf(capsules(strokes, got.LineWidthMM)), "d": share * got.LineWidthMM / 2, "tolerance": 5e-4})
		}
		want := closed(1)
		off := math.Abs(area/want - 1)
		if cases++; off <= agree {
			worst = math.Max(worst, off)
			return
		}
		even++
		require.Greater(t, area, closed(1-nearlyALine)*(1-agree), "%s: the other engine %g", name, want)
		require.Less(t, area, closed(1+nearlyALine)*(1+agree), "%s: the other engine %g", name, want)
	}
	for _, c := range []struct {
		shape specimen.Shape
		walls int
	}{
		{specimen.Rectangle(16, 12), 0}, {specimen.Rectangle(16, 12), 2}, {specimen.Annulus(8, 4), 0}, {specimen.Annulus(8, 4), 1},
		{specimen.Letter(20), 0}, {specimen.Slits(12, 8, 2, 0.8), 0}, {specimen.Twins(5, 6, 0.6), 0},
	} {
		for _, turn := range []float64{0, 77.7} {
			s := specimen.Make(specimen.Options{Shape: c.shape, At: plane.Point{X: 110, Y: 100}, TurnDegree: turn, FillDegree: 30, Walls: c.walls, Layers: 1})
			compare(fmt.Sprintf("%s turned %g°, %d walls", c.shape.Name, turn, c.walls), s.Truth.Strokes)
		}
	}
	require.Zero(t, even, "a whole piece has no such gap")
	for k := range 30 * *scale {
		rng := rand.New(rand.NewPCG(67, uint64(k)))
		compare(fmt.Sprint("lattice ", k), latticeStrokes(rng, width, height))
	}
	require.LessOrEqual(t, even, 6**scale)
	record(t, fmt.Sprintf("area of footprints, whole pieces and beads that touch, repeat and overlap, as a share (%d more have a gap just one line wide and lie between two closings)", even),
		"clipper2-wasm 0.4.0", cases-even, worst, "")
}

// nearlyALine is how far, as a share of a line, a gap may be from one line for
// pixels to decide: three quarters of one, a tenth of a line, on either side.
const nearlyALine = 0.15
