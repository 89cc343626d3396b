package making

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/generators"
	"sheenlay/engine/job"
	"sheenlay/engine/join"
	"sheenlay/engine/specimen"
)

// Every built-in pattern, and every other kind of artwork, on a sample piece.
func TestEveryArtworkIsMade(t *testing.T) {
	p := open(t, "shelf-tag", specimen.Make(sampleOptions("shelf-tag")).Bytes, 3)
	require.True(t, p.Settled(), "%v", stops(p.Findings))
	make := func(t *testing.T, change func(*job.Job)) *Made {
		j := job.Default()
		change(&j)
		m, err := Make(context.Background(), p, j, false, nil)
		require.NoError(t, err)
		assert.Empty(t, stops(m.Findings))
		require.True(t, m.OK())
		l := m.Layers[0]
		// Gate of check-values "Picks": ΣE · filament area = covered area ·
		// height within 1 % on every layer made; the piece's own fill factor
		// stands on the right-hand side.
		if j.Art.Kind != "trial" { // patches vary the flow on purpose
			volume := laidFilament(l) * bead.FilamentArea(l.Feed.FilamentDiameterMM)
			covered := l.Face.Area() - m.Coverage.Open.MM2
			assert.InEpsilon(t, covered*l.Feed.HeightMM*m.Line.Feed.Fill*m.Line.Feed.Flow, volume, 0.01)
		}
		t.Logf("%d strands, %.1f m, travels %d, crossings %d; covered %.2f double %.2f open %.2f spilled %.2f", len(l.Strands), l.Stats.LengthMM/1000, l.Stats.Travels, l.Stats.Crossings,
			m.Coverage.Covered.Percent, m.Coverage.Double.Percent, m.Coverage.Open.Percent, m.Coverage.Spilled.Percent)
		return m
	}
	for _, g := range generators.All() {
		t.Run(g.ID, func(t *testing.T) {
			make(t, func(j *job.Job) { j.Art.Generator = g.ID })
		})
	}
	t.Run("lettering", func(t *testing.T) {
		m := make(t, func(j *job.Job) { j.Art.Kind, j.Art.Text, j.Art.CapHeightMM = "lettering", "TIDE", 10 })
		assert.True(t, m.Findings.Has("artwork-mirrored"))
	})
	drawings, err := filepath.Glob("../../testdata/drawings/*.svg")
	require.NoError(t, err)
	for _, file := range drawings {
		for _, kind := range []string{"lines", "shapes"} {
			t.Run(kind+"/"+filepath.Base(file), func(t *testing.T) {
				svg, err := os.ReadFile(file)
				require.NoError(t, err)
				j := job.Default()
				j.Art.Kind, j.Art.SVG = kind, string(svg)
				m, err := Make(context.Background(), p, j, false, nil)
				require.NoError(t, err)
				for _, f := range m.Findings {
					t.Logf("%s %s: %s", f.Level, f.Code, f.Error())
				}
			})
		}
	}
	t.Run("trial", func(t *testing.T) {
		m := make(t, func(j *job.Job) {
			j.Art.Kind, j.Art.TrialColumns, j.Art.TrialRows = "trial", 3, 2
			j.Art.TrialAcrossFrom, j.Art.TrialAcrossTo = 0.38, 0.46
		})
		assert.NotNil(t, m.Layers[0].Artwork.Plate)
	})
}

// laidFilament sums the filament of a layer's pattern, in mm.
func laidFilament(l Layer) float64 {
	sum := 0.0
	for _, op := range l.Order {
		if op.Role == join.Pattern {
			for _, e := range op.E {
				sum += e
			}
		}
	}
	return sum
}

func sampleOptions(id string) specimen.Options {
	for _, s := range specimen.Samples() {
		if s.ID == id {
			return s.Options
		}
	}
	panic("no sample " + id)
}
