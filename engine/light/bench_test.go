package light

import (
	"context"
	"fmt"
	"testing"

	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

func zigzag(side, pitch float64) strand.Strand {
	var s strand.Strand
	for y, i := pitch/2, 0; y < side; y, i = y+pitch, i+1 {
		a, b := plane.Point{X: pitch / 2, Y: y}, plane.Point{X: side - pitch/2, Y: y}
		if i%2 == 1 {
			a, b = b, a
		}
		s.Points = append(s.Points, a, b)
	}
	for i := 1; i < len(s.Points); i++ {
		s.Width = append(s.Width, pitch)
	}
	return s
}

func BenchmarkNewMap(b *testing.B) {
	for _, side := range []float64{25, 50, 100, 200, 400} {
		b.Run(fmt.Sprintf("side=%gmm", side), func(b *testing.B) {
			strands := []strand.Strand{zigzag(side, 0.42)}
			for b.Loop() {
				if m, _ := NewMap(context.Background(), square(side), strands, 2000); m.Width == 0 {
					b.Fatal("empty map")
				}
			}
		})
	}
}

func BenchmarkShade(b *testing.B) {
	m, _ := NewMap(context.Background(), square(100), []strand.Strand{zigzag(100, 0.42)}, 800)
	sc := Scene{Surface: Surfaces()[0], Lamp: Vector{100, 50, 300}, Eye: Vector{Z: 500}, Colour: [3]float64{1, .5, .2}, Exposure: DefaultExposure, Below: true}
	for b.Loop() {
		if p, _ := m.Shade(context.Background(), sc); len(p) == 0 {
			b.Fatal("nothing drawn")
		}
	}
}
