// Package piece reads a sliced file as far as its bottom layers reach and
// holds what they mean: where they begin and end, what they lay, the bead, and
// what the file shows of the machine. The rest of the file is never read here.
package piece

import (
	"bytes"
	"fmt"
	"math"

	"sheenlay/engine/claims"
	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/layers"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// linesBeyond is how many lines are kept behind those that settle the layers:
// the join looks there for how the tail numbers its lines.
const linesBeyond = 400

// maxHead bounds the bytes kept of a file's head: twelve layers of a very
// large and fine plate.
const maxHead = 192 << 20

// Options of a Reader.
type Options struct {
	Name   string
	Size   int64 // of the file, bytes
	Packed bool  // the file came packed; noted
	Layers int   // bottom layers that may be replaced; 0 = 1
	// FirstLine and NextLine are a person's choice of the lines that start
	// the first layer and the second; 0 for none.
	FirstLine, NextLine int
}

// Reader takes a file's bytes from its first one on until it has seen enough.
type Reader struct {
	options Options
	scanner gcode.Scanner
	interp  *gcode.Interp
	finder  *layers.Finder
	head    []byte
	refused *finding.Finding // not G-code at all
	enough  bool
	lines   int // taken so far
	beyond  int // lines taken since enough is known
	reach   machineReach
	setup   claims.Setup // what its comments say of the machine
}

// NewReader returns a reader that has seen nothing.
func NewReader(o Options) *Reader {
	return &Reader{options: o, interp: gcode.NewInterp(gcode.Options{}), finder: layers.NewFinder(layers.Options{
		Layers: max(o.Layers, 1), FirstLine: o.FirstLine, SecondLine: o.NextLine}), reach: machineReach{moves: plane.EmptyBox()}}
}

// Feed takes the next bytes and reports whether more are wanted. The slice is
// copied.
func (r *Reader) Feed(data []byte) bool {
	if r.beyond == linesBeyond || r.refused != nil {
		return false
	}
	from := len(r.head)
	r.head = append(r.head, data...)
	whole := int64(len(r.head)) >= r.options.Size
	if from == 0 {
		if r.refused = gcode.Sniff(r.head, whole); r.refused != nil {
			return false
		}
	}
	r.scanner.Push(r.head[from:], whole)
	move, state := r.interp.Move(), r.interp.At()
	for r.next() {
		r.lines++
		if !r.scanner.Passed() {
			r.setup.Line(r.scanner.Line().Raw)
		}
		if r.enough {
			if r.beyond++; r.beyond == linesBeyond {
				r.head = r.head[:r.scanner.Offset()]
				return false
			}
			continue
		}
		r.reach.add(move, state)
		if r.scanner.Passed() {
			r.finder.AddPlain(r.lines, r.scanner.Start(), r.scanner.Offset(), move, state.Tool)
		} else {
			r.finder.Add(r.scanner.Line(), move, state.Tool)
		}
		if r.finder.Enough() && r.lines >= r.options.NextLine {
			r.enough = true
		}
	}
	if len(r.head) > maxHead {
		r.refused = &finding.Finding{Code: "piece-head-too-long", Level: finding.Stop,
			Text:   fmt.Sprintf("The bottom layers of the file take more than %d MB.", maxHead>>20),
			Remedy: "Slice a smaller piece, or with longer segments.", Place: &finding.Place{File: "piece"}}
		return false
	}
	return !whole
}

// EndBytes is how much of a file's end is worth handing to FeedEnd: blocks of
// settings are shorter.
const EndBytes = 256 << 10

// FeedEnd takes the last bytes of the file, in one go and at any time before
// Finish: many files keep their settings there. It may be left out; then only
// what the beginning says of the machine is known.
func (r *Reader) FeedEnd(data []byte) {
	// The first line may be a part of one.
	for _, line := range bytes.Split(data[max(0, len(data)-EndBytes):], []byte{'\n'})[1:] {
		r.setup.Line(bytes.TrimSuffix(line, []byte{'\r'}))
	}
}

// next finds the next line, and follows it until enough is known.
func (r *Reader) next() bool {
	if r.enough {
		return r.scanner.Next()
	}
	return r.interp.Next(&r.scanner)
}

// machineReach gathers what the moves of the head show of the machine.
type machineReach struct {
	moves      plane.Box // of all moves with a known place
	topZ       float64
	retractMM  float64 // deepest retraction
	byCommand  bool
	retractMMs float64    // speed of the deepest retraction
	travel     usualValue // speeds of travels, by their length
	lifts      usualValue // heights of lifts, by their number
	risen      float64    // by moves since the last that fed or came down
}

func (m *machineReach) add(move *gcode.Move, state *gcode.State) {
	switch move.Kind {
	case gcode.None:
		return
	case gcode.Retract, gcode.Wipe:
		if depth := state.Retracted[min(state.Tool, gcode.MaxTools-1)]; depth > m.retractMM+1e-9 {
			m.retractMM = depth
			if move.Kind == gcode.Retract {
				m.retractMMs = move.Feed / 60
			}
		}
	case gcode.Travel:
		m.travel.add(move.Feed/60, move.Length())
	}
	m.lift(move, state)
	if tool := min(state.Tool, gcode.MaxTools-1); state.FirmwareRetracted[tool] {
		m.byCommand = true
	}
	if move.Moves() && state.Known.Has(gcode.AxisX) && state.Known.Has(gcode.AxisY) && move.Kind != gcode.Home {
		m.moves = m.moves.Include(plane.Point{X: move.To.X, Y: move.To.Y})
		m.topZ = max(m.topZ, move.To.Z)
	}
}

// lift counts the times that the nozzle rises without feeding and comes down
// again by as much.
func (m *machineReach) lift(move *gcode.Move, state *gcode.State) {
	rise := move.To.Z - move.From.Z
	switch {
	case move.Kind == gcode.Home || move.Kind == gcode.Extrude || !state.Known.Has(gcode.AxisZ):
		m.risen = 0
	case rise > 0:
		m.risen += rise
	case rise < 0:
		if math.Abs(m.risen+rise) < tol.MachineSameLift {
			m.lifts.add(math.Round(m.risen/tol.MachineSameLift)*tol.MachineSameLift, 1)
		}
		m.risen = 0
	}
}

// usualValue finds the value with the largest weight. Files use few speeds and
// lifts; beyond those kept the rest does not matter.
type usualValue struct{ values, weights []float64 }

func (c *usualValue) add(value, weight float64) {
	for i, v := range c.values {
		if v == value {
			c.weights[i] += weight
			return
		}
	}
	if len(c.values) < 32 {
		c.values, c.weights = append(c.values, value), append(c.weights, weight)
	}
}

// usual returns that value, 0 where there was none.
func (c *usualValue) usual() float64 {
	best, at := 0.0, 0.0
	for i, w := range c.weights {
		if w > best {
			best, at = w, c.values[i]
		}
	}
	return at
}

// evidence is what the file shows of the bed.
func (r *Reader) evidence(laid plane.Box) machine.Evidence {
	return machine.Evidence{Piece: laid, Moves: r.reach.moves, MaxZ: r.reach.topZ}
}
