package gcode

import (
	"bytes"
	"encoding/binary"
	"math"
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

// signed are tens, and from 16 on the same, negative, so that a sign costs no
// branch: signs of coordinates about the middle of a bed cannot be foreseen.
// m/(−10ⁿ) is −(m/10ⁿ) to the last bit, −0 included.
var signed = [32]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
	-1, -1e1, -1e2, -1e3, -1e4, -1e5, -1e6, -1e7, -1e8, -1e9, -1e10, -1e11, -1e12, -1e13, -1e14, -1e15}

// join returns the number whose digits are the bytes of w, the first lowest.
// Multiplications join pairs, then pairs of pairs.
func join(w uint64) uint64 {
	w = w*10 + w>>8
	return ((w&0x000000FF000000FF)*0x000F424000000064 + ((w>>16)&0x000000FF000000FF)*0x0000271000000001) >> 32
}

// digits returns the bits given (8 per digit, 0 to 56) of the text w, as digits
// ready for join; what lies above may be anything.
func digits(w uint64, width uint) uint64 { return (w ^ zeros) << 8 << ((56 - width) & 63) }

// marks returns a word with the top bit set in every byte of w that is no
// digit. Bytes after the second such one may be marked wrongly.
func marks(w uint64) uint64 {
	t := w ^ zeros
	return ((t + overNine) | t) & tops
}

// unmarked is bitOf where nothing is marked: no number ends there.
const unmarked = 57

// bitOf returns the bit at which the byte marked lowest begins.
func bitOf(mask uint64) uint { return uint(bits.TrailingZeros64(mask)) - 7 }

// without takes the byte at the bit given, a point, out of w.
func without(w uint64, point uint) uint64 {
	low := uint64(1)<<(point&63) - 1
	return w&low | (w>>8)&^low
}

// minus returns 1 for a minus sign and 0 for anything else, without a branch.
func minus(c uint64) uint64 { return ((c ^ '-') - 1) >> 63 }

// fastLine is the number of bytes that must follow for the fast paths: the
// longest line that Next reads straight on, and the loads of its last word.
// Offsets into it are masked with 63 and loads are of eight bytes, so that no
// bounds are checked.
const fastLine = 72

// fastReach is the number of bytes that one word of the fast path looks ahead:
// letter, sign, and two loads of eight bytes.
const fastReach = 20

// fastMargin is the number of bytes that must follow for the fast paths where a
// feed rate of up to seven digits stands before the line's axes.
const fastMargin = fastLine + 12

const (
	openingG0F = 'G' | '0'<<8 | ' '<<16 | 'F'<<24
	openingG0X = 'G' | '0'<<8 | ' '<<16 | 'X'<<24
	openingG1X = 'G' | '1'<<8 | ' '<<16 | 'X'<<24

	eitherDigit = 1 << 8 // the bit that tells G1 from G0 in an opening
	thenY       = ' ' | 'Y'<<8
	thenE       = ' ' | 'E'<<8
)

// Next finds the next line. False means that the chunk is used up: Push the
// next one, or stop if it was the last.
//
// A line "G1 X… Y… E…" of plain decimal numbers is read straight on here, by the
// steps of Interp.Next, and its words are not set until they are asked for.
// Every other line goes through next.
func (s *Scanner) Next() bool {
	if start := s.pos; start < s.reach {
		b := (*[fastLine]byte)(s.data[start : start+fastLine : start+fastLine])
		if binary.LittleEndian.Uint32(b[:]) == openingG1X {
			w := binary.LittleEndian.Uint64(b[4:])
			size, sign := sizeOf(w), signOf(w)
			endX := 4 + size>>3
			text := alignedText(w, sign, size)
			digits, point := withoutPoint(text)
			wrong, over := notPoint(text, point)|(two(b, endX)^thenY), notDigits(digits)
			x := quotient(digits, sign, point)

			w = eight(b, endX+2)
			size, sign = sizeOf(w), signOf(w)
			endY := endX + 2 + size>>3
			text = alignedText(w, sign, size)
			digits, point = withoutPoint(text)
			wrong, over = wrong|notPoint(text, point)|(two(b, endY)^thenE), over|notDigits(digits)
			y := quotient(digits, sign, point)

			wrong |= over & tops
			var e float64
			var endE uint
			w = eight(b, endY+2)
			if size = sizeOf(w); size < 64 {
				text = alignedText(w, 0, size)
				digits, point = withoutPoint(text)
				e, endE, over = quotient(digits, 0, point), endY+2+size>>3, notPoint(text, point)|notDigits(digits)&tops
			} else {
				e, endE, over = filament(b, endY+2)
			}
			if wrong|over|uint64(b[endE&63]^'\n') == 0 {
				l := &s.line
				l.x, l.y, l.e = x, y, e
				s.number++
				l.Number = s.number
				l.Offset, l.End = s.base+int64(start), s.base+int64(start)+int64(endE)+1
				l.Raw = b[: endE&63 : endE&63]
				l.decoded = false
				s.pos = start + int(endE) + 1
				if !s.straight {
					s.setStraight()
				}
				return true
			}
		}
	}
	return s.next()
}

// setStraight sets all of the line that is the same for every line which Next
// reads straight on, so that runs of them set it once.
func (s *Scanner) setStraight() {
	s.straight, s.passed = true, false
	l := &s.line
	l.Flags, l.Trouble, l.Column, l.Code = 0, 0, 0, g1
	l.Name, l.Text, l.Comment = nil, nil, nil
	l.xye = true
}

// place sets the line that Interp.Next has read.
func (s *Scanner) place() {
	s.setStraight()
	s.straight = false
	l := &s.line
	l.Number = s.number
	l.Offset, l.End = s.base+int64(s.passedAt), s.base+int64(s.pos)
	end := s.pos - 1
	if s.data[end-1] == '\r' {
		l.Flags |= CarriageReturn
		end--
	}
	l.Raw = s.data[s.passedAt:end:end]
	l.decoded, l.xye = false, false
	if l.Raw[1] == '0' {
		l.Code = G(0)
	}
	if s.commented {
		l.Flags |= HasComment
		l.Comment = bytes.TrimSpace(l.Raw[bytes.IndexByte(l.Raw, ';')+1:])
	}
}

// commentEnd returns where a line ends, in data, whose words end at byte i: −1
// where no comment after a semicolon opens there, or where the line is longer
// than the standard's or than what is at hand.
func (s *Scanner) commentEnd(start, i int) int {
	for i < len(s.data) && s.data[i] == ' ' {
		i++
	}
	rest := s.data[i:max(i, min(len(s.data), start+standardLine+1))]
	if len(rest) == 0 || rest[0] != ';' {
		return -1
	}
	length := bytes.IndexByte(rest, '\n')
	if length < 0 {
		return -1
	}
	return i + length
}

// straightWords sets the words of a line read straight on.
func (l *Line) straightWords() {
	l.words[0] = Word{Value: 1, Letter: 'G', Span: Span{0, 2}}
	begin := int32(3)
	for i, value := range [3]float64{l.x, l.y, l.e} {
		if value == 0 && l.Raw[begin+1] == '-' {
			value = math.Copysign(0, -1)
		}
		end := int32(bytes.IndexByte(l.Raw[begin:], ' ')) + begin
		if i == 2 {
			end = int32(len(l.Raw))
		}
		l.words[1+i] = Word{Value: value, Letter: "XYE"[i], Span: Span{begin, end}}
		begin = end + 1
	}
	l.count = 4
}

// fast reads the next line when it has the plain shape of a sliced file's
// moves: G first, upper case letters, each with a plain number, words apart by
// blanks, no N word or checksum, no letter twice, newline within the chunk. It
// reports false, having changed nothing that the slow path does not set again,
// for everything else. One loop reads letter and number together and finds the
// newline on its way.
func (s *Scanner) fast() bool {
	data, start := s.data, s.pos
	if start >= s.reach || data[start] != 'G' {
		return false
	}
	l := &s.line
	limit := len(data) - fastReach
	i, n, seen, apart := start, 0, uint32(0), false
	for ; i <= limit && n < MaxWords; n++ {
		b := (*[fastReach]byte)(data[i:])
		c := b[0]
		if c == ' ' {
			apart = true
			i++
			n--
			continue
		}
		if c-'A' > 25 {
			break
		}
		bit := uint32(1) << (c & 31)
		if seen&bit != 0 || c == 'N' || c == 'E' && !apart {
			return false
		}
		seen |= bit
		apart = false
		value, length := decimal(b)
		if length == 0 {
			return false
		}
		word := &l.words[n]
		word.Value, word.Letter, word.Bare = value, c, false
		word.Span = Span{int32(i - start), int32(i - start + int(length))}
		i += int(length)
	}
	if i > limit || n == MaxWords {
		return false
	}
	code := CodeOf('G', l.words[0].Value)
	return code != 0 && s.finish(i, n, code)
}

// decimal reads the number behind a letter, with at most eight digits at once
// and the rest by long, and returns it with the length of the word; 0 where the
// number is left to the slow path.
func decimal(b *[fastReach]byte) (value float64, length uint) {
	first := uint64(b[1])
	negative := minus(first)
	first = (first ^ '0') &^ -negative
	w := binary.LittleEndian.Uint64(b[2:])
	length = 2
	if first > 9 { // a point, or nothing that is read here
		first, length = 0, 1
		w = binary.LittleEndian.Uint64(b[1:])
	}
	mask := marks(w)
	point := bitOf(mask)
	end, width, fraction := point, point, uint(0)
	if byte(w>>(point&63)) == '.' {
		end = bitOf(mask & (mask - 1))
		width = end - 8
		fraction = (end - point - 8) >> 3
	}
	if end == unmarked || b[1]-'0' > 9 && int(width) < 8 {
		whole, fraction, length := long(binary.LittleEndian.Uint64(b[1+negative:]), binary.LittleEndian.Uint64(b[9+negative:]))
		if length == 0 {
			return 0, 0
		}
		return float64(int64(whole)) / signed[(fraction|uint(negative)<<4)&31], 1 + uint(negative) + length
	}
	whole := join(digits(without(w, point), width) | first<<((56-width)&63))
	return float64(int64(whole)) / signed[(fraction|uint(negative)<<4)&31], length + end>>3
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

// long reads the numbers that short does not: without a point, or longer than
// eight bytes. next are the eight bytes after w. A length of 0 says that the
// number is left to the slow path: no digits, or more than 15 bytes.
func long(w, next uint64) (value uint64, fraction, length uint) {
	mask := marks(w)
	if mask == 0 {
		return 0, 0, 0
	}
	whole := uint(bits.TrailingZeros64(mask)) >> 3
	if byte(w>>(whole*8)) != '.' {
		if whole == 0 {
			return 0, 0, 0
		}
		return join(digits(w, whole*8)), 0, whole
	}
	if whole > 0 {
		value = join(digits(w, whole*8))
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
		value = value*wholeTens[fraction] + join(digits(rest, fraction*8))
	}
	return value, fraction, whole + 1 + fraction
}

// wholeTens are the powers of ten that move a whole number past its fraction.
var wholeTens = [9]uint64{1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000}
