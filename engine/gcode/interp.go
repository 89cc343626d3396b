package gcode

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// ERule says what G90 and G91 do to the filament register. Machines disagree.
type ERule uint8

// The rules for E.
const (
	// EByM: E follows G90 and G91 until the first M82 or M83, and only M82 and
	// M83 from there on. The default. A file whose E words would be read
	// otherwise under EByLast is reported as "gcode-e-mode".
	EByM ERule = iota
	// EByLast: whichever of G90, G91, M82 and M83 came last decides.
	EByLast
)

// Options of an Interp.
type Options struct {
	ERule ERule
}

// Interp follows lines and holds the state of the machine. It never panics and
// its state stays finite, whatever the lines say. Not safe for concurrent use.
//
// A line with one command runs it. A line with several commands of NISTIR 6556
// runs them in the order of its Table 8; a line that mixes in commands of the
// dialect, whose words would be claimed by two commands, runs them from left to
// right, each with the words up to the next, and is reported.
type Interp struct {
	options Options
	state   State
	log     Log

	line      *Line
	eLast     bool // mode of E under EByLast, to detect files that depend on the rule
	machine   bool // G53 on this line: axis words are machine coordinates
	unitsFrom int8 // units of the last F word: 0 none, 1 mm, 2 inch
	ended     bool // M2 or M30 has run
	move      Move // of this line

	// What allows which short way; each holds what those before it do.
	direct  bool // by the modes, a line of plain words may go by nextPlain
	across  bool // and nothing is added to X and Y: by nextStraight
	flowing bool // and nothing is drawn back: what is fed is laid
	steady  bool // and E words are lengths to feed: by Next itself

	offset  Place       // State.Offset
	values  [32]float64 // numbers of a plain line's words, by letter
	running bool        // startRun has been called and no longer way been taken since
	laying  bool        // and so has startLaying, and no travel come since
}

// NewInterp returns an interpreter in the state Start.
func NewInterp(o Options) *Interp { return NewInterpAt(Start(), o) }

// NewInterpAt returns an interpreter that goes on from a state.
func NewInterpAt(s State, o Options) *Interp {
	in := &Interp{options: o, state: s.Clone(), eLast: s.RelativeE}
	if s.Tool < 0 {
		in.state.Tool = 0
	}
	if s.Work < 0 || s.Work >= len(s.WorkShift) {
		in.state.Work = 0
	}
	in.settle()
	in.settleFlow()
	return in
}

// State returns a copy of the state after the last line.
func (in *Interp) State() State { return in.state.Clone() }

// At returns the living state: to be read only, and only until the next Step.
func (in *Interp) At() *State { return &in.state }

// Ended reports whether a program end (M2, M30) has been seen. Lines after it
// never run on a machine of the standard (NISTIR 6556, §3.1); they are followed
// all the same, since many machines of the dialect read on, and noted.
func (in *Interp) Ended() bool { return in.ended }

// Findings returns what was found so far, one finding per kind with the place
// of its first occurrence and their number.
func (in *Interp) Findings() finding.List { return in.log.Findings() }

// Step follows one line and returns what it does.
func (in *Interp) Step(l *Line) Move {
	in.follow(l)
	return in.move
}

// settle notes whether the modes in force allow the short way of Step.
func (in *Interp) settle() {
	s := &in.state
	in.direct = !s.Inches && !s.Relative && s.RelativeE == in.eLast && s.Tool >= 0 && s.Tool < MaxTools
	in.offset = s.Offset()
}

// follow runs a line of any shape.
func (in *Interp) follow(l *Line) {
	in.long(l)
	in.settleFlow()
}

// settleFlow ends a run of lines that Next follows straight on and notes
// whether another may begin.
func (in *Interp) settleFlow() {
	in.running, in.laying = false, false
	in.across = in.direct && !in.ended && in.offset.X == 0 && in.offset.Y == 0
	in.flowing = in.across && in.state.Retracted[in.state.Tool] == 0
	in.steady = in.flowing && in.state.RelativeE
}

// standardLine is the longest line of NISTIR 6556, §3.3, bytes.
const standardLine = 256

// long runs a line the long way, over its words.
func (in *Interp) long(l *Line) {
	l.Decode()
	if l.count > 0 && (in.ended || len(l.Raw) > standardLine) {
		in.beyondStandard(l)
	}
	in.line = l
	in.move = Move{From: in.state.Position, To: in.state.Position}
	if l.Trouble != 0 {
		in.log.NoteLine(l)
		if l.Trouble&(Expression|TooLong) != 0 {
			return
		}
	}
	if l.count == 0 {
		if l.Flags&NamedCommand != 0 {
			in.named(l)
		}
		return
	}
	words := l.words[:l.count]
	if (l.Code == g1 || l.Code == G(0)) && words[0].Letter == 'G' && in.plain(words[1:], l.Code) {
		return
	}
	in.commands(words)
	in.machine = false
	in.settle()
}

// beyondStandard notes a line with words that a machine of the standard would
// not run or would cut. Comments of any length are read by every machine of the
// dialect and say nothing to one.
func (in *Interp) beyondStandard(l *Line) {
	if in.ended {
		in.log.Add("gcode-after-end", finding.Note, l, 0,
			"Commands stand behind the end of the program (M2 or M30). By the standard they never run; many machines read on, and so does this reading.",
			"Nothing needs doing: the lines stay as they are.")
	}
	if len(l.Raw) > standardLine {
		in.log.Add("gcode-line-256", finding.Note, l, standardLine+1,
			"A line of commands is longer than the 256 characters of the standard; some machines cut it there.",
			"Look at the line; it is read whole here and stays as it is.")
	}
}

// plain runs a G0 or G1 whose other words are X, Y, Z, E and F, which is nearly
// every line of a file. It reports false, with nothing done, for any other.
func (in *Interp) plain(words []Word, code Code) bool {
	if in.line.Trouble&RepeatedLetter != 0 {
		return false
	}
	var seen uint32
	for i := range words {
		w := &words[i]
		bit := letterBit(w.Letter)
		if w.Bare || bit&plainLetters == 0 {
			return false
		}
		in.values[w.Letter&31] = w.Value
		seen |= bit
	}
	return in.drive(seen, code != g1)
}

// letterBit returns the bit of a letter in a set of them.
func letterBit(letter byte) uint32 { return 1 << (letter & 31) }

const (
	bitX, bitY, bitZ        = 1 << ('X' & 31), 1 << ('Y' & 31), 1 << ('Z' & 31)
	bitE, bitF              = 1 << ('E' & 31), 1 << ('F' & 31)
	plainLetters     uint32 = bitX | bitY | bitZ | bitE | bitF
)

// drive runs a G0 (rapid) or G1 with the words of the letters given, whose
// numbers are in values. It reports false, with nothing done, where a number is
// farther off than is believed.
func (in *Interp) drive(letters uint32, rapid bool) bool {
	s := &in.state
	unit, offset, relative := s.UnitMM(), in.offset, 0.0
	if s.Relative {
		offset, relative = Place{}, 1
	}
	to := s.Position
	var known Axes
	if letters&bitX != 0 {
		to.X = s.Position.X*relative + in.values['X'&31]*unit + offset.X
		known |= 1 << AxisX
	}
	if letters&bitY != 0 {
		to.Y = s.Position.Y*relative + in.values['Y'&31]*unit + offset.Y
		known |= 1 << AxisY
	}
	if letters&bitZ != 0 {
		to.Z = s.Position.Z*relative + in.values['Z'&31]*unit + offset.Z
		known |= 1 << AxisZ
	}
	filament, feed := 0.0, s.Feed
	if letters&bitE != 0 {
		filament = in.values['E'&31] * unit
	}
	if letters&bitF != 0 {
		feed = in.values['F'&31] * unit
		if feed <= 0 || feed > tol.FarthestAxis*60 {
			return false
		}
	}
	if math.Abs(to.X) > tol.FarthestAxis || math.Abs(to.Y) > tol.FarthestAxis || math.Abs(to.Z) > tol.FarthestAxis ||
		math.Abs(filament) > tol.FarthestFilament {
		return false
	}
	if letters&bitF != 0 {
		in.noteFeedUnit()
	}
	s.Feed = feed
	s.Motion = MotionLinear
	if rapid {
		s.Motion = MotionRapid
	}
	if !s.Relative {
		s.Known |= known
	}
	in.finish(to, filament, letters&bitE != 0)
	return true
}

// finish moves to a place and feeds filament, given as the E word says it in
// mm, and sets the move of the line.
func (in *Interp) finish(to Place, filament float64, feeds bool) {
	s, m := &in.state, &in.move
	from := s.Position
	m.From, m.To, m.Feed, m.Rapid = from, to, s.Feed, s.Motion == MotionRapid
	s.Position = to
	var fed, before float64
	if feeds {
		fed, before = in.feed(filament)
	}
	across := m.Arc.Is() || math.Abs(to.X-from.X) > tol.StillAxis || math.Abs(to.Y-from.Y) > tol.StillAxis
	rise := to.Z - from.Z
	switch {
	case m.E > 0 && fed > 0 && (across || math.Abs(rise) > tol.StillAxis):
		m.Kind = Extrude
	case m.E > 0 && (before > 0 || fed == 0):
		m.Kind = Unretract
	case m.E > 0:
		m.Kind = Prime
	case m.E < 0 && (across || math.Abs(rise) > tol.StillAxis):
		m.Kind = Wipe
	case m.E < 0:
		m.Kind = Retract
	case across:
		m.Kind = Travel
	case rise > tol.StillAxis:
		m.Kind = Lift
	case rise < -tol.StillAxis:
		m.Kind = Lower
	}
	m.Fed = fed
}

// feed moves the filament register by an E word in mm. It returns what leaves
// the nozzle and the depth of retraction before.
func (in *Interp) feed(filament float64) (fed, before float64) {
	s := &in.state
	if in.eLast != s.RelativeE {
		in.log.Add("gcode-e-mode", finding.Caution, in.line, 0,
			"An E word follows a G90 or G91 that came after M82 or M83: some machines read it as a length to feed, some as a place to feed to.",
			"Have M82 or M83 written again after G90 or G91.")
	}
	delta := filament
	if !s.RelativeE {
		delta = filament - s.E
	}
	if math.Abs(s.E+delta) > tol.FarthestFilament {
		in.tooFar('E')
		return 0, 0
	}
	in.move.E = delta
	s.E += delta
	if !s.RelativeE {
		s.E = filament
	}
	s.Fed += delta
	if s.Tool < 0 || s.Tool >= MaxTools {
		return max(delta, 0), 0
	}
	drawn := &s.Retracted[s.Tool]
	before = *drawn
	if delta <= 0 {
		*drawn -= delta
		return 0, before
	}
	*drawn -= delta
	if *drawn > tol.StateRetraction {
		return 0, before
	}
	fed = -*drawn
	*drawn = 0
	if fed <= tol.StateRetraction && before > 0 {
		fed = 0
	}
	return fed, before
}

func (in *Interp) tooFar(letter byte) {
	in.log.Add("gcode-too-far", finding.Caution, in.line, 0,
		"The word "+string(letter)+" asks for a place farther off than any machine reaches; it is ignored here.",
		"Look at the line: the file may be damaged.")
}

// noteFeedUnit remembers in which units the feed rate was given.
func (in *Interp) noteFeedUnit() {
	in.unitsFrom = 1
	if in.state.Inches {
		in.unitsFrom = 2
	}
}
