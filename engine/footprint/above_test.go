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

// TestBrimOfBareFillAndOfNeighbours: brim round a piece without walls, and the
// brims of two pieces that run into one another.
func TestBrimOfBareFillAndOfNeighbours(t *testing.T) {
	for brim := 1; brim <= 8; brim *= 2 {
		var first []deposit.Stroke
		for k := brim; k > 0; k-- {
			d := (float64(k) - 0.5) * width
			first = append(first, ring(width, box(-d, -d, 40+d, 30+d)))
		}
		bare := rows(0, 0, 40, 30, pitch)
		above := layer(bare...)
		got := footprint.Of(context.Background(), layer(append(first, bare...)...), footprint.Options{Above: &above})
		for i := range brim {
			assert.Equal(t, deposit.Brim, got.Strokes[i].Class, "loop %d of %d", i, brim)
		}
		assert.InDelta(t, 1200, got.Region.Area(), 15, "%d loops", brim)

		var two, upper []deposit.Stroke
		gap := 1.2 * float64(brim) * width // less than both brims need
		for _, x := range [2]float64{0, 40 + gap} {
			for k := brim; k > 0; k-- {
				d := (float64(k) - 0.5) * width
				two = append(two, ring(width, box(x-d, -d, x+40+d, 30+d)))
			}
		}
		for _, x := range [2]float64{0, 40 + gap} {
			upper = append(upper, plate(x, 0, x+40, 30)...)
		}
		above = layer(upper...)
		got = footprint.Of(context.Background(), layer(append(two, upper...)...), footprint.Options{Above: &above})
		for i := range two {
			assert.Equal(t, deposit.Brim, got.Strokes[i].Class, "loop %d of %d round two", i, brim)
		}
		assert.InDelta(t, 2400, got.Region.Area(), 3, "%d loops round two", brim)
	}
}
