package join_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/join"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// zigzag covers a box with rows one pitch apart, as one bead.
func zigzag(box plane.Box, pitch, perMM, feed float64) join.Operation {
	op := join.Operation{Role: join.Pattern}
	right := false
	for y := box.Min.Y + pitch/2; y < box.Max.Y; y += pitch {
		a, b := plane.Point{X: box.Min.X, Y: y}, plane.Point{X: box.Max.X, Y: y}
		if right {
			a, b = b, a
		}
		op.Points = append(op.Points, a, b)
		right = !right
	}
	return priced(op, perMM, feed)
}

// priced fills in filament and speed for every segment.
func priced(op join.Operation, perMM, feed float64) join.Operation {
	op.E, op.Feed = nil, nil
	for i := 1; i < len(op.Points); i++ {
		op.E = append(op.E, perMM*op.Points[i].Dist(op.Points[i-1]))
		op.Feed = append(op.Feed, feed)
	}
	return op
}

// newLayer returns a small layer over a specimen: a prime line, a zigzag in
// two parts, and the skirt and brim as they were.
func newLayer(m specimen.Specimen, z float64) join.Layer {
	t := m.Truth
	box := t.Footprint.Bounds().Grow(-t.WidthMM)
	c := box.Centre()
	line := join.Operation{Role: join.Prime, Points: []plane.Point{{X: box.Min.X, Y: box.Min.Y - 3}, {X: box.Max.X, Y: box.Min.Y - 3}}}
	left, right := box, box
	left.Max.X, right.Min.X = c.X-1, c.X+1
	l := join.Layer{ZMM: z, Operations: []join.Operation{priced(line, t.EPerMM, 900)}}
	for _, s := range t.Strokes {
		if s.Class.String() == "skirt" || s.Class.String() == "brim" {
			l.Operations = append(l.Operations, join.FromStroke(s))
		}
	}
	l.Operations = append(l.Operations, zigzag(left, t.PitchMM, t.EPerMM, 1200), zigzag(right, t.PitchMM, t.EPerMM, 1200))
	return l
}

// cutAt returns a line start of m within the right interval of layer i, drawn
// by r.
func cutAt(m specimen.Specimen, i int, r *rand.Rand) int64 {
	c := m.Truth.Layers[i]
	at := c.FromOffset
	var starts []int64
	for at <= c.ToOffset {
		starts = append(starts, at)
		n := bytes.IndexByte(m.Bytes[at:], '\n')
		if n < 0 {
			break
		}
		at += int64(n) + 1
	}
	return starts[r.IntN(len(starts))]
}

// inputFor returns a join over the first n layers of m, cut at places drawn by
// r.
func inputFor(m specimen.Specimen, n int, r *rand.Rand) join.Input {
	in := join.Input{Settings: join.Settings{
		LiftMM: []float64{0.2, 0.4, 0.6, 1}[r.IntN(4)], TravelFeed: 7200, Say: []string{"zigzag"},
		Retraction: []join.Retraction{join.AsFile, join.ByE, join.ByCommand, join.Never}[r.IntN(4)],
		RetractMM:  []float64{0.4, 0.8, 2, 6}[r.IntN(4)], WipeMM: 2,
	}}
	if r.IntN(5) == 0 {
		in.Pause = &join.Pause{Park: m.Truth.Bed.Min.Add(plane.Point{X: 3, Y: 3})}
	}
	from := cutAt(m, 0, r)
	for i := range n {
		to := cutAt(m, i+1, r)
		in.Cuts = append(in.Cuts, join.Cut{From: from, To: to})
		l := newLayer(m, m.Truth.Layers[i].AtTo.Z)
		if last := &l.Operations[len(l.Operations)-1]; r.IntN(2) == 0 && len(last.Points) > 2 {
			end, before := last.Points[len(last.Points)-1], last.Points[len(last.Points)-2]
			last.Wipe = []plane.Point{end.Lerp(before, min(1, 1/end.Dist(before)))}
		}
		in.Layers = append(in.Layers, l)
		from = to
	}
	in.Head = m.Bytes[:min(int64(len(m.Bytes)), from+4000)]
	return in
}

func machineOf(m specimen.Specimen) join.Machine {
	return join.Machine{Bed: join.Bed{Box: m.Truth.Bed}, FilamentMM: m.Truth.FilamentMM, MaxFlowMM3s: 20, HotC: 300, HotBedC: 120}
}

// proved builds and proves, and fails the test with all findings where either
// stops.
func proved(t *testing.T, name string, m specimen.Specimen, in join.Input) (join.Result, join.Proof) {
	t.Helper()
	r, found := join.Build(in)
	require.Empty(t, found, name)
	p := join.Prove(r.FinishedHead(m.Bytes), m.Bytes, join.PlanOf(in, r, machineOf(m)))
	if !p.OK {
		dump := filepath.Join(os.TempDir(), "sheenlay-join-failed.gcode")
		_ = os.WriteFile(dump, r.FinishedHead(m.Bytes), 0o644)
		require.Empty(t, p.Findings, "%s: see %s", name, dump)
	}
	return r, p
}

func finishedFile(m specimen.Specimen, r join.Result) []byte {
	return append(r.FinishedHead(m.Bytes), m.Bytes[r.TailOffset:]...)
}
