package drawing

import (
	"math"
	"strings"

	"sheenlay/engine/plane"
)

// pxPerInch is the number of CSS pixels, the user units of a plain SVG, in an
// inch (CSS Values and Units 3, §6.2: 1in = 2.54cm = 96px).
const pxPerInch = 96

// mmPerPx is the size of one CSS pixel in mm.
const mmPerPx = 25.4 / pxPerInch

// absoluteUnits gives the length of a unit in CSS pixels (CSS Values and
// Units 3, §6.2).
var absoluteUnits = map[string]float64{
	"px": 1,
	"in": pxPerInch,
	"cm": pxPerInch / 2.54,
	"mm": pxPerInch / 25.4,
	"q":  pxPerInch / 101.6,
	"pt": pxPerInch / 72.0,
	"pc": pxPerInch / 6.0,
	// Font units at the initial font size of 16 px; drawings use them rarely.
	"em": 16, "rem": 16, "ex": 8, "ch": 8,
}

// length is a number with its unit in lower case; "" is a bare number, "%" a
// share of the viewport.
type length struct {
	value float64
	unit  string
}

// parseLength reads a length; false when s is no length.
func parseLength(s string) (length, bool) {
	s = strings.TrimSpace(s)
	r := pathReader{text: s}
	v, err := r.number()
	if err != nil {
		return length{}, false
	}
	unit := strings.ToLower(strings.TrimSpace(s[r.pos:]))
	if _, known := absoluteUnits[unit]; !known && unit != "" && unit != "%" {
		return length{}, false
	}
	return length{v, unit}, true
}

// user returns the length in user units; whole is what 100 % stands for.
func (l length) user(whole float64) float64 {
	switch l.unit {
	case "":
		return l.value
	case "%":
		return l.value / 100 * whole
	}
	return l.value * absoluteUnits[l.unit]
}

// physical reports whether the unit states a size in the real world.
func (l length) physical() bool {
	switch l.unit {
	case "in", "cm", "mm", "q", "pt", "pc":
		return true
	}
	return false
}

// diagonal is what percentages of neither width nor height refer to (SVG 2,
// §8.9).
func diagonal(v plane.Point) float64 { return math.Sqrt((v.X*v.X + v.Y*v.Y) / 2) }

// viewBox is a rectangle in user units.
type viewBox struct{ x, y, width, height float64 }

// parseViewBox reads four numbers; false when they are missing or enclose
// nothing.
func parseViewBox(s string) (viewBox, bool) {
	v, complete := parseNumbers(s, 5)
	if !complete || len(v) != 4 || v[2] <= 0 || v[3] <= 0 {
		return viewBox{}, false
	}
	return viewBox{v[0], v[1], v[2], v[3]}, true
}

// parseNumbers reads numbers parted by white space or commas, at most limit
// of them; complete is false when something else stands in s.
func parseNumbers(s string, limit int) (values []float64, complete bool) {
	r := pathReader{text: s}
	r.wsp()
	for r.pos < len(s) && len(values) < limit {
		v, err := r.number()
		if err != nil {
			return values, false
		}
		values = append(values, v)
		r.commaWsp()
	}
	return values, r.pos == len(s)
}

// fit returns the map from the view box to a viewport of the given size under
// preserveAspectRatio (SVG 2, §8.2, "computing the equivalent transform").
// slice says that the view box may reach beyond the viewport.
func (b viewBox) fit(size plane.Point, preserve string) (m plane.Affine, slice bool) {
	sx, sy := size.X/b.width, size.Y/b.height
	fields := strings.Fields(preserve)
	if len(fields) > 0 && fields[0] == "defer" {
		fields = fields[1:]
	}
	align := "xMidYMid"
	if len(fields) > 0 && (fields[0] == "none" || len(fields[0]) == len(align)) {
		align = fields[0]
	}
	slice = len(fields) > 1 && fields[1] == "slice" && align != "none"
	if align != "none" {
		if slice {
			sx = math.Max(sx, sy)
		} else {
			sx = math.Min(sx, sy)
		}
		sy = sx
	}
	tx, ty := -b.x*sx, -b.y*sy
	restX, restY := size.X-b.width*sx, size.Y-b.height*sy
	switch {
	case strings.HasPrefix(align, "xMid"):
		tx += restX / 2
	case strings.HasPrefix(align, "xMax"):
		tx += restX
	}
	switch {
	case strings.HasSuffix(align, "YMid"):
		ty += restY / 2
	case strings.HasSuffix(align, "YMax"):
		ty += restY
	}
	return plane.Affine{A: sx, D: sy, E: tx, F: ty}, slice
}
