package join_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"

	"sheenlay/engine/join"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// benchInput returns a join of a plate whose new layer has about n moves, over
// a file of the given size; only the head of the file is in memory.
func benchInput(b *testing.B, n int, fileBytes int64) (join.Input, specimen.Truth) {
	b.Helper()
	var file bytes.Buffer
	truth, err := specimen.Large(&limited{&file, 3 << 20}, fileBytes)
	if err != nil {
		b.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 1))
	op := join.Operation{Points: []plane.Point{{X: 100, Y: 100}}}
	for range n {
		op.Points = append(op.Points, plane.Point{X: 20 + r.Float64()*180, Y: 20 + r.Float64()*180})
	}
	op = priced(op, truth.EPerMM, 1200)
	cut := join.Cut{From: truth.Layers[0].FromOffset, To: truth.Layers[1].FromOffset}
	head := file.Bytes()
	return join.Input{
		Head: head[:min(int64(len(head)), cut.To+8192)], Cuts: []join.Cut{cut}, Settings: join.Settings{LiftMM: 0.4},
		Layers: []join.Layer{{ZMM: 0.2, Operations: []join.Operation{op}}},
	}, truth
}

// limited keeps the first bytes and counts the rest away.
type limited struct {
	buffer *bytes.Buffer
	left   int
}

func (l *limited) Write(p []byte) (int, error) {
	keep := min(len(p), l.left)
	l.buffer.Write(p[:keep])
	l.left -= keep
	return len(p), nil
}

// BenchmarkSplice writes the new block and its place in files of several
// sizes. The cost follows the first layer, old and new, not the file.
func BenchmarkSplice(b *testing.B) {
	for _, size := range []int64{1 << 20, 1 << 27, 1 << 30} {
		in, _ := benchInput(b, 12_000, size)
		b.Run(fmt.Sprintf("MB=%d", size>>20), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if r, found := join.Build(in); len(found) > 0 || r.TailOffset == 0 {
					b.Fatal(found)
				}
			}
		})
	}
}

func BenchmarkBuild(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 60_000} {
		in, _ := benchInput(b, n, 1<<20)
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, found := join.Build(in); len(found) > 0 {
					b.Fatal(found)
				}
			}
		})
	}
}

func BenchmarkProve(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 60_000} {
		in, _ := benchInput(b, n, 1<<20)
		r, _ := join.Build(in)
		finished := r.FinishedHead(in.Head)
		plan := join.PlanOf(in, r, join.Machine{})
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if p := join.Prove(finished, in.Head, plan); !p.OK {
					b.Fatal(p.Findings)
				}
			}
		})
	}
}

// BenchmarkArcs writes rings, straight and as arcs.
func BenchmarkArcs(b *testing.B) {
	for _, outer := range []float64{10, 30, 90} {
		points := rings(plane.Point{X: 110, Y: 110}, outer, 5.2, 0.4)
		for _, arcs := range []bool{false, true} {
			_, in := bentCase(points, arcs)
			b.Run(fmt.Sprintf("arcs=%v/n=%d", arcs, len(points)), func(b *testing.B) {
				b.ReportAllocs()
				bytes := 0
				for b.Loop() {
					r, found := join.Build(in)
					if len(found) > 0 {
						b.Fatal(found)
					}
					bytes = len(r.Blocks[0].Bytes)
				}
				b.ReportMetric(float64(bytes), "bytes")
			})
		}
	}
}
