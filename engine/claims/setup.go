package claims

import (
	"math"
	"slices"
	"strings"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Setup gathers what a file's own comments say of the machine it was sliced
// for: the width of the nozzle, the shape, size and height of the bed. Such
// lines stand anywhere in a file, mostly in a block of settings at one of its
// ends, as a key, "=" or ":", and a value. They are told by the words of the
// key and by the shape of the value, whoever wrote them. The zero value is
// ready for use.
type Setup struct {
	nozzles note[[]float64] // mm, one for each tool or one for all
	bed     note[Bed]
	height  note[float64] // mm
	sides   sides
}

// Bed is the bed that a file notes. Of a bed noted as a width and a depth
// alone, the place is not known.
type Bed struct {
	Round  bool
	Box    plane.Box // what a rectangle covers, or the square around a disc, mm
	Placed bool      // where the box lies is noted too, not only its size
	// Corners is the number of corners of an outline that is neither a
	// rectangle nor a disc; then Box is that around it. 0 otherwise.
	Corners int
}

// note is a value that lines of the file state.
type note[T any] struct {
	value    T
	quote    string // the line that says so first
	against  string // a line that says something else, "" where none does
	isStated bool
}

// state takes what another line says.
func (n *note[T]) state(value T, line []byte, isSame func(a, b T) bool) {
	switch {
	case !n.isStated:
		*n = note[T]{value: value, quote: quote(line), isStated: true}
	case n.against == "" && !isSame(n.value, value):
		n.against = quote(line)
	}
}

// sides are a bed's measures that stand on lines of their own.
type sides struct {
	width, depth, diameter note[float64]
	round                  note[bool]
}

// longestSetting is how much of a line with a setting is looked at: the outline
// of a round bed may have hundreds of corners.
const longestSetting = 16 << 10

// Line looks at one line of the file, without its line end.
func (s *Setup) Line(line []byte) {
	start := 0
	for start < len(line) && (line[start] == ' ' || line[start] == '\t') {
		start++
	}
	if start == len(line) || line[start] != ';' && line[start] != '(' {
		return
	}
	key, value, ok := setting(strings.ToLower(string(line[start+1 : min(len(line), start+longestSetting)])))
	if !ok {
		return
	}
	same := func(a, b float64) bool { return math.Abs(a-b) <= tol.ClaimsSameSize }
	switch {
	case key.isNozzle(value):
		if sizes := nozzleSizes(value); sizes != nil {
			s.nozzles.state(sizes, line[start:], func(a, b []float64) bool { return slices.EqualFunc(a, b, same) })
		}
	case key.isHeight():
		if v, ok := sizeOf(value); ok {
			s.height.state(v, line[start:], same)
		}
	case key.isBed():
		s.ofBed(key, value, line[start:])
	}
}

// ofBed takes a line about the bed.
func (s *Setup) ofBed(key settingKey, value string, line []byte) {
	same := func(a, b float64) bool { return math.Abs(a-b) <= tol.ClaimsSameSize }
	one := func(n *note[float64]) {
		if v, ok := sizeOf(value); ok {
			n.state(v, line, same)
		}
	}
	if bed, ok := bedOf(value); ok {
		s.bed.state(bed, line, sameBed)
		return
	}
	isRound := hasPart(value, roundWords)
	switch {
	case hasPart(key.text, []string{"diameter", "durchmesser"}):
		one(&s.sides.diameter)
	case hasPart(key.text, []string{"width", "breite", "size x", "x size", "sizex"}):
		one(&s.sides.width)
	case hasPart(key.text, []string{"depth", "tiefe", "size y", "y size", "sizey"}):
		one(&s.sides.depth)
	case isRound || hasPart(value, []string{"rect", "square"}):
		s.sides.round.state(isRound, line, func(a, b bool) bool { return a == b })
	}
}

// Noted is one thing that the file says of its machine, with the line that says
// so. Against is a line that says otherwise; what is disputed is not taken.
type Noted[T any] struct {
	Value          T
	Quote, Against string
}

func (n note[T]) noted() (Noted[T], bool) { return Noted[T]{n.value, n.quote, n.against}, n.isStated }

// NozzleMM returns the width of a tool's nozzle, and whether the file notes one.
// Tools count from 0; where the file notes fewer, they must all be the same.
func (s *Setup) NozzleMM(tool int) (Noted[float64], bool) {
	sizes := s.nozzles.value
	if len(sizes) == 0 {
		return Noted[float64]{}, false
	}
	out := Noted[float64]{sizes[0], s.nozzles.quote, s.nozzles.against}
	switch {
	case tool >= 0 && tool < len(sizes):
		out.Value = sizes[tool]
	case slices.Min(sizes) != slices.Max(sizes):
		return Noted[float64]{}, false
	}
	return out, true
}

// HeightMM returns how high the machine reaches, and whether the file says so.
func (s *Setup) HeightMM() (Noted[float64], bool) { return s.height.noted() }

// Bed returns the bed, and whether the file notes one: as an outline or a pair
// of measures on one line, or else as measures on lines of their own.
func (s *Setup) Bed() (Noted[Bed], bool) {
	if s.bed.isStated {
		return s.bed.noted()
	}
	all := s.sides
	if all.diameter.isStated && !(all.round.isStated && !all.round.value) {
		return Noted[Bed]{Bed{Round: true, Box: sized(all.diameter.value, all.diameter.value)}, all.diameter.quote, all.diameter.against}, true
	}
	if !all.width.isStated || !all.depth.isStated {
		return Noted[Bed]{}, false
	}
	out := Noted[Bed]{Bed{Round: all.round.value, Box: sized(all.width.value, all.depth.value)}, all.width.quote + " / " + all.depth.quote, ""}
	for _, against := range []string{all.width.against, all.depth.against, all.round.against} {
		if against != "" {
			out.Against = against
		}
	}
	return out, true
}

func sized(width, depth float64) plane.Box {
	return plane.Box{Max: plane.Point{X: width, Y: depth}}
}

func sameBed(a, b Bed) bool {
	near := func(p, q plane.Point) bool { return p.Dist(q) <= tol.ClaimsSameSize }
	if a.Round != b.Round || a.Corners != b.Corners || !near(a.Box.Size(), b.Box.Size()) {
		return false
	}
	return !a.Placed || !b.Placed || near(a.Box.Min, b.Box.Min)
}
