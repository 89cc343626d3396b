package join

import (
	"fmt"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
)

// Bed is where the nozzle may go.
type Bed struct {
	Box     plane.Box // mm; a round bed is the ellipse inscribed in it
	Round   bool
	KeepOut []plane.Box // clips and the like
}

// Contains reports whether p lies on the bed, its border and a tolerance of by
// mm included. Keep-outs are not looked at.
func (b Bed) Contains(p plane.Point, by float64) bool {
	if !b.Box.Grow(by).Contains(p) {
		return false
	}
	if !b.Round {
		return true
	}
	c, size := b.Box.Centre(), b.Box.Size()
	q := p.Sub(c)
	rx, ry := size.X/2+by, size.Y/2+by
	// Products guarded against fused multiply-add: the same bed on every machine.
	return float64(q.X/rx*(q.X/rx))+float64(q.Y/ry*(q.Y/ry)) <= 1
}

// Machine says what the machine can do. A zero limit is not judged.
type Machine struct {
	Bed         Bed
	FilamentMM  float64 // diameter, default 1.75
	MaxFlowMM3s float64 // largest flow of molten filament, mm³/s
	ColdC       float64 // nozzle targets below count as cold, default 170 °C
	HotC        float64 // hottest nozzle target, °C
	HotBedC     float64 // hottest bed target, °C
}

// Plan is what a proof needs to know beyond the bytes.
type Plan struct {
	Blocks   []Block   // cuts, and the place and length of each block; Bytes are not read
	ZMM      []float64 // height asked for each new layer
	EMM      []float64 // filament asked for each new layer, mm
	Layers   []Layer   // beads asked for each new layer; nil leaves their places unjudged
	Settings Settings
	Machine  Machine
	GCode    gcode.Options
	Stop     func() bool // as in Input; then the proof is not OK
}

// PlanOf returns the plan that belongs to a built join.
func PlanOf(in Input, r Result, m Machine) Plan {
	p := Plan{Blocks: r.Blocks, Layers: in.Layers, Settings: in.Settings, Machine: m, GCode: in.GCode, Stop: in.Stop}
	for _, l := range in.Layers {
		sum := 0.0
		for _, op := range l.Operations {
			for _, e := range op.E {
				sum += e
			}
		}
		p.ZMM, p.EMM = append(p.ZMM, l.ZMM), append(p.EMM, sum)
	}
	return p
}

// The codes of the clauses. A part of the state that differs has the code
// StateCode gives for its field.
const (
	CodeHead         = "join-head-changed"        // 1: bytes before, or between, the blocks
	CodeTail         = "join-tail-misplaced"      // 1: the tail does not begin where the cut ends
	CodeState        = "join-state"               // 2: prefix, see StateCode
	CodeCommands     = "join-commands"            // 3: a command lost, added, changed, out of order
	CodeSide         = "join-command-side"        // 3: a command on the other side of the beads
	CodeBed          = "join-off-bed"             // 4
	CodeKeepOut      = "join-keep-out"            // 4
	CodeBelow        = "join-below-layer"         // 4
	CodeRetracted    = "join-extrudes-retracted"  // 4
	CodeCold         = "join-extrudes-cold"       // 4
	CodeHot          = "join-too-hot"             // 4, anywhere up to the tail
	CodeJump         = "join-e-jump"              // 4
	CodeLowTravel    = "join-low-travel"          // 4
	CodeFlow         = "join-flow"                // 4
	CodeHeight       = "join-height"              // 5
	CodeTotal        = "join-e-total"             // 5: filament fed is not what was asked
	CodePerMM        = "join-e-per-mm"            // 5, a caution: much more or less than the piece's own layer
	CodeWay          = "join-way"                 // 5: a bead that lies elsewhere than asked, or is missing
	CodeArc          = "join-arc"                 // 5: an arc whose centre does not fit its ends
	CodeNumber       = "join-number"              // writing: decimals, -0
	CodeLine         = "join-unreadable-line"     // writing: a line a reader stumbles over
	CodeLineNumbers  = "join-line-numbers"        // writing: N words do not run on
	CodeCommentLines = "join-block-without-frame" // writing: no comment line of our own first and last
)

// StateCode returns the code for a part of the state, by the name of the field
// in gcode.Difference.
func StateCode(field string) string {
	var b strings.Builder
	b.WriteString(CodeState)
	dash := true
	for _, c := range strings.ToLower(field) {
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' {
			if dash {
				b.WriteByte('-')
			}
			b.WriteRune(c)
			dash = false
		} else {
			dash = true
		}
	}
	return b.String()
}

// Clause is one of the things a join has to hold.
type Clause struct {
	Name string `json:"name"`
	OK   bool   `json:"ok"`
}

// Proof is the outcome of reading a finished file.
type Proof struct {
	OK       bool         // no finding of level stop
	Clauses  []Clause     // the five clauses and the writing, in order
	Findings finding.List // at most a few for each code
	// PieceEPerMM and NewEPerMM are the filament per mm of bead of the removed
	// and of the new layers, mm.
	PieceEPerMM, NewEPerMM float64
	PeakFlowMM3s           float64 // mm³/s
	LowestMM               float64 // height of the lowest new bead
	LowTravelMM            float64 // longest travel at print height
}

var clauseNames = []string{
	"Head and tail are the original's bytes",
	"Where the tail begins the machine is as the original leaves it",
	"Commands of the removed layer are kept, in order",
	"No move off the bed, too low, cold, retracted, or too fast; nothing too hot",
	"Height, filament and place of every bead are as asked and as in the piece",
	"Every line can be read",
}

// clauseOf returns the index in clauseNames of a code.
func clauseOf(code string) int {
	switch code {
	case CodeHead, CodeTail:
		return 0
	case CodeCommands, CodeSide:
		return 2
	case CodeBed, CodeKeepOut, CodeBelow, CodeRetracted, CodeCold, CodeHot, CodeJump, CodeLowTravel, CodeFlow:
		return 3
	case CodeHeight, CodeTotal, CodePerMM, CodeWay, CodeArc:
		return 4
	case CodeNumber, CodeLine, CodeLineNumbers, CodeCommentLines:
		return 5
	}
	return 1
}

// maxPerCode bounds how often one code is reported.
const maxPerCode = 3

// reporter collects findings, a few for each code.
type reporter struct {
	list  finding.List
	count map[string]int
}

func (r *reporter) add(f finding.Finding) {
	if r.count == nil {
		r.count = map[string]int{}
	}
	r.count[f.Code]++
	if r.count[f.Code] <= maxPerCode {
		r.list.Add(f)
	}
}

func (r *reporter) stop(code string, l *gcode.Line, format string, values ...any) {
	r.add(stopFinding(code, l, format, values...))
}

// stopAt is stop with the place on the bed, mm.
func (r *reporter) stopAt(p plane.Point, code string, l *gcode.Line, format string, values ...any) {
	f := stopFinding(code, l, format, values...)
	f.Place.At = &[2]float64{p.X, p.Y}
	r.add(f)
}

func stopFinding(code string, l *gcode.Line, format string, values ...any) finding.Finding {
	f := finding.Finding{Code: code, Level: finding.Stop, Text: fmt.Sprintf(format, values...), Remedy: remedies[code]}
	if l != nil {
		f = at(f, l)
		f.Place.File = "finished"
	}
	return f
}

const faultRemedy = "Do not print this; it is a fault of the program. Please report the job."

// remedies say what to do where the person can do something.
var remedies = map[string]string{
	CodeHead: faultRemedy, CodeTail: faultRemedy, CodeCommands: faultRemedy, CodeSide: faultRemedy,
	CodeBed:       "Move, turn or shrink the pattern, or correct the bed's size and origin.",
	CodeKeepOut:   "Move the pattern or the keep-out.",
	CodeBelow:     "Use the height of the piece's own first layer.",
	CodeRetracted: faultRemedy,
	CodeCold:      "Have the nozzle heated before the first layer.",
	CodeHot:       "Correct the temperature where the piece is sliced; do not print this file.",
	CodeJump:      "Look at the line width and flow of the pattern.",
	CodeLowTravel: "Set a lift, or keep the travel shorter.",
	CodeFlow:      "Print slower, or use thinner lines.",
	CodeHeight:    "Use the height of the piece's own first layer.",
	CodeTotal:     faultRemedy,
	CodePerMM:     "Compare layer height, line width and filament diameter with those of the piece.",
	CodeWay:       faultRemedy, CodeArc: faultRemedy,
	CodeNumber: faultRemedy, CodeLine: faultRemedy, CodeLineNumbers: faultRemedy, CodeCommentLines: faultRemedy,
}
