package footprint_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/deposit"
	"sheenlay/engine/footprint"
	"sheenlay/engine/gcode"
	"sheenlay/engine/layers"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// firstLayer reads the first layer of a file as the engine does.
func firstLayer(t *testing.T, s specimen.Specimen) (deposit.Layer, bool) {
	t.Helper()
	found := layers.Find(s.Bytes, layers.Options{})
	if found.NeedsChoice || len(found.Layers) < 2 {
		return deposit.Layer{}, false
	}
	read, _ := layers.Read(s.Bytes, found, 1, gcode.Options{})
	require.NotEmpty(t, read)
	return read[0], true
}

// length sums the length of strokes by class.
func length(strokes []deposit.Stroke) (sum [deposit.Priming + 1]float64) {
	for _, s := range strokes {
		sum[s.Class] += s.Length()
	}
	return sum
}

// bareVoids returns the area of the places that the shape has and the footprint
// has not because the file lays nothing there: small parts whose walls leave a
// void wider than a line that got no fill.
func bareVoids(want plane.Region, got footprint.Footprint, strokes []deposit.Stroke) (area float64) {
	for _, g := range overlay.Islands(overlay.Subtract(want, got.Region)) {
		middle := plane.Point{}
		for _, p := range g[0] {
			middle = middle.Add(p.Mul(1 / float64(len(g[0]))))
		}
		nearest := math.Inf(1)
		for _, s := range strokes {
			for i := 1; i < len(s.Points); i++ {
				// There and back: a ring without inside.
				nearest = math.Min(nearest, toBorder(middle, plane.Region{{s.Points[i-1], s.Points[i]}}))
			}
		}
		if nearest > got.LineWidthMM/2 {
			area += g.Area()
		}
	}
	return area
}

// TestFootprintsOfWholeFiles goes the whole way from bytes: the outline and the
// class of every length of stroke against the truth of the specimen.
func TestFootprintsOfWholeFiles(t *testing.T) {
	type one struct {
		name string
		s    specimen.Specimen
	}
	var all []one
	for _, sample := range append(specimen.Samples(), specimen.TestFiles()...) {
		all = append(all, one{sample.ID, specimen.Make(sample.Options)})
	}
	for seed := uint64(1); seed <= 200; seed++ {
		all = append(all, one{fmt.Sprint("seed ", seed), specimen.Random(seed)})
	}
	asked := 0
	for _, c := range all {
		layer, ok := firstLayer(t, c.s)
		if !ok || c.s.Options.Marker.Base < 0 || c.s.Options.Sequential {
			asked++
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			got := read(layer)
			require.NotEmpty(t, got.Region, "%v", got.Findings)
			want := overlay.Normalize(c.s.Truth.Footprint, overlay.EvenOdd)
			if length(c.s.Truth.Strokes)[deposit.Fill] > 0 && c.s.Options.Walls > 0 {
				if voids := bareVoids(want, got, c.s.Truth.Strokes); voids > 0 {
					assert.Less(t, voids/want.Area(), 0.03)
					assert.Less(t, overlay.Subtract(got.Region, want).Area(), 0.001*want.Area())
				} else {
					assert.Less(t, math.Max(borderDistance(got.Region, want), borderDistance(want, got.Region)), 0.05)
					assert.InDelta(t, 1, got.Region.Area()/want.Area(), 0.001)
				}
			}
			is, must := length(got.Strokes), length(c.s.Truth.Strokes)
			if must[deposit.Fill] == 0 || must[deposit.Wall] == 0 && must[deposit.Brim] > 0 {
				// Without fill a skirt, without walls a brim cannot be told from
				// a wall by its shape; the person is asked to look.
				return
			}
			for class := range is {
				if deposit.Class(class) != deposit.Priming {
					assert.InDelta(t, must[class], is[class], 0.02*(1+must[class]), deposit.Class(class).String())
				}
			}
		})
	}
	t.Logf("%d files, %d left out: asked about, on a raft, or one object after another", len(all), asked)
}
