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

// TestSkirtThatTouchesTheBrim: a skirt is laid before all else, so the loop laid
// after it is not the next one beside it, or lies on it.
func TestSkirtThatTouchesTheBrim(t *testing.T) {
	piece := plate(0, 0, 40, 30)
	above := layer(piece...)
	around := func(d float64) deposit.Stroke { return ring(width, box(-d, -d, 40+d, 30+d)) }
	for _, brim := range []int{1, 3, 6} {
		for _, skirts := range []int{1, 2} {
			for _, off := range []float64{-pitch, -0.45, -0.2, 0} {
				if brim == 1 && off != -0.2 {
					continue // loops at a bead's distance: nothing tells
				}
				t.Run(fmt.Sprintf("%d/%d/%.2f", brim, skirts, off), func(t *testing.T) {
					var all []deposit.Stroke
					for k := range skirts {
						all = append(all, around((float64(brim+k)+0.5)*pitch+off))
					}
					for k := range brim {
						all = append(all, around((float64(k)+0.5)*pitch))
					}
					got := footprint.Of(context.Background(), layer(append(all, piece...)...), footprint.Options{Above: &above})
					for i := range all {
						want := deposit.Brim
						if i < skirts {
							want = deposit.Skirt
						}
						assert.Equal(t, want, got.Strokes[i].Class, "loop %d", i)
					}
					assert.InDelta(t, 1200, got.Region.Area(), 1)
				})
			}
		}
	}
}

// TestSkirtBesideTheWall: a skirt a tenth of a millimetre away hides no border.
func TestSkirtBesideTheWall(t *testing.T) {
	for _, off := range []float64{0.1, 0.2, 0.4} {
		d := width/2 + off
		got := read(layer(append([]deposit.Stroke{ring(width, box(-d, -d, 40+d, 30+d))}, plate(0, 0, 40, 30)...)...))
		assert.Equal(t, deposit.Skirt, got.Strokes[0].Class, "%g mm", off)
		assert.Len(t, got.Region[0], 4, "%g mm", off)
		assert.InDelta(t, 1200, got.Region.Area(), 0.1, "%g mm", off)
	}
}

// TestBrimInAHole: loops of the first layer that the layer above does not have
// stand in a hole, too.
func TestBrimInAHole(t *testing.T) {
	frame := func(brim int) (out []deposit.Stroke) {
		for k := range brim {
			d := (float64(k) + 0.5) * pitch
			out = append(out, ring(width, box(10+d, 10+d, 30-d, 20-d)))
		}
		for k := range 2 {
			d := width/2 + float64(k)*pitch
			out = append(out, ring(width, box(d, d, 40-d, 30-d)), ring(width, box(10-d, 10-d, 30+d, 20+d)))
		}
		d := width/2 + 1.9*pitch
		for y := d; y <= 30-d; y += pitch {
			at := func(x float64) plane.Point { return plane.Point{X: x, Y: y} }
			if y > 10-d && y < 20+d {
				out = append(out, stroke(width, at(d), at(10-d)), stroke(width, at(30+d), at(40-d)))
			} else {
				out = append(out, stroke(width, at(d), at(40-d)))
			}
		}
		return out
	}
	above := layer(frame(0)...)
	for brim := range 6 {
		got := footprint.Of(context.Background(), layer(frame(brim)...), footprint.Options{Above: &above})
		for i := range brim + 4 {
			want := deposit.Wall
			if i < brim {
				want = deposit.Brim
			}
			assert.Equal(t, want, got.Strokes[i].Class, "loop %d of %d", i, brim)
		}
		assert.InDelta(t, 1000, got.Region.Area(), 1, "%d loops", brim)
	}
}

// TestBrimUnderTheEdgeOfTheNextLayer: the first layer is drawn in, so that the
// innermost loop of its brim lies under the walls of the layer above.
func TestBrimUnderTheEdgeOfTheNextLayer(t *testing.T) {
	for _, in := range []float64{0, 0.1, 0.2, 0.3} {
		for walls := 1; walls <= 3; walls++ {
			loops := func(n int, from, step float64) (out []deposit.Stroke) {
				for k := range n {
					d := from + float64(k)*step
					out = append(out, ring(width, box(d, d, 40-d, 30-d)))
				}
				return out
			}
			inside := float64(walls-1)*pitch + 0.9*pitch // of the beads of the fill
			first := append(loops(4, in-pitch/2, -pitch), loops(walls, in+width/2, pitch)...)
			first = append(first, rows(in+inside, in+inside, 40-in-inside, 30-in-inside, pitch)...)
			above := layer(append(loops(walls, width/2, pitch), rows(inside, inside, 40-inside, 30-inside, pitch)...)...)
			got := footprint.Of(context.Background(), layer(first...), footprint.Options{Above: &above})
			assert.Equal(t, walls, got.WallDepth, "%g mm", in)
			assert.InDelta(t, (40-2*in)*(30-2*in), got.Region.Area(), 1, "%g mm, %d walls", in, walls)
		}
	}
}

// TestBrimIsToldByItsOrder: without a layer above, loops laid outwards before the
// loops within are brim; an outer wall may well follow the second one.
func TestBrimIsToldByItsOrder(t *testing.T) {
	const all = 5
	loop := func(k int) deposit.Stroke {
		d := (float64(k) + 0.5) * pitch
		return ring(width, box(d, d, 40-d, 30-d))
	}
	for name, c := range map[string]struct {
		order []int // of the loops, 0 is the outermost
		brim  int
	}{
		"brim outwards, walls inwards":           {[]int{2, 1, 0, 3, 4}, 3},
		"brim outwards, walls outwards":          {[]int{2, 1, 0, 4, 3}, 3},
		"one wall":                               {[]int{3, 2, 1, 0, 4}, 4},
		"walls inwards":                          {[]int{0, 1, 2, 3, 4}, 0},
		"walls outwards":                         {[]int{4, 3, 2, 1, 0}, 0},
		"the outer wall after the second":        {[]int{1, 0, 2, 3, 4}, 0},
		"the outer wall last, the rest inwards":  {[]int{1, 2, 3, 4, 0}, 0},
		"the outer wall first, the rest outward": {[]int{0, 4, 3, 2, 1}, 0},
	} {
		var strokes []deposit.Stroke
		for _, k := range c.order {
			strokes = append(strokes, loop(k))
		}
		d := (all - 0.1) * pitch
		got := read(layer(append(strokes, rows(d, d, 40-d, 30-d, pitch)...)...))
		for i, k := range c.order {
			want := deposit.Wall
			if k < c.brim {
				want = deposit.Brim
			}
			assert.Equal(t, want, got.Strokes[i].Class, "%s, loop %d", name, k)
		}
		b := float64(c.brim)*pitch - (width-pitch)/2
		if c.brim == 0 {
			b = -(width - pitch) / 2
		}
		assert.InDelta(t, (40-2*b)*(30-2*b), got.Region.Area(), 1, name)
	}
}

// TestUnderfedWallsAreNoSkirt: where less is fed than fills the gaps, walls and fill
// lie beside one another all the same.
func TestUnderfedWallsAreNoSkirt(t *testing.T) {
	for _, flow := range []float64{0.75, 0.8, 0.9} {
		for _, gap := range []float64{0, 0.04} {
			var strokes []deposit.Stroke
			for k := range 2 {
				d := width/2 + float64(k)*pitch
				strokes = append(strokes, ring(width, box(d, d, 40-d, 30-d)))
			}
			d := 2*pitch + gap // of the beads of the fill
			strokes = append(strokes, rows(d, d, 40-d, 30-d, pitch)...)
			for i := range strokes {
				for k := range strokes[i].E {
					strokes[i].E[k] *= flow
				}
			}
			got := read(layer(strokes...))
			assert.Equal(t, 2, got.WallDepth, "flow %g, gap %g", flow, gap)
			thinner := (width - got.LineWidthMM) / 2
			assert.InDelta(t, (40-2*thinner)*(30-2*thinner), got.Region.Area(), 0.1, "flow %g, gap %g", flow, gap)
		}
	}
}
