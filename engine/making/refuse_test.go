package making

import (
	"bytes"
	"context"
	"math"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/join"
	"sheenlay/engine/specimen"
)

// Numbers that are not safe are refused by the name of their field, with what
// is permitted, and nothing is clamped. Half a nozzle, 80 % of the nozzle and
// 10 mm³/s are common practice, no published source.
func TestUnsafeNumbersAreRefusedByName(t *testing.T) {
	p := sampled(t, "harbour-tile")
	for name, row := range map[string]struct {
		change  func(*job.Job)
		element string
		text    string
	}{
		"width under half a nozzle": {func(j *job.Job) { j.Bead.WidthMM = 0.19 }, "bead.widthMM",
			"The line spacing, for a 0.4 mm nozzle, is 0.19 mm; permitted is 0.24 to 0.8 mm."},
		"under half a nozzle with the widest limits": {func(j *job.Job) { j.Bead.WidthMM, j.Bead.MinWidthShare = 0.19, 0.5 }, "bead.widthMM",
			"The line spacing, for a 0.4 mm nozzle, is 0.19 mm; permitted is 0.2 to 0.8 mm."},
		"height above 80 % of the nozzle": {func(j *job.Job) { j.Machine.NozzleMM = 0.24 }, "machine.nozzleMM",
			"The layer height, for a 0.24 mm nozzle, is 0.2 mm; permitted is 0.02 to 0.192 mm."},
		"flow beyond the machine": {func(j *job.Job) { j.Bead.SpeedMMs, j.Bead.WidthMM = 200, 0.45 }, "bead.speedMMs",
			"Lines of this width, height and flow take 18 mm³/s at 200 mm/s; permitted is up to 10 mm³/s."},
		"no nozzle":              {func(j *job.Job) { j.Machine.NozzleMM = 0 }, "machine.nozzleMM", "The nozzle width is 0 mm; permitted is 0.1 to 2 mm."},
		"flow that is no number": {func(j *job.Job) { j.Bead.FlowPercent = math.NaN() }, "bead.flowPercent", "The flow factor is not a number; permitted is 0.5 to 2."},
	} {
		t.Run(name, func(t *testing.T) {
			j := job.Default()
			row.change(&j)
			m, err := Make(context.Background(), p, j, false, nil)
			require.NoError(t, err)
			assert.False(t, m.OK())
			assert.Empty(t, m.Block)
			stops := 0
			for _, f := range m.Findings {
				if f.Level != finding.Stop {
					continue
				}
				stops++
				assert.Equal(t, row.text, f.Text)
				assert.Equal(t, &finding.Place{File: "job", Element: row.element}, f.Place)
				assert.NotEmpty(t, f.Remedy)
			}
			assert.Equal(t, 1, stops, "said once: %v", m.Findings)
		})
	}
}

// A sliced file that asks for 500 °C is refused; so is one that does so within
// the layer.
func TestTooHotAFileIsRefused(t *testing.T) {
	source := specimen.Make(sampleOptions("harbour-tile")).Bytes
	for name, row := range map[string]struct {
		from, to string
		text     string
	}{
		"nozzle":          {`M109 S\d+`, "M109 S500", "The nozzle is set to 500 °C; permitted is up to 300 °C."},
		"nozzle, no wait": {`M104 S\d+`, "M104 S500", "The nozzle is set to 500 °C; permitted is up to 300 °C."},
		"bed":             {`M190 S\d+`, "M190 S200", "The bed is set to 200 °C; permitted is up to 120 °C."},
	} {
		t.Run(name, func(t *testing.T) {
			where := regexp.MustCompile(row.from).FindIndex(source)
			require.NotNil(t, where, "the sample sets it")
			hot := append(append(bytes.Clone(source[:where[0]]), row.to...), source[where[1]:]...)
			m, err := Make(context.Background(), open(t, "hot", hot, 1), job.Default(), false, nil)
			require.NoError(t, err)
			assert.False(t, m.OK())
			require.True(t, m.Findings.Has(join.CodeHot), "%v", m.Findings)
			for _, f := range m.Findings {
				if f.Code == join.CodeHot {
					assert.Equal(t, row.text, f.Text)
					assert.Positive(t, f.Place.Line)
				}
			}
		})
	}
	m, err := Make(context.Background(), open(t, "warm", source, 1), job.Default(), false, nil)
	require.NoError(t, err)
	assert.False(t, m.Findings.Has(join.CodeHot))
}

// A file written with a known bead gives the bead back: width within 0.5 %,
// height and diameter exactly.
func TestTheFilesBeadIsGivenBack(t *testing.T) {
	for _, row := range []struct{ width, height, diameter float64 }{{0.42, 0.2, 1.75}, {0.5, 0.25, 1.75}, {0.45, 0.2, 2.85}, {0.6, 0.3, 2.85}} {
		o := sampleOptions("harbour-tile")
		o.WidthMM, o.FirstMM, o.FilamentMM = row.width, row.height, row.diameter
		m := specimen.Make(o)
		p := open(t, "known bead", m.Bytes, 1)
		require.True(t, p.Settled(), "%v", stops(p.Findings))
		made, err := Make(context.Background(), p, job.Default(), true, nil)
		require.NoError(t, err)
		assert.InEpsilon(t, m.Truth.PitchMM, made.Line.WidthMM, 0.005, "%+v", row)
		width, flat := made.Line.ByItself()
		assert.InEpsilon(t, row.width, width, 0.005, "%+v", row)
		assert.InDelta(t, width-row.height, flat, 1e-12, "an ideal section touches the plate in w − h (derived)")
		assert.Equal(t, row.height, made.Line.HeightMM, "%+v", row)
		assert.Equal(t, row.diameter, made.Line.Feed.FilamentDiameterMM, "%+v", row)
		assert.InEpsilon(t, m.Truth.EPerMM, made.Line.EPerMM, 0.005, "%+v", row)
	}
}
