package bead_test

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

func sum(list []float64) float64 {
	total := 0.0
	for _, v := range list {
		total += v
	}
	return total
}

// plate lays parallel lines of the given pitch over a w × d plate, linked at
// the ends along the border; links have no width of their own to cover, so
// they are left out (separate strands).
func plate(w, d, pitch float64) []strand.Strand {
	var lines []strand.Strand
	for y := pitch / 2; y < d; y += pitch {
		lines = append(lines, strand.Strand{
			Points: []plane.Point{{X: 0, Y: y}, {X: w, Y: y}},
			Width:  []float64{pitch},
		})
	}
	return lines
}

// Source: check-values "Bead geometry", model-free invariant: a plate
// 100×100×0.2 takes 2000 mm³, E 831.5034 (Ø1.75), 313.5093 (Ø2.85).
func TestInvariantOfAPlate(t *testing.T) {
	for name, c := range map[string]struct{ diameter, want float64 }{
		"1.75": {1.75, 831.5034}, "2.85": {2.85, 313.5093},
	} {
		t.Run(name, func(t *testing.T) {
			feed := bead.Covering(0.2, c.diameter, 1)
			var e []float64
			for _, s := range plate(100, 100, 0.4) {
				e = feed.AppendE(e, s, nil)
			}
			assert.InDelta(t, c.want, sum(e), 1e-3)
			ratio, problem := bead.CheckTotal(sum(e), 100*100, feed)
			assert.Nil(t, problem)
			assert.InDelta(t, 1, ratio, 1e-6)
			ratio, problem = bead.CheckTotal(1.02*sum(e), 100*100, feed)
			require.NotNil(t, problem, "2 % too much is seen")
			assert.Equal(t, "bead-total", problem.Code)
			assert.InDelta(t, 1.02, ratio, 1e-6)
		})
	}
	ratio, problem := bead.CheckTotal(0, 0, bead.Covering(0.2, 1.75, 1))
	assert.Nil(t, problem, "an empty layer agrees")
	assert.Equal(t, 1.0, ratio)
	_, problem = bead.CheckTotal(1, 0, bead.Covering(0.2, 1.75, 1))
	assert.NotNil(t, problem, "material on no area")
}

// Lines that fan out: a sector between radii 5 and 20 covered by rays whose
// width grows with the radius. The covered area has a closed form, so the
// invariant is independent of how the width follows the spacing.
func TestInvariantOfAFan(t *testing.T) {
	const rays, steps = 60, 200
	angle := math.Pi / 2
	feed := bead.Covering(0.2, 1.75, 1)
	var e []float64
	for k := range rays {
		a := angle * (float64(k) + 0.5) / rays
		s := strand.Strand{}
		for i := 0; i <= steps; i++ {
			r := 5 + 15*float64(i)/steps
			s.Points = append(s.Points, plane.Point{X: r}.Turn(a))
			if i > 0 {
				s.Width = append(s.Width, (r-7.5/steps)*angle/rays)
			}
		}
		e = feed.AppendE(e, s, nil)
	}
	_, problem := bead.CheckTotal(sum(e), angle/2*(20*20-5*5), feed)
	assert.Nil(t, problem)
}

func randomStrand(random *rand.Rand) strand.Strand {
	n := 2 + random.Intn(12)
	s := strand.Strand{Points: []plane.Point{{X: random.Float64() * 200, Y: random.Float64() * 200}}}
	for len(s.Points) < n {
		last := s.Points[len(s.Points)-1]
		step := math.Pow(10, -3+4*random.Float64())
		s.Points = append(s.Points, last.Add(plane.Point{X: step}.Turn(random.Float64()*7)))
		s.Width = append(s.Width, 0.24+0.56*random.Float64())
		s.Zone = append(s.Zone, int32(random.Intn(3)))
	}
	return s
}

func TestDoublingFlowDoublesEAndNothingElse(t *testing.T) {
	const seed = 41
	random := rand.New(rand.NewSource(seed))
	for range 500 {
		s := randomStrand(random)
		once := bead.Settings{NozzleMM: 0.4, HeightMM: 0.2, SpacingMM: 0.42, FilamentDiameterMM: 1.75, Flow: 0.9, SpeedMMs: 20}
		twice := once
		twice.Flow *= 2
		a, b := once.Feed().AppendE(nil, s, nil), twice.Feed().AppendE(nil, s, nil)
		require.Len(t, b, len(a))
		for i := range a {
			require.Equal(t, 2*a[i], b[i], "seed %d", seed)
		}
		require.InDelta(t, 2*once.VolumeFlow(), twice.VolumeFlow(), 1e-12)
		require.Equal(t, once.SpacingMM, twice.SpacingMM)
		require.Equal(t, once.HeightMM, twice.HeightMM)
	}
}

func TestAppendEFollowsWidthAndZone(t *testing.T) {
	feed := bead.Covering(0.2, 1.75, 1)
	s := strand.Strand{
		Points: []plane.Point{{X: 0}, {X: 10}, {X: 20}, {X: 30}},
		Width:  []float64{0.4, 0.8, 0.4},
		Zone:   []int32{0, 0, 1},
	}
	e := feed.AppendE([]float64{7}, s, func(zone int32) float64 { return [...]float64{0, 0.95}[zone] })
	require.Len(t, e, 4)
	assert.Equal(t, 7.0, e[0], "what was there stays")
	assert.InDelta(t, 10*0.4*0.2/bead.FilamentArea(1.75), e[1], 1e-12)
	assert.InDelta(t, 2*e[1], e[2], 1e-12)
	assert.InDelta(t, 0.95*e[1], e[3], 1e-12)
	assert.Empty(t, feed.AppendE(nil, strand.Strand{}, nil))
	missing := feed.AppendE(nil, strand.Strand{Points: s.Points[:2]}, nil)
	assert.True(t, math.IsNaN(missing[0]), "a segment without width is not silently laid")
}

func TestFromPieceExtrudesAsThePiece(t *testing.T) {
	// A maker's file: lines 0.407 apart, tuned to 97 %.
	const spacing, height = 0.407, 0.2
	tuned := 0.97 * spacing * height / bead.FilamentArea(1.75)
	feed, found := bead.FromPiece(tuned, spacing, height, 1.75)
	require.Empty(t, found)
	assert.InDelta(t, tuned, feed.EPerMM(spacing), 1e-15)
	assert.InDelta(t, 0.97, feed.Fill, 1e-12)
	assert.InDelta(t, 1.5*tuned, feed.EPerMM(1.5*spacing), 1e-15)

	difference := bead.Compare(feed, bead.Covering(height, 1.75, 1), spacing)
	assert.Equal(t, finding.Caution, difference.Level)
	assert.InDelta(t, 100*(1/0.97-1), difference.Value, 1e-9)
	assert.Equal(t, "For each mm of a line 0.407 mm wide the sliced file feeds 0.03283 mm of filament; the values of the job would feed 0.03384 mm (+3.1 %).", difference.Text)
	assert.Equal(t, "bead-as-piece", bead.Compare(feed, feed, spacing).Code)
	assert.Equal(t, "bead-not-comparable", bead.Compare(feed, bead.Feed{}, spacing).Code)

	gapless, found := bead.FromPiece(tuned, 0, height, 1.75)
	require.Empty(t, found)
	assert.Equal(t, 1.0, gapless.Fill)
	assert.InDelta(t, 0.97*spacing, bead.Rectangle.Width(bead.AreaFromE(tuned, 1.75), height), 1e-12)
}

func TestFromPieceRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		e, spacing, height, diameter float64
		field                        string
	}{
		"no E":              {0, 0.4, 0.2, 1.75, "piece.ePerMM"},
		"NaN E":             {math.NaN(), 0.4, 0.2, 1.75, "piece.ePerMM"},
		"hostile E":         {1e308, 0.4, 0.2, 1.75, "piece.ePerMM"},
		"negative spacing":  {0.03, -1, 0.2, 1.75, "piece.spacingMM"},
		"no height":         {0.03, 0.4, 0, 1.75, "piece.heightMM"},
		"hair as filament":  {0.03, 0.4, 0.2, 0.1, "piece.filamentDiameterMM"},
		"infinite filament": {0.03, 0.4, 0.2, math.Inf(1), "piece.filamentDiameterMM"},
	} {
		t.Run(name, func(t *testing.T) {
			_, found := bead.FromPiece(c.e, c.spacing, c.height, c.diameter)
			require.Len(t, found, 1)
			assert.Equal(t, finding.Stop, found.Worst())
			assert.Equal(t, c.field, found[0].Place.Element)
		})
	}
	_, found := bead.FromPiece(0.033, 0.4, 0.2, 2.85)
	require.Len(t, found, 1, "the wrong filament diameter shows as an odd fill")
	assert.Equal(t, "bead-piece-fill", found[0].Code)
}

func round(v float64, digits int) float64 {
	scale := math.Pow(10, float64(digits))
	return math.Round(v*scale) / scale
}

// A layer written the way files are: X and Y to 3 decimals, E to 5, with a
// rounding error per move. Width must come back within 0.5 %, height and
// diameter exactly.
func TestInferRoundTrip(t *testing.T) {
	for _, c := range []struct {
		width, height, diameter float64
		model                   bead.Model
	}{
		{0.42, 0.2, 1.75, bead.Stadium},
		{0.45, 0.2, 1.75, bead.Rectangle},
		{0.5, 0.3, 2.85, bead.Stadium},
		{0.6, 0.15, 2.85, bead.Rectangle},
	} {
		const seed = 7
		random := rand.New(rand.NewSource(seed))
		perMM := bead.EPerMM(c.model.Area(c.width, c.height), c.diameter, 1)
		layer := deposit.Layer{Height: c.height}
		for range 40 {
			s := deposit.Stroke{Class: deposit.Fill, Points: []plane.Point{{X: round(random.Float64()*100, 3)}}}
			for range 10 {
				last := s.Points[len(s.Points)-1]
				next := plane.Point{X: round(random.Float64()*100, 3), Y: round(random.Float64()*100, 3)}
				s.Points = append(s.Points, next)
				s.E = append(s.E, round(next.Dist(last)*perMM, 5))
				s.Feed = append(s.Feed, 1200)
			}
			layer.Strokes = append(layer.Strokes, s)
		}
		// A skirt-like priming line four times as thick must not disturb it.
		layer.Strokes = append(layer.Strokes, deposit.Stroke{Class: deposit.Priming,
			Points: []plane.Point{{}, {X: 200}}, E: []float64{800 * perMM}, Feed: []float64{600}})
		in, found := bead.Infer(layer, c.diameter)
		require.Empty(t, found)
		got := in.StadiumWidthMM
		if c.model == bead.Rectangle {
			got = in.RectangleWidthMM
		}
		assert.InEpsilon(t, c.width, got, tol.BeadWidthRoundTrip, "seed %d %+v", seed, c)
		assert.Equal(t, c.height, in.HeightMM)
		assert.Equal(t, 20.0, in.SpeedMMs)
		assert.InDelta(t, 1, in.Uniform, 1e-9)
	}
}

func TestInferOddLayers(t *testing.T) {
	_, found := bead.Infer(deposit.Layer{}, 1.75)
	require.True(t, found.Has("bead-no-lines"))
	line := func(class deposit.Class, e float64) deposit.Stroke {
		return deposit.Stroke{Class: class, Points: []plane.Point{{}, {X: 10}}, E: []float64{e}}
	}
	_, found = bead.Infer(deposit.Layer{Height: 0.2, Strokes: []deposit.Stroke{line(deposit.Priming, 1)}}, 1.75)
	assert.True(t, found.Has("bead-no-lines"), "a priming line says nothing about the piece")
	in, found := bead.Infer(deposit.Layer{Height: 0.2, Strokes: []deposit.Stroke{line(deposit.Wall, 0.33), line(deposit.Brim, 9)}}, 1.75)
	require.Empty(t, found)
	assert.Equal(t, deposit.Wall, in.Class)
	in, found = bead.Infer(deposit.Layer{Height: 0.2, Strokes: []deposit.Stroke{
		line(deposit.Fill, 0.33), line(deposit.Fill, 0.50), line(deposit.Fill, 0.33)}}, 1.75)
	assert.True(t, found.Has("bead-piece-varies"))
	assert.InDelta(t, 0.033, in.EPerMM, 1e-12)
	assert.Zero(t, in.SpeedMMs, "no speed in the strokes")
	at := func(class deposit.Class, speedMMs, length float64) deposit.Stroke {
		return deposit.Stroke{Class: class, Points: []plane.Point{{}, {X: length}}, E: []float64{0.033 * length}, Feed: []float64{60 * speedMMs}}
	}
	in, found = bead.Infer(deposit.Layer{Height: 0.2, Strokes: []deposit.Stroke{
		at(deposit.Wall, 5, 900), at(deposit.Skirt, 80, 900), at(deposit.Fill, 60, 40), at(deposit.Fill, 60, 1), at(deposit.Fill, 60, 1), at(deposit.Fill, 24, 60)}}, 1.75)
	require.Empty(t, found)
	assert.Equal(t, 24.0, in.SpeedMMs, "the speed of most of the length of fill, not of most lines, nor of walls and skirt")
	thin, _ := bead.Infer(deposit.Layer{Height: 0.3, Strokes: []deposit.Stroke{line(deposit.Fill, 0.2)}}, 1.75)
	assert.Zero(t, thin.StadiumWidthMM, "narrower than high: no stadium")
	assert.Positive(t, thin.RectangleWidthMM)
	far := line(deposit.Fill, 0.33)
	far.Points[1].X = math.Inf(1)
	_, found = bead.Infer(deposit.Layer{Height: 0.2, Strokes: []deposit.Stroke{far}}, 1.75)
	assert.True(t, found.Has("bead-no-lines"), "a line without an end says nothing")
}
