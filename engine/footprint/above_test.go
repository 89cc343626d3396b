package footprint_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/deposit"
	"sheenlay/engine/footprint"
	"sheenlay/engine/plane"
)

// walled lays a box of loops, from the outermost inwards, a line apart and fill
// that overlaps the innermost by a tenth; grow widens all of it.
func walled(loops int, grow float64) []deposit.Stroke {
	var out []deposit.Stroke
	for k := range loops {
		d := (float64(k)+0.5)*width - grow
		out = append(out, ring(width, box(d, d, 40-d, 30-d)))
	}
	d := float64(loops)*width - 0.1*width - grow
	return append(out, rows(d, d, 40-d, 30-d, pitch)...)
}

// TestBrimIsToldByTheLayerAbove: loops at one distance from each other, brim and
// walls, tell nothing by themselves; the layer above has no brim.
func TestBrimIsToldByTheLayerAbove(t *testing.T) {
	for brim := 0; brim <= 12; brim += 1 + brim/3 {
		for walls := 1; walls <= 3; walls++ {
			for _, slant := range []float64{-0.2, 0, 0.2} {
				t.Run(fmt.Sprintf("%d/%d/%g", brim, walls, slant), func(t *testing.T) {
					first := layer(walled(brim+walls, 0)...)
					above := layer(walled(walls, slant-float64(brim)*width)...)
					got := footprint.Of(context.Background(), first, footprint.Options{Above: &above})
					for i := range brim + walls {
						want := deposit.Wall
						if i < brim {
							want = deposit.Brim
						}
						assert.Equal(t, want, got.Strokes[i].Class, "loop %d", i)
					}
					assert.Equal(t, walls, got.WallDepth)
					b := float64(brim) * width
					assert.InDelta(t, (40-2*b)*(30-2*b), got.Region.Area(), 1)
				})
			}
		}
	}
}

// TestTheLayerAboveMayTellNothing: another part that grows higher, a part of one
// layer, a roof that is smaller than all loops.
func TestTheLayerAboveMayTellNothing(t *testing.T) {
	first := layer(walled(2, 0)...)
	for name, above := range map[string]deposit.Layer{
		"empty": layer(), "elsewhere": layer(plate(100, 0, 130, 20)...), "far smaller": layer(plate(15, 10, 25, 20)...),
		"a single point": layer(deposit.Stroke{Points: []plane.Point{{X: 20, Y: 15}}}),
	} {
		got := footprint.Of(context.Background(), first, footprint.Options{Above: &above})
		assert.Equal(t, 2, got.WallDepth, name)
		assert.InDelta(t, 1200, got.Region.Area(), 1, name)
	}
}
