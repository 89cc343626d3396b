package making

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/piece"
	"sheenlay/engine/specimen"
)

// open reads a whole file as a host does, in chunks.
func open(t testing.TB, name string, data []byte, layers int) *piece.Piece {
	t.Helper()
	r := piece.NewReader(piece.Options{Name: name, Size: int64(len(data)), Layers: layers})
	for from := 0; from < len(data); from += 10_000 {
		if !r.Feed(data[from:min(from+10_000, len(data))]) {
			break
		}
	}
	return r.Finish(context.Background())
}

func stops(list finding.List) (out []string) {
	for _, f := range list {
		if f.Level == finding.Stop {
			out = append(out, f.Code+": "+f.Text)
		}
	}
	return out
}

func TestEverySampleIsMade(t *testing.T) {
	for _, s := range specimen.Samples() {
		t.Run(s.ID, func(t *testing.T) {
			p := open(t, s.ID, specimen.Make(s.Options).Bytes, 3)
			require.True(t, p.Settled(), "%v", stops(p.Findings))
			m, err := Make(context.Background(), p, job.Default(), false, nil)
			require.NoError(t, err)
			assert.Empty(t, stops(m.Findings))
			assert.True(t, m.OK())
			for _, f := range m.Findings {
				t.Logf("%s %s: %s", f.Level, f.Code, f.Error())
			}
			l := m.Layers[0]
			t.Logf("%d strands, %.1f m, travels %d, crossings %d; covered %.2f double %.2f open %.2f spilled %.2f; %d bytes, %.0f s (was %.0f)", len(l.Strands), l.Stats.LengthMM/1000, l.Stats.Travels, l.Stats.Crossings,
				m.Coverage.Covered.Percent, m.Coverage.Double.Percent, m.Coverage.Open.Percent, m.Coverage.Spilled.Percent, len(m.Block), m.Times.NewS, m.Times.OldS)
		})
	}
}
