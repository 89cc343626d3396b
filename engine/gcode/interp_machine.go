package gcode

import (
	"math"

	"sheenlay/engine/tol"
)

// runM runs an M command. Beyond M0–M9, M30, M48, M49 and M60 of NISTIR 6556
// the codes are common practice of the dialect, with no published source.
func (in *Interp) runM(code Code, words []Word) {
	s := &in.state
	switch code {
	case M(2), M(30):
		// M30 with a text deletes a file on machines of the dialect.
		in.ended = in.ended || !in.line.Is(FreeText)
	case M(0), M(1), M(60), M(3), M(4), M(5), M(7), M(8), M(9), M(48), M(49):
	case M(6):
		if tool := index(words, 'T', s.Tool, 100000); tool >= 0 {
			in.selectTool(tool)
		}
	case M(18), M(84):
		if !hasAxis(words) && len(words) == 0 {
			s.Known = 0
		}
	case M(82), M(83):
		s.RelativeE, s.ESet = code == M(83), true
		in.eLast = s.RelativeE
	case M(104), M(109):
		if tool := index(words, 'T', s.Tool, MaxTools); tool >= 0 && tool < MaxTools {
			setNumber(&s.Hotend[tool], words, 'S', 'R')
		}
	case M(140), M(190):
		setNumber(&s.Bed, words, 'S', 'R')
	case M(141), M(191):
		setNumber(&s.Chamber, words, 'S', 'R')
	case M(106), M(107):
		in.fan(code, words)
	case M(201):
		setAxes(&s.MaxAcceleration, words)
	case M(203):
		setAxes(&s.MaxSpeed, words)
	case M(204):
		if v, ok := value(words, 'S'); ok && bounded(v) {
			s.Acceleration.Print, s.Acceleration.Travel = v, v
		}
		setNumber(&s.Acceleration.Print, words, 'P')
		setNumber(&s.Acceleration.Travel, words, 'T')
		setNumber(&s.Acceleration.Retract, words, 'R')
	case M(205):
		setAxes(&s.Jerk, words)
		setNumber(&s.Junction, words, 'J')
		in.setAll(code, words, "XYZEJ")
	case M(220):
		setNumber(&s.SpeedPercent, words, 'S')
		in.setAll(code, words, "S")
	case M(221):
		if tool := index(words, 'T', s.Tool, MaxTools); tool >= 0 && tool < MaxTools {
			setNumber(&s.FlowPercent[tool], words, 'S')
		}
	default:
		if !actionM[code] && !textCodes[code] {
			in.setAll(code, words, "")
		}
	}
}

// fan runs M106 and M107. M106 without S means full speed.
func (in *Interp) fan(code Code, words []Word) {
	s := &in.state
	fan := index(words, 'P', 0, MaxFans)
	if fan < 0 {
		in.setAll(code, words, "")
		return
	}
	speed, ok := value(words, 'S')
	other := false
	for _, w := range words {
		other = other || (w.Letter != 'P' && w.Letter != 'S')
	}
	switch {
	case code == M(107):
		s.Fan[fan] = 0
	case ok && bounded(speed):
		s.Fan[fan] = speed
	case !ok && !other:
		s.Fan[fan] = 255
	}
	in.setAll(code, words, "SP")
}

// setAll carries all words of a command as settings except the letters given.
func (in *Interp) setAll(code Code, words []Word, except string) {
	var name [12]byte
	for _, w := range words {
		skip := false
		for i := range except {
			skip = skip || except[i] == w.Letter
		}
		if !skip {
			in.setCode(appendCode(name[:0], code), w, words)
		}
	}
}

// setCode carries a word of a command as a setting. A word T or D beside others
// names the tool or drive that the others are for; for fans and offsets, P does.
func (in *Interp) setCode(command []byte, w Word, words []Word) {
	if w.Bare {
		return
	}
	var key [40]byte
	k := append(key[:0], w.Letter)
	for _, selector := range [...]byte{'T', 'D', 'P'} {
		if selector == 'P' && !equalFold(command, "G10") && !equalFold(command, "M106") {
			continue
		}
		if v, ok := value(words, selector); ok && w.Letter != selector {
			k = append(k, ' ', selector)
			k = appendInt(k, int64(max(-1e9, min(1e9, v))))
		}
	}
	in.setText(command, k, w.Value, "")
}

// bounded reports whether a setting is a number that a machine could be given.
func bounded(v float64) bool { return math.Abs(v) <= tol.FarthestFilament }

func setNumber(field *float64, words []Word, letters ...byte) {
	for _, letter := range letters {
		if v, ok := value(words, letter); ok && bounded(v) {
			*field = v
		}
	}
}

func setAxes(field *[4]float64, words []Word) {
	for i, letter := range [4]byte{'X', 'Y', 'Z', 'E'} {
		setNumber(&field[i], words, letter)
	}
}
