package gcode

import (
	"encoding/binary"
	"math"

	"sheenlay/engine/tol"
)

// Next reads the next line of s and follows it: it is s.Next and Step in one,
// for loops over whole files. The move is then Move's, the line s.Line's, which
// is only set when it is asked for. False means what it means for a Scanner.
//
//	for in.Next(s) {
//		move := in.Move()
//		...
//	}
//
// A line "G1 X… Y… E…" that lays material goes straight from its bytes to the
// state; see Scanner.Next, whose steps these are. Every other line, and every
// one that might not be followed as it stands, goes the long way.
func (in *Interp) Next(s *Scanner) bool {
	if start := s.pos; start < s.reach && binary.LittleEndian.Uint32(s.data[start:]) == openingG1X {
		b := (*[fastLine]byte)(s.data[start:])

		first := uint64(b[4])
		negative := minus(first)
		first = (first ^ '0') &^ -negative
		w := binary.LittleEndian.Uint64(b[5:])
		mask := marks(w)
		point := bitOf(mask)
		end := bitOf(mask & (mask - 1))
		endX := 5 + end>>3
		wrong := pointed(w, point) | (9-first)>>63 | (uint64(binary.LittleEndian.Uint16(b[endX&63:])) ^ thenY)
		x := float64(int64(join(digits(without(w, point), end-8)|first<<((64-end)&63)))) / signed[((end-point-8)>>3|uint(negative)<<4)&31]

		first = uint64(b[(endX+2)&63])
		negative = minus(first)
		first = (first ^ '0') &^ -negative
		w = binary.LittleEndian.Uint64(b[(endX+3)&63:])
		mask = marks(w)
		point = bitOf(mask)
		end = bitOf(mask & (mask - 1))
		endY := endX + 3 + end>>3
		wrong |= pointed(w, point) | (9-first)>>63 | (uint64(binary.LittleEndian.Uint16(b[endY&63:])) ^ thenE)
		if wrong == 0 {
			y := float64(int64(join(digits(without(w, point), end-8)|first<<((64-end)&63)))) / signed[((end-point-8)>>3|uint(negative)<<4)&31]

			w = binary.LittleEndian.Uint64(b[(endY+2)&63:])
			mask = marks(w)
			point = bitOf(mask)
			mask &= mask - 1
			var e float64
			var endE uint
			if mask == 0 {
				e, endE = longDecimal(b, endY+2)
			} else {
				end = bitOf(mask)
				e = float64(int64(join(digits(without(w, point), end-8)))) / tens[(end-point-8)>>3&15]
				endE = endY + 2 + end>>3
			}

			state, move := &in.state, &in.move
			x, y = x+in.offset.X, y+in.offset.Y
			fed, register := e, state.E+e
			if !state.RelativeE {
				fed, register = e-state.E, e
			}
			fromX, fromY := state.Position.X, state.Position.Y
			if pointed(w, point)|(uint64(b[endE&63])^'\n') == 0 && in.flowing && fed > 0 && register <= tol.FarthestFilament &&
				math.Abs(x) <= tol.FarthestAxis && math.Abs(y) <= tol.FarthestAxis &&
				math.Abs(x-fromX)+math.Abs(y-fromY) > 2*tol.StillAxis {
				state.Position.X, state.Position.Y = x, y
				state.E = register
				state.Fed += fed
				move.From.X, move.From.Y, move.To.X, move.To.Y = fromX, fromY, x, y
				move.E, move.Fed = fed, fed
				s.number++
				s.passed, s.passedAt = true, start
				s.pos = start + int(endE) + 1
				if !in.laying {
					in.startLaying()
				}
				return true
			}
		}
	}
	// The calls must not stand in a block that returns: the compiler lays such a
	// block into the way of the straight one.
	if in.nextPlain(s) {
		return true
	}
	if !s.Next() {
		return false
	}
	in.follow(&s.line)
	return true
}

// nextPlain reads and follows a line "G0" or "G1" whose words are X, Y, Z, E and
// F in any order, once each, with plain numbers and one blank between, and
// nothing else. It reports false, with nothing done, for any other.
func (in *Interp) nextPlain(s *Scanner) bool {
	data, start := s.data, s.pos
	if start >= s.reach || !in.direct || in.ended {
		return false
	}
	const opening, eitherDigit = 'G' | '0'<<8 | ' '<<16, 1 << 8
	head := binary.LittleEndian.Uint32(data[start:]) & 0xffffff
	if head&^eitherDigit != opening {
		return false
	}
	limit := len(data) - fastReach
	seen := uint32(0)
	for i := start + 3; i <= limit; i++ {
		b := (*[fastReach]byte)(data[i:])
		letter := b[0]
		bit := letterBit(letter)
		if letter-'A' > 25 || plainLetters&^seen&bit == 0 {
			return false
		}
		seen |= bit
		value, length := decimal(b)
		if length == 0 {
			return false
		}
		in.values[letter&31] = value
		i += int(length)
		if data[i] == ' ' {
			continue
		}
		// What would be reported goes the long way.
		if data[i] != '\n' || seen&bitE != 0 && math.Abs(in.state.E)+math.Abs(in.values['E'&31]) > tol.FarthestFilament {
			return false
		}
		m := &in.move
		m.Kind, m.E = None, 0
		if m.Arc.Is() {
			m.Arc = Arc{}
		}
		if !in.drive(seen, head == opening) {
			return false
		}
		in.settleFlow()
		s.straight, s.passed, s.passedAt = false, true, start
		s.number++
		s.pos = i + 1
		return true
	}
	return false
}

// Move returns the move of the line that Next has followed: to be read only,
// and only until the next call of Next or Step.
func (in *Interp) Move() *Move { return &in.move }

// startLaying sets all that stays the same in a run of lines that Next follows
// straight on.
func (in *Interp) startLaying() {
	in.laying = true
	s, m := &in.state, &in.move
	s.Known |= 1<<AxisX | 1<<AxisY
	s.Motion = MotionLinear
	m.Kind, m.Rapid, m.Arc = Extrude, false, Arc{}
	m.From.Z, m.To.Z, m.Feed = s.Position.Z, s.Position.Z, s.Feed
}
