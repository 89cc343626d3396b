package gcode

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

func motionOf(c Code) Motion {
	switch c {
	case G(0):
		return MotionRapid
	case G(10):
		return MotionLinear
	case G(20):
		return MotionArcRight
	case G(30):
		return MotionArcLeft
	}
	return MotionNone
}

// motion moves by the words of a line in the mode given.
func (in *Interp) motion(mode Motion, words []Word) {
	s := &in.state
	if mode == MotionNone {
		in.log.Add("gcode-no-motion-mode", finding.Caution, in.line, 0,
			"Axis words stand on a line with no motion command in force; nothing moves here.",
			"Look at the line: the standard calls this an error.")
		return
	}
	to, axes := in.target(words)
	filament, feeds := value(words, 'E')
	filament *= s.UnitMM()
	if math.Abs(filament) > tol.FarthestFilament {
		in.tooFar('E')
		feeds = false
	}
	if mode == MotionArcRight || mode == MotionArcLeft {
		in.arc(mode, to, axes, words)
	} else if mode == MotionLinear && s.Feed == 0 {
		in.log.Add("gcode-no-feed", finding.Note, in.line, 0,
			"A feed move comes before any feed rate; the machine's own default runs it.", "")
	}
	if !s.Relative || in.machine {
		s.Known |= axes
	}
	in.finish(to, filament, feeds)
	in.move.Rapid = mode == MotionRapid
}

// target returns the place that the axis words ask for, and the axes named.
func (in *Interp) target(words []Word) (to Place, axes Axes) {
	s := &in.state
	unit, offset := s.UnitMM(), s.Offset()
	if in.machine {
		offset = Place{}
	}
	to = s.Position
	axis := func(letter byte, field *float64, shift float64, bit Axis) {
		v, ok := value(words, letter)
		if !ok {
			for _, w := range words {
				if w.Letter == letter {
					in.log.Add("gcode-bare-axis", finding.Caution, in.line, 0,
						"An axis word has no number; it is ignored here.", "Look at the line.")
				}
			}
			return
		}
		goal := v*unit + shift
		if s.Relative && !in.machine {
			goal = *field + v*unit
		}
		if math.Abs(goal) > tol.FarthestAxis {
			in.tooFar(letter)
			return
		}
		*field = goal
		axes |= 1 << bit
	}
	axis('X', &to.X, offset.X, AxisX)
	axis('Y', &to.Y, offset.Y, AxisY)
	axis('Z', &to.Z, offset.Z, AxisZ)
	return to, axes
}

// arc sets the arc of the line's move, or reports why there is none; the move
// then goes straight to its end.
func (in *Interp) arc(mode Motion, to Place, axes Axes, words []Word) {
	s := &in.state
	unit := s.UnitMM()
	form := ArcForm{Plane: s.Plane, Left: mode == MotionArcLeft}
	for _, w := range words {
		if w.Bare {
			continue
		}
		v := w.Value * unit
		if math.Abs(v) > tol.FarthestAxis {
			switch w.Letter {
			case 'I', 'J', 'K', 'R':
				in.tooFar(w.Letter)
				return
			}
		}
		switch w.Letter {
		case 'I':
			form.I, form.HasI = v, true
		case 'J':
			form.J, form.HasJ = v, true
		case 'K':
			form.K, form.HasK = v, true
		case 'R':
			form.R, form.HasR = v, true
		case 'P':
			in.log.Add("gcode-arc-turns", finding.Caution, in.line, 0,
				"An arc asks for whole extra turns (P), which are not followed here.", "Have the turns written out.")
		}
	}
	arc, problem := SolveArc(s.Position, to, form)
	in.move.Arc = arc
	if problem.mismatch > 0 {
		limit, level := tol.ArcRadii, finding.Note
		if s.Inches {
			limit = tol.ArcRadiiInches
		}
		if problem.mismatch > tol.ArcRadiiWritten {
			level = finding.Caution
		}
		if problem.mismatch > limit {
			in.log.Add("gcode-arc-radii", level, in.line, 0,
				"The radius of an arc differs between its start and its end by more than the standard allows.",
				"Look at the line; the arc is followed with the radius of its start.")
		}
	}
	switch {
	case problem.text != "":
		in.log.Add("gcode-arc", finding.Caution, in.line, 0, problem.text,
			"Look at the line; it is followed as a straight move.")
	case axes == 0 && form.HasR || axes&planeAxes(s.Plane) == 0:
		in.log.Add("gcode-arc-no-end", finding.Note, in.line, 0,
			"An arc names no end point; it is followed as a full circle.", "The standard calls this an error.")
	case form.HasR && arc.nearHalf():
		in.log.Add("gcode-arc-half", finding.Note, in.line, 0,
			"An arc given by its radius is nearly a half circle or a full one: a small error of its end moves its centre far (NISTIR 6556, §3.5.3.1).", "")
	}
}

func planeAxes(p Plane) Axes {
	switch p {
	case PlaneZX:
		return 1<<AxisZ | 1<<AxisX
	case PlaneYZ:
		return 1<<AxisY | 1<<AxisZ
	}
	return 1<<AxisX | 1<<AxisY
}
