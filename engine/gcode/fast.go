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
// of a whole number below 2⁵³ is correctly rounded.
var tens = [23]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// fastReach is the number of bytes that one word of the fast path looks ahead:
// letter, sign, and two loads of eight bytes.
const fastReach = 20

// eightDigits returns the number whose n ≤ 8 digits are the low bytes of w,
// first digit lowest; bytes above them may hold anything. Two multiplications
// join pairs, a shift and an add join digits.
func eightDigits(w uint64, n uint) uint64 {
	w = (w ^ zeros) << ((8 - n) * 8)
	w = w*10 + w>>8
	return ((w&0x000000FF000000FF)*0x000F424000000064 + ((w>>16)&0x000000FF000000FF)*0x0000271000000001) >> 32
}

// fast reads the next line when it has the plain shape of a sliced file's
// moves: upper case letters, each with a plain number, single words apart by
// blanks, no N word or checksum, no letter twice, newline within the chunk. It
// reports false, having changed nothing that the slow path does not set again,
// for everything else.
//
// One loop reads letter and number together and finds the newline on its way,
// so that each byte is touched once. Digits are found and joined eight at a
// time; the shape "123.456" costs one load.
func (s *Scanner) fast() bool {
	data, start := s.data, s.pos
	i := start
	if len(data)-i < fastReach || data[i] != 'G' {
		return false
	}
	limit := len(data) - fastReach
	l := &s.line
	n := 0
	var seen uint32
	var code Code
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
		w := binary.LittleEndian.Uint64(data[i:])
		negative := byte(w) == '-'
		if negative {
			i++
			w = binary.LittleEndian.Uint64(data[i:])
		}
		t := w ^ zeros
		mask := ((t + overNine) | t) & tops
		if mask == 0 {
			return false
		}
		whole := uint(bits.TrailingZeros64(mask)) >> 3
		var value float64
		if byte(w>>(whole*8)) == '.' {
			mask &= mask - 1
			if mask != 0 {
				// The point is taken out and the digits joined in one go.
				end := uint(bits.TrailingZeros64(mask)) >> 3
				fraction := end - whole - 1
				low := uint64(1)<<(whole*8) - 1
				w = w&low | (w>>8)&^low
				digits := whole + fraction
				if digits == 0 {
					return false
				}
				value = float64(eightDigits(w, digits)) / tens[fraction]
				i += int(end)
			} else {
				rest := binary.LittleEndian.Uint64(data[i+int(whole)+1:])
				t = rest ^ zeros
				mask = ((t + overNine) | t) & tops
				if mask == 0 {
					return false
				}
				fraction := uint(bits.TrailingZeros64(mask)) >> 3
				if whole+fraction == 0 || whole+fraction > 15 {
					return false
				}
				m := eightDigits(rest, fraction)
				if whole > 0 {
					m += eightDigits(w, whole) * wholeTens[fraction]
				}
				value = float64(m) / tens[fraction]
				i += int(whole+fraction) + 1
			}
		} else {
			if whole == 0 {
				return false
			}
			value = float64(eightDigits(w, whole))
			i += int(whole)
		}
		if negative {
			value = -value
		}
		word := &l.words[n]
		word.Value, word.Letter, word.Bare = value, c, false
		word.Span = Span{int32(begin - start), int32(i - start)}
		if n == 0 {
			if code = CodeOf(c, value); code == 0 {
				return false
			}
		}
		n++
	}

	c := data[i]
	end := i
	var flags Flags
	var comment []byte
	switch c {
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
		i += stop
		end = i
		flags = HasComment
		if data[end-1] == '\r' {
			end--
			flags |= CarriageReturn
		}
		comment = data[start:end]
	default:
		return false
	}
	s.number++
	l.Number = s.number
	l.Offset, l.End = s.base+int64(start), s.base+int64(i)+1
	l.Raw = data[start:end:end]
	l.Flags, l.Trouble, l.Column = flags, 0, 0
	l.Code = code
	l.Name, l.Text, l.Comment = nil, nil, nil
	if comment != nil {
		mark := bytes.IndexByte(comment, ';')
		l.Comment = bytes.TrimSpace(comment[mark+1:])
	}
	l.count, l.decoded = n, true
	s.pos = i + 1
	return true
}

var wholeTens = [9]uint64{1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000}
