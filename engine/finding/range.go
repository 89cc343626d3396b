package finding

import (
	"fmt"
	"math"
	"strconv"
)

// Figure writes a number for a sentence: six significant digits, no exponent
// for everyday sizes, and the words "not a number" for NaN.
func Figure(v float64) string {
	if math.IsNaN(v) {
		return "not a number"
	}
	return strconv.FormatFloat(v, 'g', 6, 64)
}

// OutOfRange reports whether value lies outside [low, high] and, if so, returns
// a Stop that names the field, the value and the permitted range, which is
// empty where other settings leave no value. NaN and the infinities always lie
// outside. field goes into Place.Element, what is the
// subject of the sentence ("The bead width").
func OutOfRange(code, field, what string, value, low, high float64, unit string) (Finding, bool) {
	if value >= low && value <= high {
		return Finding{}, false
	}
	after := ""
	if unit != "" {
		after = " " + unit
	}
	found := Figure(value)
	if !math.IsNaN(value) {
		found += after
	}
	f := Finding{
		Code:   code,
		Level:  Stop,
		Text:   fmt.Sprintf("%s is %s; permitted is %s to %s%s.", what, found, Figure(low), Figure(high), after),
		Remedy: fmt.Sprintf("Give a value from %s to %s%s.", Figure(low), Figure(high), after),
		Place:  &Place{Element: field},
		Unit:   unit,
	}
	if low > high {
		f.Text = fmt.Sprintf("%s is %s; no value goes with the other settings as they are.", what, found)
		f.Remedy = "Correct the settings that it depends on first."
	}
	// A finding travels as JSON, which knows neither NaN nor infinity.
	if !math.IsNaN(value) && !math.IsInf(value, 0) {
		f.Value = value
	}
	return f, true
}
