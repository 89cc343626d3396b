package drawing

import (
	"fmt"
	"math"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

// parseTransform reads a transform list (CSS Transforms 1, §8 and the syntax
// of SVG attributes, where angles are degrees and lengths user units). The
// leftmost function is applied last. On an error the whole list counts for
// nothing, as the specification asks.
func parseTransform(s string) (plane.Affine, error) {
	m := plane.Identity()
	r := pathReader{text: s}
	r.wsp()
	if strings.TrimSpace(s) == "none" {
		return m, nil
	}
	for r.pos < len(r.text) {
		name := r.word()
		r.wsp()
		if name == "" || r.pos >= len(r.text) || r.text[r.pos] != '(' {
			return plane.Identity(), fmt.Errorf("a transform function should stand at character %d", r.pos+1)
		}
		r.pos++
		values, err := r.arguments()
		if err != nil {
			return plane.Identity(), err
		}
		one, ok := transformFunction(name, values)
		if !ok {
			return plane.Identity(), fmt.Errorf("%s with %d numbers is no transform", finding.Quoted(name), len(values))
		}
		m = one.Then(m)
		r.commaWsp()
	}
	return m, nil
}

func (r *pathReader) word() string {
	start := r.pos
	for r.pos < len(r.text) && r.text[r.pos]|0x20 >= 'a' && r.text[r.pos]|0x20 <= 'z' {
		r.pos++
	}
	return r.text[start:r.pos]
}

// arguments reads numbers, with or without a unit, up to the closing bracket.
// Angles come out in degrees and lengths in user units.
func (r *pathReader) arguments() ([]float64, error) {
	var out []float64
	for {
		r.commaWsp()
		if r.pos < len(r.text) && r.text[r.pos] == ')' {
			r.pos++
			return out, nil
		}
		v, fault := r.number()
		if fault != nil {
			return nil, fault
		}
		switch unit := r.word(); unit {
		case "":
		case "deg":
		case "rad":
			v *= 180 / math.Pi
		case "grad":
			v *= 0.9
		case "turn":
			v *= 360
		default:
			factor, known := absoluteUnits[strings.ToLower(unit)]
			if !known {
				return nil, fmt.Errorf("%s is not a unit for a transform", finding.Quoted(unit))
			}
			v *= factor
		}
		if out = append(out, v); len(out) > 6 {
			return nil, fmt.Errorf("a transform function has more than six numbers")
		}
	}
}

func transformFunction(name string, v []float64) (plane.Affine, bool) {
	switch {
	case name == "matrix" && len(v) == 6:
		return plane.Affine{A: v[0], B: v[1], C: v[2], D: v[3], E: v[4], F: v[5]}, true
	case name == "translate" && len(v) == 1, name == "translateX" && len(v) == 1:
		return plane.Translate(v[0], 0), true
	case name == "translate" && len(v) == 2:
		return plane.Translate(v[0], v[1]), true
	case name == "translateY" && len(v) == 1:
		return plane.Translate(0, v[0]), true
	case name == "scale" && len(v) == 1:
		return plane.Scale(v[0], v[0]), true
	case name == "scale" && len(v) == 2:
		return plane.Scale(v[0], v[1]), true
	case name == "scaleX" && len(v) == 1:
		return plane.Scale(v[0], 1), true
	case name == "scaleY" && len(v) == 1:
		return plane.Scale(1, v[0]), true
	case name == "rotate" && len(v) == 1:
		return rotateDegrees(v[0]), true
	case name == "rotate" && len(v) == 3:
		return plane.Translate(-v[1], -v[2]).Then(rotateDegrees(v[0])).Then(plane.Translate(v[1], v[2])), true
	case name == "skewX" && len(v) == 1:
		return plane.Affine{A: 1, C: math.Tan(v[0] * math.Pi / 180), D: 1}, true
	case name == "skewY" && len(v) == 1:
		return plane.Affine{A: 1, B: math.Tan(v[0] * math.Pi / 180), D: 1}, true
	case name == "skew" && len(v) == 2:
		return plane.Affine{A: 1, B: math.Tan(v[1] * math.Pi / 180), C: math.Tan(v[0] * math.Pi / 180), D: 1}, true
	}
	return plane.Affine{}, false
}

// rotateDegrees keeps quarter turns exact, so that drawings turned by 90° stay
// on their grid.
func rotateDegrees(angle float64) plane.Affine {
	if quarter := math.Mod(angle, 360) / 90; quarter == math.Trunc(quarter) {
		unit := [4]plane.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}[(int(quarter)+4)%4]
		return plane.Affine{A: unit.X, B: unit.Y, C: -unit.Y, D: unit.X}
	}
	return plane.Rotate(math.Mod(angle, 360) * math.Pi / 180)
}

// parseOrigin reads a transform-origin of lengths, percentages and keywords
// in box (user units), which is the view box for drawn elements. The second
// result is false when the value is of another kind.
func parseOrigin(s string, viewport plane.Point) (plane.Point, bool) {
	fields := strings.Fields(s)
	if len(fields) == 0 || len(fields) > 3 {
		return plane.Point{}, false
	}
	if len(fields) == 1 {
		fields = append(fields, "center")
	}
	if fields[0] == "top" || fields[0] == "bottom" || fields[1] == "left" || fields[1] == "right" {
		fields[0], fields[1] = fields[1], fields[0]
	}
	var out [2]float64
	for i, whole := range []float64{viewport.X, viewport.Y} {
		switch fields[i] {
		case "left", "top":
		case "center":
			out[i] = whole / 2
		case "right", "bottom":
			out[i] = whole
		default:
			v, ok := parseLength(fields[i])
			if !ok {
				return plane.Point{}, false
			}
			out[i] = v.user(whole)
		}
	}
	return plane.Point{X: out[0], Y: out[1]}, true
}
