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
	"sheenlay/engine/plane"
)

// cutShort takes mm from the end of a stroke: the nozzle runs out there.
func cutShort(s deposit.Stroke, mm float64) deposit.Stroke {
	points := append([]plane.Point{}, s.Points...)
	for mm > 0 {
		n := len(points)
		length := points[n-1].Dist(points[n-2])
		if length > mm {
			points[n-1] = points[n-1].Lerp(points[n-2], mm/length)
			break
		}
		points, mm = points[:n-1], mm-length
	}
	return stroke(width, points...)
}

// TestLoopsThatRunOut: the last stretch of each loop is travelled without feed.
// Loops are closed over it, straight on, round the corner it cuts off, or along
// the arc, so that walls, brim and skirt are none the less.
func TestLoopsThatRunOut(t *testing.T) {
	circle := func(r float64) plane.Ring {
		var out plane.Ring
		for k := range 96 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 96)
			out = append(out, plane.Point{X: 20 + r*cos, Y: 20 + r*sin})
		}
		return out
	}
	shapes := map[string]func(d float64) plane.Ring{
		"corner": func(d float64) plane.Ring { return box(d, d, 40-d, 40-d) },
		"side": func(d float64) plane.Ring {
			return append(plane.Ring{{X: 20, Y: d}}, append(box(d, d, 40-d, 40-d)[1:], plane.Point{X: d, Y: d})...)
		},
		"past a corner": func(d float64) plane.Ring {
			return append(plane.Ring{{X: d + 0.7, Y: d}}, append(box(d, d, 40-d, 40-d)[1:], plane.Point{X: d, Y: d})...)
		},
		"disc": func(d float64) plane.Ring { return circle(20 - d) },
	}
	for name, shape := range shapes {
		for _, mm := range []float64{0.2, 0.4, 0.7, 1, 1.5, 2, 2.9} {
			t.Run(fmt.Sprintf("%s/%g", name, mm), func(t *testing.T) {
				var piece, around []deposit.Stroke
				for k := range 2 {
					piece = append(piece, cutShort(ring(width, shape((float64(k)+0.5)*pitch)), mm))
				}
				inner := shape(1.9 * pitch)
				for y := 1.9 * pitch; y < 40-1.9*pitch; y += pitch {
					low, high := math.Inf(1), math.Inf(-1)
					for i, p := range inner {
						if q := inner[(i+1)%len(inner)]; (p.Y <= y) != (q.Y <= y) {
							x := p.X + (y-p.Y)/(q.Y-p.Y)*(q.X-p.X)
							low, high = min(low, x), max(high, x)
						}
					}
					piece = append(piece, stroke(width, plane.Point{X: low, Y: y}, plane.Point{X: high, Y: y}))
				}
				for k := range 3 {
					around = append(around, cutShort(ring(width, shape(-(float64(k)+0.5)*pitch)), mm))
				}
				above := layer(piece...)
				skirt := cutShort(ring(width, shape(-6)), mm)
				got := footprint.Of(context.Background(), layer(append(append([]deposit.Stroke{skirt}, around...), piece...)...), footprint.Options{Above: &above})
				for i, want := range []deposit.Class{deposit.Skirt, deposit.Brim, deposit.Brim, deposit.Brim, deposit.Wall, deposit.Wall, deposit.Fill} {
					assert.Equal(t, want, got.Strokes[i].Class, "stroke %d", i)
				}
				require.Len(t, got.Region, 1)
				border := shape(pitch/2 - width/2)
				for _, p := range got.Region[0] {
					q, _ := plane.Region{border}.Nearest(p)
					assert.Less(t, p.Dist(q), 0.05)
				}
			})
		}
	}
}

// TestLoopsThatRunOverTheirBeginning: the end goes on over the beginning, so that
// the seam does not show, also with less and less filament.
func TestLoopsThatRunOverTheirBeginning(t *testing.T) {
	for _, over := range []float64{0.3, 0.5, 1, 3, 12, 20} {
		for _, fading := range []bool{false, true} {
			loop := func(d float64) deposit.Stroke {
				r := box(d, d, 40-d, 30-d)
				points := append(append([]plane.Point{}, r...), r[0], r[0].Lerp(r[1], over/r[0].Dist(r[1])))
				s := stroke(width, points...)
				if fading {
					s.E[len(s.E)-1] /= 2
				}
				return s
			}
			d := 1.9 * pitch
			strokes := append([]deposit.Stroke{loop(width / 2), loop(width/2 + pitch)}, rows(d, d, 40-d, 30-d, pitch)...)
			got := read(layer(strokes...))
			assert.Equal(t, 2, got.WallDepth, "%g mm", over)
			require.Len(t, got.Region, 1, "%g mm", over)
			assert.Len(t, got.Region[0], 4, "%g mm", over)
			assert.InDelta(t, 1200, got.Region.Area(), 0.1, "%g mm", over)
		}
	}
}

// TestOpenLinesStayOpen: ends that are near each other and do not point at each
// other make no loop.
func TestOpenLinesStayOpen(t *testing.T) {
	at := func(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }
	for name, points := range map[string][]plane.Point{
		"ends turned away":                     {at(0, 0), at(-5, -3), at(-5, -20), at(20, -20), at(20, -3), at(2, -1)},
		"side by side":                         {at(0, 0), at(0, 20), at(20, 20), at(20, -10), at(1.5, -10), at(1.5, 0)},
		"past its beginning, a line beside it": {at(0, 0), at(20, 0), at(20, 20), at(0, 20), at(0, 0.2), at(20, 0.45)},
		"rows":                                 {at(0, 0), at(20, 0), at(20, 0.4), at(0, 0.4), at(0, 0.8), at(20, 0.8), at(20, 1.2), at(0, 1.2)},
	} {
		got := read(layer(stroke(width, points...)))
		assert.NotEqual(t, deposit.Wall, got.Strokes[0].Class, name)
	}
}
