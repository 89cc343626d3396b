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

// absolute returns about n bytes with an absolute E register and the feed rate
// before the axes, each loop reached by a travel between a retraction and its
// return: the other shape in which many files come.
func absolute(n int) []byte {
	random := rand.New(rand.NewSource(2))
	out := append(make([]byte, 0, n+64), "M82\nG28\nG92 E0\n"...)
	e := 0.0
	for line := 0; len(out) < n; line++ {
		x, y := random.Float64()*220, random.Float64()*220
		if line%18000 == 0 {
			out = fmt.Appendf(out, "G92 E0\n; face %d\nG0 F9000 Z%.3f\n", line/18000, 0.2*float64(line/18000+1))
			e = 0
		}
		switch line % 12 {
		case 0:
			out = fmt.Appendf(out, "G1 F2100 E%.5f\nG0 F9000 X%.3f Y%.3f\nG1 F2100 E%.5f\n", e-0.8, x, y, e)
		case 1:
			e += random.Float64() * 0.3
			out = fmt.Appendf(out, "G1 F1800 X%.3f Y%.3f E%.5f\n", x, y, e)
		default:
			e += random.Float64() * 0.3
			out = fmt.Appendf(out, "G1 X%.3f Y%.3f E%.5f\n", x, y, e)
		}
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

// BenchmarkFollow is the full parse: every line read and followed in one step.
func BenchmarkFollow(b *testing.B) {
	for _, shape := range []struct {
		name string
		make func(int) []byte
	}{{"relative", synthetic}, {"absolute", absolute}} {
		for _, size := range sizes {
			data := shape.make(size * 1_000_000)
			b.Run(fmt.Sprintf("%s/MB=%d", shape.name, size), func(b *testing.B) {
				b.SetBytes(int64(len(data)))
				b.ReportAllocs()
				fed := 0.0
				for b.Loop() {
					s := gcode.NewScanner(data)
					in := gcode.NewInterp(gcode.Options{})
					for in.Next(s) {
						fed += in.Move().Fed
					}
				}
				if fed == 0 {
					b.Fatal("nothing fed")
				}
			})
		}
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
