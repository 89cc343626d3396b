package overlay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
)

// wavy is the outline of the speed figures: radius 92 mm with two harmonics and
// six wavy holes, 1.3·n points in all.
func wavy(n int) plane.Region {
	ring := func(c plane.Point, radius float64, n int) plane.Ring {
		r := make(plane.Ring, n)
		for i := range r {
			a := 2 * math.Pi * float64(i) / float64(n)
			r[i] = c.Add(plane.Point{X: radius * (1 + 0.05*math.Sin(9*a) + 0.02*math.Sin(31*a))}.Turn(a))
		}
		return r
	}
	g := plane.Region{ring(plane.Point{}, 92, n)}
	for k := range 6 {
		g = append(g, ring(plane.Point{X: 50}.Turn(float64(k)*math.Pi/3), 12, n/20).Reversed())
	}
	return g
}

func BenchmarkOffset(b *testing.B) {
	for _, n := range []int{500, 4000, 32000} {
		for _, d := range []float64{-0.21, -2} {
			b.Run(fmt.Sprintf("n=%d/d=%g", n, d), func(b *testing.B) {
				g := wavy(n)
				b.ReportAllocs()
				for b.Loop() {
					overlay.Offset(g, d, overlay.Round(), 0.004)
				}
			})
		}
	}
}

func BenchmarkUnionOfBars(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 2))
			side := 4 * math.Sqrt(float64(n))
			rings := make([]plane.Ring, n)
			for i := range rings {
				m := plane.Rotate(math.Pi * rng.Float64()).Then(plane.Translate(side*rng.Float64(), side*rng.Float64()))
				rings[i] = m.ApplyRegion(plane.Region{box(0, 0, 6, 0.42)})[0]
			}
			b.ReportAllocs()
			for b.Loop() {
				overlay.Normalize(rings, overlay.NonZero)
			}
		})
	}
}
