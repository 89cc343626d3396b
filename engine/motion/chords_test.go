package motion_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/motion"
	"sheenlay/engine/plane"
)

func TestChordsShareTheMove(t *testing.T) {
	m := motion.Move{From: [3]float64{1, 2, 0}, To: [3]float64{4, 6, 7}, DE: 1.4, Feed: 600}
	var got []motion.Move
	motion.Chords(m, []plane.Point{{X: 4, Y: 2}, {X: 4, Y: 2}, {X: 4, Y: 6}}, func(c *motion.Move) { got = append(got, *c) })
	require.Len(t, got, 2)
	assert.Equal(t, motion.Move{From: m.From, To: [3]float64{4, 2, 3}, DE: 0.6, Feed: 600}, rounded(got[0]))
	assert.Equal(t, motion.Move{From: [3]float64{4, 2, 3}, To: m.To, DE: 0.8, Feed: 600}, rounded(got[1]))
	for _, way := range [][]plane.Point{nil, {{X: 1, Y: 2}}} {
		got = nil
		motion.Chords(m, way, func(c *motion.Move) { got = append(got, *c) })
		assert.Equal(t, []motion.Move{m}, got)
	}
}

func rounded(m motion.Move) motion.Move {
	m.DE, m.To[2], m.From[2] = math.Round(m.DE*1e9)/1e9, math.Round(m.To[2]*1e9)/1e9, math.Round(m.From[2]*1e9)/1e9
	return m
}

// A circle taken from rest to rest at v = √(a·r), the speed at which it takes
// the whole acceleration, lasts 2πr/v + v/a (check-values §7).
func TestTimeOfACircle(t *testing.T) {
	const radius, accel = 20.0, 1000.0
	var way []plane.Point
	for k := 1; k <= 2880; k++ {
		way = append(way, plane.Point{X: radius}.Turn(float64(k)*math.Pi/1440))
	}
	limits := motion.DefaultLimits()
	limits.AccelMMs2 = accel
	p := motion.NewPlanner(limits)
	motion.Chords(motion.Move{From: [3]float64{radius, 0, 0}, To: [3]float64{radius, 0, 0}, DE: 4, Feed: 60 * 250}, way, p.Add)
	v := math.Sqrt(accel * radius)
	e := p.Finish()
	assert.InEpsilon(t, 2*math.Pi*radius/v+v/accel, e.Seconds, 0.001)
	assert.InEpsilon(t, 2*math.Pi*radius, e.FeedingMM, 1e-4)
	assert.InDelta(t, 4, e.FilamentMM, 1e-12)
}
