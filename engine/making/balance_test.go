package making

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

func card(t testing.TB, w, h float64) func(change func(*job.Job)) *Made {
	p := open(t, "card", specimen.Make(specimen.Options{Name: "card", Shape: specimen.Rectangle(w, h), At: plane.Point{X: 110, Y: 110}, Walls: 1, FillDegree: 45, Heated: true}).Bytes, 1)
	require.True(t, p.Settled(), "%v", stops(p.Findings))
	return func(change func(*job.Job)) *Made {
		j := job.Default()
		change(&j)
		m, err := Make(context.Background(), p, j, false, nil)
		require.NoError(t, err)
		return m
	}
}

// The volume of a layer is that of what it covers, also where lines meet so
// often that they would lay more: the gate of check-values "Picks", 1 %.
func TestBalanceKeepsTheVolume(t *testing.T) {
	lay := card(t, 16, 12)
	for name, row := range map[string]struct {
		change func(*job.Job)
		level  finding.Level // of what is said about it; "" for nothing
	}{
		"blocks":     {func(*job.Job) {}, ""},
		"small leaf": {func(j *job.Job) { j.Art.Generator, j.Art.Params = "hemp-leaf", map[string]float64{"sizeMM": 4} }, finding.Caution},
		"fine checker": {func(j *job.Job) {
			j.Art.Generator, j.Art.Params = "checker", map[string]float64{"sizeMM": 1.75}
		}, finding.Caution},
	} {
		t.Run(name, func(t *testing.T) {
			m := lay(row.change)
			require.True(t, m.OK(), "%v", stops(m.Findings))
			l := m.Layers[0]
			volume := laidFilament(l) * bead.FilamentArea(l.Feed.FilamentDiameterMM)
			covered := l.Face.Area() - m.Coverage.Open.MM2 + m.Coverage.Spilled.MM2
			assert.InEpsilon(t, covered*l.Feed.HeightMM*m.Line.Feed.Fill*m.Line.Feed.Flow, volume, 0.01)
			said := finding.Level("")
			for _, f := range m.Findings {
				if f.Code == "making-balance" {
					said = f.Level
					assert.InDelta(t, 100*(l.Balance-1), f.Value, 1e-9)
				}
			}
			assert.Equal(t, row.level, said, "balance %.3f", l.Balance)
		})
	}
}

// A pattern much finer than its bead is refused with what to do about it; one
// that leaves the face open keeps the filament of its lines.
func TestBalanceOfPatternsThatAreNoLayer(t *testing.T) {
	lay := card(t, 16, 12)
	fine := lay(func(j *job.Job) { j.Art.Generator, j.Placement.Scale = "hilbert", 0.01 })
	assert.False(t, fine.OK())
	assert.Equal(t, []string{"making-balance"}, codes(fine.Findings, finding.Stop))
	open := lay(func(j *job.Job) { j.Art.Generator, j.Art.Params = "gosper", map[string]float64{"pitchMM": 12} })
	assert.True(t, open.OK(), "%v", stops(open.Findings))
	assert.Equal(t, 1.0, open.Layers[0].Balance)
	assert.Greater(t, open.Coverage.Open.MM2, 0.5*open.Coverage.FaceMM2)
}

func codes(list finding.List, level finding.Level) (out []string) {
	for _, f := range list {
		if f.Level == level {
			out = append(out, f.Code)
		}
	}
	return out
}

func TestUnbalanced(t *testing.T) {
	for _, row := range []struct {
		b     float64
		level finding.Level
		text  string
	}{
		{1, "", ""}, {0.971, "", ""}, {1.029, "", ""},
		{0.95, finding.Caution, "The lines of this pattern meet so often that the layer is fed 5.0 % less filament than its lines would take one by one."},
		{1.06, finding.Caution, "The lines of this pattern leave so many narrow gaps that the layer is fed 6.0 % more filament, so that they close."},
		{1.25, finding.Caution, "The lines of this pattern lie so far apart that they fill only 80 % of the layer; they keep their filament, and the gaps stay."},
		{0.5, finding.Stop, "The pattern is too fine for its line width: its lines would lay 200 % of what the face holds."},
	} {
		f := unbalanced(row.b)
		if row.level == "" {
			assert.Nil(t, f, row.b)
			continue
		}
		require.NotNil(t, f, row.b)
		assert.Equal(t, row.level, f.Level)
		assert.Equal(t, row.text, f.Text)
		assert.NotEmpty(t, f.Remedy)
	}
}
