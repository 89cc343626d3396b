// Package motion predicts how long a machine takes for a list of moves: a
// trapezoid of speed on every move, corners taken at the speed the machine's
// corner model permits, look-ahead forward and backward over the moves.
//
// Lengths are mm, speeds mm/s (Move.Feed: mm/min, as files have it),
// accelerations mm/s², times s. The planner is exact for the model; how near
// the model comes to a given machine depends on its own control, which may
// round corners, look ahead less far, or limit the rate of change of the
// acceleration.
package motion

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// Corner says how fast a machine goes round a corner.
type Corner int

const (
	// ArcOfDeviation replaces the corner, in thought, by an arc that keeps
	// within Limits.DeviationMM of it: v = √(aδ·s/(1−s)), s = sin(θ/2), θ the
	// angle between the two moves (180° = straight). Common practice, no
	// published source.
	ArcOfDeviation Corner = iota
	// JumpLimit permits a sudden change of velocity of Limits.JumpMMs:
	// v = Δv/(2 sin(φ/2)), φ the turn. Common practice, no published source.
	JumpLimit
	// FullStop stops at every corner that is not straight.
	FullStop
)

// The axes of the arrays in Limits.
const (
	X = iota
	Y
	Z
	E
	axes
)

// Limits is what a machine can do. A limit of 0 in the arrays means "none".
type Limits struct {
	AccelMMs2        float64       // moves that feed filament
	TravelAccelMMs2  float64       // moves that do not
	RetractAccelMMs2 float64       // filament alone
	MaxSpeedMMs      [axes]float64 // for each axis
	MaxAccelMMs2     [axes]float64 // for each axis
	Corner           Corner
	DeviationMM      float64 // for ArcOfDeviation
	JumpMMs          float64 // for JumpLimit
	// CurveLimited also holds short moves that make up a curve of radius r
	// to v = √(a·r), the speed at which the curve takes the whole
	// acceleration; without it a finely divided curve is taken at the speed
	// of its nearly straight corners.
	CurveLimited bool
}

// DefaultLimits are those of an ordinary machine that is not tuned for speed
// (common practice, no published source).
func DefaultLimits() Limits {
	return Limits{
		AccelMMs2: 1000, TravelAccelMMs2: 1000, RetractAccelMMs2: 1000,
		MaxSpeedMMs:  [axes]float64{300, 300, 10, 80},
		MaxAccelMMs2: [axes]float64{3000, 3000, 200, 5000},
		Corner:       ArcOfDeviation, DeviationMM: 0.05, JumpMMs: 8,
		CurveLimited: true,
	}
}

// Validate refuses limits that no machine has.
func (l Limits) Validate() finding.List {
	var found finding.List
	within := func(field, what string, value, low, high float64, unit string) {
		if f, out := finding.OutOfRange("motion-limit", field, what, value, low, high, unit); out {
			found.Add(f)
		}
	}
	within("motion.accelMMs2", "The acceleration", l.AccelMMs2, 10, 100000, "mm/s²")
	within("motion.travelAccelMMs2", "The acceleration of travels", l.TravelAccelMMs2, 10, 100000, "mm/s²")
	within("motion.retractAccelMMs2", "The acceleration of retractions", l.RetractAccelMMs2, 10, 100000, "mm/s²")
	for i, name := range [axes]string{"X", "Y", "Z", "E"} {
		if l.MaxSpeedMMs[i] != 0 {
			within("motion.maxSpeedMMs."+name, "The largest speed of "+name, l.MaxSpeedMMs[i], 0.1, 2000, "mm/s")
		}
		if l.MaxAccelMMs2[i] != 0 {
			within("motion.maxAccelMMs2."+name, "The largest acceleration of "+name, l.MaxAccelMMs2[i], 1, 100000, "mm/s²")
		}
	}
	within("motion.corner", "The number of the corner model", float64(l.Corner), 0, float64(FullStop), "")
	if l.Corner == ArcOfDeviation {
		within("motion.deviationMM", "The deviation at corners", l.DeviationMM, 0.001, 1, "mm")
	}
	if l.Corner == JumpLimit {
		within("motion.jumpMMs", "The jump of speed at corners", l.JumpMMs, 0.1, 100, "mm/s")
	}
	return found
}

// CornerSpeed returns the largest speed (mm/s) at which a turn of the given
// angle (radians, 0 = straight on, π = straight back) is taken under
// acceleration accel (mm/s²); +Inf for a straight one.
func (l Limits) CornerSpeed(turn, accel float64) float64 {
	bend := 2 * math.Sin(turn/2)
	return math.Sqrt(l.cornerSquare(bend*bend, accel))
}

// cornerSquare returns the square of the corner speed. bend2 is the square of
// the difference of the unit directions, 4 sin²(φ/2).
func (l *Limits) cornerSquare(bend2, accel float64) float64 {
	if bend2 < tol.MotionStraight*tol.MotionStraight {
		return math.Inf(1)
	}
	switch l.Corner {
	case ArcOfDeviation:
		// s = sin(θ/2) = cos(φ/2); s/(1−s) suffers no cancellation when
		// written as s(1+s)/sin²(φ/2).
		h := min(bend2/4, 1)
		s := math.Sqrt(1 - h)
		return accel * l.DeviationMM * s * (1 + s) / h
	case JumpLimit:
		return float64(l.JumpMMs*l.JumpMMs) / bend2
	}
	return 0
}

// Trapezoid returns the time (s) of one move of length d (mm) entered at
// speed v0, left at v1, never faster than v, with acceleration a, and the peak
// speed reached. It needs |v1² − v0²| ≤ 2·a·d and v0, v1 ≤ v, else the result
// means nothing. A move of no length takes no time.
//
// Source: Lynch & Park, Modern Robotics, 2017, §9.2.2.2; Biagiotti &
// Melchiorri, Trajectory Planning, 2008, §3.2 (both from memory).
func Trapezoid(d, v0, v, v1, a float64) (seconds, peak float64) {
	if d <= 0 {
		return 0, v0
	}
	ramps := float64((v-v0)*(v+v0))/(2*a) + float64((v-v1)*(v+v1))/(2*a)
	if ramps <= d {
		return (v-v0)/a + (v-v1)/a + (d-ramps)/v, v
	}
	peak = math.Sqrt(float64(a*d) + (float64(v0*v0)+float64(v1*v1))/2)
	return (2*peak - v0 - v1) / a, peak
}
