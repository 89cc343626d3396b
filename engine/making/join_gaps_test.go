package making

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
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
	into := []plane.Point{l.Prime[0], l.Artwork.Drawn[0].Points[0]}
	assert.False(t, newBeads(l.Strands, boxed.Line.WidthMM).free(into), "into the box leads over its side")
}

// rows is a drawing of rows one line apart that reaches far beyond the tile,
// as makers draw it to trim the excess.
func rows(spacingMM, turnDeg float64) string {
	var path strings.Builder
	x := [2]float64{-60, 60}
	for i, y := 0, -60.0; y < 60; i, y = i+1, y+spacingMM {
		fmt.Fprintf(&path, "L%g %g L%g %g", x[i%2], y, x[(i+1)%2], y)
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="120mm" viewBox="-60 -60 120 120"><path transform="rotate(%g)" fill="none" stroke="#000" stroke-width="0.42" d="M%s"/></svg>`,
		turnDeg, path.String()[1:])
}

func TestLinesThatTheOutlineCutsGoOnAlongIt(t *testing.T) {
	for _, piece := range []string{"harbour-tile", "shelf-tag"} {
		p := sampled(t, piece)
		for _, turn := range []float64{0, 17, 45, 90} {
			m := done(t, p, func(j *job.Job) { j.Art.Kind, j.Art.SVG = "lines", rows(0.41, turn) })
			l := m.Layers[0]
			name := fmt.Sprintf("%s, turned by %g°: %d strands", piece, turn, len(l.Strands))
			if piece == "harbour-tile" {
				require.Equal(t, 1, len(l.Strands), name)
				assert.False(t, m.Findings.Has("making-lines-cut"), name)
			}
			assert.True(t, m.Findings.Has("making-joined-outline"), name)
			assert.False(t, m.Findings.Has("coverage-excess"), name)
			within := overlay.Offset(l.Face, -0.39*m.Line.WidthMM, overlay.Round(), 0)
			for _, s := range l.Strands {
				for i, a := range s.Points {
					require.True(t, within.Contains(a), "%s: %v", name, a)
					if i > 0 && s.Zone[i-1] == strand.Connector {
						for k := 1; k < len(s.Points); k++ {
							require.False(t, crosses(s.Points[i-1], a, s.Points[k-1], s.Points[k]), name)
						}
					}
				}
			}
		}
	}
	// Rows that stand alone are a picture: nothing is added unasked.
	apart := done(t, sampled(t, "harbour-tile"), func(j *job.Job) { j.Art.Kind, j.Art.SVG = "lines", rows(8, 0) })
	assert.False(t, apart.Findings.Has("making-joined-outline"))
	assert.True(t, apart.Findings.Has("making-lines-cut"))
}

func TestBorderWay(t *testing.T) {
	square := plane.Region{{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}, {{X: 4, Y: 4}, {X: 4, Y: 6}, {X: 6, Y: 6}, {X: 6, Y: 4}}}
	at := func(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }
	for _, row := range []struct {
		name     string
		from, to plane.Point
		want     []plane.Point
	}{
		{"along one edge", at(2, 0), at(5, 0), []plane.Point{at(2, 0), at(5, 0)}},
		{"against its direction", at(5, 0), at(2, 0), []plane.Point{at(5, 0), at(2, 0)}},
		{"round a corner", at(9, 0), at(10, 2), []plane.Point{at(9, 0), at(10, 0), at(10, 2)}},
		{"round a corner backwards", at(10, 2), at(9, 0), []plane.Point{at(10, 2), at(10, 0), at(9, 0)}},
		{"past the first corner", at(0, 1), at(1, 0), []plane.Point{at(0, 1), at(0, 0), at(1, 0)}},
		{"round a hole", at(4, 5), at(6, 5.5), []plane.Point{at(4, 5), at(4, 6), at(6, 6), at(6, 5.5)}},
		{"a corner that the machine cannot tell from the end", at(9, 0), at(10, 0.01), []plane.Point{at(9, 0), at(10, 0.01)}},
		{"from one ring to another", at(2, 0), at(4, 5), nil},
		{"not on the border", at(2, 1), at(5, 0), nil},
	} {
		assert.Equal(t, row.want, alongBorder(square, row.from, row.to), row.name)
	}
	assert.Nil(t, alongBorder(nil, at(0, 0), at(1, 0)))
}
