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
// Most lines of most files are "G1 X… Y… E…" that lay material, E being the
// length to feed; such a line goes straight from its bytes to the state here.
// The others take ever longer ways: nextStraight, nextPlain, follow. In
// WebAssembly every call, and every jump over a block, costs as much as reading a
// number: so nothing is called and nothing passed over on the straight way, and
// what differs stands in functions of its own.
func (in *Interp) Next(s *Scanner) bool {
	if start := s.pos; start < s.reach && in.steady {
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

			w = eight(b, endY+2)
			size = sizeOf(w)
			endE := endY + 2 + size>>3
			text = alignedText(w, 0, size)
			digits, point = withoutPoint(text)
			wrong, over = wrong|notPoint(text, point)|uint64(b[endE&63]^'\n'), over|notDigits(digits)
			e := quotient(digits, 0, point)

			state, move := &in.state, &in.move
			fromX, fromY, register := state.Position.X, state.Position.Y, state.E+e
			if wrong|over&tops == 0 && e > 0 && register <= tol.FarthestFilament && near(x, y) && apart(x-fromX, y-fromY) {
				state.Position.X, state.Position.Y = x, y
				state.E = register
				state.Fed += e
				move.From.X, move.From.Y, move.To.X, move.To.Y = fromX, fromY, x, y
				move.E, move.Fed = e, e
				s.number++
				s.passed, s.commented, s.passedAt = true, false, start
				s.pos = start + int(endE) + 1
				if !in.laying {
					in.startLaying()
				}
				return true
			}
		}
	}
	return in.nextStraight(s)
}

// near reports whether a place is one that is believed, but for those beside
// the farthest corner; what it says no to goes the long way.
func near(x, y float64) bool { return float64(x*x)+float64(y*y) <= tol.FarthestAxis*tol.FarthestAxis }

// apart reports whether a step is long enough to be a move; nearly every one is.
// What it says no to is left to finish.
func apart(x, y float64) bool { return float64(x*x)+float64(y*y) > 2*tol.StillAxis*tol.StillAxis }

// nextStraight is Next with what else a straight line may have: a feed rate
// before its axes, a filament register that counts up or is longer than eight
// bytes, a carriage return or a comment at its end, or no E word: a travel. Its
// steps are those of Next.
func (in *Interp) nextStraight(s *Scanner) bool {
	if start := s.pos; start < s.reach && in.across {
		base, feed := start, 0.0
		b := (*[fastLine]byte)(s.data[start : start+fastLine : start+fastLine])
		head := binary.LittleEndian.Uint32(b[:])
		if head&^eitherDigit == openingG0F {
			w := binary.LittleEndian.Uint64(b[4:])
			size := sizeOf(w)
			text := alignedText(w, 0, size)
			feed = float64(int64(join(text)))
			base += int(size>>3) + 2
			b = (*[fastLine]byte)(s.data[base : base+fastLine : base+fastLine])
			head = head&0xffff | uint32(binary.LittleEndian.Uint16(b[2:]))<<16
			if size == 0 || notDigits(text)&tops != 0 || !(feed > 0 && feed <= fastestFeed) {
				head = 0
			}
		}
		if head|eitherDigit == openingG1X {
			w := binary.LittleEndian.Uint64(b[4:])
			size, sign := sizeOf(w), signOf(w)
			stop := 4 + size>>3
			text := alignedText(w, sign, size)
			digits, point := withoutPoint(text)
			wrong, over := notPoint(text, point)|(two(b, stop)^thenY), notDigits(digits)
			x := quotient(digits, sign, point)

			w = eight(b, stop+2)
			size, sign = sizeOf(w), signOf(w)
			stop += 2 + size>>3
			text = alignedText(w, sign, size)
			digits, point = withoutPoint(text)
			wrong, over = wrong|notPoint(text, point), over|notDigits(digits)
			y := quotient(digits, sign, point)

			state, move := &in.state, &in.move
			fromX, fromY := state.Position.X, state.Position.Y
			isMove := wrong|over&tops == 0 && near(x, y) && apart(x-fromX, y-fromY)
			if two(b, stop) == thenE {
				var e float64
				var endE uint
				w = eight(b, stop+2)
				if size = sizeOfUnsigned(w); size < 64 {
					text = alignedText(w, 0, size)
					digits, point = withoutPoint(text)
					e, endE, wrong = quotient(digits, 0, point), stop+2+size>>3, notPoint(text, point)|notDigits(digits)&tops
				} else {
					e, endE, wrong = filament(b, stop+2)
				}
				fed, register := e, state.E+e
				if !state.RelativeE {
					fed, register = e-state.E, e
				}
				end, commented := int(endE+returnAt(b, endE)), false
				if b[end&63] != '\n' {
					end, commented = s.commentEnd(start, base+int(endE))-base, true
				}
				if isMove && wrong == 0 && end > 0 && in.flowing && fed > 0 && register <= tol.FarthestFilament && head == openingG1X {
					state.Position.X, state.Position.Y = x, y
					state.E = register
					state.Fed += fed
					move.From.X, move.From.Y, move.To.X, move.To.Y = fromX, fromY, x, y
					move.E, move.Fed = fed, fed
					move.Kind, move.Rapid, state.Motion = Extrude, false, MotionLinear
					s.pass(start, base+end+1, commented)
					in.laying = true
					if feed != 0 {
						in.setFeed(feed)
					}
					if !in.running {
						in.startRun()
					}
					return true
				}
			} else if isMove && b[stop&63] == '\n' {
				state.Position.X, state.Position.Y = x, y
				move.From.X, move.From.Y, move.To.X, move.To.Y = fromX, fromY, x, y
				move.E, move.Fed = 0, 0
				move.Kind, move.Rapid, state.Motion = Travel, head != openingG1X, Motion(head>>8&1)
				s.pass(start, base+int(stop)+1, false)
				in.laying = false
				if feed != 0 {
					in.setFeed(feed)
				}
				if !in.running {
					in.startRun()
				}
				return true
			}
		}
	}
	if in.nextPlain(s) {
		return true
	}
	if !s.Next() {
		return false
	}
	in.follow(&s.line)
	return true
}

// fastestFeed is the largest feed rate that is believed, mm/min.
const fastestFeed = tol.FarthestAxis * 60

// setFeed takes the F word of a line that Next follows straight on, mm/min.
func (in *Interp) setFeed(feed float64) {
	in.state.Feed, in.move.Feed, in.unitsFrom = feed, feed, 1
}

// returnAt returns 1 where a carriage return stands at byte i of a line, else 0.
func returnAt(b *[fastLine]byte, i uint) uint { return uint(((uint64(b[i&63]) ^ '\r') - 1) >> 63) }

// nextPlain reads and follows a line "G0" or "G1" whose words are X, Y, Z, E and
// F in any order, once each, with plain numbers and one blank between, and
// nothing else but a comment after a semicolon. It reports false, with nothing
// done, for any other.
func (in *Interp) nextPlain(s *Scanner) bool {
	data, start := s.data, s.pos
	if start >= s.reach || !in.direct || in.ended {
		return false
	}
	head := binary.LittleEndian.Uint32(data[start:]) & 0xffffff
	if head&^eitherDigit != openingG0X&0xffffff {
		return false
	}
	limit := len(data) - fastReach
	seen, i := uint32(0), start+3
	for {
		if i > limit {
			return false
		}
		b := (*[fastReach]byte)(data[i:])
		letter := b[0]
		bit := letterBit(letter)
		if letter-'A' > 25 || plainLetters&^seen&bit == 0 {
			break
		}
		seen |= bit
		value, length := decimal(b)
		if length == 0 {
			return false
		}
		in.values[letter&31] = value
		i += int(length)
		if data[i] != ' ' {
			break
		}
		i++
	}
	stop, commented := i, false
	if data[i] == '\r' {
		stop++
	}
	if data[stop] != '\n' {
		if stop = s.commentEnd(start, i); stop < 0 {
			return false
		}
		commented = true
	}
	// What would be reported goes the long way.
	if seen&bitE != 0 && math.Abs(in.state.E)+math.Abs(in.values['E'&31]) > tol.FarthestFilament {
		return false
	}
	m := &in.move
	m.Kind, m.E = None, 0
	if m.Arc.Is() {
		m.Arc = Arc{}
	}
	if !in.drive(seen, head == openingG0X&0xffffff) {
		return false
	}
	in.settleFlow()
	s.pass(start, stop+1, commented)
	return true
}

// Move returns the move of the line that Next has followed: to be read only,
// and only until the next call of Next or Step.
func (in *Interp) Move() *Move { return &in.move }

// pass moves the scanner past a line that has been followed and is not set.
func (s *Scanner) pass(start, end int, commented bool) {
	s.number++
	s.straight, s.passed, s.commented, s.passedAt = false, true, commented, start
	s.pos = end
}

// startRun sets all that stays the same in a run of straight lines.
func (in *Interp) startRun() {
	in.running = true
	s, m := &in.state, &in.move
	s.Known |= 1<<AxisX | 1<<AxisY
	m.Arc = Arc{}
	m.From.Z, m.To.Z, m.Feed = s.Position.Z, s.Position.Z, s.Feed
}

// startLaying is startRun, and sets what stays the same in a run of straight
// lines that lay material.
func (in *Interp) startLaying() {
	in.startRun()
	in.laying = true
	in.state.Motion = MotionLinear
	in.move.Kind, in.move.Rapid = Extrude, false
}
