// Package join puts a new first layer into a sliced file: the finished file is
// head (unchanged bytes) + new block + tail (unchanged bytes). It writes the
// block so that where the tail begins the machine is in the state the
// original left it in, and it proves that by reading the finished bytes from
// the first one on.
//
// Several layers can be replaced, each by a block of its own; the proof covers
// all of them.
//
// Laws:
//  1. No byte outside the cuts is changed.
//  2. Where a cut ends, every part of the state equals the original's there.
//  3. Commands of a removed layer that are not motion are kept, in order: those
//     before its first bead before the new beads, all others after them.
//  4. The same input gives the same bytes.
//
// Not promised: that a command the engine does not know means nothing for
// motion. Such commands are kept and listed for the person to judge.
package join

import (
	"sheenlay/engine/deposit"
	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
)

// Cut is the part of the original file that one layer takes: from the byte
// offset From up to To, both starts of lines.
type Cut struct{ From, To int64 }

// OpeningComment and ClosingComment are how the first and the last comment line
// of a block begin.
const (
	OpeningComment = "; sheenlay: new face begins"
	ClosingComment = "; sheenlay: new face ends"
)

// Role says what an operation is.
type Role uint8

// The roles.
const (
	Pattern Role = iota // a bead of the new layer
	Kept                // a stroke of the file's own layer, laid again as it was
	Prime               // the line that leads in
)

// String returns the plain word used in reports.
func (r Role) String() string {
	return [...]string{"bead", "kept stroke", "prime line"}[r]
}

// Operation is one run of beads laid without a travel. The nozzle goes to its
// first point by itself: a plain travel over a short way, else retracted and
// lifted.
type Operation struct {
	Role   Role
	Points []plane.Point // n ≥ 2, bed frame, mm
	E      []float64     // filament for each segment, mm, n−1 entries, ≥ 0
	Feed   []float64     // speed of each segment, mm/min, n−1 entries, > 0

	// Via are places that the travel to the first point goes over, where it is
	// lifted; none for a straight one.
	Via []plane.Point

	// Wipe is an optional way to go after the last point while filament is
	// drawn back, at print height: commonly back over the bead. It leads away
	// from the last point, which is not repeated.
	Wipe []plane.Point

	// Note is said in a comment line before the operation; "" says nothing.
	Note string
}

// FromStroke lays a stroke of the file again exactly as it was: same points,
// same filament, same speed.
func FromStroke(s deposit.Stroke) Operation {
	return Operation{Role: Kept, Points: s.Points, E: s.E, Feed: s.Feed, Note: "kept: " + s.Class.String()}
}

// Layer is the new content of one cut.
type Layer struct {
	ZMM        float64 // height of the nozzle above the bed at which all is laid
	Operations []Operation
}

// Retraction says how filament is drawn back in the new block.
type Retraction string

// The ways of retracting.
const (
	AsFile    Retraction = ""           // by command where the removed layer does so, else by E
	ByE       Retraction = "by-e"       // a negative feed of E
	ByCommand Retraction = "by-command" // G10 and G11
	Never     Retraction = "none"
)

// Pause is a stop for a change of filament after the last new layer.
type Pause struct {
	// Commands are the lines that make the machine wait. M600 is common
	// practice, no published source; empty means M600.
	Commands []string
	Park     plane.Point // where the nozzle waits, off the piece, bed frame, mm
	LiftMM   float64     // height above the layer at which it goes there, default 10
}

// Settings says how the block moves.
type Settings struct {
	Retraction    Retraction
	RetractMM     float64 // by E; default 0.8
	RetractFeed   float64 // mm/min, default 2400
	LiftMM        float64 // rise of a travel; 0 stays low
	TravelFeed    float64 // mm/min, default 7200
	LiftFeed      float64 // mm/min, of moves in Z alone, default 600
	ShortTravelMM float64 // travels up to this length stay low and primed, default 0.8
	WipeMM        float64 // longest Wipe of an operation; a longer one is refused
	Pause         *Pause
	// Arcs writes runs of short segments that lie on a circle as arcs (G2 and
	// G3, centre form), within tol.JoinArc of their points.
	Arcs bool
	// Say are lines for the block's first comment: what was done and with
	// which settings. Line ends inside are replaced by blanks.
	Say []string
}

// Filled returns s with every default filled in.
func (s Settings) Filled() Settings {
	set := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	set(&s.RetractMM, 0.8)
	set(&s.RetractFeed, 2400)
	set(&s.TravelFeed, 7200)
	set(&s.LiftFeed, 600)
	set(&s.ShortTravelMM, 0.8)
	if s.Pause != nil {
		p := *s.Pause
		set(&p.LiftMM, 10)
		if len(p.Commands) == 0 {
			p.Commands = []string{"M600"}
		}
		s.Pause = &p
	}
	return s
}

// Input is all a join needs.
type Input struct {
	// Head holds the original's bytes from the first one to beyond the end of
	// the last cut; some hundred lines more show how the tail goes on (its
	// line numbers). It is not changed and not kept.
	Head   []byte
	Cuts   []Cut   // in file order, not overlapping
	Layers []Layer // one for each cut
	Settings
	GCode gcode.Options
	// Stop, if set, is asked now and then whether the join is no longer wanted.
	// Then the Result is empty and nothing is found.
	Stop func() bool
}

// askEvery is the number of lines after which Stop is asked again: under a
// millisecond of work.
const askEvery = 4096

// stopped reports whether there is a stop, and it says so.
func stopped(stop func() bool) bool { return stop != nil && stop() }

// Block is what one cut is replaced by.
type Block struct {
	Cut   Cut
	Start int64 // offset of the block in the finished file
	Bytes []byte
}

// KeptCommand is a command of a removed layer that stays.
type KeptCommand struct {
	Text  string `json:"text"`
	Line  int    `json:"line"`  // of the original, from 1
	Where string `json:"where"` // "before" or "after" the new beads
	Layer int    `json:"layer"` // index of the cut
}

// Figures counts what the blocks hold.
type Figures struct {
	Lines, Beads, Travels, Lifted int
	Arcs                          int // lines that are arcs, each in place of four segments or more
	LengthMM, TravelMM, EMM       float64
}

// Result is a finished join. The finished file is, in order, the original's
// bytes between the cuts and the blocks; from TailOffset on it is the
// original.
type Result struct {
	Blocks     []Block
	HeadLength int64 // bytes of the original before the first block
	TailOffset int64 // of the original: end of the last cut
	JoinLine   int   // line of the finished file, from 1, at which the first block begins
	TailLine   int   // line of the finished file at which the tail begins
	Kept       []KeptCommand
	Begins     [][]int // for each new layer, the line of the finished file at which each operation begins
	Figures    Figures
}

// FinishedHead returns the finished file up to the tail: for one cut, head and
// block.
func (r Result) FinishedHead(original []byte) []byte {
	var out []byte
	at := int64(0)
	for _, b := range r.Blocks {
		out = append(out, original[at:b.Cut.From]...)
		out = append(out, b.Bytes...)
		at = b.Cut.To
	}
	return out
}
