package piece

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/gcode"
	"sheenlay/engine/motion"
)

// The time of one move from rest to rest is known in closed form: way/v + v/a
// where the speed is reached, 2√(way/a) where it is not (Lynch & Park, Modern
// Robotics, 2017, §9.2.2.2, from memory). A file that sets limits on its way is
// planned with each of them from there on, a number no machine has is passed
// over, and what the file does not set is the machine's.
func TestTheFileSetsThePace(t *testing.T) {
	machine := motion.DefaultLimits() // 1000 mm/s² each
	rest := func(way, speed, accel float64) float64 {
		if speed*speed/accel > way {
			return 2 * math.Sqrt(way/accel)
		}
		return way/speed + speed/accel
	}
	for _, row := range []struct {
		name, lines string
		want        float64
	}{
		{"nothing", "", 0},
		{"nothing set", "G1 X50 E2 F6000\nG4 P0\n", rest(50, 100, 1000)},
		{"of laying, then of all", "M204 P500\nG1 X50 E2 F6000\nG4 S1\nM204 S2000\nG1 X0 E4\n", rest(50, 100, 500) + 1 + rest(50, 100, 2000)},
		{"of laying, not of travels", "M204 P500\nG0 X50 F6000\n", rest(50, 100, 1000)},
		{"of travels", "M204 T250\nG0 X50 F6000\n", rest(50, 100, 250)},
		{"of retractions", "M204 R4000\nG1 E5 F2400\n", rest(5, 40, 4000)},
		{"of an axis", "M201 Y100\nG0 Y10 F6000\n", rest(10, 100, 100)},
		{"speed of an axis", "M203 X20\nG0 X50 F6000\n", rest(50, 20, 1000)},
		{"back to what it was", "M204 S500\nG0 X50 F6000\nG4 S0.5\nM204 S1000\nG0 X0\n", rest(50, 100, 500) + 0.5 + rest(50, 100, 1000)},
		{"no acceleration at all", "M204 S0\nG0 X50 F6000\n", rest(50, 100, 1000)},
		{"a number no machine has", "M204 S1e9\nM203 X0.00001\nG0 X50 F6000\n", rest(50, 100, 1000)},
	} {
		t.Run(row.name, func(t *testing.T) {
			data := []byte("G28\nG90\nM82\nG92 E0\n" + row.lines)
			s := NewSurvey(&Piece{Size: int64(len(data))}, machine)
			s.Feed(data)
			assert.InDelta(t, row.want, s.Finish().TimeS, 1e-9)
		})
	}
}

// The jump at corners is set for each axis; the smaller of X and Y holds.
func TestThePaceOfCorners(t *testing.T) {
	for _, row := range []struct {
		name          string
		set           gcode.State
		jump, deviate float64
	}{
		{"nothing", gcode.State{}, 8, 0.05},
		{"both", gcode.State{Jerk: [4]float64{9, 7, 0.4, 5}}, 7, 0.05},
		{"one", gcode.State{Jerk: [4]float64{0, 12}}, 12, 0.05},
		{"a deviation", gcode.State{Junction: 0.013}, 8, 0.013},
		{"no deviation any machine has", gcode.State{Junction: 40}, 8, 0.05},
	} {
		t.Run(row.name, func(t *testing.T) {
			machine := motion.DefaultLimits()
			p := NewPace(machine)
			p.Follow(motion.NewPlanner(machine), &row.set)
			assert.Equal(t, row.jump, p.Limits().JumpMMs)
			assert.Equal(t, row.deviate, p.Limits().DeviationMM)
		})
	}
	machine := motion.DefaultLimits()
	machine.Corner = motion.JumpLimit
	p := NewPace(machine)
	p.Follow(motion.NewPlanner(machine), &gcode.State{Jerk: [4]float64{300}})
	assert.Equal(t, machine, p.Limits(), "a jump that no machine takes is passed over")
}
