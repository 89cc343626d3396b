package footprint_test

import (
	"fmt"
	"math"
	"testing"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

func BenchmarkOf(b *testing.B) {
	for _, side := range []float64{20, 63, 200} {
		b.Run(fmt.Sprintf("meters=%.0f", side*side/pitch/1000), func(b *testing.B) {
			// Rows in moves of about 1.6 mm, 60,000 of them for 100 m.
			l := layer(plate(0, 0, side, side)...)
			moves := 0
			for i, s := range l.Strokes {
				var points []plane.Point
				for k := 1; k < len(s.Points); k++ {
					n := math.Ceil(s.Points[k].Dist(s.Points[k-1]) / 1.6)
					for j := 0.0; j < n; j++ {
						points = append(points, s.Points[k-1].Lerp(s.Points[k], j/n))
					}
				}
				l.Strokes[i] = stroke(width, append(points, s.Points[len(s.Points)-1])...)
				moves += len(points)
			}
			b.ReportMetric(float64(moves), "moves")
			b.ReportAllocs()
			for b.Loop() {
				read(l)
			}
		})
	}
	b.Run("islands=300", func(b *testing.B) {
		var l deposit.Layer = layer()
		for i := range 300 {
			x, y := float64(i%20)*10, float64(i/20)*10
			l.Strokes = append(l.Strokes, plate(x, y, x+8, y+8)...)
		}
		b.ReportAllocs()
		for b.Loop() {
			read(l)
		}
	})
}
