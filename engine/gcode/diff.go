package gcode

import (
	"math"
	"strconv"
	"strings"

	"sheenlay/engine/tol"
)

// Diff returns every part in which s and o differ, in a fixed order; nil when
// they are equal within the tolerances StatePosition, StateRegister,
// StateRetraction and StateSetting of package tol. Fed, the running total, is
// no part of the comparison.
func (s *State) Diff(o *State) []Difference {
	d := differ{}
	for i, axis := range [3]string{"X", "Y", "Z"} {
		d.number("position "+axis, " mm", s.Position.axis(i), o.Position.axis(i), tol.StatePosition)
		d.flag("position "+axis+" known", s.Known.Has(Axis(i)), o.Known.Has(Axis(i)))
		d.flag("axis "+axis+" homed", s.Homed.Has(Axis(i)), o.Homed.Has(Axis(i)))
		d.number("offset "+axis, " mm", s.Shift.axis(i), o.Shift.axis(i), tol.StatePosition)
		d.number("stored offset "+axis, " mm", s.SavedShift.axis(i), o.SavedShift.axis(i), tol.StatePosition)
	}
	d.number("coordinate system", "", float64(s.Work), float64(o.Work), 0)
	for i := range s.WorkShift {
		for k, axis := range [3]string{"X", "Y", "Z"} {
			d.number("origin "+strconv.Itoa(i+1)+" "+axis, " mm", s.WorkShift[i].axis(k), o.WorkShift[i].axis(k), tol.StatePosition)
		}
	}
	d.number("tool length", " mm", s.ToolLength, o.ToolLength, tol.StatePosition)
	d.choice("units", "mm", "inch", s.Inches, o.Inches)
	d.choice("distances", "absolute", "relative", s.Relative, o.Relative)
	d.choice("E", "absolute", "relative", s.RelativeE, o.RelativeE)
	d.flag("E mode set", s.ESet, o.ESet)
	d.text("plane", [...]string{"XY", "ZX", "YZ"}[s.Plane%3], [...]string{"XY", "ZX", "YZ"}[o.Plane%3])
	d.choice("arc centres", "increments", "places", s.Centres == CentresPlaces, o.Centres == CentresPlaces)
	d.text("motion", motionNames[s.Motion%5], motionNames[o.Motion%5])
	d.setting("feed rate", " mm/min", s.Feed, o.Feed)
	d.number("tool", "", float64(s.Tool), float64(o.Tool), 0)
	d.number("E register", " mm", s.E, o.E, tol.StateRegister)
	for i := range s.Retracted {
		tool := " of tool " + strconv.Itoa(i)
		d.number("retraction"+tool, " mm", s.Retracted[i], o.Retracted[i], tol.StateRetraction)
		d.flag("firmware retraction"+tool, s.FirmwareRetracted[i], o.FirmwareRetracted[i])
		d.setting("temperature"+tool, " °C", s.Hotend[i], o.Hotend[i])
		d.setting("flow"+tool, " %", s.FlowPercent[i], o.FlowPercent[i])
	}
	for i := range s.Fan {
		d.setting("fan "+strconv.Itoa(i), "", s.Fan[i], o.Fan[i])
	}
	d.setting("bed temperature", " °C", s.Bed, o.Bed)
	d.setting("chamber temperature", " °C", s.Chamber, o.Chamber)
	d.setting("print acceleration", " mm/s²", s.Acceleration.Print, o.Acceleration.Print)
	d.setting("travel acceleration", " mm/s²", s.Acceleration.Travel, o.Acceleration.Travel)
	d.setting("retraction acceleration", " mm/s²", s.Acceleration.Retract, o.Acceleration.Retract)
	for i, axis := range [4]string{"X", "Y", "Z", "E"} {
		d.setting("jerk "+axis, " mm/s", s.Jerk[i], o.Jerk[i])
		d.setting("acceleration limit "+axis, " mm/s²", s.MaxAcceleration[i], o.MaxAcceleration[i])
		d.setting("speed limit "+axis, " mm/s", s.MaxSpeed[i], o.MaxSpeed[i])
	}
	d.setting("junction deviation", " mm", s.Junction, o.Junction)
	d.setting("speed override", " %", s.SpeedPercent, o.SpeedPercent)
	d.settings(s.Settings, o.Settings)
	return d.list
}

var motionNames = [...]string{"rapid (G0)", "straight (G1)", "arc to the right (G2)", "arc to the left (G3)", "none"}

func (p Place) axis(i int) float64 { return [3]float64{p.X, p.Y, p.Z}[i] }

type differ struct{ list []Difference }

func (d *differ) text(field, a, b string) {
	if a != b {
		d.list = append(d.list, Difference{field, a, b})
	}
}

func (d *differ) number(field, unit string, a, b, tolerance float64) {
	if !(math.Abs(a-b) <= tolerance) {
		d.text(field, format(a)+unit, format(b)+unit)
	}
}

func (d *differ) setting(field, unit string, a, b float64) {
	d.number(field, unit, a, b, tol.StateSetting*math.Max(math.Abs(a), math.Abs(b)))
}

func (d *differ) flag(field string, a, b bool) { d.choice(field, "no", "yes", a, b) }

func (d *differ) choice(field, no, yes string, a, b bool) {
	if a != b {
		words := map[bool]string{false: no, true: yes}
		d.text(field, words[a], words[b])
	}
}

// settings walks both sorted lists together.
func (d *differ) settings(a, b []Setting) {
	for len(a) > 0 || len(b) > 0 {
		order := 0
		switch {
		case len(a) == 0:
			order = 1
		case len(b) == 0:
			order = -1
		default:
			if order = strings.Compare(a[0].Command, b[0].Command); order == 0 {
				order = strings.Compare(a[0].Key, b[0].Key)
			}
		}
		switch {
		case order < 0:
			d.text(a[0].Command+" "+a[0].Key, a[0].show(), "not set")
			a = a[1:]
		case order > 0:
			d.text(b[0].Command+" "+b[0].Key, "not set", b[0].show())
			b = b[1:]
		default:
			if a[0].Text != b[0].Text || !(math.Abs(a[0].Value-b[0].Value) <= tol.StateSetting*math.Abs(a[0].Value)) {
				d.list = append(d.list, Difference{a[0].Command + " " + a[0].Key, a[0].show(), b[0].show()})
			}
			a, b = a[1:], b[1:]
		}
	}
}

func (v Setting) show() string {
	if v.Text != "" {
		return v.Text
	}
	return format(v.Value)
}

// format writes a value for people, with enough digits to tell two apart that
// differ by more than their tolerance.
func format(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64)
}
