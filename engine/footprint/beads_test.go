package footprint_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// closedUnion is the exact answer where there are no walls: the union of all
// beads as polygons, grown by half a line and shrunk again.
func closedUnion(l deposit.Layer) plane.Region {
	var capsules []plane.Ring
	for _, s := range l.Strokes {
		for i := 1; i < len(s.Points); i++ {
			u := s.Points[i].Sub(s.Points[i-1]).Unit().Mul(width / 2)
			var r plane.Ring
			for k := range 32 {
				end := s.Points[i]
				if k >= 16 {
					end = s.Points[i-1]
				}
				r = append(r, end.Add(u.Turn(-math.Pi/2+math.Pi*float64(k-k/16)/15)))
			}
			capsules = append(capsules, r)
		}
	}
	g := overlay.Normalize(capsules, overlay.NonZero)
	g = overlay.Offset(g, width/2, overlay.Round(), 0.001)
	return overlay.Offset(g, -width/2, overlay.Round(), 0.001)
}

// TestWithoutWalls rebuilds shapes from fill alone, at several turns.
func TestWithoutWalls(t *testing.T) {
	worst := 0.0
	for _, shape := range []specimen.Shape{specimen.Rectangle(12, 8), specimen.Annulus(6, 3), specimen.Letter(20), specimen.Slits(12, 8, 2, 0.8), specimen.Twins(5, 6, 0.6), specimen.Tag(14, 8, 2)} {
		for _, turn := range []float64{0, 10, 45, 77.7} {
			t.Run(fmt.Sprintf("%s/%g", shape.Name, turn), func(t *testing.T) {
				s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 110, Y: 100}, TurnDegree: turn, FillDegree: 30, Layers: 1})
				l := layerOf(s)
				got, want := read(l), closedUnion(l)
				d := math.Max(borderDistance(got.Region, want), borderDistance(want, got.Region))
				assert.Less(t, d, 0.05)
				worst = math.Max(worst, d)
				assert.InDelta(t, 1, got.Region.Area()/want.Area(), 0.005)
				assert.Len(t, got.Islands, len(overlay.Islands(want)))
			})
		}
	}
	t.Logf("largest boundary error %.3f mm", worst)
}

// TestUnionOfBeadsIsExact holds the outline of bare beads, spaced so that the
// closing fills the valleys between them, against the closed form: a stadium
// whose rows are all there is the box of the lines grown by half a bead, less
// the corners and the valleys left at the row ends.
func TestUnionOfBeadsIsExact(t *testing.T) {
	lines := rows(0, 0, 30, 20, pitch)
	top := lines[len(lines)-1].Points[0].Y + width/2
	for _, degrees := range []float64{0, 12, 45, 90, 133} {
		m := plane.Rotate(degrees * math.Pi / 180).Then(plane.Translate(100, 100))
		var turned []deposit.Stroke
		for _, s := range lines {
			s.Points = m.ApplyLine(s.Points)
			turned = append(turned, s)
		}
		got := read(layer(turned...))
		want := m.ApplyRegion(plane.Region{box(0, 0, 30, top)})
		require.Len(t, got.Region, 1)
		assert.Less(t, borderDistance(got.Region, want), 0.1, "valleys are 0.06 mm deep")
		// The sides along the rows are straight and must be met.
		side := []plane.Point{m.Apply(plane.Point{X: 10}), m.Apply(plane.Point{X: 20, Y: top}), m.Apply(plane.Point{X: 15})}
		for _, p := range side {
			assert.Less(t, toBorder(p, got.Region), 0.05, "turned %g", degrees)
		}
	}
}

func TestThinPartBesideAWallIsNotLost(t *testing.T) {
	all := plate(0, 0, 30, 20)
	all = append(all, stroke(width, plane.Point{X: 29.9, Y: 10}, plane.Point{X: 36, Y: 10}))
	got := read(layer(all...))
	require.Len(t, got.Islands, 1)
	assert.InDelta(t, 600+6*width+math.Pi*width*width/8, got.Region.Area(), 0.1)
}

// TestFilamentOfFineLines: lines of a 0.2 mm nozzle are thinner than most, and
// their distance tells that no thicker filament was meant.
func TestFilamentOfFineLines(t *testing.T) {
	for _, c := range []struct{ width, height float64 }{{0.2, 0.1}, {0.16, 0.08}, {0.22, 0.12}, {0.42, 0.2}, {0.9, 0.3}} {
		for _, filament := range []float64{1.75, 2.85} {
			pitch := bead.Stadium.Pitch(c.width, c.height)
			var l deposit.Layer
			l.Z, l.Height = c.height, c.height
			for k := range 60 {
				s := deposit.Stroke{Points: []plane.Point{{X: 0, Y: float64(k) * pitch}, {X: 30, Y: float64(k) * pitch}}, Z: c.height, Feed: []float64{1200}}
				s.E = []float64{30 * bead.EPerMM(bead.Stadium.Area(c.width, c.height), filament, 1)}
				l.Strokes = append(l.Strokes, s)
			}
			got := read(l)
			assert.Equal(t, filament, got.FilamentDiameterMM, "%v", c)
			assert.InDelta(t, c.width, got.LineWidthMM, 0.005*c.width, "%v", c)
		}
	}
}
