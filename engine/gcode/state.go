package gcode

// MaxTools is the number of tools whose temperatures and retraction are kept.
// Higher tool numbers are followed as tool numbers, with a finding.
const MaxTools = 16

// MaxFans is the number of fans kept.
const MaxFans = 12

// Axis names an axis of a State's arrays.
type Axis uint8

// The axes, in the order of the arrays of a State.
const (
	AxisX Axis = iota
	AxisY
	AxisZ
	AxisE
)

// Axes is a set of X, Y and Z.
type Axes uint8

// Has reports whether the axis is in the set.
func (a Axes) Has(x Axis) bool { return a&(1<<x) != 0 }

// AllAxes is X, Y and Z.
const AllAxes Axes = 7

// Place is a position in space, mm.
type Place struct{ X, Y, Z float64 }

// Plane is the plane of arcs.
type Plane uint8

// The planes: G17, G18, G19.
const (
	PlaneXY Plane = iota
	PlaneZX
	PlaneYZ
)

// Centres says what the I, J and K of an arc are. NISTIR 6556 has increments
// only (§3.5.17); the two codes are common practice, no published source.
type Centres uint8

// The readings of centres.
const (
	CentresIncrements Centres = iota // from the arc's start: G91.1, and before any code
	CentresPlaces                    // in program coordinates: G90.1
)

// Motion is the modal motion command.
type Motion uint8

// The motion modes. MotionNone is in force after G80 and after a motion
// command that this package does not follow (canned cycles, probing).
const (
	MotionRapid    Motion = iota // G0
	MotionLinear                 // G1
	MotionArcRight               // G2, clockwise
	MotionArcLeft                // G3, counter-clockwise
	MotionNone                   // G80
)

// Setting is a value given by a command that this package carries without
// knowing its meaning, such as a pressure factor.
type Setting struct {
	Command string  // "M900", or the name of a word command, upper case
	Key     string  // letter or KEY, upper case; with its tool where the command names one: "K T1"
	Value   float64 // the number; 0 where Text is used
	Text    string  // the text where the value is no number
}

// State is the complete state of a machine as far as a file has set it.
//
// A State is a value, but Settings is a slice: copies made by assignment share
// it. Use Clone for a copy to keep while the interpreter goes on; Interp.State
// returns such a copy.
type State struct {
	Position Place // machine coordinates, mm; 0 until known
	Known    Axes  // axes whose position the file has fixed since start or homing
	Homed    Axes  // axes homed at least once

	Shift      Place    // offset set by G92: machine − program − Work, mm
	SavedShift Place    // the offset that G92.3 would restore, mm
	Work       int      // coordinate system in force, 0 for G54 … 8 for G59.3
	WorkShift  [9]Place // origins of the coordinate systems, mm (G10 L2)
	ToolLength float64  // offset of G43, mm; 0 after G49

	Inches    bool    // G20; false after G21
	Relative  bool    // G91; false after G90
	RelativeE bool    // E words are lengths to feed; see Options.ERule
	ESet      bool    // M82 or M83 has been seen
	Plane     Plane   // G17, G18, G19
	Centres   Centres // G90.1, G91.1
	Motion    Motion  // mode that bare axis words inherit

	Feed float64 // mm/min; 0 until set
	Tool int

	E                 float64           // filament register, mm
	Fed               float64           // filament fed since the start, net, mm; not part of Diff
	Retracted         [MaxTools]float64 // drawn back and not yet given back, mm, ≥ 0, per tool
	FirmwareRetracted [MaxTools]bool    // between G10 and G11, per tool
	Fan               [MaxFans]float64  // as written (M106 S, commonly 0–255)
	Hotend            [MaxTools]float64 // target, °C
	Bed, Chamber      float64           // target, °C

	Acceleration    Accelerations // mm/s²; 0 until set
	Jerk            [4]float64    // instant change of speed per axis, mm/s; 0 until set
	Junction        float64       // junction deviation, mm; 0 until set
	MaxAcceleration [4]float64    // per axis, mm/s²; 0 until set
	MaxSpeed        [4]float64    // per axis, mm/s; 0 until set

	SpeedPercent float64           // override, 100 at the start
	FlowPercent  [MaxTools]float64 // override per tool, 100 at the start

	Settings []Setting // sorted by Command and Key
}

// Accelerations are the accelerations by use, mm/s².
type Accelerations struct{ Print, Travel, Retract float64 }

// Start returns the state before the first line: absolute coordinates, mm,
// G17, G1, tool 0, nothing heated, overrides at 100 %.
func Start() State {
	s := State{Motion: MotionLinear, SpeedPercent: 100}
	for i := range s.FlowPercent {
		s.FlowPercent[i] = 100
	}
	return s
}

// Clone returns a copy that shares nothing with s.
func (s *State) Clone() State {
	c := *s
	c.Settings = append([]Setting(nil), s.Settings...)
	return c
}

// Offset returns machine − program coordinates, mm.
func (s *State) Offset() Place {
	w := s.WorkShift[s.Work]
	return Place{s.Shift.X + w.X, s.Shift.Y + w.Y, s.Shift.Z + w.Z + s.ToolLength}
}

// Program returns the position in program coordinates, mm: what an absolute
// axis word would have to say to stay there, times the unit.
func (s *State) Program() Place {
	o := s.Offset()
	return Place{s.Position.X - o.X, s.Position.Y - o.Y, s.Position.Z - o.Z}
}

// UnitMM returns the length of the file's unit in force, mm: 1 or 25.4.
func (s *State) UnitMM() float64 {
	if s.Inches {
		return 25.4
	}
	return 1
}

// RetractionMM returns the filament drawn back and not yet given back in the
// tool in force, mm, without firmware retraction.
func (s *State) RetractionMM() float64 {
	if s.Tool < 0 || s.Tool >= MaxTools {
		return 0
	}
	return s.Retracted[s.Tool]
}

// Drawn reports whether the tool in force is retracted in either way.
func (s *State) Drawn() bool {
	return s.RetractionMM() > 0 || (s.Tool >= 0 && s.Tool < MaxTools && s.FirmwareRetracted[s.Tool])
}

// Difference is one part in which two states differ, both sides in words.
type Difference struct{ Field, A, B string }
