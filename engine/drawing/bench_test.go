package drawing

import (
	"bytes"
	"context"
	"fmt"
	"math/rand"
	"testing"

	"sheenlay/engine/plane"
)

// hatchFile is a drawing of n wavy lines of ten curves each.
func hatchFile(n int) []byte {
	var b bytes.Buffer
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><style>.w{fill:none;stroke:#123;stroke-width:.42}</style>`)
	for i := range n {
		fmt.Fprintf(&b, `<path class="w" d="M0,%.2f`, float64(i)*200/float64(n))
		for range 10 {
			b.WriteString("c5,-3 15,3 20,0")
		}
		b.WriteString(`"/>`)
	}
	b.WriteString("</svg>")
	return b.Bytes()
}

func BenchmarkRead(b *testing.B) {
	for _, n := range []int{10, 100, 1_000, 10_000} {
		data := hatchFile(n)
		b.Run(fmt.Sprintf("lines=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(data)))
			for range b.N {
				if d := Read(context.Background(), data, Options{}); len(d.Lines) != n {
					b.Fatal(len(d.Lines))
				}
			}
		})
	}
}

func BenchmarkChain(b *testing.B) {
	for _, n := range []int{100, 1_000, 10_000, 100_000} {
		random := rand.New(rand.NewSource(1))
		var lines []Line
		at := plane.Point{}
		for range n {
			next := plane.Point{X: random.Float64() * 200, Y: random.Float64() * 200}
			lines = append(lines, Line{Points: plane.Polyline{at, next}})
			at = next
		}
		random.Shuffle(n, func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
		b.Run(fmt.Sprintf("lines=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if c := Chain(lines, 0); len(c) != 1 {
					b.Fatal(len(c))
				}
			}
		})
	}
}

func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{30, 120, 480} {
		lines := hatch(n, 0.42, 200, 0.42)
		b.Run(fmt.Sprintf("metres=%d", n/5), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if s, _ := Check(lines, 0.4, 0.42); s.Samples == 0 {
					b.Fatal("nothing measured")
				}
			}
		})
	}
}

func BenchmarkZones(b *testing.B) {
	for _, n := range []int{10, 100, 1_000} {
		random := rand.New(rand.NewSource(1))
		var content bytes.Buffer
		for range n {
			fmt.Fprintf(&content, `<circle cx="%v" cy="%v" r="3" fill="red"/>`, random.Float64()*100, random.Float64()*100)
		}
		d := Read(context.Background(), []byte(page(content.String())), Options{})
		b.Run(fmt.Sprintf("shapes=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if z := Zones(context.Background(), d); len(z.Pattern.Zones) != n {
					b.Fatal(len(z.Pattern.Zones))
				}
			}
		})
	}
}
