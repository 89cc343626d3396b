package making

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// A whole job on square faces: piece and job in, proved bytes out.
func BenchmarkJob(b *testing.B) {
	for _, coarse := range []bool{false, true} {
		for _, side := range []float64{25, 50, 100, 200} {
			b.Run(fmt.Sprintf("coarse=%v/side=%gmm", coarse, side), func(b *testing.B) {
				o := sampleOptions("harbour-tile")
				o.Shape = specimen.Rectangle(side, side)
				benchmarkJob(b, o, coarse)
			})
		}
	}
}

// Many small parts on one plate.
func BenchmarkIslands(b *testing.B) {
	for _, side := range []int{4, 8, 17} {
		b.Run(fmt.Sprintf("islands=%d", side*side), func(b *testing.B) {
			o := sampleOptions("harbour-tile")
			o.Shape, o.At = specimen.Parts(side, side, 8, 8, 10), plane.Point{X: 110, Y: 110}
			benchmarkJob(b, o, false)
		})
	}
}

func benchmarkJob(b *testing.B, o specimen.Options, coarse bool) {
	p := open(b, "face", specimen.Make(o).Bytes, 1)
	require.True(b, p.Settled(), "%v", stops(p.Findings))
	for b.Loop() {
		m, err := Make(context.Background(), p, job.Default(), coarse, nil)
		require.NoError(b, err)
		require.Empty(b, stops(m.Findings))
	}
}

// A job after one that differs only in speed: faces, beads and coverage are
// remembered.
func BenchmarkJobAgain(b *testing.B) {
	for _, side := range []float64{25, 50, 100, 200} {
		b.Run(fmt.Sprintf("side=%gmm", side), func(b *testing.B) {
			o := sampleOptions("harbour-tile")
			o.Shape = specimen.Rectangle(side, side)
			p := open(b, "face", specimen.Make(o).Bytes, 1)
			maker, j := new(Maker), job.Default()
			_, err := maker.Make(context.Background(), p, j, false, nil)
			require.NoError(b, err)
			for b.Loop() {
				j.Bead.SpeedMMs = 45 - j.Bead.SpeedMMs
				_, err := maker.Make(context.Background(), p, j, false, nil)
				require.NoError(b, err)
			}
		})
	}
}
