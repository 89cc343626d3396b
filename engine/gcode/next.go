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
// state; see Scanner.Next, whose steps these are. So does one without E that
// travels, one that ends in CR LF or in a comment, and one with a feed rate
// before its axes, for which the same steps are taken from another byte on (base).
// Every other line, and every one that might not be followed as it stands, goes
// the long way.
func (in *Interp) Next(s *Scanner) bool {
	if start := s.pos; start < s.reach {
		base, feed := start, 0.0
		head := binary.LittleEndian.Uint32(s.data[start:])
		if head&^eitherDigit == openingG0F {
			w := binary.LittleEndian.Uint64(s.data[start+4:])
			end := bitOf(marks(w))
			feed = float64(int64(join(digits(w, end))))
			base += int(end>>3) + 2
			head = head&0xffff | uint32(binary.LittleEndian.Uint16(s.data[base+2:]))<<16
			if !(feed > 0 && feed <= fastestFeed) {
				head = 0
			}
		}
		if head|eitherDigit == openingG1X {
			b := (*[fastLine]byte)(s.data[base:])

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
			wrong |= pointed(w, point) | (9-first)>>63
			if wrong == 0 {
				y := float64(int64(join(digits(without(w, point), end-8)|first<<((64-end)&63)))) / signed[((end-point-8)>>3|uint(negative)<<4)&31]

				state, move := &in.state, &in.move
				x, y = x+in.offset.X, y+in.offset.Y
				fromX, fromY := state.Position.X, state.Position.Y
				if binary.LittleEndian.Uint16(b[endY&63:]) == thenE {
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
					fed, register := e, state.E+e
					if !state.RelativeE {
						fed, register = e-state.E, e
					}
					stop := int(endE + returnAt(b, endE))
					commented := b[stop&63] != '\n'
					if commented {
						stop = s.commentEnd(start, base+int(endE)) - base
					}
					if pointed(w, point) == 0 && stop > 0 && in.flowing && fed > 0 && register <= tol.FarthestFilament && head == openingG1X &&
						math.Abs(x) <= tol.FarthestAxis && math.Abs(y) <= tol.FarthestAxis &&
						math.Abs(x-fromX)+math.Abs(y-fromY) > 2*tol.StillAxis {
						state.Position.X, state.Position.Y = x, y
						state.E = register
						state.Fed += fed
						move.From.X, move.From.Y, move.To.X, move.To.Y = fromX, fromY, x, y
						move.E, move.Fed = fed, fed
						s.number++
						s.passed, s.commented, s.passedAt = true, commented, start
						s.pos = base + stop + 1
						if !in.laying || feed != 0 {
							in.startLaying(feed)
						}
						return true
					}
				} else if stop := endY + returnAt(b, endY); b[stop&63] == '\n' && in.direct && !in.ended &&
					math.Abs(x) <= tol.FarthestAxis && math.Abs(y) <= tol.FarthestAxis &&
					math.Abs(x-fromX)+math.Abs(y-fromY) > 2*tol.StillAxis {
					state.Position.X, state.Position.Y = x, y
					move.From.X, move.From.Y, move.To.X, move.To.Y = fromX, fromY, x, y
					move.E, move.Fed = 0, 0
					s.number++
					s.straight, s.passed, s.commented, s.passedAt = false, true, false, start
					s.pos = base + int(stop) + 1
					if feed != 0 {
						in.setFeed(feed)
					}
					in.travel(head != openingG1X)
					return true
				}
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

// fastestFeed is the largest feed rate that is believed, mm/min.
const fastestFeed = tol.FarthestAxis * 60

// setFeed takes the F word of a line that Next follows straight on, mm/min.
func (in *Interp) setFeed(feed float64) {
	in.state.Feed, in.move.Feed, in.unitsFrom = feed, feed, 1
}

// travel sets what is more to a line that Next follows straight on and that
// feeds nothing.
func (in *Interp) travel(rapid bool) {
	in.laying = false
	s, m := &in.state, &in.move
	s.Known |= 1<<AxisX | 1<<AxisY
	s.Motion = MotionLinear
	if rapid {
		s.Motion = MotionRapid
	}
	m.Kind, m.Rapid, m.Arc = Travel, rapid, Arc{}
	m.From.Z, m.To.Z, m.Feed = s.Position.Z, s.Position.Z, s.Feed
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
	s.straight, s.passed, s.commented, s.passedAt = false, true, commented, start
	s.number++
	s.pos = stop + 1
	return true
}

// Move returns the move of the line that Next has followed: to be read only,
// and only until the next call of Next or Step.
func (in *Interp) Move() *Move { return &in.move }

// startLaying sets all that stays the same in a run of lines that Next follows
// straight on, and the feed rate, mm/min, where the line has one (not 0).
func (in *Interp) startLaying(feed float64) {
	if feed != 0 {
		in.setFeed(feed)
	}
	in.laying = true
	s, m := &in.state, &in.move
	s.Known |= 1<<AxisX | 1<<AxisY
	s.Motion = MotionLinear
	m.Kind, m.Rapid, m.Arc = Extrude, false, Arc{}
	m.From.Z, m.To.Z, m.Feed = s.Position.Z, s.Position.Z, s.Feed
}
