package gcode

import (
	"sheenlay/engine/finding"
)

// ERule says what G90 and G91 do to the filament register. Machines disagree.
type ERule uint8

// The rules for E.
const (
	// EByM: E follows G90 and G91 until the first M82 or M83, and only M82 and
	// M83 from there on. The default. A file whose E words would be read
	// otherwise under EByLast is reported.
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
type Interp struct {
	options Options
	state   State
	log     Log
}

// NewInterp returns an interpreter in the state Start.
func NewInterp(o Options) *Interp { return NewInterpAt(Start(), o) }

// NewInterpAt returns an interpreter that goes on from a state.
func NewInterpAt(s State, o Options) *Interp {
	return &Interp{options: o, state: s.Clone()}
}

// State returns a copy of the state after the last line.
func (in *Interp) State() State { return in.state.Clone() }

// At returns the living state: to be read only, and only until the next Step.
func (in *Interp) At() *State { return &in.state }

// Findings returns what was found so far, one finding per kind with the place
// of its first occurrence and their number.
func (in *Interp) Findings() finding.List { return in.log.Findings() }

// Step follows one line and returns what it does.
func (in *Interp) Step(l *Line) Move {
	l.Decode()
	in.log.NoteLine(l)
	at := in.state.Position
	return Move{From: at, To: at}
}
