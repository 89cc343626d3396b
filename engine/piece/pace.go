package piece

import (
	"sheenlay/engine/gcode"
	"sheenlay/engine/motion"
)

// Pace keeps the limits of a planner as they are in force on the way through a
// file: those of the machine, but where the file sets one itself (M201, M203,
// M204, M205), the file's, since the machine will obey it. A number that no
// machine has (motion.Limits.Validate) is passed over. Files set the jump at
// corners for each axis; the smaller one of X and Y is taken.
type Pace struct {
	machine motion.Limits
	set     settings
}

// settings is what a file can set of how a machine moves; 0 until set.
type settings struct {
	acceleration              gcode.Accelerations
	junction                  float64
	jerk, maxAccel, maxSpeeds [4]float64
}

// NewPace returns the pace of a machine in a file that has set nothing yet.
func NewPace(machine motion.Limits) Pace { return Pace{machine: machine} }

// Follow tells the planner, before the next move, what the file has set since.
func (p *Pace) Follow(planner *motion.Planner, s *gcode.State) {
	now := settings{s.Acceleration, s.Junction, s.Jerk, s.MaxAcceleration, s.MaxSpeed}
	if now == p.set {
		return
	}
	p.set = now
	planner.Limit(p.Limits())
}

// Limits returns the limits in force.
func (p *Pace) Limits() motion.Limits {
	l := p.machine
	take := func(at *float64, value float64) {
		if value == 0 {
			return
		}
		before := *at
		*at = value
		if len(l.Validate()) > 0 {
			*at = before
		}
	}
	take(&l.AccelMMs2, p.set.acceleration.Print)
	take(&l.TravelAccelMMs2, p.set.acceleration.Travel)
	take(&l.RetractAccelMMs2, p.set.acceleration.Retract)
	take(&l.DeviationMM, p.set.junction)
	take(&l.JumpMMs, jumpOf(p.set.jerk))
	for i := range l.MaxSpeedMMs {
		take(&l.MaxSpeedMMs[i], p.set.maxSpeeds[i])
		take(&l.MaxAccelMMs2[i], p.set.maxAccel[i])
	}
	return l
}

// jumpOf returns the smaller of the jumps that a file sets for X and Y, 0 where
// it sets none.
func jumpOf(jerk [4]float64) float64 {
	x, y := jerk[motion.X], jerk[motion.Y]
	if x == 0 || y > 0 && y < x {
		return y
	}
	return x
}
