package drawing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"golang.org/x/image/colornames"
)

// paint is a resolved fill or stroke.
type paint struct {
	drawn  bool
	colour string  // "#rrggbb", or "url(#id)" for a gradient or pattern
	alpha  float64 // 0 to 1
}

// parsePaint reads a fill or stroke value; current is the colour property.
// What is not a colour counts as the property's absence, which draws nothing.
func parsePaint(value, current string) paint {
	value = strings.TrimSpace(value)
	lower := strings.ToLower(value)
	switch lower {
	case "none", "transparent", "context-fill", "context-stroke":
		return paint{}
	case "currentcolor":
		if strings.EqualFold(strings.TrimSpace(current), "currentcolor") {
			return paint{drawn: true, colour: "#000000", alpha: 1}
		}
		return parsePaint(current, "black")
	}
	if strings.HasPrefix(lower, "url(") {
		id, _ := reference(value)
		return paint{drawn: true, colour: "url(#" + id + ")", alpha: 1}
	}
	if c, ok := parseColour(lower); ok {
		return c
	}
	return paint{}
}

// parseColour reads the colour notations of CSS Color 4 that SVG files use.
func parseColour(s string) (paint, bool) {
	if hex, found := strings.CutPrefix(s, "#"); found {
		return hexColour(hex)
	}
	name, arguments, found := strings.Cut(s, "(")
	if !found {
		c, ok := colornames.Map[s]
		return paint{ok, fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B), 1}, ok
	}
	fields := strings.FieldsFunc(strings.TrimSuffix(arguments, ")"), func(r rune) bool {
		return r == ',' || r == ' ' || r == '/' || r == '\t' || r == '\n' || r == '\r'
	})
	if len(fields) != 3 && len(fields) != 4 {
		return paint{}, false
	}
	alpha := 1.0
	if len(fields) == 4 {
		alpha = parseOpacity(fields[3])
	}
	var v [3]float64
	for i := range v {
		number, percent := strings.CutSuffix(fields[i], "%")
		x, err := strconv.ParseFloat(strings.TrimSuffix(number, "deg"), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return paint{}, false
		}
		if percent && strings.HasPrefix(name, "rgb") {
			x *= 2.55
		}
		v[i] = x
	}
	switch name {
	case "rgb", "rgba":
	case "hsl", "hsla":
		v = fromHSL(v[0], v[1]/100, v[2]/100)
	default:
		return paint{}, false
	}
	byteOf := func(x float64) uint8 { return uint8(math.Round(math.Min(255, math.Max(0, x)))) }
	return paint{alpha > 0, fmt.Sprintf("#%02x%02x%02x", byteOf(v[0]), byteOf(v[1]), byteOf(v[2])), alpha}, true
}

func hexColour(hex string) (paint, bool) {
	if len(hex) == 3 || len(hex) == 4 {
		var b strings.Builder
		for i := range len(hex) {
			b.WriteByte(hex[i])
			b.WriteByte(hex[i])
		}
		hex = b.String()
	}
	v, err := strconv.ParseUint(hex, 16, 64)
	switch {
	case err == nil && len(hex) == 6:
		return paint{true, "#" + hex, 1}, true
	case err == nil && len(hex) == 8:
		return paint{v&255 > 0, "#" + hex[:6], float64(v&255) / 255}, true
	}
	return paint{}, false
}

// fromHSL is the conversion of CSS Color 4, §7.1; hue in degrees, results
// 0 to 255.
func fromHSL(hue, saturation, lightness float64) [3]float64 {
	f := func(n float64) float64 {
		k := math.Mod(math.Mod(n+hue/30, 12)+12, 12)
		a := saturation * math.Min(lightness, 1-lightness)
		return 255 * (lightness - a*math.Max(-1, math.Min(1, math.Min(k-3, 9-k))))
	}
	return [3]float64{f(0), f(8), f(4)}
}

// parseOpacity reads a number or a percentage, held to 0…1; anything else
// counts as 1.
func parseOpacity(s string) float64 {
	number, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsNaN(v) {
		return 1
	}
	if percent {
		v /= 100
	}
	return math.Min(1, math.Max(0, v))
}
