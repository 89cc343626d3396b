package gcode

import "bytes"

// Scanner cuts bytes into lines. It works over one whole slice (NewScanner) or
// over chunks that end anywhere, in a line or in a number (Push); both give
// the same lines. It allocates nothing per line and holds at most MaxLineBytes
// of a line that is split between chunks.
//
// The zero Scanner is ready for Push.
type Scanner struct {
	data []byte // chunk being read
	pos  int
	base int64 // offset of data[0] in the file
	last bool  // no chunk follows

	carry       []byte // start of a line that began in an earlier chunk
	carrying    bool
	carryOffset int64
	carryLength int64 // bytes of that line so far, more than len(carry) for a long one
	carryTail   byte  // its last byte so far

	raw   bool // words are left undecoded until asked for
	reach int  // place in data before which the fast paths may begin; 0 where they must not

	straight bool // the line is set for what Next reads straight on
	passed   bool // Interp.Next has read the line and place has not set it yet
	passedAt int  // where that line begins in data

	commented bool // that line ends with a comment
	number    int
	line      Line
}

// NewScanner returns a scanner over the whole of data, which it does not copy.
func NewScanner(data []byte) *Scanner {
	s := new(Scanner)
	s.Push(data, true)
	return s
}

// NewScannerAt returns a scanner over data that lies at the byte offset of a
// file and opens with the given line number (from 1). It is ready for Push
// when data is empty.
func NewScannerAt(data []byte, offset int64, number int, last bool) *Scanner {
	s := &Scanner{base: offset, number: number - 1}
	s.Push(data, last)
	return s
}

// Lazy makes the scanner set only Number, Offset, End and Raw of a line, until
// Line.Decode (or Line.Words) is called, for readers that look into few lines.
// It returns s.
func (s *Scanner) Lazy() *Scanner {
	s.raw = true
	s.aim()
	return s
}

// Push gives the scanner its next chunk; last says that the file ends with it.
// It may be called at the start and whenever Next has returned false. The chunk
// must stay unchanged until Next returns false; after that nothing of it is
// held.
func (s *Scanner) Push(chunk []byte, last bool) {
	s.base += int64(len(s.data))
	s.data, s.pos, s.last = chunk, 0, last
	s.passed = false
	s.aim()
}

// aim sets how far the fast paths may reach.
func (s *Scanner) aim() {
	s.reach = max(0, len(s.data)-fastMargin+1)
	if s.raw || s.carrying {
		s.reach = 0
	}
}

// Offset returns the offset in the file past the last line given out.
func (s *Scanner) Offset() int64 {
	if s.carrying {
		return s.carryOffset
	}
	return s.base + int64(s.pos)
}

// Start returns the offset in the file of the last line given out, without
// setting that line where Interp.Next has passed it.
func (s *Scanner) Start() int64 {
	if s.passed {
		return s.base + int64(s.passedAt)
	}
	return s.line.Offset
}

// Line returns the line found by Next, valid until the next call.
func (s *Scanner) Line() *Line {
	if s.passed {
		s.place()
	}
	return &s.line
}

// Passed reports whether the last line was read by Interp.Next without setting
// it, and says nothing but its move: it is a G0 or G1 with plain words X, Y, Z,
// E and F and nothing else.
func (s *Scanner) Passed() bool { return s.passed && !s.commented }

// next finds the next line of any shape.
func (s *Scanner) next() bool {
	s.straight, s.passed = false, false
	if s.fast() {
		return true
	}
	rest := s.data[s.pos:]
	end := bytes.IndexByte(rest, '\n')
	if s.carrying {
		return s.nextCarried(rest, end)
	}
	offset := s.base + int64(s.pos)
	switch {
	case end >= 0:
		s.pos += end + 1
		s.give(rest[:min(end, MaxLineBytes+1)], int64(end), endsWithReturn(rest[:end]), offset, offset+int64(end)+1)
	case len(rest) == 0:
		return false
	case s.last:
		s.pos = len(s.data)
		s.give(rest[:min(len(rest), MaxLineBytes+1)], int64(len(rest)), false, offset, offset+int64(len(rest)))
		s.line.Flags |= NoNewline
	default:
		s.carrying, s.reach, s.carryOffset, s.carryLength = true, 0, offset, 0
		s.carry = s.carry[:0]
		s.keep(rest)
		s.pos = len(s.data)
		return false
	}
	if !s.raw {
		s.line.Decode()
	}
	return true
}

// nextCarried completes a line that began in an earlier chunk.
func (s *Scanner) nextCarried(rest []byte, end int) bool {
	switch {
	case end >= 0:
		s.keep(rest[:end])
		s.pos += end + 1
		s.give(s.carry, s.carryLength, s.carryTail == '\r', s.carryOffset, s.carryOffset+s.carryLength+1)
	case s.last:
		s.keep(rest)
		s.pos = len(s.data)
		s.give(s.carry, s.carryLength, false, s.carryOffset, s.carryOffset+s.carryLength)
		s.line.Flags |= NoNewline
	default:
		s.keep(rest)
		s.pos = len(s.data)
		return false
	}
	s.carrying = false
	s.aim()
	if !s.raw {
		s.line.Decode()
	}
	return true
}

// keep appends part of a split line, up to one byte more than a line may have.
func (s *Scanner) keep(part []byte) {
	if len(part) == 0 {
		return
	}
	s.carryLength += int64(len(part))
	s.carryTail = part[len(part)-1]
	if room := MaxLineBytes + 1 - len(s.carry); room > 0 {
		s.carry = append(s.carry, part[:min(room, len(part))]...)
	}
}

func endsWithReturn(b []byte) bool { return len(b) > 0 && b[len(b)-1] == '\r' }

// give sets the line from its first bytes (one more than a line may have tells
// a long one), its full length without newline, and its place.
func (s *Scanner) give(raw []byte, length int64, carriageReturn bool, offset, end int64) {
	l := &s.line
	s.number++
	l.Number, l.Offset, l.End = s.number, offset, end
	l.Flags, l.Trouble, l.Column, l.Code = 0, 0, 0, 0
	l.Name, l.Text, l.Comment = nil, nil, nil
	l.count, l.decoded, l.xye = 0, false, false
	if carriageReturn {
		l.Flags |= CarriageReturn
		length--
	}
	if length > MaxLineBytes {
		l.Trouble, l.Column = TooLong, MaxLineBytes+1
		length = MaxLineBytes
	}
	l.Raw = raw[:length]
}
