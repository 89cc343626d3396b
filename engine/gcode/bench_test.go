package gcode_test

import (
	"fmt"
	"math/rand"
	"testing"

	"sheenlay/engine/gcode"
)

// synthetic returns about n bytes of a sliced file's shape: relative E, axes
// with three decimals, E with five, one comment marker per layer of about
// 18,000 lines, some F words and M codes; about 29 bytes a line.
func synthetic(n int) []byte {
	random := rand.New(rand.NewSource(1))
	out := append(make([]byte, 0, n+64), "M83\nG28\n"...)
	line, layer := 0, 0
	x, y := 100.0, 100.0
	for len(out) < n {
		if line%18000 == 0 {
			out = fmt.Appendf(out, "; face %d\nG1 Z%.3f F600\n", layer, 0.2*float64(layer+1))
			layer++
		}
		x += random.Float64()*20 - 10
		y += random.Float64()*20 - 10
		if x < 0 || x > 220 {
			x = 110
		}
		if y < 0 || y > 220 {
			y = 110
		}
		switch {
		case line%997 == 3:
			out = fmt.Appendf(out, "M106 S%d\n", random.Intn(256))
		case line%40 == 5:
			out = fmt.Appendf(out, "G1 X%.3f Y%.3f F9000\n", x, y)
		default:
			out = fmt.Appendf(out, "G1 X%.3f Y%.3f E%.5f\n", x, y, random.Float64())
		}
		line++
	}
	return out
}

var sizes = []int{1, 10, 100}

func BenchmarkScan(b *testing.B) {
	for _, size := range sizes {
		data := synthetic(size * 1_000_000)
		b.Run(fmt.Sprintf("MB=%d", size), func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			sum, lines := 0.0, 0
			for b.Loop() {
				s := gcode.NewScanner(data)
				for s.Next() {
					for _, w := range s.Line().Words() {
						if w.Letter == 'E' {
							sum += w.Value
						}
					}
					lines++
				}
			}
			if sum == 0 {
				b.Fatal("nothing fed")
			}
			b.ReportMetric(float64(lines)/float64(b.N), "lines")
		})
	}
}

func BenchmarkInterp(b *testing.B) {
	for _, size := range sizes {
		data := synthetic(size * 1_000_000)
		b.Run(fmt.Sprintf("MB=%d", size), func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			fed := 0.0
			for b.Loop() {
				s := gcode.NewScanner(data)
				in := gcode.NewInterp(gcode.Options{})
				for s.Next() {
					m := in.Step(s.Line())
					fed += m.Fed
				}
			}
			if fed == 0 {
				b.Fatal("nothing fed")
			}
		})
	}
}

// BenchmarkNewlines is the floor that the others stand on: bytes.IndexByte from
// line to line, nothing read.
func BenchmarkNewlines(b *testing.B) {
	for _, size := range sizes {
		data := synthetic(size * 1_000_000)
		b.Run(fmt.Sprintf("MB=%d", size), func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			lines := 0
			for b.Loop() {
				s := gcode.NewScanner(data).Lazy()
				for s.Next() {
					lines++
				}
			}
			if lines == 0 {
				b.Fatal("no lines")
			}
		})
	}
}
