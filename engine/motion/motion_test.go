package motion_test

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/motion"
)

// plain has no axis limits and one acceleration.
func plain(accel float64) motion.Limits {
	return motion.Limits{AccelMMs2: accel, TravelAccelMMs2: accel, RetractAccelMMs2: accel,
		Corner: motion.ArcOfDeviation, DeviationMM: 0.05, JumpMMs: 8}
}

// path makes feeding moves through the points (x, y) at a speed in mm/s.
func path(speed float64, points ...[2]float64) []motion.Move {
	var moves []motion.Move
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		moves = append(moves, motion.Move{From: [3]float64{a[0], a[1], 0}, To: [3]float64{b[0], b[1], 0}, DE: 0.01, Feed: 60 * speed})
	}
	return moves
}

// Source: check-values "Motion time", (d, v, a) from rest to rest.
func TestTrapezoidTable(t *testing.T) {
	for _, row := range []struct{ d, v, a, t, peak float64 }{
		{100, 50, 1000, 2.05, 50},
		{10, 50, 500, 0.30, 50},
		{1, 50, 1000, 0.0632456, 31.622777},
		{0.4, 30, 500, 0.0565685, 14.142136},
		{0, 30, 500, 0, 0},
	} {
		t.Run(fmt.Sprintf("d=%g", row.d), func(t *testing.T) {
			seconds, peak := motion.Trapezoid(row.d, 0, row.v, 0, row.a)
			assert.InDelta(t, row.t, seconds, 5e-8)
			assert.InDelta(t, row.peak, peak, 5e-7)
			if row.d == 0 {
				return // filament alone, see TestKindsAreToldApart
			}
			assert.InDelta(t, row.t, motion.Time(path(row.v, [2]float64{}, [2]float64{row.d}), plain(row.a)).Seconds, 5e-8)
		})
	}
	// Entered and left at speed: v_p = √(a·d + (v0²+v1²)/2) (same source).
	seconds, peak := motion.Trapezoid(1, 10, 100, 20, 1000)
	assert.InDelta(t, math.Sqrt(1000+250), peak, 1e-12)
	assert.InDelta(t, (2*peak-30)/1000, seconds, 1e-12)
}

// Source: check-values "Motion time", corner table; a = 1000, δ = 0.05, Δv = 8.
func TestCornerTable(t *testing.T) {
	turns := []float64{10, 30, 45, 60, 90, 120, 135, 180}
	arc := []float64{114.41, 37.648, 24.634, 17.978, 10.987, 7.071, 5.567, 0}
	jump := []float64{45.895, 15.455, 10.453, 8.000, 5.657, 4.619, 4.330, 4.000}
	limits := plain(1000)
	for i, turn := range turns {
		radians := turn * math.Pi / 180
		limits.Corner = motion.ArcOfDeviation
		assert.InDelta(t, arc[i], limits.CornerSpeed(radians, 1000), 6e-3*math.Max(1, arc[i]/100), "arc, %v°", turn)
		limits.Corner = motion.JumpLimit
		assert.InDelta(t, jump[i], limits.CornerSpeed(radians, 1000), 6e-4, "jump, %v°", turn)
		limits.Corner = motion.FullStop
		assert.Zero(t, limits.CornerSpeed(radians, 1000))
	}
	assert.True(t, math.IsInf(limits.CornerSpeed(0, 1000), 1), "straight on")
}

// The corner speed is really used: two legs of 100 mm meeting at the angle of
// each table row, against the closed form of their trapezoids.
func TestCornersOfThePlanner(t *testing.T) {
	for _, model := range []motion.Corner{motion.ArcOfDeviation, motion.JumpLimit, motion.FullStop} {
		for _, turn := range []float64{10, 30, 45, 60, 90, 120, 135, 180} {
			limits := plain(1000)
			limits.Corner = model
			radians := turn * math.Pi / 180
			s, c := math.Sincos(radians)
			corner := math.Min(50, limits.CornerSpeed(radians, 1000))
			a, _ := motion.Trapezoid(100, 0, 50, corner, 1000)
			b, _ := motion.Trapezoid(100, corner, 50, 0, 1000)
			got := motion.Time(path(50, [2]float64{}, [2]float64{100, 0}, [2]float64{100 + 100*c, 100 * s}), limits)
			assert.InDelta(t, a+b, got.Seconds, 1e-6, "model %v, %v°", model, turn)
		}
	}
}

// On a curve v = √(a·r) (check-values "Motion time"): a finely divided circle
// is laid at that speed, and at the feed where the feed is slower.
func TestCurveIsTakenAtRootOfAccelTimesRadius(t *testing.T) {
	limits := plain(1000)
	limits.CurveLimited = true
	for _, c := range []struct{ radius, feed, speed float64 }{
		{1, 200, math.Sqrt(1000)}, {0.2, 200, math.Sqrt(200)}, {10, 50, 50},
	} {
		const turns, steps = 200, 360
		points := make([][2]float64, turns*steps+1)
		for i := range points {
			s, co := math.Sincos(2 * math.Pi * float64(i) / steps)
			points[i] = [2]float64{c.radius * co, c.radius * s}
		}
		got := motion.Time(path(c.feed, points...), limits)
		assert.InEpsilon(t, turns*2*math.Pi*c.radius/c.speed, got.Seconds, 0.005, "r = %v", c.radius)
	}
}

func TestKindsAreToldApart(t *testing.T) {
	limits := plain(1000)
	moves := []motion.Move{
		{From: [3]float64{0, 0, 0}, To: [3]float64{100, 0, 0}, DE: 3, Feed: 3000},
		{From: [3]float64{100, 0, 0}, To: [3]float64{100, 0, 0}, DE: -1, Feed: 2100},
		{From: [3]float64{100, 0, 0}, To: [3]float64{100, 0, 1}, Feed: 600, Dwell: 0.5},
		{From: [3]float64{100, 0, 1}, To: [3]float64{0, 0, 1}, Feed: 6000},
		{From: [3]float64{0, 0, 1}, To: [3]float64{0, 0, 1}, Dwell: 2},
		{From: [3]float64{0, 0, 1}, To: [3]float64{0, 0, 1}, DE: 1, Feed: 2100},
		{},
	}
	e := motion.Time(moves, limits)
	feed, _ := motion.Trapezoid(100, 0, 50, 0, 1000)
	back, _ := motion.Trapezoid(1, 0, 35, 0, 1000)
	lift, _ := motion.Trapezoid(1, 0, 10, 0, 1000)
	over, _ := motion.Trapezoid(100, 0, 100, 0, 1000)
	assert.InDelta(t, feed, e.FeedingSeconds, 1e-9)
	assert.InDelta(t, 2*back, e.RetractSeconds, 1e-9)
	assert.InDelta(t, lift+over, e.TravelSeconds, 1e-9)
	assert.InDelta(t, 2.5, e.DwellSeconds, 1e-12)
	assert.InDelta(t, feed+2*back+lift+over+2.5, e.Seconds, 1e-9)
	assert.InDelta(t, 100, e.FeedingMM, 1e-12)
	assert.InDelta(t, 101, e.TravelMM, 1e-12)
	assert.InDelta(t, 3, e.FilamentMM, 1e-12)
	assert.EqualValues(t, 7, e.Moves)
	assert.Zero(t, e.Unusable)

	s := motion.NewSchedule(moves, limits)
	require.Len(t, s.Ends, len(moves))
	assert.InDelta(t, feed, s.Ends[0], 1e-9)
	assert.InDelta(t, feed+back, s.Ends[1], 1e-9)
	assert.InDelta(t, feed+back+lift+0.5, s.Ends[2], 1e-9, "the pause belongs to its move")
	assert.InDelta(t, e.Seconds, s.Ends[6], 1e-12)
	move, share := s.At(s.Ends[2] + over/4)
	assert.Equal(t, 3, move)
	assert.InDelta(t, 0.25, share, 1e-9)
}

func TestScheduleEnds(t *testing.T) {
	s := motion.NewSchedule(nil, plain(1000))
	move, share := s.At(1)
	assert.Equal(t, -1, move)
	assert.Zero(t, share)
	s = motion.NewSchedule(path(50, [2]float64{}, [2]float64{100}), plain(1000))
	for _, c := range []struct {
		at, share float64
	}{{-1, 0}, {math.NaN(), 0}, {1.025, 0.5}, {2.05, 1}, {99, 1}} {
		move, share = s.At(c.at)
		assert.Equal(t, 0, move)
		assert.InDelta(t, c.share, share, 1e-9, "at %v", c.at)
	}
}

func TestAxisLimits(t *testing.T) {
	limits := plain(1000)
	limits.MaxSpeedMMs = [4]float64{100, 40, 5, 2}
	limits.MaxAccelMMs2 = [4]float64{1000, 500, 50, 100}
	for name, c := range map[string]struct {
		move     motion.Move
		speed, a float64
	}{
		"along X":            {motion.Move{To: [3]float64{50, 0, 0}, Feed: 12000}, 100, 1000},
		"along Y":            {motion.Move{To: [3]float64{0, 50, 0}, Feed: 12000}, 40, 500},
		"along Z":            {motion.Move{To: [3]float64{0, 0, 50}, Feed: 12000}, 5, 50},
		"3-4-5, Y decides":   {motion.Move{To: [3]float64{30, 40, 0}, Feed: 12000}, 50, 625},
		"filament decides":   {motion.Move{To: [3]float64{50, 0, 0}, DE: 5, Feed: 12000}, 20, 1000},
		"filament alone":     {motion.Move{DE: -50, Feed: 12000}, 2, 100},
		"slower than limits": {motion.Move{To: [3]float64{50, 0, 0}, Feed: 600}, 10, 1000},
	} {
		length := math.Hypot(math.Hypot(c.move.To[0], c.move.To[1]), c.move.To[2])
		if length == 0 {
			length = math.Abs(c.move.DE)
		}
		want, _ := motion.Trapezoid(length, 0, c.speed, 0, c.a)
		assert.InDelta(t, want, motion.Time([]motion.Move{c.move}, limits).Seconds, 1e-9, name)
	}
}

func TestUnusableMovesAreCountedAndLeftOut(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := motion.Move{To: [3]float64{10, 0, 0}, Feed: 600}
	for name, bad := range map[string]motion.Move{
		"NaN place":        {To: [3]float64{nan, 0, 0}, Feed: 600},
		"infinite place":   {From: [3]float64{0, -inf, 0}, Feed: 600},
		"hostile place":    {To: [3]float64{1e308, 0, 0}, Feed: 600},
		"NaN filament":     {To: [3]float64{1, 0, 0}, DE: nan, Feed: 600},
		"no speed":         {To: [3]float64{1, 0, 0}},
		"negative speed":   {To: [3]float64{1, 0, 0}, Feed: -1},
		"NaN speed":        {To: [3]float64{1, 0, 0}, Feed: nan},
		"infinite speed":   {To: [3]float64{1, 0, 0}, Feed: inf},
		"negative pause":   {Dwell: -1},
		"endless pause":    {Dwell: inf},
		"retract, unsped":  {DE: -1},
		"NaN pause length": {Dwell: nan},
		"crawling":         {To: [3]float64{1, 0, 0}, Feed: 1e-320},
		"to the moon":      {To: [3]float64{4e11, 0, 0}, Feed: 600},
		"pause of years":   {Dwell: 1e9},
		"spools at once":   {DE: 1e7, Feed: 600},
	} {
		e := motion.Time([]motion.Move{bad, good}, plain(1000))
		assert.EqualValues(t, 1, e.Unusable, name)
		assert.Len(t, e.Findings(), 1, name)
		want := motion.Time([]motion.Move{good}, plain(1000)).Seconds
		assert.Equal(t, want, e.Seconds, name)
		assert.Len(t, motion.NewSchedule([]motion.Move{bad, good, bad}, plain(1000)).Ends, 3, name)
	}
	assert.Equal(t, motion.Estimate{}, motion.Time(nil, plain(1000)))
	assert.Empty(t, motion.Estimate{}.Findings())
}

func TestLimitsAreRefusedByName(t *testing.T) {
	require.Empty(t, motion.DefaultLimits().Validate())
	for field, change := range map[string]func(*motion.Limits){
		"motion.accelMMs2":        func(l *motion.Limits) { l.AccelMMs2 = 0 },
		"motion.travelAccelMMs2":  func(l *motion.Limits) { l.TravelAccelMMs2 = math.NaN() },
		"motion.retractAccelMMs2": func(l *motion.Limits) { l.RetractAccelMMs2 = -1 },
		"motion.maxSpeedMMs.Z":    func(l *motion.Limits) { l.MaxSpeedMMs[motion.Z] = 1e308 },
		"motion.maxAccelMMs2.E":   func(l *motion.Limits) { l.MaxAccelMMs2[motion.E] = -5 },
		"motion.corner":           func(l *motion.Limits) { l.Corner = 7 },
		"motion.deviationMM":      func(l *motion.Limits) { l.DeviationMM = 0 },
		"motion.jumpMMs":          func(l *motion.Limits) { l.Corner, l.JumpMMs = motion.JumpLimit, math.Inf(1) },
	} {
		l := motion.DefaultLimits()
		change(&l)
		found := l.Validate()
		require.Len(t, found, 1, field)
		assert.Equal(t, field, found[0].Place.Element)
	}
}

// randomMoves mixes long and very short moves, sharp and gentle corners,
// changes of speed, retractions and pauses.
func randomMoves(random *rand.Rand, n int) []motion.Move {
	var moves []motion.Move
	at, angle := [3]float64{}, 0.0
	for range n {
		m := motion.Move{From: at, To: at, Feed: 60 * (5 + 95*random.Float64())}
		switch random.Intn(20) {
		case 0:
			m.DE = -1
		case 1:
			m.Dwell = random.Float64() / 10
		case 2:
			m.To[2] += random.Float64()
		default:
			angle += math.Pow(random.Float64(), 4) * 3
			length := math.Pow(10, -2+3.5*random.Float64())
			s, c := math.Sincos(angle)
			m.To[0] += length * c
			m.To[1] += length * s
			if random.Intn(3) > 0 {
				m.DE = length * 0.03
			}
		}
		moves, at = append(moves, m), m.To
	}
	return moves
}

// The planner with its moving window against two passes over the whole list
// with textbook formulas, and against integration in small steps of the way.
func TestAgainstTwoPassesAndStepByStep(t *testing.T) {
	const seed = 5
	random := rand.New(rand.NewSource(seed))
	sizes := []int{1, 2, 3, 10, 30, 150}
	for _, model := range []motion.Corner{motion.ArcOfDeviation, motion.JumpLimit, motion.FullStop} {
		for _, n := range sizes {
			limits := motion.Limits{AccelMMs2: 800, TravelAccelMMs2: 1500, RetractAccelMMs2: 600,
				MaxSpeedMMs: [4]float64{90, 70, 5, 30}, MaxAccelMMs2: [4]float64{1200, 900, 100, 2000},
				Corner: model, DeviationMM: 0.03, JumpMMs: 7}
			moves := randomMoves(random, n)
			got := motion.Time(moves, limits).Seconds
			require.InEpsilon(t, twoPasses(moves, limits), got, 1e-9, "seed %d, model %v, n %d", seed, model, n)
			require.InEpsilon(t, stepByStep(moves, limits, 1e-3), got, 5e-4, "seed %d, model %v, n %d", seed, model, n)
		}
	}
}

// The comparison above is not blind: 2 % more acceleration shows.
func TestComparisonSeesAFault(t *testing.T) {
	moves := randomMoves(rand.New(rand.NewSource(5)), 100)
	right, wrong := plain(800), plain(816)
	planned := motion.Time(moves, right).Seconds
	assert.InEpsilon(t, planned, stepByStep(moves, right, 1e-3), 5e-4)
	assert.Greater(t, math.Abs(stepByStep(moves, wrong, 1e-3)/planned-1), 1.5e-3)
}

// Many windows' worth of moves, and nearly straight ones whose braking reaches
// over hundreds of moves.
func TestWindowChangesNothing(t *testing.T) {
	const seed = 6
	random := rand.New(rand.NewSource(seed))
	limits := plain(500)
	n := 60000
	if testing.Short() {
		n = 20000
	}
	moves := randomMoves(random, n)
	require.InEpsilon(t, twoPasses(moves, limits), motion.Time(moves, limits).Seconds, 1e-9, "seed %d", seed)
	// Straight moves of 0.01 mm at 100 mm/s: braking needs 10 mm, 1000 moves,
	// then 50 mm, 5000 moves, then more than the window can ever see.
	const straight = 100000
	points := make([][2]float64, straight+1)
	for i := range points {
		points[i] = [2]float64{float64(i) * 0.01, 0}
	}
	for _, accel := range []float64{500, 100} {
		want, _ := motion.Trapezoid(1000, 0, 100, 0, accel)
		assert.InEpsilon(t, want, motion.Time(path(100, points...), plain(accel)).Seconds, 1e-6, "accel %v", accel)
	}
	want, _ := motion.Trapezoid(1000, 0, 100, 0, 10)
	got := motion.Time(path(100, points...), plain(10)).Seconds
	assert.GreaterOrEqual(t, got, want*(1-1e-9), "never faster than the endless plan")
	assert.Less(t, got, 1.2*want, "and little slower")
}

func TestScheduleSumsUpOverWindows(t *testing.T) {
	random := rand.New(rand.NewSource(8))
	moves := randomMoves(random, 10000)
	limits := motion.DefaultLimits()
	s := motion.NewSchedule(moves, limits)
	require.Len(t, s.Ends, len(moves))
	for i := 1; i < len(s.Ends); i++ {
		require.GreaterOrEqual(t, s.Ends[i], s.Ends[i-1])
	}
	assert.Equal(t, s.Estimate.Seconds, s.Ends[len(s.Ends)-1])
	assert.InEpsilon(t, s.Estimate.Seconds, s.Estimate.FeedingSeconds+s.Estimate.TravelSeconds+s.Estimate.RetractSeconds+s.Estimate.DwellSeconds, 1e-9)
}

func TestPlannerAllocatesNothingForAMove(t *testing.T) {
	moves := randomMoves(rand.New(rand.NewSource(9)), 5000)
	p := motion.NewPlanner(motion.DefaultLimits())
	assert.Zero(t, testing.AllocsPerRun(20, func() {
		for i := range moves {
			p.Add(&moves[i])
		}
	}))
	first := motion.Time(moves, motion.DefaultLimits())
	p.Reset()
	for i := range moves {
		p.Add(&moves[i])
	}
	assert.Equal(t, first, p.Finish(), "a planner can be used again")
}

// fileMoves resembles a sliced file: outlines of short segments round a
// circle, then parallel lines, the next outline at another place.
func fileMoves(n int) []motion.Move {
	moves := make([]motion.Move, 0, n)
	at := [3]float64{}
	add := func(x, y, e, speed float64) {
		to := [3]float64{x, y, at[2]}
		moves, at = append(moves, motion.Move{From: at, To: to, DE: e, Feed: 60 * speed}), to
	}
	for ring := 0; len(moves) < n; ring++ {
		radius := 5 + float64(ring%10)
		add(100+radius, 100, 0, 150)
		for i := 1; i <= 120; i++ {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 120)
			add(100+radius*c, 100+radius*s, 0.01, 40)
		}
		for i := range 30 {
			y := 95 + float64(i)*0.4
			x := 95 + 10*float64(i%2)
			add(x, y, 0.01, 60)
			add(200-x, y, 0.3, 60)
		}
	}
	return moves[:n]
}

func BenchmarkPlanner(b *testing.B) {
	for _, kind := range []string{"file", "random"} {
		for _, n := range []int{1000, 10000, 1000000} {
			moves := fileMoves(min(n, 10000))
			if kind == "random" {
				moves = randomMoves(rand.New(rand.NewSource(1)), min(n, 10000))
			}
			b.Run(fmt.Sprintf("%s/n=%d", kind, n), func(b *testing.B) {
				b.ReportAllocs()
				p := motion.NewPlanner(motion.DefaultLimits())
				sum := 0.0
				for range b.N {
					p.Reset()
					for i := range n {
						p.Add(&moves[i%len(moves)])
					}
					sum += p.Finish().Seconds
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/move")
				if sum == 0 {
					b.Fatal("no time at all")
				}
			})
		}
	}
}
