package layers

import (
	"bytes"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Options of a search.
type Options struct {
	// Layers is the number of layers that will be replaced; 0 counts as 1. The
	// result then holds where each of them starts and where the next one does.
	Layers int
	// FirstLine and SecondLine are a person's choice of the lines (from 1) that
	// start the first and the second layer; 0 for none. Both or neither.
	FirstLine, SecondLine int
	// Interp are the options for reading the file.
	Interp gcode.Options
}

// Bounds of what a Finder keeps, whatever the file.
const (
	maxLevels      = 4096
	maxFamilies    = 2048
	maxOccurrences = 512
	maxToolChanges = 64
	maxOpening     = 64 // parts of the first level that are told apart
	furtherLayers  = 3  // layers looked at beyond those needed
	patience       = 48
	readAtLeast    = 3 << 20  // bytes; a few milliseconds, most oddities show, and a page has it with its first slice of 4 MB
	readAtMost     = 64 << 20 // bytes without any material
)

// mark is a line of the file: its number, its first byte, the byte past it.
type mark struct {
	line        int
	offset, end int64
}

// level is material laid at one Z, one line after another.
type level struct {
	z, length, fed float64 // mm
	moves          int
	box            plane.Box
	first, last    mark // lines that lay its first and last material
	approach       mark // first line that moves after the material before
	quiet          mark // first line that moves after the last other command
	other          int  // line of that other command
	tool           int
}

// occurrence is one line of a family.
type occurrence struct {
	mark
	numbers [maxNumbers]float64
	count   int
}

// family are the lines whose text differs in numbers only.
type family struct {
	key      string
	sample   string // raw text of its first line
	anchor   byte   // the comment's mark, or the first byte of a command
	prefix   string // bytes that all its texts open with after the anchor, up to the first digit
	meaning  meaning
	progress bool // a command's text, not a comment
	seen     int  // lines in all
	lines    []occurrence
}

// Finder takes the lines of a file one after another, with their moves, until
// it has seen enough of them.
type Finder struct {
	options  Options
	levels   []level
	families map[string]*family
	order    []*family // in order of first line

	moved, quiet mark    // zero line: none yet
	other        int     // line of the last command that is no move and not neutral
	traveled     float64 // since the last material, mm
	marked       bool    // a line that may be a marker stands after the last material
	ramped       float64 // length of material laid while Z changes, mm
	climbed      float64 // of that, what lies above the level before
	flat         float64 // length of material laid at one Z, mm
	tools        []mark  // changes of tool
	last         mark    // line read last
	after        int     // commands since the last material
	previous     []byte  // comment seen last, to skip repeated ones
	chosen       [2]mark // lines of a person's choice
	noNewline    bool
	next         int // number of levels at which to judge again
	enough       bool
}

// NewFinder returns a finder that has seen nothing.
func NewFinder(o Options) *Finder {
	o.Layers = max(1, min(o.Layers, 64))
	return &Finder{options: o, families: map[string]*family{}, next: o.Layers + 1 + furtherLayers}
}

// Add takes the next line of the file with its move and the tool in force
// after it.
func (f *Finder) Add(l *gcode.Line, m *gcode.Move, tool int) {
	here := mark{l.Number, l.Offset, l.End}
	f.place(here)
	f.noNewline = l.Is(gcode.NoNewline)
	switch m.Kind {
	case gcode.None:
		if l.Code != 0 && !neutral(l.Code) || l.Is(gcode.NamedCommand) {
			f.quiet, f.other = mark{}, here.line
		}
	case gcode.Home, gcode.Dwell, gcode.ToolChange:
		f.quiet, f.other = mark{}, here.line
		if m.Kind == gcode.ToolChange && len(f.tools) < maxToolChanges {
			f.tools = append(f.tools, here)
		}
	default:
		f.move(here, m, tool)
	}
	if l.Code != 0 && m.Kind != gcode.Extrude {
		f.after++
	}
	if l.Flags&(gcode.HasComment|gcode.FreeText|gcode.NamedCommand) != 0 || l.Code.Letter() == 'M' {
		f.text(here, l)
	}
}

// AddPlain is Add for a line that says nothing but its move (see
// gcode.Scanner.Passed), by its number and the bytes from its first up to the one
// past it; the line itself need not be set.
func (f *Finder) AddPlain(number int, offset, end int64, m *gcode.Move, tool int) {
	here := mark{number, offset, end}
	f.place(here)
	f.noNewline = false
	if m.Kind != gcode.None {
		f.move(here, m, tool)
	}
	if m.Kind != gcode.Extrude {
		f.after++
	}
}

// place notes where the file is read, and the lines of a person's choice.
func (f *Finder) place(here mark) {
	f.last = here
	if here.line == f.options.FirstLine {
		f.chosen[0] = here
	}
	if here.line == f.options.SecondLine {
		f.chosen[1] = here
	}
}

// move takes a line that lays material, moves, or moves filament.
func (f *Finder) move(here mark, m *gcode.Move, tool int) {
	if m.Kind == gcode.Extrude {
		f.material(here, m, tool)
		return
	}
	if f.moved.line == 0 {
		f.moved = here
	}
	if f.quiet.line == 0 {
		f.quiet = here
	}
	if m.Kind == gcode.Travel {
		f.traveled += m.Length()
	}
}

// neutral reports whether a command may stand among the moves that lead to a
// layer: motion without effect, register, fan, limits, messages.
func neutral(c gcode.Code) bool {
	switch c {
	case gcode.G(0), gcode.G(10), gcode.G(20), gcode.G(30), gcode.G(920), gcode.G(900), gcode.G(910), gcode.M(82), gcode.M(83),
		gcode.M(106), gcode.M(107), gcode.M(117), gcode.M(118), gcode.M(73), gcode.M(201), gcode.M(203), gcode.M(204),
		gcode.M(205), gcode.M(220), gcode.M(221), gcode.M(486), gcode.M(900):
		return true
	}
	return false
}

// material takes a move that lays material.
func (f *Finder) material(here mark, m *gcode.Move, tool int) {
	if f.moved.line == 0 {
		f.moved = here
	}
	if f.quiet.line == 0 {
		f.quiet = here
	}
	length := m.Length()
	n := len(f.levels)
	if math.Abs(m.To.Z-m.From.Z) > tol.StillAxis {
		f.ramped += length
		// A bead that climbs from the level below belongs to the level it leads
		// to; one that stays under the present level belongs to that.
		if n > 0 && math.Max(m.From.Z, m.To.Z) <= f.levels[n-1].z+tol.StillAxis {
			f.levels[n-1].last = here
			f.moved, f.quiet, f.traveled, f.after = mark{}, mark{}, 0, 0
		} else {
			f.climbed += length
		}
		return
	}
	f.flat += length
	if n == 0 || math.Abs(m.To.Z-f.levels[n-1].z) > tol.SameLevel || f.opens() {
		if n == maxLevels {
			return
		}
		f.levels = append(f.levels, level{z: m.To.Z, first: here, approach: f.moved, quiet: f.quiet, other: f.other, box: plane.EmptyBox(), tool: tool})
		n++
		f.judge()
	}
	v := &f.levels[n-1]
	v.last = here
	v.length += length
	v.fed += m.Fed
	v.moves++
	v.box = v.box.Include(plane.Point{X: m.From.X, Y: m.From.Y}).Include(plane.Point{X: m.To.X, Y: m.To.Y})
	f.moved, f.quiet, f.traveled, f.after, f.marked = mark{}, mark{}, 0, 0, false
}

// opens reports whether material at the Z of the level before opens a level of
// its own all the same: as long as nothing has been laid higher, a priming line
// may have ended, which shows in a travel or in a line that may be a marker.
// Levels that belong together are joined when the evidence is judged.
func (f *Finder) opens() bool {
	n := len(f.levels)
	return n <= maxOpening && same(f.levels[n-1].z, f.levels[0].z) &&
		(f.marked || f.traveled > 5 && f.levels[n-1].moves <= tol.PrimeMoves)
}

// textOf returns the text of a line that may be a marker: its comment, its
// message, or the line itself, without line number and checksum, where it is a
// word command or an M command that states a layer (word L). progress tells
// commands from comments.
func textOf(l *gcode.Line) (raw []byte, progress bool) {
	switch {
	case l.Is(gcode.NamedCommand),
		l.Is(gcode.FreeText) && (l.Code == gcode.M(117) || l.Code == gcode.M(118)):
		return bare(l), true
	case l.Is(gcode.HasComment):
		return l.Comment, false
	case l.Code.Letter() == 'M' && l.Code != gcode.M(204) && l.Code != gcode.M(205):
		if _, ok := l.Value('L'); ok {
			return bare(l), true
		}
	}
	return nil, false
}

// bare returns the bytes of a command without line number and checksum.
func bare(l *gcode.Line) []byte {
	raw := l.Raw
	if l.Is(gcode.HasNumber) {
		i := bytes.IndexAny(raw, "Nn") + 1
		raw = bytes.TrimLeft(raw[i:], " \t0123456789")
	}
	if i := bytes.LastIndexByte(raw, '*'); i >= 0 && l.Is(gcode.HasNumber) {
		raw = raw[:i]
	}
	return bytes.TrimSpace(raw)
}

// text files a line under its family.
func (f *Finder) text(here mark, l *gcode.Line) {
	raw, progress := textOf(l)
	if len(raw) == 0 || len(raw) > maxText {
		return
	}
	if !progress && len(l.Words()) > 0 && string(raw) == string(f.previous) {
		return
	}
	f.previous = append(f.previous[:0], raw...)
	t, ok := normal(raw)
	if !ok {
		return
	}
	anchor, opening := raw[0], raw[1:]
	if progress {
		t.key = "> " + t.key
	} else {
		anchor, opening = markOf(l), raw
	}
	y := f.families[t.key]
	if y == nil {
		if len(f.order) == maxFamilies {
			return
		}
		y = &family{key: t.key, sample: string(raw), meaning: meaningOf(t.key), progress: progress, anchor: anchor, prefix: string(opening)}
		if digit := bytes.IndexAny(opening, "0123456789+-."); digit >= 0 {
			y.prefix = y.prefix[:digit]
		}
		f.families[t.key] = y
		f.order = append(f.order, y)
	}
	for !bytes.HasPrefix(opening, []byte(y.prefix)) {
		y.prefix = y.prefix[:len(y.prefix)-1]
	}
	y.seen++
	f.marked = f.marked || t.count > 0 || y.meaning.layer > 0 || y.meaning.change > 0 || y.meaning.end > 0
	if len(y.lines) < maxOccurrences {
		y.lines = append(y.lines, occurrence{here, t.numbers, t.count})
	}
}

// markOf returns the byte that opens the line's last comment.
func markOf(l *gcode.Line) byte {
	if i := bytes.LastIndex(l.Raw, l.Comment); i > 0 {
		if c := bytes.TrimRight(l.Raw[:i], " \t"); len(c) > 0 {
			return c[len(c)-1]
		}
	}
	return ';'
}

// judge looks at the evidence when a level begins and enough of them are known.
func (f *Finder) judge() {
	if len(f.levels) < f.next || f.enough {
		return
	}
	r := f.decide(false)
	f.enough = !r.NeedsChoice && len(r.Layers) > f.options.Layers+furtherLayers-1
	f.next = len(f.levels) + max(1, len(f.levels)/4)
	if len(f.levels) >= patience*(f.options.Layers+1) {
		f.enough = true
	}
}

// Enough reports whether further lines would not change the answer: the wanted
// layers and a few more are established, or will not be. It stays false for the
// first 3 MB, and turns true at 64 MB without material.
func (f *Finder) Enough() bool {
	if len(f.levels) == 0 && f.ramped == 0 {
		return f.last.end >= readAtMost
	}
	return f.last.end >= readAtLeast && (f.enough || f.ramped > 2000 && f.ramped > 4*f.flat) || len(f.levels) == maxLevels
}

// Result judges what was seen. whole says that this was the whole file.
func (f *Finder) Result(whole bool) Result {
	return f.decide(whole)
}

// Find searches a whole file that lies in memory, or as much of it as is
// needed, and quotes the candidates.
func Find(data []byte, o Options) Result {
	if bad := gcode.Sniff(data, true); bad != nil {
		return Result{NeedsChoice: true, Findings: finding.List{*bad}}
	}
	f := NewFinder(o)
	s := gcode.NewScanner(data)
	in := gcode.NewInterp(o.Interp)
	whole := true
	for line := 1; in.Next(s); line++ {
		if s.Passed() {
			f.AddPlain(line, s.Start(), s.Offset(), in.Move(), in.At().Tool)
		} else {
			f.Add(s.Line(), in.Move(), in.At().Tool)
		}
		if f.Enough() && line >= o.SecondLine {
			whole = s.Offset() == int64(len(data))
			break
		}
	}
	r := f.Result(whole)
	r.Quote(data)
	return r
}
