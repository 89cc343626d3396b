package layers

import (
	"bytes"
	"math"

	"sheenlay/engine/gcode"
	"sheenlay/engine/tol"
)

// maxBoundaries bounds the offsets a Survey keeps; it counts on beyond them.
const maxBoundaries = 1 << 18

// maxSplit bounds what is kept of a line that is split between chunks.
const maxSplit = 4 << 10

// Survey counts the layers of a whole file, pushed chunk by chunk. Where a
// marker line is known it looks for the byte that opens comments, which is rare
// in a sliced file, and reads nothing else; without one it follows every line.
type Survey struct {
	Count    int     // layers counted
	Offsets  []int64 // where they start: byte offsets of lines, at most 262,144 of them
	Bytes    int64   // read so far
	Restarts int     // times the markers' numbers fell, or material returned to the first Z

	result Result
	carry  []byte // start of a line that the last chunk split
	start  int64  // offset of that line
	number float64
	levels *levelSurvey // where no comment marks layers
}

// NewSurvey returns a survey of a file whose first layers are known. It reads
// the file from its first byte.
func NewSurvey(r Result, o gcode.Options) *Survey {
	s := &Survey{result: r, number: math.Inf(-1)}
	if r.Marker == "" {
		s.levels = newLevelSurvey(r, o)
		return s
	}
	if len(r.Layers) > 0 && (r.unmarked || r.ends) {
		s.found(r.Layers[0].Offset)
	}
	return s
}

// ByMaterial reports whether no marker line is known, so that layers are counted
// by the Z of their material. Who follows the lines of the file anyway may then
// hand over their moves by Move, every one of them, instead of the bytes by
// Push; Bytes stays 0.
func (s *Survey) ByMaterial() bool { return s.levels != nil }

// Move takes the next move of the file, of a line that starts at a byte offset;
// see ByMaterial.
func (s *Survey) Move(m *gcode.Move, offset int64) {
	if !s.levels.goesOn(m) {
		s.levels.take(m, offset, s)
	}
}

// Push takes the next chunk; last says that the file ends with it. Nothing of
// the chunk is held.
func (s *Survey) Push(chunk []byte, last bool) {
	base := s.Bytes
	s.Bytes += int64(len(chunk))
	if s.levels != nil {
		s.levels.push(chunk, last, s)
		return
	}
	if len(s.carry) > 0 {
		end := bytes.IndexByte(chunk, '\n')
		part := chunk
		if end >= 0 {
			part = chunk[:end+1]
		}
		s.carry = append(s.carry, part[:min(len(part), maxSplit-min(maxSplit, len(s.carry)))]...)
		if end < 0 && !last {
			return
		}
		s.block(s.carry, s.start)
		s.carry = s.carry[:0]
		chunk, base = chunk[len(part):], base+int64(len(part))
	}
	whole := len(chunk)
	if !last {
		whole = bytes.LastIndexByte(chunk, '\n') + 1
		rest := chunk[whole:]
		s.start = base + int64(whole)
		s.carry = append(s.carry[:0], rest[:min(len(rest), maxSplit)]...)
	}
	s.block(chunk[:whole], base)
	if last {
		s.finish()
	}
}

// block looks through whole lines that lie at an offset of the file.
func (s *Survey) block(data []byte, base int64) {
	r := &s.result
	for at := 0; ; {
		i := bytes.IndexByte(data[at:], r.anchor)
		if i < 0 {
			return
		}
		at += i
		text := data[at+1:]
		for !r.Progress && len(text) > 0 && isBlank(text[0]) {
			text = text[1:]
		}
		if !opensWith(text, r.prefix) {
			at++
			continue
		}
		end := bytes.IndexByte(text, '\n')
		if end < 0 {
			end = len(text)
		}
		next := len(data) - len(text) + end
		begin := bytes.LastIndexByte(data[:at], '\n') + 1
		s.line(data[begin:next], base+int64(begin), base+int64(min(next+1, len(data))))
		at = next
	}
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' }

func opensWith(text []byte, prefix string) bool {
	return len(text) >= len(prefix) && string(text[:len(prefix)]) == prefix
}

// line counts a line if it is a marker.
func (s *Survey) line(raw []byte, offset, end int64) {
	r := &s.result
	if len(r.Layers) > 0 && offset < r.Layers[0].Offset {
		return
	}
	l := gcode.ParseLine(bytes.TrimSuffix(raw, []byte("\r")))
	marker, progress := textOf(&l)
	t, ok := normal(marker)
	if !ok {
		return
	}
	if progress {
		t.key = "> " + t.key
	}
	if t.key != r.Marker {
		return
	}
	if k := r.numberAt; k >= 0 && k < t.count {
		if t.numbers[k] < s.number {
			s.Restarts++
		}
		s.number = t.numbers[k]
	}
	if r.ends {
		offset = end
	}
	s.found(offset)
}

func (s *Survey) found(offset int64) {
	s.Count++
	if len(s.Offsets) < maxBoundaries {
		s.Offsets = append(s.Offsets, offset)
	}
}

// finish takes back the layer that the last end marker announced.
func (s *Survey) finish() {
	if s.result.ends && s.Count > 1 {
		s.Count--
		s.Offsets = s.Offsets[:min(len(s.Offsets), s.Count)]
	}
}

// levelSurvey counts layers by the Z of their material, reading every line.
type levelSurvey struct {
	scanner  gcode.Scanner
	interp   *gcode.Interp
	from     int64   // offset of the first layer
	z, first float64 // of the last material, of the first
	any      bool
	moved    int64 // offset of the first move since the last material; -1 for none
}

func newLevelSurvey(r Result, o gcode.Options) *levelSurvey {
	v := &levelSurvey{interp: gcode.NewInterp(o), moved: -1}
	if len(r.Layers) > 0 {
		v.from = r.Layers[0].Offset
	}
	return v
}

func (v *levelSurvey) push(chunk []byte, last bool, s *Survey) {
	v.scanner.Push(chunk, last)
	m := v.interp.Move()
	for v.interp.Next(&v.scanner) {
		if !v.goesOn(m) {
			v.take(m, v.scanner.Start(), s)
		}
	}
}

// goesOn reports whether a move lays material at the Z of the material before,
// as nearly every line does; nothing else is to be done about it then.
func (v *levelSurvey) goesOn(m *gcode.Move) bool {
	if m.Kind == gcode.Extrude && m.To.Z == v.z && m.From.Z == v.z && v.any {
		v.moved = -1
		return true
	}
	return m.Kind == gcode.None
}

// take takes the move of a line that starts at a byte offset.
func (v *levelSurvey) take(m *gcode.Move, offset int64, s *Survey) {
	if offset < v.from {
		return
	}
	if m.Kind != gcode.Extrude {
		if v.moved < 0 {
			v.moved = offset
		}
		return
	}
	start := v.moved
	if start < 0 {
		start = offset
	}
	v.moved = -1
	if math.Abs(m.To.Z-m.From.Z) > tol.StillAxis {
		return
	}
	switch {
	case !v.any:
		v.any, v.first, v.z = true, m.To.Z, m.To.Z
		s.found(v.from)
	case m.To.Z > v.z+tol.SameLevel:
		v.z = m.To.Z
		s.found(start)
	case m.To.Z < v.z-tol.SameLevel && m.To.Z <= v.first+tol.SameLevel:
		v.z = m.To.Z
		s.Restarts++
		s.found(start)
	}
}
