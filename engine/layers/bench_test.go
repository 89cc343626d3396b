package layers_test

import (
	"fmt"
	"testing"

	"sheenlay/engine/gcode"
	"sheenlay/engine/layers"
)

// large returns a file of about n bytes in the marker shape given.
func large(n int, s shape) []byte {
	s.layers = 4
	per := len(build(s).data) / 4
	s.sameZParts = max(1, min(2000, n/20/per))
	s.layers = 20
	return build(s).data
}

// BenchmarkFind is the first answer: boundaries and height. It reads some
// megabytes whatever the size of the file.
func BenchmarkFind(b *testing.B) {
	for _, size := range []int{1, 10, 40} {
		data := large(size*1_000_000, shape{marker: numbered(";LAYER:%d", 0)})
		b.Run(fmt.Sprintf("MB=%d", len(data)/1_000_000), func(b *testing.B) {
			b.ReportAllocs()
			read := int64(0)
			for b.Loop() {
				r := layers.Find(data, layers.Options{})
				if r.NeedsChoice {
					b.Fatal("not found")
				}
				read = r.BytesRead
			}
			b.ReportMetric(float64(read)/1e6, "MB-read")
		})
	}
}

// BenchmarkSurvey counts the layers of a whole file, in chunks of 4 MB: by
// marker lines, and by the material alone.
func BenchmarkSurvey(b *testing.B) {
	for name, s := range map[string]shape{"markers": {marker: numbered(";LAYER:%d", 0)}, "material": {}} {
		for _, size := range []int{1, 10, 40} {
			data := large(size*1_000_000, s)
			r := layers.Find(data, layers.Options{})
			b.Run(fmt.Sprintf("%s/MB=%d", name, len(data)/1_000_000), func(b *testing.B) {
				b.SetBytes(int64(len(data)))
				b.ReportAllocs()
				for b.Loop() {
					v := layers.NewSurvey(r, gcode.Options{})
					for at := 0; at < len(data); at += 4 << 20 {
						end := min(len(data), at+4<<20)
						v.Push(data[at:end], end == len(data))
					}
					if v.Count != 20 {
						b.Fatal("counted ", v.Count)
					}
				}
			})
		}
	}
}
