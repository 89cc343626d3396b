package gcode

import "math"

// AxisDecimals and FilamentDecimals are the most decimals written. Reason: a
// thousandth of a millimetre is below any machine's step, and five decimals of
// filament keep the bead of a 0.1 mm segment within 0.1 %.
const (
	AxisDecimals     = 3
	FilamentDecimals = 5
)

// AppendCoord appends a coordinate with at most three decimals: no exponent,
// no "-0", no needless zeros. Values that are no number or beyond 1e12 are
// written as 0; callers check their range before.
func AppendCoord(dst []byte, v float64) []byte { return AppendFixed(dst, v, AxisDecimals) }

// AppendE appends a filament value with at most five decimals, like AppendCoord.
func AppendE(dst []byte, v float64) []byte { return AppendFixed(dst, v, FilamentDecimals) }

// AppendFixed appends v rounded half away from zero to the decimals given (0
// to 9), without trailing zeros.
func AppendFixed(dst []byte, v float64, decimals int) []byte {
	return appendUnits(dst, units(v, decimals), decimals)
}

// units returns v as a whole number of units of the last decimal.
func units(v float64, decimals int) int64 {
	if !(math.Abs(v) < 1e12) {
		return 0
	}
	return int64(math.Round(v * tens[decimals]))
}

func appendUnits(dst []byte, u int64, decimals int) []byte {
	if u < 0 {
		dst = append(dst, '-')
		u = -u
	}
	for decimals > 0 && u%10 == 0 {
		u /= 10
		decimals--
	}
	scale := int64(1)
	for range decimals {
		scale *= 10
	}
	dst = appendInt(dst, u/scale)
	if decimals == 0 {
		return dst
	}
	dst = append(dst, '.')
	for rest := u % scale; scale > 1; {
		scale /= 10
		dst = append(dst, byte('0'+rest/scale))
		rest %= scale
	}
	return dst
}

func appendInt(dst []byte, v int64) []byte {
	if v < 0 {
		dst = append(dst, '-')
		v = -v
	}
	var digits [20]byte
	i := len(digits)
	for {
		i--
		digits[i] = byte('0' + v%10)
		v /= 10
		if v == 0 {
			return append(dst, digits[i:]...)
		}
	}
}

// Quantiser turns exact lengths into written ones one after another and
// carries what rounding leaves over into the next, so that the sum of any
// number of written lengths stays within half a unit of the last decimal of
// the exact sum. It is meant for relative E and relative moves. The exact sum
// is kept with a compensation (Kahan 1965), so that it does not drift either.
type Quantiser struct {
	Decimals int // of the written number, 0 to 9

	exact, compensation float64
	written             int64 // sum of what was written, in units of the last decimal
}

// Next takes the next exact length and returns the one to write, a whole
// number of units of the last decimal.
func (q *Quantiser) Next(v float64) float64 {
	step := v - q.compensation
	sum := q.exact + step
	q.compensation = (sum - q.exact) - step
	q.exact = sum
	due := units(q.exact, q.Decimals) - q.written
	q.written += due
	return float64(due) / tens[q.Decimals]
}

// Written returns the sum of all lengths returned by Next.
func (q *Quantiser) Written() float64 { return float64(q.written) / tens[q.Decimals] }

// Rest returns exact sum minus written sum: at most half a unit of the last
// decimal.
func (q *Quantiser) Rest() float64 { return q.exact - q.Written() }

// Writer appends lines of G-code to a buffer. The zero Writer writes plain
// lines in mm that end in LF.
type Writer struct {
	CarriageReturn bool  // end lines with CR LF
	Inches         bool  // divide axis, feed and E values by 25.4
	Numbered       bool  // open lines with N words and close them with checksums
	Number         int64 // of the next line, when Numbered

	Bytes []byte

	start int // of the open line
	open  bool
}

// Begin opens a line with a command such as "G1", "M106" or "" for none.
func (w *Writer) Begin(command string) *Writer {
	w.start, w.open = len(w.Bytes), true
	if w.Numbered {
		w.Bytes = append(w.Bytes, 'N')
		w.Bytes = appendInt(w.Bytes, w.Number)
		if command != "" {
			w.Bytes = append(w.Bytes, ' ')
		}
	}
	w.Bytes = append(w.Bytes, command...)
	return w
}

// Coord adds an axis or centre word (X, Y, Z, I, J, R) in mm.
func (w *Writer) Coord(letter byte, mm float64) *Writer {
	return w.word(letter, w.length(mm), w.decimals(AxisDecimals))
}

// E adds a filament word in mm.
func (w *Writer) E(mm float64) *Writer {
	return w.word('E', w.length(mm), w.decimals(FilamentDecimals))
}

// Feed adds an F word in mm/min, with at most one decimal.
func (w *Writer) Feed(mmPerMin float64) *Writer {
	return w.word('F', w.length(mmPerMin), w.decimals(1))
}

// Value adds a word whose value has no unit, with at most the decimals given.
func (w *Writer) Value(letter byte, v float64, decimals int) *Writer {
	return w.word(letter, v, decimals)
}

// UnitMM returns the length of the written unit, mm.
func (w *Writer) UnitMM() float64 {
	if w.Inches {
		return 25.4
	}
	return 1
}

func (w *Writer) length(mm float64) float64 {
	if w.Inches {
		return mm / 25.4
	}
	return mm
}

// decimals returns the decimals of a length: under inches one more for every
// number, since the unit is 25 times as long.
func (w *Writer) decimals(n int) int {
	if w.Inches {
		return n + 1
	}
	return n
}

func (w *Writer) word(letter byte, v float64, decimals int) *Writer {
	if n := len(w.Bytes); n > w.start {
		w.Bytes = append(w.Bytes, ' ')
	}
	w.Bytes = append(w.Bytes, letter)
	w.Bytes = AppendFixed(w.Bytes, v, decimals)
	return w
}

// End closes the line: checksum, if numbered, and newline.
func (w *Writer) End() {
	if !w.open {
		return
	}
	if w.Numbered {
		sum := byte(0)
		for _, c := range w.Bytes[w.start:] {
			sum ^= c
		}
		w.Bytes = append(w.Bytes, '*')
		w.Bytes = appendInt(w.Bytes, int64(sum))
		w.Number++
	}
	w.newline()
	w.open = false
}

// Comment writes a whole line of comment. Newlines in the text become blanks;
// comment lines have no number and no checksum.
func (w *Writer) Comment(text string) {
	w.Bytes = append(w.Bytes, ';', ' ')
	for i := range len(text) {
		c := text[i]
		if c == '\n' || c == '\r' {
			c = ' '
		}
		w.Bytes = append(w.Bytes, c)
	}
	w.newline()
}

// Line writes a command given as text, numbered like any other.
func (w *Writer) Line(text string) {
	w.Begin(text).End()
}

func (w *Writer) newline() {
	if w.CarriageReturn {
		w.Bytes = append(w.Bytes, '\r')
	}
	w.Bytes = append(w.Bytes, '\n')
}
