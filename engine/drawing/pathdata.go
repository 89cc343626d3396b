package drawing

import (
	"fmt"
	"math"
	"strconv"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

// Path data is read by the grammar of W3C SVG 2, §9.3.9, with one method per
// production. The path parser of github.com/tdewolff/canvas was tried first
// and not taken: at the first error it returns nothing, where §9.5.4 asks for
// everything up to the last good segment.

// segmentKind tells the curve from the current point to the end point.
type segmentKind uint8

const (
	lineSegment segmentKind = iota
	quadSegment
	cubicSegment
	arcSegment
)

// segment is one curve of a subpath in the user units of its element.
type segment struct {
	kind   segmentKind
	c1, c2 plane.Point // control points; quadSegment uses c1
	arc    arc         // arcSegment
	end    plane.Point
}

// subpath is a run of segments from one moveto.
type subpath struct {
	start    plane.Point
	segments []segment
	closed   bool
}

// pathError says where path data stops being well-formed.
type pathError struct {
	Offset int    // bytes from the start of the data
	Found  string // what stands there
	Want   string // what the grammar asks for
}

func (e *pathError) Error() string {
	return fmt.Sprintf("at character %d there is %s where %s should be", e.Offset+1, e.Found, e.Want)
}

// parsePath reads path data. On an error it returns what was read up to the
// last complete segment, as W3C SVG 2, §9.5.4 asks for. The empty string and
// "none" give no subpath and no error.
func parsePath(data string) ([]subpath, *pathError) {
	if data == "none" {
		return nil, nil
	}
	r := pathReader{text: data}
	err := r.svgPath()
	return r.subpaths, err
}

type pathReader struct {
	text     string
	pos      int
	subpaths []subpath
	open     bool        // the last subpath still grows
	at       plane.Point // current point
	start    plane.Point // start of the subpath
	control  plane.Point // control point that a smooth command reflects
	smooth   byte        // 'C' or 'Q' when control belongs to the command before
}

// svgPath ::= wsp* moveto? | wsp* moveto drawto_command*
func (r *pathReader) svgPath() *pathError {
	r.wsp()
	for first := true; r.pos < len(r.text); first = false {
		command := r.text[r.pos]
		if first && command|0x20 != 'm' {
			return r.fail("the command M")
		}
		r.pos++
		var err *pathError
		switch command | 0x20 {
		case 'm':
			err = r.moveto(command == 'm')
		case 'z':
			r.closepath()
		case 'l':
			err = r.sequence(func() *pathError { return r.lineto(command == 'l') })
		case 'h', 'v':
			err = r.sequence(func() *pathError { return r.axisLineto(command) })
		case 'c':
			err = r.sequence(func() *pathError { return r.curveto(command == 'c') })
		case 's':
			err = r.sequence(func() *pathError { return r.smoothCurveto(command == 's') })
		case 'q':
			err = r.sequence(func() *pathError { return r.quadraticCurveto(command == 'q') })
		case 't':
			err = r.sequence(func() *pathError { return r.smoothQuadraticCurveto(command == 't') })
		case 'a':
			err = r.sequence(func() *pathError { return r.ellipticalArc(command == 'a') })
		default:
			r.pos--
			return r.fail("a command")
		}
		if err != nil {
			return err
		}
		r.wsp()
	}
	return nil
}

// sequence reads one or more repetitions of what a command takes.
func (r *pathReader) sequence(one func() *pathError) *pathError {
	r.wsp()
	if err := one(); err != nil {
		return err
	}
	for r.more() {
		if err := one(); err != nil {
			return err
		}
	}
	return nil
}

// more skips comma_wsp and reports whether another number follows. A comma
// with no number after it is left for the number to complain about.
func (r *pathReader) more() bool {
	r.wsp()
	if r.pos < len(r.text) && r.text[r.pos] == ',' {
		r.pos++
		r.wsp()
		return true
	}
	return r.pos < len(r.text) && startsNumber(r.text[r.pos])
}

func startsNumber(c byte) bool { return isDigit(c) || c == '.' || c == '-' || c == '+' }
func isDigit(c byte) bool      { return c >= '0' && c <= '9' }

// moveto ::= ("M"|"m") wsp* coordinate_pair_sequence; pairs after the first
// are lineto.
func (r *pathReader) moveto(relative bool) *pathError {
	r.wsp()
	p, err := r.coordinatePair(relative)
	if err != nil {
		return err
	}
	r.at, r.start, r.smooth, r.open = p, p, 0, false
	for r.more() {
		if err := r.lineto(relative); err != nil {
			return err
		}
	}
	return nil
}

func (r *pathReader) closepath() {
	if !r.open {
		r.begin()
	}
	r.subpaths[len(r.subpaths)-1].closed = true
	// The next subpath starts where this one did (§9.3.4).
	r.at, r.smooth, r.open = r.start, 0, false
}

func (r *pathReader) lineto(relative bool) *pathError {
	p, err := r.coordinatePair(relative)
	if err != nil {
		return err
	}
	r.add(segment{kind: lineSegment, end: p}, 0, plane.Point{})
	return nil
}

// axisLineto reads one coordinate of horizontal_lineto or vertical_lineto.
func (r *pathReader) axisLineto(command byte) *pathError {
	v, err := r.number()
	if err != nil {
		return err
	}
	p := r.at
	switch command {
	case 'H':
		p.X = v
	case 'h':
		p.X += v
	case 'V':
		p.Y = v
	case 'v':
		p.Y += v
	}
	r.add(segment{kind: lineSegment, end: p}, 0, plane.Point{})
	return nil
}

func (r *pathReader) curveto(relative bool) *pathError {
	var p [3]plane.Point
	if err := r.coordinatePairs(p[:], relative); err != nil {
		return err
	}
	r.add(segment{kind: cubicSegment, c1: p[0], c2: p[1], end: p[2]}, 'C', p[1])
	return nil
}

func (r *pathReader) smoothCurveto(relative bool) *pathError {
	var p [2]plane.Point
	if err := r.coordinatePairs(p[:], relative); err != nil {
		return err
	}
	r.add(segment{kind: cubicSegment, c1: r.reflected('C'), c2: p[0], end: p[1]}, 'C', p[0])
	return nil
}

func (r *pathReader) quadraticCurveto(relative bool) *pathError {
	var p [2]plane.Point
	if err := r.coordinatePairs(p[:], relative); err != nil {
		return err
	}
	r.add(segment{kind: quadSegment, c1: p[0], end: p[1]}, 'Q', p[0])
	return nil
}

func (r *pathReader) smoothQuadraticCurveto(relative bool) *pathError {
	p, err := r.coordinatePair(relative)
	if err != nil {
		return err
	}
	c := r.reflected('Q')
	r.add(segment{kind: quadSegment, c1: c, end: p}, 'Q', c)
	return nil
}

// ellipticalArc reads one elliptical_arc_argument.
func (r *pathReader) ellipticalArc(relative bool) *pathError {
	var v [3]float64
	for i := range v {
		n, err := r.number()
		if err != nil {
			return err
		}
		v[i] = n
		r.commaWsp()
	}
	large, err := r.flag()
	if err != nil {
		return err
	}
	r.commaWsp()
	sweep, err := r.flag()
	if err != nil {
		return err
	}
	r.commaWsp()
	end, err := r.coordinatePair(relative)
	if err != nil {
		return err
	}
	shape, drawn := endpointArc(r.at, end, v[0], v[1], v[2], large, sweep)
	switch {
	case r.at == end:
		// Equal end points: the segment is omitted (§9.5.1); the command
		// still ends any run of smooth curves.
		r.smooth = 0
	case drawn:
		r.add(segment{kind: arcSegment, arc: shape, end: end}, 0, plane.Point{})
	default:
		r.add(segment{kind: lineSegment, end: end}, 0, plane.Point{})
	}
	return nil
}

// reflected returns the first control point of a smooth command: the last one
// mirrored at the current point, or the current point after another command.
func (r *pathReader) reflected(kind byte) plane.Point {
	if r.smooth != kind {
		return r.at
	}
	return r.at.Mul(2).Sub(r.control)
}

func (r *pathReader) begin() {
	r.subpaths = append(r.subpaths, subpath{start: r.start})
	r.open = true
}

func (r *pathReader) add(s segment, smooth byte, control plane.Point) {
	if !r.open {
		r.begin()
	}
	last := &r.subpaths[len(r.subpaths)-1]
	last.segments = append(last.segments, s)
	r.at, r.smooth, r.control = s.end, smooth, control
}

func (r *pathReader) coordinatePairs(into []plane.Point, relative bool) *pathError {
	for i := range into {
		if i > 0 {
			r.commaWsp()
		}
		p, err := r.coordinatePair(relative)
		if err != nil {
			return err
		}
		into[i] = p
	}
	return nil
}

// coordinatePair ::= coordinate comma_wsp? coordinate
func (r *pathReader) coordinatePair(relative bool) (plane.Point, *pathError) {
	x, err := r.number()
	if err != nil {
		return plane.Point{}, err
	}
	r.commaWsp()
	y, err := r.number()
	if err != nil {
		return plane.Point{}, err
	}
	if relative {
		return plane.Point{X: r.at.X + x, Y: r.at.Y + y}, nil
	}
	return plane.Point{X: x, Y: y}, nil
}

// flag ::= "0" | "1", a single character
func (r *pathReader) flag() (bool, *pathError) {
	if r.pos < len(r.text) && (r.text[r.pos] == '0' || r.text[r.pos] == '1') {
		r.pos++
		return r.text[r.pos-1] == '1', nil
	}
	return false, r.fail("a flag 0 or 1")
}

// number reads sign, digits, point, digits and exponent. "23." is accepted
// too, which SVG 1.1 allowed and SVG 2 does not.
func (r *pathReader) number() (float64, *pathError) {
	length := numberLength(r.text[r.pos:])
	if length == 0 {
		return 0, r.fail("a number")
	}
	v, _ := strconv.ParseFloat(r.text[r.pos:r.pos+length], 64)
	if math.IsInf(v, 0) {
		return 0, r.fail("a number in range")
	}
	r.pos += length
	return v, nil
}

// numberLength returns how many bytes of s the longest number at its start
// takes; 0 when s starts with none.
func numberLength(s string) int {
	i, digits := 0, 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	for i < len(s) && isDigit(s[i]) {
		i++
		digits++
	}
	if i < len(s) && s[i] == '.' {
		i++
		for i < len(s) && isDigit(s[i]) {
			i++
			digits++
		}
	}
	if digits == 0 {
		return 0
	}
	if i < len(s) && s[i]|0x20 == 'e' {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if j < len(s) && isDigit(s[j]) {
			for j < len(s) && isDigit(s[j]) {
				j++
			}
			i = j
		}
	}
	return i
}

// wsp skips white space: TAB, SP, LF, FF, CR.
func (r *pathReader) wsp() {
	for r.pos < len(r.text) && isSpace(r.text[r.pos]) {
		r.pos++
	}
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\f' || c == '\r' }

// commaWsp skips white space with at most one comma.
func (r *pathReader) commaWsp() {
	r.wsp()
	if r.pos < len(r.text) && r.text[r.pos] == ',' {
		r.pos++
		r.wsp()
	}
}

func (r *pathReader) fail(want string) *pathError {
	found := "the end"
	if r.pos < len(r.text) {
		found = strconv.Quote(finding.Quoted(r.text[r.pos:min(len(r.text), r.pos+12)]))
	}
	return &pathError{Offset: r.pos, Found: found, Want: want}
}
