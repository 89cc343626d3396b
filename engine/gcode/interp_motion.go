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
	offset := s.Offset()
	if in.machine {
		offset = Place{}
	}
	form, ok := in.arcForm(mode, offset, words)
	if !ok {
		return
	}
	arc, problem := SolveArc(s.Position, to, form)
	in.move.Arc = arc
	in.noteRadii(problem.mismatch, to, form, offset)
	switch {
	case problem.refused:
		in.log.Add("gcode-arc-centres", finding.Stop, in.line, 0, problem.text,
			"Have both written, or the arcs as short lines: machines take the other for nought, or for that of the start.")
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

// arcForm reads the words of an arc, whose centre is written in coordinates of
// the offset given where it is a place. It reports false where a number is
// farther off than is believed.
func (in *Interp) arcForm(mode Motion, offset Place, words []Word) (form ArcForm, ok bool) {
	s := &in.state
	unit := s.UnitMM()
	form = ArcForm{Plane: s.Plane, Left: mode == MotionArcLeft}
	for _, w := range words {
		if w.Bare {
			continue
		}
		v := w.Value * unit
		if math.Abs(v) > tol.FarthestAxis {
			switch w.Letter {
			case 'I', 'J', 'K', 'R':
				in.tooFar(w.Letter)
				return form, false
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
	if s.Centres == CentresPlaces {
		form = form.otherwise(offset)
	}
	return form, true
}

// noteRadii reports an arc whose radii at its ends differ: as a fault of its
// numbers, or as one of its reading where the other reading of its centre fits.
func (in *Interp) noteRadii(mismatch float64, to Place, form ArcForm, offset Place) {
	limit, level := tol.ArcRadii, finding.Note
	if in.state.Inches {
		limit = tol.ArcRadiiInches
	}
	if mismatch > tol.ArcRadiiWritten {
		level = finding.Caution
	}
	switch {
	case mismatch <= limit:
	case mismatch > tol.ArcOtherReading && !form.HasR && fits(in.state.Position, to, form.otherwise(offset)):
		text := "The centre of an arc fits its ends only as a place, and the file does not say that centres are places (G90.1)."
		if form.Places {
			text = "The centre of an arc fits its ends only as an increment, and the file says that centres are places (G90.1)."
		}
		in.log.Add("gcode-arc-centres", finding.Stop, in.line, 0, text, "Have the arcs written as short lines, or with centres as the file says.")
	default:
		in.log.Add("gcode-arc-radii", level, in.line, 0,
			"The radius of an arc differs between its start and its end by more than the standard allows.",
			"Look at the line; the arc is followed with the radius of its start.")
	}
}

// fits reports whether an arc has one radius at both its ends, as well as three
// written decimals tell.
func fits(from, to Place, form ArcForm) bool {
	arc, problem := SolveArc(from, to, form)
	return arc.Is() && problem.mismatch <= tol.ArcRadiiWritten
}

// otherwise returns the form in the other reading of its centre: as a place
// written in coordinates of the offset given instead of an increment, or the
// reverse.
func (f ArcForm) otherwise(offset Place) ArcForm {
	times := 1.0
	if f.Places {
		times = -1
	}
	f.I, f.J, f.K, f.Places = f.I+times*offset.X, f.J+times*offset.Y, f.K+times*offset.Z, !f.Places
	return f
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
