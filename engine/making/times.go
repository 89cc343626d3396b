package making

import (
	"math"

	"sheenlay/engine/gcode"
	"sheenlay/engine/join"
	"sheenlay/engine/motion"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Times is what the replaced and the new bytes take.
type Times struct {
	OldS, NewS           float64 // s
	OldFilamentMM, NewMM float64 // filament fed, mm
	Trace                Trace   // the new bytes, move by move
}

// Trace is the new layer as the machine goes it: for scrubbing and drawing.
type Trace struct {
	Moves []TraceMove
}

// TraceMove is one straight move of the new bytes.
type TraceMove struct {
	From, To plane.Point
	Line     int     // of the finished file, from 1
	WidthMM  float64 // width that its filament covers at its layer's height; 0 for a travel
	SpeedMMs float64 // as commanded
	FlowMM3s float64
	EndS     float64 // time at its end from the start of the new layer, s
}

// times plans the old and the new bytes of the replaced layers with the same
// machine and the state in force where they begin.
func (w *work) times() {
	if len(w.Join.Blocks) == 0 {
		return
	}
	limits := w.Job.Machine.MotionLimits()
	first, last := w.Join.Blocks[0].Cut, w.Join.Blocks[len(w.Join.Blocks)-1].Cut
	old := planned(w.piece.Head[first.From:last.To], w.piece.Start, 1, limits, nil, w.stopped)
	area := math.Pi * w.Line.Feed.FilamentDiameterMM * w.Line.Feed.FilamentDiameterMM / 4
	trace := &tracer{filament: area}
	for i, l := range w.Layers {
		trace.layers = append(trace.layers, tracedLayer{w.Join.Begins[i][0], l.Source.Height})
	}
	made := planned(w.Block, w.piece.Start, w.Join.JoinLine, limits, trace, w.stopped)
	w.Times = Times{OldS: old.Seconds, NewS: made.Seconds, OldFilamentMM: old.FilamentMM, NewMM: made.FilamentMM, Trace: trace.trace}
}

// askEvery is the number of lines after which a long reading asks whether it is
// still wanted: under a millisecond of work.
const askEvery = 4096

// planned interprets bytes from a state and plans their moves; stopped, it
// returns what it has come to.
func planned(data []byte, start gcode.State, line int, limits motion.Limits, trace *tracer, stop func() bool) motion.Estimate {
	in := gcode.NewInterpAt(start, gcode.Options{})
	planner, pace := motion.NewPlanner(limits), piece.NewPace(limits)
	if trace != nil {
		planner.OnMove = trace.ended
	}
	pace.Follow(planner, in.At())
	var chords []plane.Point
	move := in.Move()
	for s := gcode.NewScannerAt(data, 0, line, true); in.Next(s); line++ {
		if line%askEvery == 0 && stop() {
			break
		}
		if !s.Passed() {
			pace.Follow(planner, in.At())
		}
		if move.Kind == gcode.None || move.Kind == gcode.Home {
			continue
		}
		m := motion.Move{From: [3]float64{move.From.X, move.From.Y, move.From.Z}, To: [3]float64{move.To.X, move.To.Y, move.To.Z}, DE: move.E, Feed: move.Feed}
		if move.Arc.Is() && move.Arc.Plane == gcode.PlaneXY {
			chords = gcode.AppendArc(chords[:0], *move, tol.FlattenCurve)
			motion.Chords(m, chords, func(chord *motion.Move) {
				if trace != nil {
					trace.move(*chord, line, move.Fed*share(chord.DE, m.DE))
				}
				planner.Add(chord)
			})
			continue
		}
		if trace != nil {
			trace.move(m, line, move.Fed)
		}
		planner.Add(&m)
	}
	return planner.Finish()
}

// share returns part of whole, 0 where there is no whole.
func share(part, whole float64) float64 {
	if whole == 0 {
		return 0
	}
	return part / whole
}

// tracer notes moves and, once the planner knows them, their times.
type tracer struct {
	layers   []tracedLayer // that of the next move first
	filament float64       // mm²
	trace    Trace
	index    []int // planner's move → trace's, −1 for moves that are not drawn
}

// tracedLayer is where a new layer begins to lay, and its height.
type tracedLayer struct {
	line     int
	heightMM float64
}

func (t *tracer) move(m motion.Move, line int, fed float64) {
	from, to := plane.Point{X: m.From[0], Y: m.From[1]}, plane.Point{X: m.To[0], Y: m.To[1]}
	length := from.Dist(to)
	if length == 0 {
		t.index = append(t.index, -1)
		return
	}
	for len(t.layers) > 1 && t.layers[1].line <= line {
		t.layers = t.layers[1:]
	}
	t.index = append(t.index, len(t.trace.Moves))
	move := TraceMove{From: from, To: to, Line: line, SpeedMMs: m.Feed / 60}
	if fed > 0 {
		volume := fed * t.filament / length
		move.WidthMM, move.FlowMM3s = volume/t.layers[0].heightMM, volume*move.SpeedMMs
	}
	t.trace.Moves = append(t.trace.Moves, move)
}

func (t *tracer) ended(index int64, seconds float64) {
	if int(index) < len(t.index) && t.index[index] >= 0 {
		t.trace.Moves[t.index[index]].EndS = seconds
	}
}

// Roles returns what each move of the trace lays: that of the operation within
// whose lines it stands. What is written after the last operation keeps its
// role.
func (m *Made) Roles() []join.Role {
	type start struct {
		line int
		role join.Role
	}
	var starts []start
	for i, lines := range m.Join.Begins {
		for k, line := range lines {
			starts = append(starts, start{line, m.Layers[i].Order[k].Role})
		}
	}
	out := make([]join.Role, len(m.Times.Trace.Moves))
	at := 0
	for i, move := range m.Times.Trace.Moves {
		for at+1 < len(starts) && starts[at+1].line <= move.Line {
			at++
		}
		if at < len(starts) {
			out[i] = starts[at].role
		}
	}
	return out
}
