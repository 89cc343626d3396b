package gcode

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// maxSettings bounds the settings a State carries; sliced files set a few dozen.
const maxSettings = 256

// run runs one command with the words it may claim.
func (in *Interp) run(code Code, words []Word) {
	switch code.Letter() {
	case 'G':
		in.runG(code, words)
	case 'M':
		in.runM(code, words)
	case 'T':
		in.selectTool(code.Tenths() / 10)
	}
}

func (in *Interp) runG(code Code, words []Word) {
	s := &in.state
	switch code {
	case G(0), G(10), G(20), G(30):
		s.Motion = motionOf(code)
		in.motion(s.Motion, words)
	case G(40):
		in.move.Kind = Dwell
	case G(50):
		in.log.Add("gcode-spline", finding.Caution, in.line, 0,
			"A spline (G5) is followed as a straight line.", "Have curves written as lines or arcs.")
		in.motion(MotionLinear, words)
	case G(100), G(110):
		in.retraction(code, words)
	case G(170):
		s.Plane = PlaneXY
	case G(180):
		s.Plane = PlaneZX
	case G(190):
		s.Plane = PlaneYZ
	case G(200), G(210):
		in.units(code == G(200))
	case G(280):
		in.home(words)
	case G(290), G(300), G(310), G(320), G(330), G(340), G(350), G(382), G(383), G(384), G(385):
		s.Known = 0
		in.move.Kind = Home
		if code == G(382) {
			s.Motion = MotionNone
		}
	case G(430):
		if z, ok := value(words, 'Z'); ok {
			s.ToolLength = in.within(z*s.UnitMM(), 'Z')
		}
	case G(490):
		s.ToolLength = 0
	case G(410), G(420):
		in.log.Add("gcode-radius-compensation", finding.Caution, in.line, 0,
			"Tool radius compensation is switched on; it is not followed here.", "Have the path written out.")
	case G(530):
		in.machine = true
	case G(540), G(550), G(560), G(570), G(580), G(590), G(591), G(592), G(593):
		s.Work = min(code.Tenths()-540, 50)/10 + code.Tenths()%10
	case G(800):
		s.Motion = MotionNone
	case G(810), G(820), G(830), G(840), G(850), G(860), G(870), G(880), G(890):
		s.Motion = MotionNone
		s.Known = 0
		in.log.Add("gcode-cycle", finding.Caution, in.line, 0,
			"A canned cycle ("+code.String()+") is not followed here.", "Have the moves written out.")
	case G(900), G(910):
		s.Relative = code == G(910)
		in.eLast = s.Relative
		if in.options.ERule == EByLast || !s.ESet {
			s.RelativeE = s.Relative
		}
	case G(901):
		s.Centres = CentresPlaces
	case G(911):
		s.Centres = CentresIncrements
	case G(920):
		in.declare(words)
	case G(921):
		s.Shift, s.SavedShift = Place{}, Place{}
	case G(922):
		s.Shift = Place{}
	case G(923):
		s.Shift = s.SavedShift
	case G(930):
		in.log.Add("gcode-inverse-time", finding.Caution, in.line, 0,
			"Feed rates in inverse time (G93) are not followed here.", "Have feed rates written per minute.")
	case G(400), G(610), G(611), G(640), G(940), G(980), G(990):
	default:
		in.log.Add("gcode-unknown-g", finding.Note, in.line, 0,
			"A G command is not known here ("+code.String()+"); it is passed on unread.", "")
	}
}

func (in *Interp) units(inches bool) {
	s := &in.state
	if s.Inches != inches && (s.Shift != Place{} || in.unitsFrom != 0) {
		in.log.Add("gcode-units-stored", finding.Note, in.line, 0,
			"Units change while a feed rate or an offset is in force. They keep their true size here; the standard would keep their numbers.",
			"")
	}
	s.Inches = inches
}

// home runs G28: the named axes, or all, stand at their end stops; where that
// is the file does not say.
func (in *Interp) home(words []Word) {
	s := &in.state
	var axes Axes
	for _, w := range words {
		if w.Letter >= 'X' && w.Letter <= 'Z' {
			axes |= 1 << (w.Letter - 'X')
		}
	}
	if axes == 0 {
		axes = AllAxes
	}
	if axes.Has(AxisX) {
		s.Position.X, s.Shift.X = 0, 0
	}
	if axes.Has(AxisY) {
		s.Position.Y, s.Shift.Y = 0, 0
	}
	if axes.Has(AxisZ) {
		s.Position.Z, s.Shift.Z = 0, 0
	}
	s.Known &^= axes
	s.Homed |= axes
	in.move.Kind, in.move.To = Home, s.Position
}

// declare runs G92: the machine stands still, and its place gets new numbers.
// By NISTIR 6556, §3.5.18, distance mode has no effect. Bare G92, an error
// there, sets all axes and E to 0 on machines of the dialect.
func (in *Interp) declare(words []Word) {
	s := &in.state
	unit := s.UnitMM()
	work := s.WorkShift[s.Work]
	any := false
	for _, w := range words {
		v := w.Value * unit
		switch w.Letter {
		case 'X':
			s.Shift.X = s.Position.X - work.X - in.within(v, 'X')
			s.Known |= 1 << AxisX
		case 'Y':
			s.Shift.Y = s.Position.Y - work.Y - in.within(v, 'Y')
			s.Known |= 1 << AxisY
		case 'Z':
			s.Shift.Z = s.Position.Z - work.Z - s.ToolLength - in.within(v, 'Z')
			s.Known |= 1 << AxisZ
		case 'E':
			if math.Abs(v) > tol.FarthestFilament {
				in.tooFar('E')
				continue
			}
			s.E = v
		case 'A', 'B', 'C', 'U', 'V', 'W':
		default:
			continue
		}
		any = true
	}
	if !any {
		in.log.Add("gcode-bare-g92", finding.Note, in.line, 0,
			"G92 stands alone; it is taken to call the present place zero on all axes and E.", "")
		s.Shift = Place{s.Position.X - work.X, s.Position.Y - work.Y, s.Position.Z - work.Z - s.ToolLength}
		s.E = 0
		s.Known = AllAxes
	}
	s.SavedShift = s.Shift
}

// within returns v, or 0 with a finding where it is farther than any machine.
func (in *Interp) within(v float64, letter byte) float64 {
	if math.Abs(v) > tol.FarthestAxis {
		in.tooFar(letter)
		return 0
	}
	return v
}

// SetsTable reports whether a G10 with these words sets offsets or a tool: with
// P, L, R, an axis or another S than 0 and 1. Bare, or with S0 or S1 alone (long
// retraction), it draws filament back.
func SetsTable(words []Word) bool {
	for _, w := range words {
		switch w.Letter {
		case 'P', 'L', 'R', 'X', 'Y', 'Z', 'U', 'V', 'W', 'A':
			return true
		case 'S':
			if w.Bare || (w.Value != 0 && w.Value != 1) {
				return true
			}
		}
	}
	return false
}

// retraction runs G10 and G11, which are firmware retraction unless they set a
// table. L2 and L20 set the origin of a coordinate system (NISTIR 6556, §3.5.5).
func (in *Interp) retraction(code Code, words []Word) {
	s := &in.state
	if !SetsTable(words) {
		if s.Tool >= 0 && s.Tool < MaxTools {
			s.FirmwareRetracted[s.Tool] = code == G(100)
		}
		in.move.Kind = Retract
		if code == G(110) {
			in.move.Kind = Unretract
		}
		return
	}
	if code == G(110) {
		return
	}
	l, _ := value(words, 'L')
	if l != 2 && l != 20 {
		for _, w := range words {
			if w.Letter != 'G' && w.Letter != 'P' {
				in.setCode([]byte("G10"), w, words)
			}
		}
		return
	}
	system := index(words, 'P', s.Work+1, len(s.WorkShift)+1) - 1
	if system == -1 && l == 20 {
		system = s.Work
	}
	if system < 0 {
		return
	}
	shift, unit := &s.WorkShift[system], s.UnitMM()
	for _, w := range words {
		v := w.Value * unit
		switch w.Letter {
		case 'X':
			shift.X = in.origin(l, in.within(v, 'X'), s.Position.X-s.Shift.X)
		case 'Y':
			shift.Y = in.origin(l, in.within(v, 'Y'), s.Position.Y-s.Shift.Y)
		case 'Z':
			shift.Z = in.origin(l, in.within(v, 'Z'), s.Position.Z-s.Shift.Z-s.ToolLength)
		}
	}
}

// origin returns the origin that L2 states or that L20 makes the present place
// read as v.
func (in *Interp) origin(l, v, place float64) float64 {
	if l == 20 {
		return place - v
	}
	return v
}

func (in *Interp) selectTool(tool int) {
	s := &in.state
	if tool >= MaxTools {
		in.log.Add("gcode-many-tools", finding.Caution, in.line, 0,
			"A tool number is above 15; its retraction and temperature are not followed.", "")
	}
	if s.Tool != tool {
		s.Tool = tool
		in.move.Kind = ToolChange
	}
}

// named carries the arguments of a word command as settings.
func (in *Interp) named(l *Line) {
	l.Arguments(func(key, value []byte) bool {
		if value == nil {
			return true
		}
		number, err := strconv.ParseFloat(string(value), 64)
		if err != nil || math.IsNaN(number) || math.IsInf(number, 0) {
			in.setText(l.Name, key, 0, string(value))
		} else {
			in.setText(l.Name, key, number, "")
		}
		return true
	})
}

// setText sets a setting, keeping the list sorted. It allocates only when the
// setting is new or its text changes.
func (in *Interp) setText(command, key []byte, number float64, text string) {
	s := &in.state
	at := sort.Search(len(s.Settings), func(i int) bool {
		c := compareUpper(s.Settings[i].Command, command)
		return c > 0 || c == 0 && compareUpper(s.Settings[i].Key, key) >= 0
	})
	if at < len(s.Settings) && compareUpper(s.Settings[at].Command, command) == 0 && compareUpper(s.Settings[at].Key, key) == 0 {
		s.Settings[at].Value = number
		if s.Settings[at].Text != text {
			s.Settings[at].Text = text
		}
		return
	}
	if len(s.Settings) == maxSettings {
		in.log.Add("gcode-many-settings", finding.Caution, in.line, 0,
			"The file sets more different values than are followed here.", "The rest is passed on unread.")
		return
	}
	s.Settings = append(s.Settings, Setting{})
	copy(s.Settings[at+1:], s.Settings[at:])
	s.Settings[at] = Setting{
		Command: strings.ToUpper(string(command)), Key: strings.ToUpper(string(key)),
		Value: number, Text: text,
	}
}

// compareUpper compares a string in upper case with bytes in any case.
func compareUpper(a string, b []byte) int {
	for i := 0; i < len(a) && i < len(b); i++ {
		if c := upper(b[i]); a[i] != c {
			if a[i] < c {
				return -1
			}
			return 1
		}
	}
	return len(a) - len(b)
}
