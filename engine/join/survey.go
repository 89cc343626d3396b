package join

import (
	"bytes"
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
)

// maxComments bounds the comment lines kept on either side of the beads.
const maxComments = 40

// command is a command of a removed layer that stays.
type command struct {
	text   string
	line   int
	inches bool // the unit in force where it stands
}

// removed is what one cut of the original holds.
type removed struct {
	at, to        gcode.State // where the cut begins and ends
	before, after []command   // commands, by the side of the first bead
	opening       [][]byte    // comment lines before the first bead
	closing       [][]byte    // comment lines after the last bead
	beads         int
	low           float64 // Z of the lowest bead, mm
	length, fed   float64 // of all beads, mm
	firmware      bool    // retracts by command
	deepest       float64 // retraction by E, mm
	firstLine     int     // of the original, from 1
	lastLine      int     // of the original: first line past the cut
	lastNumber    int64
	numbered      bool  // the last command before the cut carries an N word
	nextNumber    int64 // first N word past the cut; −1 where there is none near
}

// seenBeyond is the number of lines read past the last cut, to see how the
// tail numbers its lines.
const seenBeyond = 200

// survey reads the original up to the last cut and a little beyond; stopped, it
// returns nothing.
func survey(head []byte, cuts []Cut, o gcode.Options, stop func() bool) (list []removed, carriageReturn bool, found finding.List) {
	v := surveyor{cuts: cuts, in: gcode.NewInterp(o)}
	s := gcode.NewScanner(head)
	for line := 1; ; line++ {
		if line%askEvery == 0 && stopped(stop) {
			return nil, carriageReturn, nil
		}
		from := s.Offset()
		v.edge(from, line)
		before := lineState{v.in.At().Tool, v.in.At().Inches}
		if v.beyond >= seenBeyond || !v.in.Next(s) {
			break
		}
		if line == 1 {
			carriageReturn = s.Line().Is(gcode.CarriageReturn)
		}
		if v.parted(from, s.Offset()) {
			text := "The start of the layer lies inside a line."
			if v.inside {
				text = "The end of the layer lies inside a line."
			}
			v.found.Add(cutFinding("join-cut-inside-line", text, s.Line()))
			return nil, carriageReturn, v.found
		}
		v.step(s, before)
	}
	if v.index < len(cuts) {
		v.found.Add(finding.Finding{
			Code: "join-cut-beyond-end", Level: finding.Stop,
			Text:   "A cut lies beyond the part of the file that was read.",
			Remedy: "Read the file up to the end of the layer and choose the layer again.",
			Place:  &finding.Place{File: "piece", Offset: cuts[v.index].To},
		})
	}
	return v.list, carriageReturn, v.found
}

// surveyor follows the original through its cuts.
type surveyor struct {
	cuts     []Cut
	in       *gcode.Interp
	list     []removed
	found    finding.List
	index    int  // of the cut under way or next
	inside   bool // of that cut
	beyond   int  // lines past the last cut
	number   int64
	numbered bool // the last command carries an N word
}

// lineState is what a line finds that may change it.
type lineState struct {
	tool   int
	inches bool
}

// edge notes whether a cut ends or begins at a byte where a line begins.
func (v *surveyor) edge(offset int64, line int) {
	if v.inside && v.cuts[v.index].To == offset {
		v.leave(line)
	}
	if v.index < len(v.cuts) && !v.inside && v.cuts[v.index].From == offset {
		v.inside = true
		v.list = append(v.list, removed{
			at: v.in.State(), firstLine: line, nextNumber: -1, lastNumber: v.number, numbered: v.numbered,
		})
	}
}

// parted reports whether the next edge lies inside a line from one byte up to
// another.
func (v *surveyor) parted(from, to int64) bool {
	if v.index == len(v.cuts) {
		return false
	}
	edge := v.cuts[v.index].From
	if v.inside {
		edge = v.cuts[v.index].To
	}
	return from < edge && edge < to
}

func (v *surveyor) leave(line int) {
	v.list[v.index].to, v.list[v.index].lastLine = v.in.State(), line
	v.inside = false
	v.index++
}

// step notes what the line just followed means for the cuts.
func (v *surveyor) step(s *gcode.Scanner, before lineState) {
	now := v.in.At()
	if v.index == len(v.cuts) && !v.inside {
		v.beyond++
	}
	if s.Passed() {
		// A plain move: it has no line number, keeps the tool, and has nothing to
		// be kept or refused.
		v.numbered = false
		if v.inside {
			v.list[v.index].laid(v.in.Move(), now)
		}
		return
	}
	l := s.Line()
	if commands(l) {
		if v.numbered = l.Is(gcode.HasNumber); v.numbered {
			v.number = l.LineNumber
			for i := range v.list[:v.index] {
				if v.list[i].nextNumber < 0 {
					v.list[i].nextNumber = l.LineNumber
				}
			}
		}
	}
	if !v.inside {
		return
	}
	v.list[v.index].laid(v.in.Move(), now)
	v.list[v.index].take(l, before.inches, &v.found)
	if before.tool != now.Tool {
		v.found.Add(at(finding.Finding{
			Code: "join-tool-change", Level: finding.Stop,
			Text:   "The tool is changed within the layer that is to be replaced.",
			Remedy: "Slice the piece so that one tool lays its first layer, or choose a line after the change for its beginning, in the card of the piece.",
		}, l))
	}
}

// commands reports whether a line commands anything: it is neither empty nor
// only a comment.
func commands(l *gcode.Line) bool {
	return l.Code != 0 || len(l.Words()) > 0 || l.Is(gcode.NamedCommand)
}

// use says what becomes of a line of a removed layer.
type use uint8

const (
	dropped use = iota // motion, or state that is restored at the end
	kept
	refused
	mixed
)

// leavesMotion reports whether axis words beside a command are a motion by the
// mode in force, since the command has no use for them (NISTIR 6556, Tables 4 and
// 8).
func leavesMotion(code gcode.Code) bool {
	switch code {
	case gcode.G(40), gcode.G(400), gcode.G(410), gcode.G(420), gcode.G(490), gcode.G(540), gcode.G(550), gcode.G(560), gcode.G(570),
		gcode.G(580), gcode.G(590), gcode.G(591), gcode.G(592), gcode.G(593), gcode.G(610), gcode.G(611), gcode.G(640),
		gcode.G(930), gcode.G(940), gcode.G(980), gcode.G(990),
		gcode.M(0), gcode.M(1), gcode.M(2), gcode.M(3), gcode.M(4), gcode.M(5), gcode.M(6), gcode.M(7), gcode.M(8), gcode.M(9),
		gcode.M(30), gcode.M(48), gcode.M(49), gcode.M(60):
		return true
	}
	return false
}

// judge sorts a line by what it does.
func judge(l *gcode.Line) use {
	if l.Is(gcode.NamedCommand) {
		return kept
	}
	motion, other, modal, axes := false, false, false, false
	for _, w := range l.Words() {
		if w.Bare && w.Letter != 'G' && w.Letter != 'M' && w.Letter != 'T' {
			continue
		}
		switch w.Letter {
		case 'G':
			switch code := gcode.CodeOf('G', w.Value); code {
			case gcode.G(0), gcode.G(10), gcode.G(20), gcode.G(30), gcode.G(50), gcode.G(51),
				gcode.G(170), gcode.G(180), gcode.G(190), gcode.G(200), gcode.G(210), gcode.G(900), gcode.G(910), gcode.G(901), gcode.G(911),
				gcode.G(800), gcode.G(920), gcode.G(921), gcode.G(922), gcode.G(923), gcode.G(110):
				motion = true
			case gcode.G(100):
				if gcode.SetsTable(l.Words()) {
					other = true
				} else {
					motion = true
				}
			case gcode.G(280), gcode.G(281), gcode.G(290), gcode.G(300), gcode.G(330), gcode.G(340), gcode.G(380), gcode.G(382), gcode.G(383), gcode.G(384), gcode.G(385):
				return refused
			default:
				other, modal = true, modal || leavesMotion(code)
			}
		case 'M':
			switch code := gcode.CodeOf('M', w.Value); code {
			case gcode.M(82), gcode.M(83), gcode.M(110):
				motion = true
			default:
				other, modal = true, modal || leavesMotion(code)
			}
		case 'X', 'Y', 'Z', 'E':
			axes = true
		case 'T':
			other = other || l.Code.Letter() == 'T'
		}
	}
	switch {
	case motion && other, modal && axes:
		return mixed
	case other:
		return kept
	}
	return dropped
}

// laid notes the move of a line of the cut and the state that it leaves.
func (r *removed) laid(move *gcode.Move, now *gcode.State) {
	if move.Kind == gcode.Extrude {
		// Cost of a bead: no allocation, so that big layers stay cheap.
		r.closing = r.closing[:0]
		z := move.To.Z
		if r.beads == 0 || z < r.low {
			r.low = z
		}
		r.beads++
		r.length += moveLength(move)
		r.fed += move.E
	}
	if now.FirmwareRetracted[toolIndex(now.Tool)] {
		r.firmware = true
	}
	if d := now.RetractionMM(); d > r.deepest {
		r.deepest = d
	}
}

// take notes the words of a line of the cut, whose move laid has noted; inches
// is the unit in force before it.
func (r *removed) take(l *gcode.Line, inches bool, found *finding.List) {
	if !commands(l) {
		if l.Is(gcode.HasComment) {
			r.comment(bytes.Clone(spoken(l)))
		}
		return
	}
	what := judge(l)
	doubtful := l.Trouble &^ (gcode.OpenComment | gcode.NestedComment)
	if what != kept {
		doubtful &^= gcode.BlankInNumber // a motion is read as the standard has it
	}
	if doubtful != 0 {
		found.Add(at(finding.Finding{
			Code: CodeLine, Level: finding.Stop,
			Text:   "A line of the layer that is to be replaced cannot be read without doubt.",
			Remedy: "Look at the line: the file may be damaged. Have it written again.",
		}, l))
		return
	}
	switch what {
	case kept:
		c := command{text: bare(l), line: l.Number, inches: inches}
		if r.beads == 0 {
			r.before = append(r.before, c)
		} else {
			r.after = append(r.after, c)
		}
	case refused:
		found.Add(at(finding.Finding{
			Code: "join-homing", Level: finding.Stop,
			Text:   fmt.Sprintf("The layer that is to be replaced holds %s, a move whose way the file does not say.", l.Code),
			Remedy: "Choose a later line for the beginning of the first layer, in the card of the piece.",
		}, l))
	case mixed:
		found.Add(at(finding.Finding{
			Code: "join-mixed-line", Level: finding.Stop,
			Text:   "A line of the layer that is to be replaced both moves and commands something else.",
			Remedy: "Write the two on lines of their own.",
		}, l))
	}
}

func (r *removed) comment(raw []byte) {
	switch {
	case len(raw) == 0:
	case r.beads == 0 && len(r.opening) < maxComments:
		r.opening = append(r.opening, raw)
	case r.beads > 0 && len(r.closing) < maxComments:
		r.closing = append(r.closing, raw)
	}
}

// spoken returns the comment of a line without commands: the whole line, and of
// a numbered one what follows its number up to a checksum, since the block counts
// its own lines.
func spoken(l *gcode.Line) []byte {
	if !l.Is(gcode.HasNumber) && !l.Is(gcode.HasChecksum) {
		return l.Raw
	}
	from := bytes.IndexAny(l.Raw, ";(")
	if from < 0 {
		return nil
	}
	text := l.Raw[from:]
	if end := bytes.LastIndexByte(text, ')'); text[0] == '(' && end >= 0 {
		text = text[:end+1]
	}
	return text
}

// bare returns a command as written, without line number, checksum, comment
// and the blanks around it.
func bare(l *gcode.Line) string {
	raw := bytes.TrimPrefix(l.Raw, []byte("\xef\xbb\xbf"))
	raw = bytes.TrimSpace(raw)
	if l.Is(gcode.HasNumber) {
		i := 1
		for i < len(raw) && (raw[i] == ' ' || raw[i] >= '0' && raw[i] <= '9') {
			i++
		}
		raw = raw[i:]
	}
	quoted := false
	for i, c := range raw {
		if c == '"' {
			quoted = !quoted
		}
		if c == ';' && !quoted {
			raw = bytes.TrimSpace(raw[:i])
			break
		}
	}
	if l.Is(gcode.HasChecksum) {
		if i := bytes.LastIndexByte(raw, '*'); i >= 0 {
			raw = raw[:i]
		}
	}
	return string(bytes.TrimSpace(raw))
}

func toolIndex(tool int) int {
	if tool < 0 || tool >= gcode.MaxTools {
		return 0
	}
	return tool
}

func at(f finding.Finding, l *gcode.Line) finding.Finding {
	text := l.Raw
	if len(text) > 80 {
		text = text[:80]
	}
	f.Place = &finding.Place{File: "piece", Line: l.Number, Offset: l.Offset}
	f.Quote = string(bytes.ToValidUTF8(text, []byte("?")))
	return f
}

func cutFinding(code, text string, l *gcode.Line) finding.Finding {
	return at(finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: "Choose a layer that begins and ends at the start of a line."}, l)
}

// moveLength returns the length of the nozzle's way in XY, mm.
func moveLength(m *gcode.Move) float64 {
	if m.Arc.Is() && m.Arc.Plane == gcode.PlaneXY {
		return math.Abs(m.Arc.Sweep) * m.Arc.Radius
	}
	return math.Hypot(m.To.X-m.From.X, m.To.Y-m.From.Y)
}
