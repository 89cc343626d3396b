// Package claims finds what a sliced file says about itself: what a new first
// layer makes wrong (Collector: its printing time and its filament, in comments
// and in progress commands), and for which machine it was made (Setup). It
// reports; it never rewrites a byte.
package claims

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Kind says what a claim is about.
type Kind string

// The kinds of claims and the unit of their values.
const (
	TotalTime      Kind = "total time"       // s
	ElapsedTime    Kind = "elapsed time"     // s, from the start of the file
	RemainingTime  Kind = "remaining time"   // s, to the end of the file
	FirstLayerTime Kind = "first layer time" // s
	Percent        Kind = "progress"         // % of the time
	FilamentLength Kind = "filament length"  // mm
	FilamentVolume Kind = "filament volume"  // mm³
	FilamentMass   Kind = "filament mass"    // g
)

// Claim is one figure a file states about itself.
type Claim struct {
	Kind   Kind
	Line   int     // from 1
	Offset int64   // of the line's first byte
	Value  float64 // in the unit of its kind
	Step   float64 // last digit written, in the same unit: a smaller difference does not show
	Quote  string  // the line, at most 80 characters
}

// Collector takes the lines of a file one by one and keeps their claims.
// The zero value is ready for use.
type Collector struct {
	Claims  []Claim
	Dropped int // claims beyond mostClaims, counted only
}

// mostClaims bounds memory: a file states progress some hundred times; one
// that does so on every line of a gigabyte is not worth keeping.
const mostClaims = 20000

// longestLine is how much of a line is looked at; claims stand at its start.
const longestLine = 1024

// Line looks at one line, without its line end. number counts from 1, offset
// is the position of its first byte. Lines that can hold no claim cost a few
// comparisons.
func (c *Collector) Line(number int, offset int64, line []byte) {
	start := 0
	for start < len(line) && (line[start] == ' ' || line[start] == '\t') {
		start++
	}
	if start == len(line) {
		return
	}
	rest := line[start:min(len(line), start+longestLine)]
	var found []Claim
	switch rest[0] {
	case ';', '(':
		found = comment(rest[1:])
	case 'M', 'm', 'N', 'n':
		found = progress(rest)
	}
	for _, claim := range found {
		if len(c.Claims) >= mostClaims {
			c.Dropped++
			continue
		}
		claim.Line, claim.Offset, claim.Quote = number, offset, quote(rest)
		c.Claims = append(c.Claims, claim)
	}
}

func quote(line []byte) string {
	const longest = 80
	s := strings.ToValidUTF8(strings.TrimSpace(string(line)), "·")
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return '·'
		}
		return r
	}, s)
	if utf8.RuneCountInString(s) > longest {
		return string([]rune(s)[:longest-1]) + "…"
	}
	return s
}

// progress reads the progress command: M73 with P (percent done), R (minutes
// remaining) and, for a second mode of printing, Q and S in the same order. A
// line number before it and a comment after it are passed over.
func progress(line []byte) []Claim {
	if i := bytes.IndexAny(line, ";(*"); i >= 0 {
		line = line[:i]
	}
	var found []Claim
	command := 0.0
	for i := 0; i < len(line); {
		letter := line[i] &^ 0x20
		i++
		if letter < 'A' || letter > 'Z' {
			continue
		}
		for i < len(line) && (line[i] == ' ' || line[i] == '\t') {
			i++
		}
		value, step, size := number(string(line[i:]))
		if size == 0 {
			continue
		}
		i += size
		switch letter {
		case 'M':
			if command = value; command != 73 {
				return nil
			}
		case 'P', 'Q':
			found = append(found, Claim{Kind: Percent, Value: value, Step: step})
		case 'R', 'S':
			const secondsPerMinute = 60
			found = append(found, Claim{Kind: RemainingTime, Value: value * secondsPerMinute, Step: step * secondsPerMinute})
		}
	}
	if command == 0 {
		return nil
	}
	return found
}

// comment reads the text of a comment: parts between semicolons, each a key
// and a value with "=" or ":" between them.
func comment(text []byte) []Claim {
	if !bytes.ContainsAny(text, "0123456789") {
		return nil
	}
	var found []Claim
	for _, part := range strings.Split(strings.ToLower(string(text)), ";") {
		at := strings.IndexAny(part, "=:")
		if at < 0 {
			continue
		}
		name, unit := bracket(part[:at])
		key, value := words(name), strings.TrimSpace(part[at+1:])
		if claim, ok := timeClaim(key, unit, value); ok {
			found = append(found, claim)
		} else if claim, ok := filamentClaim(key, unit, value); ok {
			found = append(found, claim)
		}
	}
	return found
}

// bracket takes the words in brackets out of a key: "total time [min]" gives
// "total time " and "min".
func bracket(key string) (name string, inside []string) {
	open := strings.IndexAny(key, "[(")
	if open < 0 {
		return key, nil
	}
	size := strings.IndexAny(key[open:], "])")
	if size < 0 {
		return key, nil
	}
	return key[:open] + " " + key[open+size+1:], words(key[open : open+size])
}

// words splits a key into its words: letters and digits, "³" included.
func words(key string) []string {
	return strings.FieldsFunc(key, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsNumber(r)
	})
}

func has(list []string, any ...string) bool {
	for _, w := range list {
		for _, a := range any {
			if w == a {
				return true
			}
		}
	}
	return false
}

// timeClaim recognises a time of the whole print by its words: "time" alone,
// or with a word that says it is the print's. Settings that are times, too (of
// loading, cooling, a least time per layer), are told apart by theirs.
func timeClaim(key, unit []string, value string) (Claim, bool) {
	if !has(key, "time", "duration", "zeit", "dauer", "druckzeit", "temps", "durée", "tiempo", "tempo") {
		return Claim{}, false
	}
	if has(key, "load", "loading", "unload", "unloading", "change", "toolchange", "min", "minimum", "max", "maximum",
		"slow", "down", "slowdown", "below", "cool", "cooling", "fan", "heat", "heating", "wait", "dwell", "pause",
		"delay", "lapse", "cost", "speed", "date", "stamp", "zone", "threshold", "standby", "extra", "generated", "created") {
		return Claim{}, false
	}
	alone := len(key) == 1
	ours := has(key, "print", "printing", "estimated", "total", "elapsed", "remaining", "left", "build", "model", "job", "first", "gesamt", "totale")
	if !alone && !ours {
		return Claim{}, false
	}
	kind := TotalTime
	switch {
	case has(key, "elapsed"):
		kind = ElapsedTime
	case has(key, "remaining", "left"):
		kind = RemainingTime
	case has(key, "first") && has(key, "layer"):
		kind = FirstLayerTime
	case has(key, "layer"):
		return Claim{}, false
	}
	seconds, step, ok := duration(value, unit)
	return Claim{Kind: kind, Value: seconds, Step: step}, ok
}

// filamentClaim recognises the filament used, with its unit in the key or
// behind the number. A figure without a unit is no claim: it could be any of
// three things.
func filamentClaim(key, unit []string, value string) (Claim, bool) {
	if !has(key, "filament", "material") || !has(key, "used", "usage", "length", "weight", "mass", "volume", "total", "needed", "amount") {
		return Claim{}, false
	}
	if has(key, "diameter", "density", "cost", "price", "change", "load", "loading", "unload", "unloading", "retract", "speed", "type", "max", "min", "per", "layer", "spool", "flow", "wipe", "tower") {
		return Claim{}, false
	}
	v, step, size := number(value)
	if size == 0 || v < 0 {
		return Claim{}, false
	}
	candidates := unit
	if after := words(value[size:]); len(after) > 0 {
		candidates = append([]string{after[0]}, candidates...)
	}
	for _, name := range append(candidates, key...) {
		for _, u := range filamentUnits {
			if has(u.names, name) {
				return Claim{Kind: u.kind, Value: v * u.factor, Step: step * u.factor}, true
			}
		}
	}
	return Claim{}, false
}

var filamentUnits = []struct {
	kind   Kind
	factor float64
	names  []string
}{
	{FilamentLength, 1, []string{"mm"}},
	{FilamentLength, 10, []string{"cm"}},
	{FilamentLength, 1000, []string{"m", "meter", "meters", "metre", "metres"}},
	{FilamentVolume, 1, []string{"mm3", "mm³"}},
	{FilamentVolume, 1000, []string{"cm3", "cm³", "ml", "ccm"}},
	{FilamentMass, 1, []string{"g", "gram", "grams", "gramm"}},
	{FilamentMass, 1000, []string{"kg"}},
}
