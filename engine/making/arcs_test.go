package making

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/job"
	"sheenlay/engine/join"
	"sheenlay/engine/specimen"
)

func withArcs(j *job.Job) { j.Join.Arcs = true }

// A pattern of rings is written with arcs: the same filament, nearly the same
// way and time, and a far shorter file.
func TestRingsWithArcs(t *testing.T) {
	p := sampled(t, "harbour-tile")
	rings := func(more func(*job.Job)) *Made {
		return done(t, p, func(j *job.Job) {
			j.Art.Generator, j.Keep.Around = "rings", false
			more(j)
		})
	}
	plain, bent := rings(func(*job.Job) {}), rings(withArcs)
	assert.Zero(t, plain.Join.Figures.Arcs)
	assert.Greater(t, bent.Join.Figures.Arcs, 100)
	assert.Less(t, 2*bent.Join.Figures.Lines, plain.Join.Figures.Lines)
	assert.InEpsilon(t, plain.Join.Figures.EMM, bent.Join.Figures.EMM, 1e-4)
	assert.InEpsilon(t, plain.Join.Figures.LengthMM, bent.Join.Figures.LengthMM, 1e-3)
	assert.InEpsilon(t, plain.Times.NewMM, bent.Times.NewMM, 1e-4, "filament read from the bytes")
	// Chords of another length are taken a little faster or slower at their
	// corners.
	assert.InEpsilon(t, plain.Times.NewS, bent.Times.NewS, 0.02)
	t.Logf("%d lines and %.1f s straight, %d lines with %d arcs and %.1f s bent; %d and %d bytes", plain.Join.Figures.Lines, plain.Times.NewS,
		bent.Join.Figures.Lines, bent.Join.Figures.Arcs, bent.Times.NewS, len(plain.Block), len(bent.Block))

	// The scrubbed way knows what each move lays, arcs or not.
	for _, m := range []*Made{plain, bent} {
		lengths := map[join.Role]float64{}
		roles := m.Roles()
		for i, move := range m.Times.Trace.Moves {
			if move.WidthMM > 0 {
				lengths[roles[i]] += move.From.Dist(move.To)
			}
		}
		for role, asked := range laidByRole(m) {
			assert.InDelta(t, asked, lengths[role], 1e-3*asked, role.String())
		}
	}
}

// laidByRole sums the length of the operations of each role, mm.
func laidByRole(m *Made) map[join.Role]float64 {
	out := map[join.Role]float64{}
	for i := range m.Layers {
		for _, op := range m.Layers[i].Order {
			for k := range op.E {
				out[op.Role] += op.Points[k].Dist(op.Points[k+1])
			}
		}
	}
	return out
}

// A pattern of straight lines on a piece without curves is the same to the byte.
func TestStraightPatternsHaveNoArcs(t *testing.T) {
	o := sampleOptions("harbour-tile")
	o.Shape = specimen.Rectangle(40, 30)
	p := open(t, "card", specimen.Make(o).Bytes, 1)
	plain := done(t, p, func(j *job.Job) { j.Art.Generator = "tumbling-blocks" })
	bent := done(t, p, func(j *job.Job) { j.Art.Generator = "tumbling-blocks"; withArcs(j) })
	assert.Zero(t, bent.Join.Figures.Arcs)
	assert.Equal(t, string(plain.Block), string(bent.Block))
}

// Roles follow the lines of the block over several layers with a prime line and
// kept strokes.
func TestRolesOfEveryMove(t *testing.T) {
	p := sampled(t, "lamp-panel")
	m := done(t, p, func(j *job.Job) { j.Layers.Count, j.Keep.Walls = 3, 1 })
	roles, got := m.Roles(), map[join.Role]float64{}
	for i, move := range m.Times.Trace.Moves {
		if move.WidthMM > 0 {
			got[roles[i]] += move.From.Dist(move.To)
		}
	}
	want := laidByRole(m)
	assert.Len(t, got, len(want))
	for role, length := range want {
		assert.InEpsilon(t, length, got[role], 1e-4, role.String())
	}
}
