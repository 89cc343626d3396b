// Package curves makes centre lines that fill the plane one bead apart:
// space-filling curves and spirals. A curve is made only where a box needs it,
// so it comes as pieces where it leaves the box; each piece runs on past the
// border by at most one step.
package curves

import (
	"math"

	"sheenlay/engine/plane"
)

// System is a rewriting system whose word, drawn by a turtle, is a curve
// (Prusinkiewicz & Lindenmayer, The Algorithmic Beauty of Plants, 1990, §1.4).
// "+" turns left and "−" (written '-') right by 360°/Headings. "F" draws a step
// and has no rule; the other letters are capitals with a rule, and vanish or
// draw at level zero.
type System struct {
	Axiom    byte
	Rules    map[byte]string
	Draws    string // letters that draw one step
	Headings int    // 4 or 6
}

// The systems of the curves offered here.
var (
	HilbertSystem = System{Axiom: 'L', Headings: 4, Draws: "F", Rules: map[byte]string{
		'L': "+RF-LFL-FR+", 'R': "-LF+RFR+FL-"}}
	PeanoSystem = System{Axiom: 'X', Headings: 4, Draws: "F", Rules: map[byte]string{
		'X': "XFYFX+F+YFXFY-F-XFYFX", 'Y': "YFXFY-F-XFYFX+F+YFXFY"}}
	GosperSystem = System{Axiom: 'A', Headings: 6, Draws: "AB", Rules: map[byte]string{
		'A': "A-B--B+A++AA+B-", 'B': "+A-BB--B-A++A+B"}}
)

// node is a lattice point: steps along heading 0 and along the second basis
// direction (90° or 60°). Whole numbers keep the curve exact at any level.
type node struct{ a, b int }

func (n node) plus(m node) node { return node{n.a + m.a, n.b + m.b} }

// turned returns the step n turned left by k headings.
func (s *System) turned(n node, k int) node {
	for k = ((k % s.Headings) + s.Headings) % s.Headings; k > 0; k-- {
		if s.Headings == 4 {
			n = node{-n.b, n.a}
		} else {
			n = node{-n.b, n.a + n.b} // e60 of (a, b): a·e1 + b·(e1 − e0)
		}
	}
	return n
}

// place returns a node in steps.
func (s *System) place(n node) plane.Point {
	if s.Headings == 4 {
		return plane.Point{X: float64(n.a), Y: float64(n.b)}
	}
	return plane.Point{X: float64(n.a) + float64(n.b)/2, Y: float64(n.b) * (math.Sqrt(3) / 2)}
}

// motion is what the drawing of one letter at one level does to the turtle,
// starting at the origin with heading 0.
type motion struct {
	step node
	turn int
	box  [6]plane.Box // box of what it draws, for every start heading, in steps
}

// motions is the table of motions by level and letter ('A' to 'Z').
type motions [][26]motion

func (m motions) of(letter byte, level int) *motion { return &m[level][letter-'A'] }

// motions fills the table for all letters with a rule up to level, lowest first.
func (s *System) motions(level int) motions {
	table := make(motions, level+1)
	for l := range table {
		for c := byte('A'); c <= 'Z'; c++ {
			word, ok := s.Rules[c]
			switch {
			case !ok:
				continue
			case l == 0 && s.draws(c):
				word = "F"
			case l == 0:
				word = ""
			}
			*table.of(c, l) = s.wordMotion(word, l-1, table)
		}
	}
	return table
}

func (s *System) draws(c byte) bool {
	for k := 0; k < len(s.Draws); k++ {
		if s.Draws[k] == c {
			return true
		}
	}
	return false
}

func (s *System) wordMotion(word string, level int, table motions) motion {
	var m motion
	for h := 0; h < s.Headings; h++ {
		at, heading := node{}, h
		b := plane.EmptyBox().Include(plane.Point{})
		for k := 0; k < len(word); k++ {
			c := word[k]
			switch {
			case c == '+':
				heading++
			case c == '-':
				heading--
			case c == 'F':
				at = at.plus(s.turned(node{1, 0}, heading))
				b = b.Include(s.place(at))
			default:
				inner := table.of(c, level)
				sub := inner.box[((heading%s.Headings)+s.Headings)%s.Headings]
				from := s.place(at)
				b = b.Union(plane.Box{Min: sub.Min.Add(from), Max: sub.Max.Add(from)})
				at = at.plus(s.turned(inner.step, heading))
				heading += inner.turn
			}
		}
		m.box[h] = b
		if h == 0 {
			m.step, m.turn = at, heading
		}
	}
	return m
}

// walker draws a system and skips every part whose box misses the wanted one.
type walker struct {
	s       *System
	table   motions
	want    plane.Box // in steps
	at      node
	heading int
	open    bool
	pieces  [][]plane.Point // in steps
}

func (w *walker) expand(word string, level int) {
	for k := 0; k < len(word); k++ {
		c := word[k]
		switch {
		case c == '+':
			w.heading++
		case c == '-':
			w.heading--
		case c == 'F' || level < 0:
			w.draw()
		default:
			m := w.table.of(c, level)
			h := ((w.heading % w.s.Headings) + w.s.Headings) % w.s.Headings
			from := w.s.place(w.at)
			if !(plane.Box{Min: m.box[h].Min.Add(from), Max: m.box[h].Max.Add(from)}).Intersects(w.want) {
				if m.step != (node{}) {
					w.open = false
				}
				w.at = w.at.plus(w.s.turned(m.step, w.heading))
				w.heading += m.turn
				continue
			}
			if level == 0 {
				if w.s.draws(c) {
					w.draw()
				}
				continue
			}
			w.expand(w.s.Rules[c], level-1)
		}
	}
}

func (w *walker) draw() {
	from := w.s.place(w.at)
	w.at = w.at.plus(w.s.turned(node{1, 0}, w.heading))
	to := w.s.place(w.at)
	if !plane.EmptyBox().Include(from).Include(to).Intersects(w.want) {
		w.open = false
		return
	}
	if !w.open {
		w.pieces = append(w.pieces, []plane.Point{from})
		w.open = true
	}
	last := &w.pieces[len(w.pieces)-1]
	*last = append(*last, to)
}

// Trace returns the pieces of the system's curve at a level that meet want
// (both in steps, the curve starting at the origin with heading +X), in
// drawing order.
func (s *System) Trace(level int, want plane.Box) [][]plane.Point {
	w := walker{s: s, table: s.motions(level), want: want}
	w.expand(string(s.Axiom), level)
	return w.pieces
}

// Extent returns the box of the whole curve at a level, in steps.
func (s *System) Extent(level int) plane.Box {
	return s.motions(level).of(s.Axiom, level).box[0]
}
