package footprint_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/deposit"
	"sheenlay/engine/footprint"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// layerOf returns the first layer of a specimen as a reader would see it: the
// strokes without the truth about their class.
func layerOf(s specimen.Specimen) deposit.Layer {
	layer := deposit.Layer{Z: s.Truth.FirstHeightMM, Height: s.Truth.FirstHeightMM}
	for _, stroke := range s.Truth.Strokes {
		stroke.Class, stroke.Confidence = deposit.Unknown, 0
		layer.Strokes = append(layer.Strokes, stroke)
	}
	return layer
}

func read(layer deposit.Layer) footprint.Footprint {
	return footprint.Of(context.Background(), layer, footprint.Options{})
}

// borderDistance returns the largest distance from a place on the border of a to
// the border of b.
func borderDistance(a, b plane.Region) float64 {
	worst := 0.0
	points := 0
	for _, r := range a {
		points += len(r)
	}
	// All corners of simple shapes, and places between; fewer of finely divided
	// curves.
	skip := 1 + points/1500
	for _, r := range a {
		for i := 0; i < len(r); i += skip {
			p, q := r[i], r[(i+1)%len(r)]
			n := 1 + int(math.Min(20, q.Dist(p)/0.5))
			for k := range n {
				worst = math.Max(worst, toBorder(p.Lerp(q, float64(k)/float64(n)), b))
			}
		}
	}
	return worst
}

func toBorder(p plane.Point, g plane.Region) float64 {
	best := math.Inf(1)
	for _, r := range g {
		for i, a := range r {
			d := r[(i+1)%len(r)].Sub(a)
			t := math.Max(0, math.Min(1, p.Sub(a).Dot(d)/d.Dot(d)))
			best = math.Min(best, p.Dist(a.Add(d.Mul(t))))
		}
	}
	return best
}

var shapes = []specimen.Shape{
	specimen.Rectangle(30, 20),
	specimen.Disc(15),
	specimen.Annulus(15, 6),
	specimen.Star(5, 25, 20),
	specimen.Letter(40),
	specimen.Slits(30, 20, 4, 0.8),
	specimen.Twins(10, 12, 0.6),
	specimen.Parts(10, 6, 5, 4, 7),
	specimen.Tag(40, 18, 3),
	specimen.Islands(60),
}

// TestFootprintsOfKnownShapes holds outlines against the exact regions that the
// specimens were made from, at several turns, with and without comments.
func TestFootprintsOfKnownShapes(t *testing.T) {
	worst := map[string]float64{}
	for _, shape := range shapes {
		for _, turn := range []float64{0, 10, 30, 45, 77.7, 90} {
			for walls := 1; walls <= 3; walls++ {
				for _, types := range []int{0, 1, 2, 3, 4} {
					if types > 0 && (walls != 2 || turn != 0 && turn != 77.7) {
						continue
					}
					name := fmt.Sprintf("%s/turn=%g/walls=%d/comments=%d", shape.Name, turn, walls, types)
					t.Run(name, func(t *testing.T) {
						s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 110, Y: 100}, TurnDegree: turn, Walls: walls,
							FillDegree: 45 + turn/3, Layers: 1, Types: specimen.TypeSet(types), Skirt: turn > 20, PrimeLine: turn > 40, Support: turn > 70})
						got := read(layerOf(s))
						require.NotEmpty(t, got.Region, "%v", got.Findings)
						want := overlay.Normalize(s.Truth.Footprint, overlay.EvenOdd)
						assert.InDelta(t, 1, got.Region.Area()/want.Area(), 0.005)
						assert.Len(t, got.Islands, len(overlay.Islands(want)))
						d := math.Max(borderDistance(got.Region, want), borderDistance(want, got.Region))
						assert.Less(t, d, 0.05)
						worst[shape.Name] = math.Max(worst[shape.Name], d)
						assert.InDelta(t, s.Truth.WidthMM, got.LineWidthMM, 0.002)
						assert.InDelta(t, s.Truth.PitchMM, got.PitchMM, 0.002)
						assert.Equal(t, 1.75, got.FilamentDiameterMM)
						wrong := 0.0
						for i, want := range s.Truth.Strokes {
							if got.Strokes[i].Class != want.Class {
								wrong += want.Length()
							}
						}
						assert.Zero(t, wrong, "mm of stroke in the wrong class")
						assert.Equal(t, walls, got.WallDepth)
					})
				}
			}
		}
	}
	t.Logf("largest boundary error, mm: %v", worst)
}
