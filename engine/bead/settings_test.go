package bead_test

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

func usual() bead.Settings {
	return bead.Settings{NozzleMM: 0.4, HeightMM: 0.2, SpacingMM: 0.42, FilamentDiameterMM: 1.75, Flow: 1,
		SpeedMMs: 20, DensityGCm3: 1.24, Limits: bead.DefaultLimits()}
}

func TestSettingsAreRefusedByName(t *testing.T) {
	require.Empty(t, usual().Validate())
	nan := math.NaN()
	for name, c := range map[string]struct {
		change func(*bead.Settings)
		field  string
		text   string
	}{
		"zero nozzle":     {func(s *bead.Settings) { s.NozzleMM = 0 }, "bead.nozzleMM", "The nozzle width is 0 mm; permitted is 0.1 to 2 mm."},
		"NaN nozzle":      {func(s *bead.Settings) { s.NozzleMM = nan }, "bead.nozzleMM", "The nozzle width is not a number; permitted is 0.1 to 2 mm."},
		"half a nozzle":   {func(s *bead.Settings) { s.SpacingMM = 0.19 }, "bead.spacingMM", "The line spacing, for a 0.4 mm nozzle, is 0.19 mm; permitted is 0.24 to 0.8 mm."},
		"three nozzles":   {func(s *bead.Settings) { s.SpacingMM = 1.2 }, "bead.spacingMM", "The line spacing, for a 0.4 mm nozzle, is 1.2 mm; permitted is 0.24 to 0.8 mm."},
		"too high":        {func(s *bead.Settings) { s.HeightMM = 0.33 }, "bead.heightMM", "The layer height, for a 0.4 mm nozzle, is 0.33 mm; permitted is 0.02 to 0.32 mm."},
		"negative height": {func(s *bead.Settings) { s.HeightMM = -0.2 }, "bead.heightMM", "The layer height, for a 0.4 mm nozzle, is -0.2 mm; permitted is 0.02 to 0.32 mm."},
		"percent as flow": {func(s *bead.Settings) { s.Flow = 95 }, "bead.flow", "The flow factor is 95; permitted is 0.5 to 2."},
		"NaN flow":        {func(s *bead.Settings) { s.Flow = nan }, "bead.flow", "The flow factor is not a number; permitted is 0.5 to 2."},
		"hostile speed":   {func(s *bead.Settings) { s.SpeedMMs = 1e308 }, "bead.speedMMs", "The bead's speed is 1e+308 mm/s; permitted is 1 to 500 mm/s."},
		"too fast":        {func(s *bead.Settings) { s.SpeedMMs = 150 }, "bead.speedMMs", "Lines of this width, height and flow take 12.6 mm³/s at 150 mm/s; permitted is up to 10 mm³/s."},
		"no filament":     {func(s *bead.Settings) { s.FilamentDiameterMM = 0 }, "bead.filamentDiameterMM", "The filament diameter is 0 mm; permitted is 1 to 4 mm."},
		"feathers":        {func(s *bead.Settings) { s.DensityGCm3 = 0 }, "bead.densityGCm3", "The filament's density is 0 g/cm³; permitted is 0.5 to 10 g/cm³."},
		"loose limit":     {func(s *bead.Settings) { s.Limits.MaxHeightNozzles = 2 }, "limits.maxHeightNozzles", "The highest layer is 2 nozzle widths; permitted is 0.3 to 0.8 nozzle widths."},
	} {
		t.Run(name, func(t *testing.T) {
			s := usual()
			c.change(&s)
			before := s
			found := s.Validate()
			require.Len(t, found, 1)
			assert.Equal(t, finding.Stop, found[0].Level)
			assert.Equal(t, c.field, found[0].Place.Element)
			assert.Equal(t, c.text, found[0].Text)
			assert.NotEmpty(t, found[0].Remedy)
			if !math.IsNaN(s.NozzleMM) && !math.IsNaN(s.Flow) {
				assert.Equal(t, before, s, "nothing is clamped")
			}
		})
	}
	assert.NotEmpty(t, bead.Settings{}.Validate(), "the zero settings are refused")
	slow := usual()
	slow.SpeedMMs = 150
	assert.Equal(t, "Lay the bead at 119.0 mm/s or slower.", slow.Validate()[0].Remedy)
	adjusted := usual()
	adjusted.Limits.MaxWidthNozzles, adjusted.SpacingMM = 2.5, 1
	assert.Empty(t, adjusted.Validate(), "limits can be adjusted")
}

func TestCheckWidths(t *testing.T) {
	lines := []strand.Strand{{
		Points: []plane.Point{{X: 0}, {X: 10}, {X: 20}, {X: 40}},
		Width:  []float64{0.2, 0.4, 0.9},
	}}
	found := bead.CheckWidths(lines, 0.4, bead.DefaultLimits())
	require.Len(t, found, 2)
	assert.Equal(t, "10 mm of the bead (25.0 %) is narrower than permitted: 0.2 mm at worst; permitted is 0.24 to 0.8 mm.", found[0].Text)
	assert.Equal(t, "20 mm of the bead (50.0 %) is wider than permitted: 0.9 mm at worst; permitted is 0.24 to 0.8 mm.", found[1].Text)
	assert.Equal(t, &[2]float64{30, 0}, found[1].Place.At)
	assert.Empty(t, bead.CheckWidths(nil, 0.4, bead.DefaultLimits()))
	lines[0].Width = []float64{0.4, math.NaN()}
	found = bead.CheckWidths(lines, 0.4, bead.DefaultLimits())
	require.Len(t, found, 1)
	assert.Equal(t, "2 segments have no usable width.", found[0].Text)
}

func TestSpeeds(t *testing.T) {
	v := bead.Speeds{BeadMMs: 20, StartMMs: 10, StartLengthMM: 5, TurnMMs: 12, TurnRadiusMM: 0.5, TravelMMs: 100}
	require.Empty(t, v.Validate())
	uturn := strand.Strand{
		Points: []plane.Point{{X: 0}, {X: 4}, {X: 30}, {X: 30, Y: 0.4}, {X: 0, Y: 0.4}},
		Width:  []float64{0.4, 0.4, 0.4, 0.4},
		Zone:   []int32{0, 0, 0, 1},
	}
	feeds := v.AppendFeeds(nil, uturn, func(zone int32) float64 { return [...]float64{0, 15}[zone] })
	assert.Equal(t, []float64{600, 600, 720, 900}, feeds, "start, still start, link of radius 0.25, zone's own")
	assert.Empty(t, v.AppendFeeds(nil, strand.Strand{}, nil))
	broken := v
	broken.BeadMMs, broken.StartLengthMM = math.NaN(), -1
	assert.Len(t, broken.Validate(), 2)
}

// A circle of radius r, finely divided, is a small turn exactly when r is
// under the limit.
func TestSmallTurnIsARadius(t *testing.T) {
	v := bead.Speeds{BeadMMs: 20, TurnMMs: 12, TurnRadiusMM: 1, TravelMMs: 100}
	for _, r := range []float64{0.5, 0.98, 1.02, 5} {
		s := strand.Strand{}
		for i := range 60 {
			s.Points = append(s.Points, plane.Point{X: r}.Turn(float64(i)*0.1))
		}
		want := 1200.0
		if r < 1 {
			want = 720
		}
		for i, f := range v.AppendFeeds(nil, s, nil)[1:58] {
			require.Equal(t, want, f, "r %v segment %d", r, i)
		}
	}
}

func TestMergeShortKeepsAreaEndsAndSteps(t *testing.T) {
	const seed = 11
	random := rand.New(rand.NewSource(seed))
	for round := range 2000 {
		s := randomStrand(random)
		m := bead.MergeShort(s, 0.05)
		require.InEpsilon(t, s.LaidArea(), m.LaidArea(), 1e-9, "seed %d round %d", seed, round)
		require.Equal(t, s.Points[0], m.Points[0])
		require.Equal(t, s.Points[len(s.Points)-1], m.Points[len(m.Points)-1])
		require.Len(t, m.Width, len(m.Points)-1)
		require.Len(t, m.Zone, len(m.Points)-1)
		if len(m.Points) == len(s.Points) {
			continue
		}
		for i := 1; i < len(m.Points)-1; i++ {
			require.GreaterOrEqual(t, m.Points[i].Dist(m.Points[i-1]), 0.05, "seed %d round %d", seed, round)
		}
	}
	tiny := strand.Strand{Points: []plane.Point{{}, {X: 0.01}, {}}, Width: []float64{0.4, 0.4}}
	assert.Equal(t, tiny, bead.MergeShort(tiny, 0.05), "never leaves its start")
	assert.Equal(t, strand.Strand{}, bead.MergeShort(strand.Strand{}, 0.05))
	assert.Equal(t, tiny, bead.MergeShort(tiny, math.NaN()))
}

func TestWipe(t *testing.T) {
	s := strand.Strand{Points: []plane.Point{{X: 0}, {X: 10}, {X: 10, Y: 3}}}
	assert.Equal(t, plane.Polyline{{X: 10, Y: 3}, {X: 10}, {X: 8}}, bead.Wipe(s, 5))
	assert.Equal(t, plane.Polyline{{X: 10, Y: 3}, {X: 10}, {X: 0}}, bead.Wipe(s, 50))
	assert.Empty(t, bead.Wipe(s, 0))
	assert.Empty(t, bead.Wipe(s, math.NaN()))
	assert.Empty(t, bead.Wipe(strand.Strand{}, 5))
}
