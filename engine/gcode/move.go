package gcode

import "sheenlay/engine/plane"

// Kind says what a line does to nozzle and filament.
type Kind uint8

// The kinds of moves.
const (
	None       Kind = iota // no motion: a setting, a comment, an empty line
	Travel                 // moves in X or Y and feeds nothing
	Extrude                // moves and feeds filament that leaves the nozzle
	Retract                // draws filament back, standing still
	Unretract              // gives back what was drawn back, standing still or moving
	Prime                  // feeds more than was drawn back, standing still
	Wipe                   // moves while drawing back
	Lift                   // moves up in Z alone
	Lower                  // moves down in Z alone
	Home                   // runs to the end stops
	Dwell                  // waits
	ToolChange             // another tool from here on
)

// String returns the plain word of the kind.
func (k Kind) String() string {
	return [...]string{"none", "travel", "extrude", "retract", "unretract", "prime", "wipe",
		"lift", "lower", "home", "dwell", "tool change"}[k]
}

// Arc describes the circle of an arc move. The zero Arc is a straight line.
type Arc struct {
	Centre plane.Point // in the axes of Plane (XY, ZX or YZ), machine coordinates, mm
	Radius float64     // mm, > 0 for an arc
	Sweep  float64     // radians, counter-clockwise positive; ±2π for a full circle
	Plane  Plane
}

// Is reports whether there is an arc.
func (a Arc) Is() bool { return a.Radius > 0 }

// Move is what one line does. From and To are machine coordinates. For Kind
// None they are equal and the rest is zero.
type Move struct {
	Kind     Kind
	Rapid    bool    // by G0
	From, To Place   // mm
	E        float64 // change of the filament register, mm; negative draws back
	Fed      float64 // part of E that leaves the nozzle, mm, ≥ 0: what fills a retraction is not in it
	Feed     float64 // mm/min
	Arc      Arc
}

// Moves reports whether the nozzle moves in X, Y or Z.
func (m *Move) Moves() bool { return m.From != m.To || m.Arc.Is() }
