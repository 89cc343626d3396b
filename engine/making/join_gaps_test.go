package making

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
)

func TestDrawnLinesAreJoined(t *testing.T) {
	p := sampled(t, "harbour-tile")
	svg := `<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40"><g fill="none" stroke="#000" stroke-width="0.42"><path d="M5 5H35"/><path d="M5 5.42H35"/><path d="M5 5.84H35"/><path d="M5 6.26H35"/></g></svg>`
	lines := func(joined bool) *Made {
		return done(t, p, func(j *job.Job) { j.Art.Kind, j.Art.SVG, j.Art.JoinGaps = "lines", svg, joined })
	}
	apart, joined := lines(false), lines(true)
	assert.Len(t, apart.Layers[0].Strands, 4)
	assert.True(t, apart.Findings.Has("making-lines-apart"))
	assert.False(t, joined.Findings.Has("making-lines-apart"))
	for _, m := range []*Made{apart, joined} {
		assert.True(t, m.Findings.Has("making-partly-covered"), "four lines cover no tile")
		assert.False(t, m.Findings.Has("coverage-open-spot"))
	}
	l := joined.Layers[0]
	require.Len(t, l.Strands, 1, "one unbroken bead")
	assert.Equal(t, 3, l.Stats.Bridges)
	assert.InDelta(t, 3*0.42, l.Stats.LinkMM, 1e-6, "three links of one line each")
	assert.True(t, joined.Findings.Has("making-joined"))

	// The second link would have to cross the upright line: it stays a travel.
	svg = `<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40"><g fill="none" stroke="#000" stroke-width="0.42"><path d="M5 20H15"/><path d="M25 20H35"/><path d="M20 2V38"/></g></svg>`
	crossed := lines(true).Layers[0]
	for _, s := range crossed.Strands {
		for i := 1; i < len(s.Points); i++ {
			for k := i + 2; k < len(s.Points); k++ {
				assert.False(t, crosses(s.Points[i-1], s.Points[i], s.Points[k-1], s.Points[k]))
			}
		}
	}
}

// With nothing kept, prime line and pattern are one bead; where the way would
// lead over laid bead, the nozzle is lifted.
func TestPrimeLeadsInUnlessItCrosses(t *testing.T) {
	p := sampled(t, "harbour-tile")
	for _, side := range []string{"front", "back", "left", "right"} {
		m := done(t, p, func(j *job.Job) { j.Keep.Around, j.Prime.Side = false, side })
		l := m.Layers[0]
		if len(l.Prime) == 3 {
			for _, s := range l.Strands {
				for i := 1; i < len(s.Points); i++ {
					require.False(t, crosses(l.Prime[1], l.Prime[2], s.Points[i-1], s.Points[i]))
				}
			}
		}
	}
	m := done(t, p, func(j *job.Job) { j.Keep.Around = false })
	assert.Len(t, m.Layers[0].Prime, 3, "one bead from the first drop on")
	svg := `<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60"><g fill="none" stroke="#000" stroke-width="0.42"><path d="M30 30L30 32L32 32"/><path d="M10 10H50V50H10Z"/></g></svg>`
	boxed := done(t, p, func(j *job.Job) { j.Keep.Around, j.Art.Kind, j.Art.SVG = false, "lines", svg })
	l := boxed.Layers[0]
	w := &work{Made: boxed}
	assert.False(t, w.free(l.Prime[0], l.Artwork.Drawn[0].Points[0], l.Strands), "into the box leads over its side")
}
