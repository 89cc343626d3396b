package claims

import (
	"math"
	"strconv"
	"strings"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// This file contains the shapes of settings in comments: the words of their
// keys and the numbers of their values.

// settingKey is the key of a setting in lower case: as it stands, and in words.
type settingKey struct {
	text  string // words with one blank between them
	words []string
}

// setting splits a comment into key and value: at "=" or ":", else where its
// first number begins ("nozzle 0.4 mm").
func setting(text string) (key settingKey, value string, ok bool) {
	at := strings.IndexAny(text, "=:")
	rest := at + 1
	if at < 0 {
		at = strings.IndexAny(text, "0123456789")
		rest = at
	}
	if at <= 0 || at > longestKey {
		return settingKey{}, "", false
	}
	key.words = words(text[:at])
	key.text = strings.Join(key.words, " ")
	return key, strings.TrimSpace(text[rest:]), len(key.words) > 0
}

// longestKey (bytes) is longer than the key of any setting that is read here.
const longestKey = 60

// hasPart reports whether any of the parts stands in the text.
func hasPart(text string, parts []string) bool {
	for _, p := range parts {
		if strings.Contains(text, p) {
			return true
		}
	}
	return false
}

var (
	nozzleWords = []string{"nozzle", "düse", "duese", "buse", "boquilla", "ugello"}
	widthWords  = []string{"diameter", "size", "bore", "opening", "durchmesser", "diamètre", "diametro", "diámetro"}
	// A nozzle has other measures and settings than the width of its opening.
	notNozzle = []string{"temp", "outer", "outside", "tip", "height", "offset", "count", "clearance", "change", "wipe", "clean", "min", "max", "distance", "filament"}

	bedWords   = []string{"bed", "plate", "platform", "build volume", "build area", "build surface", "printable", "machine"}
	shapeWords = []string{"shape", "area", "volume", "outline", "polygon", "contour", "corners", "size", "dimension", "width", "depth", "diameter", "breite", "tiefe"}
	// What lies on a bed, or is done to it, is not the bed.
	notBed = []string{"temp", "exclude", "exclusion", "mesh", "level", "probe", "adhesion", "brim", "skirt", "support", "infill", "fill", "layer", "line width", "linewidth",
		"nozzle", "extru", "filament", "object", "model", "texture", "type", "name", "min", "head", "thumbnail", "bead", "gantry", "first", "embed"}
	roundWords = []string{"round", "circ", "ellip", "disc", "disk", "rund"}

	heightWords = []string{"printable height", "print height", "machine height", "build height", "bed height"}
	notHeight   = []string{"layer", "object", "model", "first", "min", "total", "current"}
)

func (k settingKey) isNozzle(value string) bool {
	if !hasPart(k.text, nozzleWords) || hasPart(k.text, notNozzle) {
		return false
	}
	if len(k.words) == 1 && !hasPart(k.text, widthWords) {
		_, _, size := number(value)
		return strings.HasPrefix(strings.TrimSpace(value[size:]), "mm")
	}
	return hasPart(k.text, widthWords)
}

func (k settingKey) isBed() bool {
	return hasPart(k.text, bedWords) && hasPart(k.text, shapeWords) && !hasPart(k.text, notBed)
}

func (k settingKey) isHeight() bool {
	return hasPart(k.text, heightWords) && !hasPart(k.text, notHeight)
}

// Nozzles and beds that can be: the ranges of the machine's own table.
const (
	narrowestNozzle, widestNozzle = 0.1, 2.0
	smallestBed, largestBed       = 20.0, 2000.0
	mostCorners                   = 2000
)

// nozzleSizes reads one width, or one for each tool; nil for anything else.
func nozzleSizes(value string) []float64 {
	value, _, _ = strings.Cut(value, ";")
	var out []float64
	for _, part := range strings.FieldsFunc(value, func(r rune) bool {
		return r == ',' || r == ' ' || r == '\t' || r == '/' || r == '[' || r == ']' || r == ')'
	}) {
		v, _, size := number(part)
		if size == 0 && len(out) > 0 {
			break // a unit or words behind the numbers
		}
		if size == 0 || !(v >= narrowestNozzle && v <= widestNozzle) || len(out) == mostCorners {
			return nil
		}
		if unit := part[size:]; unit != "" && unit != "mm" {
			return nil
		}
		out = append(out, v)
	}
	return out
}

// sizeOf reads one measure of a bed.
func sizeOf(value string) (float64, bool) {
	v, _, size := number(value)
	return v, size > 0 && v >= smallestBed && v <= largestBed
}

// bedOf reads a bed from one value: an outline as points ("0x0,220x0,220x210",
// "(0,0) (220,0) …"), a pair of measures ("220 x 220 mm"), or a disc by its
// diameter or radius ("circle, diameter 240").
func bedOf(value string) (Bed, bool) {
	isRound := hasPart(value, roundWords)
	list := numbers(value)
	switch {
	case list == nil:
		return Bed{}, false
	case isRound && len(list) == 1:
		across := list[0]
		if hasPart(value, []string{"radius", " r ", " r="}) {
			across *= 2
		}
		return checkedBed(Bed{Round: true, Box: sized(across, across)})
	case len(list) == 2 || len(list) == 3:
		return checkedBed(Bed{Round: isRound && list[0] == list[1], Box: sized(list[0], list[1])})
	case len(list) >= 6 && len(list)%2 == 0:
		var outline plane.Ring
		for i := 0; i < len(list); i += 2 {
			outline = append(outline, plane.Point{X: list[i], Y: list[i+1]})
		}
		return checkedBed(outlined(outline))
	}
	return Bed{}, false
}

func checkedBed(b Bed) (Bed, bool) {
	size := b.Box.Size()
	return b, min(size.X, size.Y) >= smallestBed && max(size.X, size.Y) <= largestBed
}

// numbers returns every number of a list that has only separators, brackets and
// single words between them; nil for none or far too many.
func numbers(value string) []float64 {
	var out []float64
	for i := 0; i < len(value); {
		v, _, size := number(value[i:])
		if size == 0 {
			i++
			continue
		}
		if whole := withExponent(value[i:], size); whole > size {
			size = whole
			v, _ = strconv.ParseFloat(value[i:i+size], 64) // out of range: ±Inf, which no bed has
		}
		i += size
		if len(out) == 2*mostCorners {
			return nil
		}
		out = append(out, v)
	}
	return out
}

// withExponent returns how many bytes a number at the start of s takes, of which
// size are those without its exponent: corners computed from angles may be
// written as 1.5e-14.
func withExponent(s string, size int) int {
	at := size
	if at == len(s) || s[at] != 'e' {
		return size
	}
	if at++; at < len(s) && (s[at] == '+' || s[at] == '-') {
		at++
	}
	digits := at
	for at < len(s) && s[at] >= '0' && s[at] <= '9' {
		at++
	}
	if at == digits {
		return size
	}
	return at
}

// outlined tells what an outline of corner points is: a rectangle fills its
// box, a disc has many corners, all as far from the middle.
func outlined(outline plane.Ring) Bed {
	box := outline.Bounds()
	size := box.Size()
	b := Bed{Box: box, Placed: true}
	area := math.Abs(outline.Area())
	if math.Abs(area-float64(size.X*size.Y)) <= tol.ClaimsOutline*area {
		return b
	}
	const fewest = 12 // corners of a disc: an outline of fewer is a shape of its own
	radius, middle := size.X/2, box.Centre()
	b.Round = len(outline) >= fewest && math.Abs(size.X-size.Y) <= tol.ClaimsOutline*size.X
	for _, p := range outline {
		b.Round = b.Round && math.Abs(p.Dist(middle)-radius) <= tol.ClaimsOutline*radius
	}
	if !b.Round {
		b.Corners = len(outline)
	}
	return b
}
