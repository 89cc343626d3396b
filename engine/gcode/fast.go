package gcode

import (
	"bytes"
	"encoding/binary"
	"math/bits"
)

const (
	zeros    = 0x3030303030303030
	overNine = 0x7676767676767676
	tops     = 0x8080808080808080
)

// tens are the powers of ten that a float64 holds exactly, so that one division
// of a whole number below 2⁵³ is correctly rounded. Sixteen of them let an index
// masked with 15 pass without a bounds check; sixteen digits stay below 2⁵⁴, so
// readers keep to fifteen.
var tens = [16]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15}

// fastReach is the number of bytes that one word of the fast path looks ahead:
// letter, sign, and two loads of eight bytes.
const fastReach = 20

// join returns the number whose digits are the low bits of w, given in bits
// (8 per digit, 8 to 64), first digit lowest; what lies above may be anything.
// Multiplications join pairs, then pairs of pairs.
func join(w uint64, width uint) uint64 {
	w = (w ^ zeros) << ((64 - width) & 63)
	w = w*10 + w>>8
	return ((w&0x000000FF000000FF)*0x000F424000000064 + ((w>>16)&0x000000FF000000FF)*0x0000271000000001) >> 32
}

// marks returns a word with the top bit set in every byte of w that is no
// digit. Bytes after the second such one may be marked wrongly.
func marks(w uint64) uint64 {
	t := w ^ zeros
	return ((t + overNine) | t) & tops
}

// bitOf returns the bit at which the byte marked lowest begins, and 57 where
// none is marked.
func bitOf(mask uint64) uint { return uint(bits.TrailingZeros64(mask)) - 7 }

// squeeze returns the digits of w as a whole number: a point at the bit given
// is taken out, and the number ends at the bit given.
func squeeze(w uint64, point, end uint) int64 {
	low := uint64(1)<<(point&63) - 1
	return int64(join(w&low|(w>>8)&^low, end-8))
}

// short reads a number of the shape "12.345" that ends within the eight bytes
// of w: its digits as a whole number, how many stand after the point, and its
// length in bytes. A length of 0 says that the shape is another one.
func short(w uint64) (digits uint64, fraction, length uint) {
	mask := marks(w)
	point := bitOf(mask)
	mask &= mask - 1
	end := bitOf(mask)
	if mask == 0 || byte(w>>(point&63)) != '.' || end < 16 {
		return 0, 0, 0
	}
	return uint64(squeeze(w, point, end)), (end - point - 8) >> 3, end >> 3
}

// fastLine is the number of bytes that must follow for the straight part of the
// fast path: three words of eleven bytes and the loads of the last.
const fastLine = 48

const (
	openingG1X = 'G' | '1'<<8 | ' '<<16 | 'X'<<24
	thenY      = ' ' | 'Y'<<8
	thenE      = ' ' | 'E'<<8
)

// Next finds the next line. False means that the chunk is used up: Push the
// next one, or stop if it was the last.
//
// A line "G1 X… Y… E…" with numbers of the shape of short is read straight on
// here, its numbers written out instead of called: in WebAssembly jumps and
// calls are what costs. Every other line goes through next.
func (s *Scanner) Next() bool {
	data, start := s.data, s.pos
	if len(data)-start < fastLine || s.slowly || binary.LittleEndian.Uint32(data[start:]) != openingG1X {
		return s.next()
	}
	b := data[start : start+fastLine]

	signX := minus(b[4])
	x := 4 + signX
	w := binary.LittleEndian.Uint64(b[x:])
	mask := marks(w)
	point := bitOf(mask)
	mask &= mask - 1
	end := bitOf(mask)
	endX := x + int(end>>3)
	if mask == 0 || byte(w>>(point&63)) != '.' || end < 16 || binary.LittleEndian.Uint16(b[endX:]) != thenY {
		return s.next()
	}
	valueX := float64(1-2*signX) * float64(squeeze(w, point, end)) / tens[(end-point-8)>>3&15]

	signY := minus(b[endX+2])
	y := endX + 2 + signY
	w = binary.LittleEndian.Uint64(b[y:])
	mask = marks(w)
	point = bitOf(mask)
	mask &= mask - 1
	end = bitOf(mask)
	endY := y + int(end>>3)
	if mask == 0 || byte(w>>(point&63)) != '.' || end < 16 || binary.LittleEndian.Uint16(b[endY:]) != thenE {
		return s.next()
	}
	valueY := float64(1-2*signY) * float64(squeeze(w, point, end)) / tens[(end-point-8)>>3&15]

	e := endY + 2
	w = binary.LittleEndian.Uint64(b[e:])
	mask = marks(w)
	point = bitOf(mask)
	mask &= mask - 1
	end = bitOf(mask)
	endE := e + int(end>>3)
	if mask == 0 || byte(w>>(point&63)) != '.' || end < 16 {
		return s.next()
	}
	valueE := float64(squeeze(w, point, end)) / tens[(end-point-8)>>3&15]

	if b[endE] != '\n' {
		return s.next()
	}
	if !s.straight {
		s.setStraight()
	}
	// Field by field: a whole Word would be built aside and copied.
	l := &s.line
	wordX, wordY, wordE := &l.words[1], &l.words[2], &l.words[3]
	wordX.Value, wordX.Span.End = valueX, int32(endX)
	wordY.Value, wordY.Span.Start, wordY.Span.End = valueY, int32(endX+1), int32(endY)
	wordE.Value, wordE.Span.Start, wordE.Span.End = valueE, int32(endY+1), int32(endE)
	s.number++
	l.Number = s.number
	l.Offset, l.End = s.base+int64(start), s.base+int64(start+endE)+1
	l.Raw = b[:endE:endE]
	s.pos = start + endE + 1
	return true
}

// setStraight sets all of the line that is the same for every line which Next
// reads straight on, so that runs of them set it once.
func (s *Scanner) setStraight() {
	s.straight = true
	l := &s.line
	l.Flags, l.Trouble, l.Column, l.Code = 0, 0, 0, g1
	l.Name, l.Text, l.Comment = nil, nil, nil
	l.count, l.decoded, l.xye = 4, true, true
	l.words[0] = Word{Value: 1, Letter: 'G', Span: Span{0, 2}}
	l.words[1] = Word{Letter: 'X', Span: Span{Start: 3}}
	l.words[2] = Word{Letter: 'Y'}
	l.words[3] = Word{Letter: 'E'}
}

// fast reads the next line when it has the plain shape of a sliced file's
// moves: G first, upper case letters, each with a plain number, words apart by
// blanks, no N word or checksum, no letter twice, newline within the chunk. It
// reports false, having changed nothing that the slow path does not set again,
// for everything else. One loop reads letter and number together and finds the
// newline on its way.
func (s *Scanner) fast() bool {
	data, start := s.data, s.pos
	if len(data)-start < fastReach || data[start] != 'G' {
		return false
	}
	i, n := start, 0
	var seen uint32
	var code Code
	l := &s.line
	limit := len(data) - fastReach
	for {
		if i > limit || n == MaxWords {
			return false
		}
		c := data[i]
		letter := uint32(c) - 'A'
		if letter > 25 {
			if c == ' ' {
				i++
				continue
			}
			break
		}
		bit := uint32(1) << letter
		if seen&bit != 0 || c == 'N' || (c == 'E' && data[i-1] != ' ') {
			return false
		}
		seen |= bit
		begin := i
		i++
		sign := minus(data[i])
		i += sign
		w := binary.LittleEndian.Uint64(data[i:])
		digits, fraction, length := short(w)
		if length == 0 {
			digits, fraction, length = long(w, binary.LittleEndian.Uint64(data[i+8:]))
			if length == 0 {
				return false
			}
		}
		i += int(length)
		value := float64(int64(digits)) / tens[fraction&15]
		if sign != 0 {
			value = -value
		}
		word := &l.words[n]
		word.Value, word.Letter, word.Bare = value, c, false
		word.Span = Span{int32(begin - start), int32(i - start)}
		if n == 0 {
			if digits > 99999 || fraction > 1 || sign != 0 {
				return false
			}
			code = Code('G')<<24 | Code(digits)
			if fraction == 0 {
				code = Code('G')<<24 | Code(digits*10)
			}
		}
		n++
	}
	return s.finish(i, n, code)
}

// finish ends a fast line at byte i, which is no blank and no letter.
func (s *Scanner) finish(i, n int, code Code) bool {
	data, start := s.data, s.pos
	l := &s.line
	end := i
	var flags Flags
	mark := -1
	switch data[i] {
	case '\n':
	case '\r':
		if data[i+1] != '\n' {
			return false
		}
		i++
		flags = CarriageReturn
	case ';':
		stop := bytes.IndexByte(data[i:], '\n')
		if stop < 0 || i+stop-start > MaxLineBytes {
			return false
		}
		mark = i
		i += stop
		end = i
		flags = HasComment
		if data[end-1] == '\r' {
			end--
			flags |= CarriageReturn
		}
	default:
		return false
	}
	s.number++
	l.Number = s.number
	l.Offset, l.End = s.base+int64(start), s.base+int64(i)+1
	l.Raw = data[start:end:end]
	l.Flags, l.Trouble, l.Column, l.Code = flags, 0, 0, code
	l.Name, l.Text, l.Comment = nil, nil, nil
	if mark >= 0 {
		l.Comment = bytes.TrimSpace(data[mark+1 : end])
	}
	l.count, l.decoded, l.xye = n, true, false
	s.pos = i + 1
	return true
}

const g1 = Code('G')<<24 | 10

// minus returns 1 for a minus sign and 0 for anything else, without a branch:
// signs of coordinates about the middle of a bed cannot be foreseen.
func minus(c byte) int {
	n := 0
	if c == '-' {
		n = 1
	}
	return n
}

// long reads the numbers that short does not: without a point, or longer than
// eight bytes. next are the eight bytes after w. A length of 0 says that the
// number is left to the slow path: no digits, or more than 15 bytes.
func long(w, next uint64) (digits uint64, fraction, length uint) {
	mask := marks(w)
	if mask == 0 {
		return 0, 0, 0
	}
	whole := uint(bits.TrailingZeros64(mask)) >> 3
	if byte(w>>(whole*8)) != '.' {
		if whole == 0 {
			return 0, 0, 0
		}
		return join(w, whole*8), 0, whole
	}
	if whole > 0 {
		digits = join(w, whole*8)
	}
	skip := (whole + 1) * 8
	rest := w>>skip | next<<(64-skip)
	if skip == 64 {
		rest = next
	}
	mask = marks(rest)
	if mask == 0 {
		return 0, 0, 0
	}
	fraction = uint(bits.TrailingZeros64(mask)) >> 3
	if whole+fraction == 0 {
		return 0, 0, 0
	}
	if fraction > 0 {
		digits = digits*wholeTens[fraction] + join(rest, fraction*8)
	}
	return digits, fraction, whole + 1 + fraction
}

// wholeTens are the powers of ten that move a whole number past its fraction.
var wholeTens = [9]uint64{1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000}
