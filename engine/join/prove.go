package join

import (
	"bytes"
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Prove reads finished, the finished file up to the place where its tail
// begins, from the first byte on, beside the original, of which it needs the
// bytes up to the end of the last cut. It trusts nothing that Build says except
// the places of the blocks.
//
// No blocks prove that finished is the original's start.
func Prove(finished, original []byte, plan Plan) Proof {
	plan.Settings = plan.Settings.Filled()
	m := &plan.Machine
	if m.FilamentMM == 0 {
		m.FilamentMM = 1.75
	}
	if m.ColdC == 0 {
		m.ColdC = 170
	}
	p := &prover{plan: plan, finished: finished, original: original}
	p.proof.LowestMM = math.Inf(1)
	if p.bytesAgree() {
		p.read()
	}
	return p.result()
}

type prover struct {
	reporter
	plan               Plan
	finished, original []byte
	old                []removed
	proof              Proof
	unread             bool // it was stopped, or the original could not be followed

	hottest, hottestBed float64 // targets in force, °C: each is reported once

	// Of the block under way.
	index     int
	own       []command
	sides     []bool // of own: after the first bead
	fed       float64
	length    float64
	beads     int
	lowRun    float64 // travelled at print height since the last bead
	deepest   float64
	heated    bool
	number    int64 // last N word, −1 before the first
	started   bool  // the block's first line has been seen
	way       way
	chords    []plane.Point // of an arc under way
	lastFrame bool          // the last line of the block that is not a line number's is our comment
}

// bytesAgree checks clause 1 and reports whether the rest can be read.
func (p *prover) bytesAgree() bool {
	blocks := p.plan.Blocks
	if len(p.plan.ZMM) != len(blocks) || len(p.plan.EMM) != len(blocks) || p.plan.Layers != nil && len(p.plan.Layers) != len(blocks) {
		p.stop(CodeTail, nil, "The plan does not fit its blocks.")
		return false
	}
	at, from := int64(0), int64(0)
	for i, b := range blocks {
		n := b.Cut.From - from
		if n < 0 || b.Cut.To < b.Cut.From || b.Cut.To > int64(len(p.original)) || b.Start != at+n || b.Start+int64(len(b.Bytes)) > int64(len(p.finished)) {
			p.stop(CodeTail, nil, "Block %d does not lie where its cut is.", i+1)
			return false
		}
		if !bytes.Equal(p.original[from:b.Cut.From], p.finished[at:b.Start]) {
			p.stop(CodeHead, nil, "The bytes before block %d are not those of the original.", i+1)
		}
		if b.Cut.To > 0 && p.original[b.Cut.To-1] != '\n' {
			p.stop(CodeTail, nil, "The tail would begin inside a line.")
		}
		at, from = b.Start+int64(len(b.Bytes)), b.Cut.To
	}
	if len(blocks) == 0 {
		if !bytes.HasPrefix(p.original, p.finished) {
			p.stop(CodeHead, nil, "Nothing was replaced, and yet the bytes differ from the original.")
		}
		return false
	}
	if at != int64(len(p.finished)) {
		p.stop(CodeTail, nil, "Behind the last block lie %d bytes that are not the tail's.", int64(len(p.finished))-at)
		return false
	}
	if n := len(p.finished); n == 0 || p.finished[n-1] != '\n' {
		p.stop(CodeTail, nil, "The last block does not end its line, so the tail would begin inside it.")
		return false
	}
	return true
}

// read interprets both files.
func (p *prover) read() {
	cuts := make([]Cut, len(p.plan.Blocks))
	for i, b := range p.plan.Blocks {
		cuts[i] = b.Cut
	}
	old, _, problems := survey(p.original[:cuts[len(cuts)-1].To], cuts, p.plan.GCode, p.plan.Stop)
	if len(old) != len(cuts) || problems.Worst() == finding.Stop {
		for _, f := range problems {
			p.add(f)
		}
		if p.unread = len(old) != len(cuts); p.unread {
			return
		}
	}
	p.old = old
	in := gcode.NewInterp(p.plan.GCode)
	s := gcode.NewScanner(p.finished)
	k, inside := 0, false
	p.number = -1
	now, move := in.At(), in.Move()
	for lines := 1; ; lines++ {
		if lines%askEvery == 0 {
			if p.unread = stopped(p.plan.Stop); p.unread {
				return
			}
		}
		next := s.Offset()
		if inside && next >= p.end(k) {
			p.blockEnds(in, s.Line())
			inside = false
			k++
		}
		if !inside && k < len(cuts) && next >= p.plan.Blocks[k].Start {
			p.blockBegins(k)
			inside = true
		}
		if !in.Next(s) {
			break
		}
		// A plain line says nothing of line numbers, temperatures or tools.
		plain := s.Passed()
		if plain && !inside {
			continue
		}
		l := s.Line()
		if !plain {
			p.counted(l, inside)
			if l.Code.Letter() == 'M' {
				p.hot(l, now)
			}
			p.heated = p.heated || now.Hotend[toolIndex(now.Tool)] > 0
		}
		if inside {
			p.line(l, plain, move, now)
		}
	}
	if inside {
		p.blockEnds(in, s.Line())
	}
}

func (p *prover) end(k int) int64 {
	return p.plan.Blocks[k].Start + int64(len(p.plan.Blocks[k].Bytes))
}

func (p *prover) blockBegins(k int) {
	p.index, p.own, p.sides = k, nil, nil
	p.fed, p.length, p.beads, p.lowRun, p.started, p.lastFrame = 0, 0, 0, 0, false, false
	p.way = way{}
	if p.plan.Layers != nil {
		p.way.ops = p.plan.Layers[k].Operations
	}
	p.deepest = math.Max(p.plan.Settings.RetractMM, p.old[k].deepest)
	p.deepest = math.Max(p.deepest, p.old[k].at.RetractionMM())
}

// counted checks that N words run on, over the whole of what is read.
func (p *prover) counted(l *gcode.Line, inside bool) {
	if !l.Is(gcode.HasNumber) {
		return
	}
	if l.Code == gcode.M(110) {
		p.number = l.LineNumber
		if w, ok := l.Value('N'); ok {
			p.number = int64(w)
		}
		return
	}
	if inside && p.number >= 0 && l.LineNumber != p.number+1 {
		p.stop(CodeLineNumbers, l, "Line number %d follows line number %d.", l.LineNumber, p.number)
	}
	p.number = l.LineNumber
}

// line checks one line of a block, which has just been carried out. Of a plain
// line (see gcode.Scanner.Passed) the words are looked at only where its bytes
// give cause.
func (p *prover) line(l *gcode.Line, plain bool, move *gcode.Move, now *gcode.State) {
	if !p.started {
		p.started = true
		if !bytes.HasPrefix(l.Raw, []byte(OpeningComment)) {
			p.stop(CodeCommentLines, l, "The new block does not begin with a comment line that says what it is.")
		}
	}
	if l.Code != gcode.M(110) {
		p.lastFrame = bytes.HasPrefix(l.Raw, []byte(ClosingComment))
	}
	if !plain && !commands(l) {
		return
	}
	if l.Trouble&^(gcode.OpenComment|gcode.NestedComment) != 0 {
		p.stop(CodeLine, l, "A line of the new block cannot be read without doubt.")
	}
	if p.old[p.index].numbered && !l.Is(gcode.HasNumber) {
		p.stop(CodeLineNumbers, l, "A line of the new block has no line number, unlike the lines around it.")
	}
	what := dropped
	if !plain {
		what = judge(l)
	}
	if what == refused || what == mixed {
		p.stop(CodeLine, l, "A line of the new block homes, probes, or does two things at once.")
	}
	if what == kept {
		p.own = append(p.own, command{text: bare(l), line: l.Number})
		p.sides = append(p.sides, p.beads > 0)
		return
	}
	if l.Code != gcode.G(920) && (!plain || longNumbers(l.Raw)) {
		p.numbers(l)
	}
	if move.Kind != gcode.None {
		p.move(l, move, now)
	}
}

// longNumbers reports whether a plain line may hold a number that numbers
// objects to: one with more than three decimals that is not E, or one that opens
// with a minus sign and a nought.
func longNumbers(raw []byte) bool {
	decimals, limit := math.MinInt, 3
	for i, c := range raw {
		switch {
		case c-'0' <= 9:
			if decimals++; decimals > limit {
				return true
			}
		case c == '.':
			decimals = 0
		case c == '-':
			if i+1 < len(raw) && (raw[i+1] == '0' || raw[i+1] == '.') {
				return true
			}
		default: // a letter or a blank: what follows is a whole number till a point comes
			decimals = math.MinInt
			if c == 'E' {
				limit = 5
			} else if c != ' ' {
				limit = 3
			}
		}
	}
	return false
}

// numbers checks how the numbers of a motion are written.
func (p *prover) numbers(l *gcode.Line) {
	for _, w := range l.Words() {
		limit := 3
		switch w.Letter {
		case 'E':
			limit = 5
		case 'F':
			limit = feedDecimals
		case 'X', 'Y', 'Z', 'I', 'J':
		default:
			continue
		}
		text := l.Raw[w.Span.Start+1 : w.Span.End]
		if w.Value == 0 && bytes.HasPrefix(text, []byte("-")) {
			p.stop(CodeNumber, l, "A nought is written with a minus sign.")
		}
		if i := bytes.IndexByte(text, '.'); i >= 0 && len(text)-i-1 > limit {
			p.stop(CodeNumber, l, "The word %c%s has more than %d decimals.", w.Letter, text, limit)
		}
	}
}

// move checks clauses 4 and 5 for one move.
func (p *prover) move(l *gcode.Line, m *gcode.Move, now *gcode.State) {
	old := &p.old[p.index]
	z := p.plan.ZMM[p.index]
	length := moveLength(m)
	low := math.Abs(m.To.Z-z) <= tol.JoinHeight && math.Abs(m.From.Z-z) <= tol.JoinHeight
	p.bounds(l, m)
	if m.Moves() && m.To.Z <= m.From.Z && m.To.Z < old.low-tol.JoinHeight && m.To.Z < old.to.Position.Z-tol.JoinHeight {
		p.stop(CodeBelow, l, "The nozzle goes down to Z %.3f mm; the piece's first layer is laid at %.3f mm.", m.To.Z, old.low)
	}
	if d := now.RetractionMM(); d > p.deepest+tol.StateRetraction {
		p.stop(CodeJump, l, "%.5f mm of filament are drawn back, more than the %.5f mm that were asked.", d, p.deepest)
		p.deepest = d
	}
	switch m.Kind {
	case gcode.Extrude:
		p.bead(l, m, now, length)
	case gcode.Prime, gcode.Unretract:
		if m.Fed > tol.JoinBlob {
			p.stop(CodeJump, l, "%.5f mm of filament are fed while the nozzle stands still.", m.Fed)
		}
	case gcode.Travel, gcode.Wipe:
		if !low || length < tol.JoinStill {
			break
		}
		p.lowRun += length
		p.proof.LowTravelMM = math.Max(p.proof.LowTravelMM, p.lowRun)
		allowed := p.plan.Settings.ShortTravelMM
		if now.Drawn() {
			allowed += p.plan.Settings.WipeMM
		}
		if p.lowRun > allowed+tol.JoinBed {
			text := "The nozzle travels %.2f mm at print height, across what is or will be the face."
			if p.plan.Settings.LiftMM > tol.JoinHeight {
				p.stop(CodeLowTravel, l, text, p.lowRun)
			} else {
				f := at(finding.Finding{Code: CodeLowTravel, Level: finding.Caution, Text: fmt.Sprintf(text, p.lowRun), Remedy: remedies[CodeLowTravel]}, l)
				f.Place.File = "finished"
				p.add(f)
			}
		}
	}
	if !low {
		p.lowRun = 0
	}
}

func (p *prover) bead(l *gcode.Line, m *gcode.Move, now *gcode.State, length float64) {
	old := &p.old[p.index]
	z := p.plan.ZMM[p.index]
	p.beads++
	p.lowRun = 0
	p.fed += m.E
	p.length += length
	if text := p.way.follow(m); text != "" {
		p.stopAt(plane.Point{X: m.From.X, Y: m.From.Y}, CodeWay, l, "%s", text)
	}
	if m.Arc.Is() {
		p.radii(l, m)
	}
	p.proof.LowestMM = math.Min(p.proof.LowestMM, m.To.Z)
	if now.FirmwareRetracted[toolIndex(now.Tool)] || m.E-m.Fed > tol.StateRetraction {
		p.stop(CodeRetracted, l, "A bead is laid while filament is drawn back.")
	}
	if math.Abs(m.To.Z-z) > tol.JoinHeight || math.Abs(m.From.Z-z) > tol.JoinHeight || math.Abs(m.To.Z-old.low) > tol.JoinHeight {
		p.stop(CodeHeight, l, "A bead is laid at Z %.3f mm; the piece's own layer lies at %.3f mm, and %.3f mm was asked.", m.To.Z, old.low, z)
	}
	if heat := now.Hotend[toolIndex(now.Tool)]; p.heated && heat < p.plan.Machine.ColdC {
		p.stop(CodeCold, l, "A bead is laid with the nozzle set to %.0f °C, under %.0f °C.", heat, p.plan.Machine.ColdC)
	}
	own := p.pieceEPerMM()
	if length < tol.JoinStill {
		if m.E > tol.JoinBlob+tol.JoinPerMM*own*length {
			p.stop(CodeJump, l, "%.5f mm of filament are fed on a way of %.3f mm.", m.E, length)
		}
		return
	}
	if own > 0 && m.E/length > tol.JoinPerMM*own {
		p.stop(CodeJump, l, "%.5f mm of filament per mm are fed, %.1f times as much as on the piece's own layer.", m.E/length, m.E/length/own)
	}
	if m.Feed > 0 {
		area := math.Pi * p.plan.Machine.FilamentMM * p.plan.Machine.FilamentMM / 4
		flow := m.E * area / (length / m.Feed * 60)
		p.proof.PeakFlowMM3s = math.Max(p.proof.PeakFlowMM3s, flow)
		if limit := p.plan.Machine.MaxFlowMM3s; limit > 0 && flow > limit*(1+tol.JoinFlow) {
			p.stop(CodeFlow, l, "The flow is %.2f mm³/s, over the machine's %.2f mm³/s.", flow, limit)
		}
	}
}

// pieceEPerMM returns the filament per mm of bead of the removed layer.
func (p *prover) pieceEPerMM() float64 {
	old := &p.old[p.index]
	if old.length == 0 {
		return 0
	}
	return old.fed / old.length
}

// blockEnds checks clauses 2, 3 and 5 where a cut ends.
func (p *prover) blockEnds(in *gcode.Interp, l *gcode.Line) {
	old := &p.old[p.index]
	if !p.lastFrame {
		p.stop(CodeCommentLines, l, "The new block does not end with a comment line that says so.")
	}
	now := in.State()
	for _, d := range now.Diff(&old.to) {
		p.stop(StateCode(d.Field), nil, "Where the tail begins, %s is %s; the original has %s.", d.Field, d.A, d.B)
	}
	p.commandsAgree()
	own := p.pieceEPerMM()
	if p.length > 0 {
		fresh := p.fed / p.length
		p.proof.NewEPerMM, p.proof.PieceEPerMM = fresh, own
		if own > 0 && math.Abs(fresh/own-1) > tol.JoinPerMMShown {
			p.add(finding.Finding{
				Code: CodePerMM, Level: finding.Caution, Remedy: remedies[CodePerMM], Value: fresh, Unit: "mm/mm",
				Text: fmt.Sprintf("The new layer feeds %.5f mm of filament per mm, the piece's own layer %.5f mm.", fresh, own),
			})
		}
	}
	asked := p.plan.EMM[p.index]
	if math.Abs(p.fed-asked) > tol.JoinTotal*asked+tol.JoinTotal {
		p.stop(CodeTotal, nil, "The new layer feeds %.4f mm of filament; %.4f mm was asked.", p.fed, asked)
	}
	if !p.way.ended() {
		p.stop(CodeWay, nil, "The new layer lacks a bead that was asked.")
	}
	if p.beads == 0 {
		p.stop(CodeTotal, nil, "The new layer lays no bead.")
	}
}

// commandsAgree checks clause 3.
func (p *prover) commandsAgree() {
	old := &p.old[p.index]
	var want []string
	for _, c := range old.before {
		want = append(want, c.text)
	}
	if p.plan.Settings.Pause != nil && p.index == len(p.plan.Blocks)-1 {
		want = append(want, p.plan.Settings.Pause.Commands...)
	}
	for _, c := range old.after {
		want = append(want, c.text)
	}
	var have []string
	for _, c := range p.own {
		have = append(have, c.text)
	}
	if !slices.Equal(want, have) {
		i := 0
		for i < len(want) && i < len(have) && want[i] == have[i] {
			i++
		}
		p.stop(CodeCommands, nil, "The commands kept are not those of the removed layer: place %d holds %q, not %q.", i+1, pick(have, i), pick(want, i))
		return
	}
	for i, after := range p.sides {
		if after != (i >= len(old.before)) {
			p.stop(CodeSide, nil, "The command %q stands on the other side of the beads than in the original.", have[i])
		}
	}
}

func pick(list []string, i int) string {
	if i < len(list) {
		return list[i]
	}
	return "nothing"
}

func (p *prover) result() Proof {
	p.proof.Findings = p.list
	p.proof.OK = p.list.Worst() != finding.Stop && !p.unread
	for _, name := range clauseNames {
		p.proof.Clauses = append(p.proof.Clauses, Clause{name, true})
	}
	for _, f := range p.list {
		if f.Level == finding.Stop {
			p.proof.Clauses[clauseOf(f.Code)].OK = false
		}
	}
	if math.IsInf(p.proof.LowestMM, 1) {
		p.proof.LowestMM = 0
	}
	return p.proof
}
