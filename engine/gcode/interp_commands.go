package gcode

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// standardM are the M codes of NISTIR 6556, Table 4, which take no words of
// their own except a tool and a spindle speed.
var standardM = map[Code]bool{
	M(0): true, M(1): true, M(2): true, M(3): true, M(4): true, M(5): true, M(6): true, M(7): true,
	M(8): true, M(9): true, M(30): true, M(48): true, M(49): true, M(60): true,
}

// actionM are the M codes of the dialect that act or report and leave no value
// behind. Common practice, no published source. What is neither here nor
// followed by name is carried as a Setting.
var actionM = map[Code]bool{
	M(16): true, M(17): true, M(20): true, M(21): true, M(22): true, M(24): true, M(25): true, M(26): true,
	M(27): true, M(29): true, M(31): true, M(73): true, M(75): true, M(76): true, M(77): true, M(78): true,
	M(105): true, M(108): true, M(110): true, M(112): true, M(113): true, M(114): true, M(115): true,
	M(119): true, M(155): true, M(226): true, M(240): true, M(300): true, M(400): true, M(410): true,
	M(486): true, M(500): true, M(501): true, M(502): true, M(503): true, M(600): true, M(601): true,
	M(701): true, M(702): true, M(808): true,
}

// command is one command of a line with the words it may claim.
type command struct {
	code  Code
	words []Word
	order int
}

// commands runs a line that is not plain.
func (in *Interp) commands(words []Word) {
	var list [MaxWords]command
	n, dialect := 0, false
	for i, w := range words {
		switch {
		case w.Letter == 'G' || w.Letter == 'M':
		case w.Letter == 'T' && (n == 0 || list[n-1].code == M(6)):
		default:
			continue
		}
		code := CodeOf(w.Letter, w.Value)
		if w.Bare || code == 0 {
			in.log.Add("gcode-code", finding.Caution, in.line, 0,
				"A command has no number that is a code.", "Look at the line; it is passed on unread.")
			return
		}
		list[n] = command{code: code, words: words[i+1:], order: order(code)}
		dialect = dialect || (w.Letter == 'M' && !standardM[code]) || list[n].order == orderUnknown
		n++
	}
	switch {
	case n == 0:
		in.modal(words)
	case n == 1 && list[0].code.Letter() == 'M' && !standardM[list[0].code]:
		in.run(list[0].code, list[0].words)
	case n == 1 && list[0].order == orderUnknown:
		in.shared(words)
		in.run(list[0].code, words)
	case dialect:
		in.leftToRight(list[:n])
	default:
		in.several(list[:n], words)
	}
}

// leftToRight runs commands that do not go together by the standard.
func (in *Interp) leftToRight(list []command) {
	in.log.Add("gcode-several-commands", finding.Caution, in.line, 0,
		"A line holds several commands that machines may run in another order, or not at all.",
		"Have each command written on its own line.")
	for i, c := range list {
		words := c.words
		if i+1 < len(list) {
			words = words[:len(words)-len(list[i+1].words)-1]
		}
		if c.code.Letter() == 'G' {
			in.shared(words)
		}
		in.run(c.code, words)
	}
}

// several runs the commands of a line in the order of NISTIR 6556, Table 8.
func (in *Interp) several(list []command, words []Word) {
	in.checkGroups(list)
	sortByOrder(list)
	// The number of F is in the units of the line: the standard sets F first
	// and keeps the number when units change.
	shared, moves, axesUsed := false, false, false
	for _, c := range list {
		if c.code == G(530) {
			in.machine = true
		}
		moves = moves || c.order == orderMotion
		axesUsed = axesUsed || c.order == orderAxes || c.code == G(430)
	}
	for _, c := range list {
		if c.order > orderUnits && !shared {
			in.shared(words)
			shared = true
		}
		if c.order == orderMotion && axesUsed {
			in.state.Motion = motionOf(c.code)
			continue
		}
		in.run(c.code, words)
	}
	if !shared {
		in.shared(words)
	}
	if !moves && !axesUsed && hasAxis(words) {
		in.motion(in.state.Motion, words)
	}
}

// sortByOrder sorts the few commands of a line, keeping equals as written; by
// hand, so that the list stays on the stack.
func sortByOrder(list []command) {
	for i := range list {
		for k := i; k > 0 && list[k].order < list[k-1].order; k-- {
			list[k], list[k-1] = list[k-1], list[k]
		}
	}
}

// checkGroups reports the error conditions of NISTIR 6556, §3.4 and Table 4:
// two words of one modal group, more than four M words, a motion together with
// another command that uses the axes.
func (in *Interp) checkGroups(list []command) {
	seen, ms := 0, 0
	motion, axes := false, false
	for _, c := range list {
		if c.code.Letter() == 'M' {
			ms++
		}
		group := group(c.code)
		if group > 0 && seen&(1<<group) != 0 {
			in.log.Add("gcode-modal-group", finding.Caution, in.line, 0,
				"Two commands on one line belong to the same modal group ("+c.code.String()+").",
				"Look at the line: the standard calls this an error.")
		}
		seen |= 1 << group
		motion = motion || c.order == orderMotion
		axes = axes || c.order == orderAxes
	}
	if ms > 4 {
		in.log.Add("gcode-many-m", finding.Caution, in.line, 0, "A line has more than four M words.",
			"Look at the line: the standard calls this an error.")
	}
	if motion && axes {
		in.log.Add("gcode-two-axis-commands", finding.Caution, in.line, 0,
			"A motion and another command that uses the axis words stand on one line; the motion is not run.",
			"Look at the line: the standard calls this an error.")
	}
}

// The steps of NISTIR 6556, Table 8, as far as they are told apart here.
const (
	orderFeedMode = iota + 1
	orderTool
	orderChange
	orderDwell
	orderPlane
	orderUnits
	orderLength
	orderSystem
	orderPath
	orderDistance
	orderAxes
	orderMotion
	orderStop
	orderUnknown
)

func order(c Code) int {
	switch c {
	case G(930), G(940):
		return orderFeedMode
	case M(6):
		return orderChange
	case G(40):
		return orderDwell
	case G(170), G(180), G(190):
		return orderPlane
	case G(200), G(210):
		return orderUnits
	case G(400), G(410), G(420), G(430), G(490):
		return orderLength
	case G(530), G(540), G(550), G(560), G(570), G(580), G(590), G(591), G(592), G(593):
		return orderSystem
	case G(610), G(611), G(640):
		return orderPath
	case G(900), G(910), G(901), G(911), G(980), G(990):
		return orderDistance
	case G(100), G(280), G(300), G(920), G(921), G(922), G(923):
		return orderAxes
	case G(0), G(10), G(20), G(30), G(382), G(800), G(810), G(820), G(830), G(840), G(850), G(860), G(870), G(880), G(890):
		return orderMotion
	case M(0), M(1), M(2), M(30), M(60):
		return orderStop
	case M(3), M(4), M(5), M(7), M(8), M(9), M(48), M(49):
		return orderChange
	}
	if c.Letter() == 'T' {
		return orderTool
	}
	return orderUnknown
}

// group numbers the modal groups of NISTIR 6556, Table 4; 0 for none. M groups
// are counted from 16.
func group(c Code) int {
	switch o := order(c); {
	case o == orderMotion:
		return 1
	case o == orderPlane:
		return 2
	case c == G(900) || c == G(910):
		return 3
	case c == G(901) || c == G(911):
		return 4 // no group of the standard's, which has neither
	case o == orderFeedMode:
		return 5
	case o == orderUnits:
		return 6
	case c == G(400) || c == G(410) || c == G(420):
		return 7
	case c == G(430) || c == G(490):
		return 8
	case c == G(980) || c == G(990):
		return 10
	case o == orderSystem && c != G(530):
		return 12
	case o == orderPath:
		return 13
	case o == orderStop:
		return 20
	case c == M(6):
		return 22
	case c == M(3) || c == M(4) || c == M(5):
		return 23
	case c == M(48) || c == M(49):
		return 25
	}
	return 0
}

// shared takes the words of a line that set a value for whatever runs: F.
func (in *Interp) shared(words []Word) {
	s := &in.state
	for _, w := range words {
		if w.Letter != 'F' || w.Bare {
			continue
		}
		feed := w.Value * s.UnitMM()
		if feed <= 0 || feed > tol.FarthestAxis*60 {
			in.log.Add("gcode-feed", finding.Caution, in.line, 0,
				"A feed rate is zero, negative or beyond any machine; it is ignored here.", "Look at the line.")
			continue
		}
		s.Feed = feed
		in.noteFeedUnit()
	}
}

// modal runs a line without command: axis words move by the mode in force.
func (in *Interp) modal(words []Word) {
	in.shared(words)
	if hasAxis(words) {
		in.log.Add("gcode-modal", finding.Note, in.line, 0,
			"A line moves by the command of an earlier line (axis words alone), as the standard allows; some machines ignore such lines.", "")
		in.motion(in.state.Motion, words)
		return
	}
	for _, w := range words {
		if w.Letter != 'F' && w.Letter != 'S' {
			in.log.Add("gcode-no-command", finding.Note, in.line, 0,
				"A line has words but no command; it is passed on unread.", "")
			return
		}
	}
}

func hasAxis(words []Word) bool {
	for _, w := range words {
		switch w.Letter {
		case 'X', 'Y', 'Z', 'E':
			return true
		}
	}
	return false
}

// value returns the number of the last word with the letter: where a letter
// stands twice, later ones count.
func value(words []Word, letter byte) (v float64, ok bool) {
	for i := len(words) - 1; i >= 0; i-- {
		if words[i].Letter == letter && !words[i].Bare {
			return words[i].Value, true
		}
	}
	return 0, false
}

// index returns the whole number of a word within [0, limit), and fallback
// where there is none such.
func index(words []Word, letter byte, fallback, limit int) int {
	v, ok := value(words, letter)
	if !ok {
		return fallback
	}
	n := math.Round(v)
	if math.Abs(v-n) > tol.CloseToInteger || n < 0 || n >= float64(limit) {
		return -1
	}
	return int(n)
}
