package gcode

import (
	"bytes"
	"strconv"
)

// textCodes are the M codes whose argument is text: a message, a file name, a
// network name. Common practice of the dialect, no published source.
var textCodes = map[Code]bool{
	M(23): true, M(28): true, M(30): true, M(32): true, M(33): true, M(36): true, M(38): true,
	M(98): true, M(117): true, M(118): true, M(470): true, M(471): true, M(472): true,
	M(550): true, M(551): true, M(559): true, M(560): true, M(587): true, M(588): true,
	M(589): true, M(928): true,
}

// maxDigits bounds the digits of one number; what is longer is no number that
// a slicer or a person writes.
const maxDigits = 48

func isBlank(c byte) bool  { return c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f' }
func isDigit(c byte) bool  { return c-'0' <= 9 }
func isLetter(c byte) bool { return c|0x20-'a' <= 25 }
func upper(c byte) byte {
	if c-'a' <= 25 {
		return c - 0x20
	}
	return c
}

func equalFold(a []byte, b string) bool {
	if len(a) != len(b) {
		return false
	}
	for i, c := range a {
		if upper(c) != upper(b[i]) {
			return false
		}
	}
	return true
}

// ParseLine reads one line that stands alone, without its newline. It is the
// door for tests and for single lines; files go through a Scanner.
func ParseLine(raw []byte) Line {
	l := Line{Number: 1, Raw: raw, End: int64(len(raw))}
	if len(raw) > MaxLineBytes {
		l.Raw, l.Trouble, l.Column = raw[:MaxLineBytes], TooLong, MaxLineBytes+1
	}
	l.Decode()
	return l
}

// Decode reads words, comment and checksum of the line, once. Scanners that
// are not Lazy have done it.
func (l *Line) Decode() {
	if !l.decoded {
		l.decode()
	}
}

// decode is kept out of line so that Words and Decode are small enough to be
// inlined where lines are decoded already, which is nearly always.
//
//go:noinline
func (l *Line) decode() {
	l.decoded, l.count = true, 0
	if l.xye {
		l.straightWords()
		return
	}
	d := decoder{line: l, raw: l.Raw}
	d.run()
}

// decoder reads one line by the grammar of NISTIR 6556, Appendix E, and the
// dialect's additions.
type decoder struct {
	line   *Line
	raw    []byte
	i      int
	seen   uint32
	blanks bool // blanks stand between words
}

func (d *decoder) trouble(t Trouble, at int) {
	d.line.Trouble |= t
	if d.line.Column == 0 {
		d.line.Column = at + 1
	}
}

func (d *decoder) skipBlanks() {
	for d.i < len(d.raw) && isBlank(d.raw[d.i]) {
		d.i++
	}
}

func (d *decoder) run() {
	l := d.line
	if l.Number == 1 && bytes.HasPrefix(d.raw, []byte("\xef\xbb\xbf")) {
		l.Flags |= ByteOrderMark
		d.i = 3
	}
	d.skipBlanks()
	if d.i == len(d.raw) {
		return
	}
	if d.raw[d.i] == ';' {
		d.semicolon()
		return
	}
	if l.Trouble&TooLong != 0 {
		return
	}
	switch d.raw[d.i] {
	case '%':
		l.Flags |= Percent
		d.i++
	case '/':
		l.Flags |= BlockDelete
		d.i++
	}
	d.skipBlanks()
	d.lineNumber()
	d.skipBlanks()
	if d.named() {
		return
	}
	for d.i < len(d.raw) {
		if !d.item() {
			return
		}
	}
}

// semicolon takes the rest of the line as a comment.
func (d *decoder) semicolon() {
	d.line.Flags |= HasComment
	d.line.Comment = bytes.TrimSpace(d.raw[d.i+1:])
	d.i = len(d.raw)
}

// lineNumber reads a leading N word.
func (d *decoder) lineNumber() {
	if d.i >= len(d.raw) || upper(d.raw[d.i]) != 'N' {
		return
	}
	j := d.i + 1
	for j < len(d.raw) && isBlank(d.raw[j]) {
		j++
	}
	first := j
	value := int64(0)
	for j < len(d.raw) && isDigit(d.raw[j]) {
		if j-first < 18 {
			value = value*10 + int64(d.raw[j]-'0')
		}
		j++
	}
	if j == first {
		if j < len(d.raw) && (d.raw[j] == '-' || d.raw[j] == '+' || d.raw[j] == '.') {
			d.trouble(BadLineNumber, d.i)
			for j < len(d.raw) && !isBlank(d.raw[j]) {
				j++
			}
			d.i = j
		}
		return
	}
	if j-first > 9 || (j < len(d.raw) && d.raw[j] == '.') {
		d.trouble(BadLineNumber, d.i)
	}
	d.line.Flags |= HasNumber
	d.line.LineNumber = value
	d.i = j
}

// named recognises a word command: a name of letters, digits and underscores
// that opens with two letters and ends with a blank or the line. Its arguments
// are text.
func (d *decoder) named() bool {
	j := d.i
	for j < len(d.raw) && (isLetter(d.raw[j]) || d.raw[j] == '_' || (j > d.i+1 && isDigit(d.raw[j]))) {
		j++
	}
	if j < d.i+2 || (j < len(d.raw) && !isBlank(d.raw[j]) && d.raw[j] != ';') {
		return false
	}
	l := d.line
	l.Flags |= NamedCommand
	l.Name = d.raw[d.i:j]
	d.i = j
	l.Text = d.text()
	return true
}

// text takes the rest of the line up to a semicolon outside quotes, which
// opens a comment.
func (d *decoder) text() []byte {
	begin, quoted := d.i, false
	for d.i < len(d.raw) {
		switch d.raw[d.i] {
		case '"':
			quoted = !quoted
		case ';':
			if !quoted {
				text := d.summed(begin, d.i)
				d.semicolon()
				return text
			}
		}
		d.i++
	}
	return d.summed(begin, d.i)
}

// summed returns the text between two bytes without the checksum that ends it
// in a numbered line. Elsewhere an asterisk is text like any other byte.
func (d *decoder) summed(begin, end int) []byte {
	text := bytes.TrimSpace(d.raw[begin:end])
	star := bytes.LastIndexByte(text, '*')
	if d.line.Flags&HasNumber == 0 || star < 0 || star+1 == len(text) || len(text)-star > 7 {
		return text
	}
	for _, c := range text[star+1:] {
		if !isDigit(c) {
			return text
		}
	}
	back := d.i
	d.i = begin + bytes.LastIndexByte(d.raw[begin:end], '*')
	d.checksum()
	d.i = back
	return bytes.TrimSpace(text[:star])
}

// item reads one word, comment, checksum or stray byte; false ends the line.
func (d *decoder) item() bool {
	l, c := d.line, d.raw[d.i]
	switch {
	case isBlank(c):
		d.blanks = d.blanks || l.count > 0
		d.i++
	case isLetter(c):
		return d.word()
	case c == ';':
		d.semicolon()
	case c == '(':
		d.parenthesis()
	case c == '*':
		d.checksum()
	case c == '"':
		end := bytes.IndexByte(d.raw[d.i+1:], '"')
		if end < 0 {
			d.trouble(StrayByte, d.i)
			end = len(d.raw) - d.i - 2
		}
		l.Flags |= FreeText
		l.Text = d.raw[d.i+1 : d.i+1+max(end, 0)]
		d.i = min(len(d.raw), d.i+end+2)
	case c == '#' || c == '[' || c == ']':
		d.trouble(Expression, d.i)
		l.count, l.Code = 0, 0
		d.i = len(d.raw)
		return false
	default:
		d.trouble(StrayByte, d.i)
		d.i++
	}
	return true
}

// parenthesis reads a comment in parentheses. The last comment of a line is
// the one that counts (NISTIR 6556, §3.3.5).
func (d *decoder) parenthesis() {
	l := d.line
	l.Flags |= HasComment
	open := d.i
	end := bytes.IndexByte(d.raw[open:], ')')
	if end < 0 {
		d.trouble(OpenComment, open)
		l.Comment = bytes.TrimSpace(d.raw[open+1:])
		d.i = len(d.raw)
		return
	}
	inner := d.raw[open+1 : open+end]
	if nested := bytes.IndexByte(inner, '('); nested >= 0 {
		d.trouble(NestedComment, open+1+nested)
	}
	l.Comment = bytes.TrimSpace(inner)
	d.i = open + end + 1
}

// checksum reads "*nn" and compares it with the exclusive or of all bytes
// before the asterisk (common practice of the dialect, no published source).
func (d *decoder) checksum() {
	l := d.line
	sum := byte(0)
	for _, c := range d.raw[:d.i] {
		sum ^= c
	}
	if l.Flags&ByteOrderMark != 0 {
		sum ^= 0xef ^ 0xbb ^ 0xbf
	}
	at := d.i
	d.i++
	d.skipBlanks()
	value, digits := 0, 0
	for d.i < len(d.raw) && isDigit(d.raw[d.i]) && digits < 6 {
		value = value*10 + int(d.raw[d.i]-'0')
		d.i++
		digits++
	}
	l.Flags |= HasChecksum
	l.Checksum = value
	if digits == 0 || value != int(sum) {
		d.trouble(BadChecksum, at)
	}
}

// word reads a letter and its number; false ends the line.
func (d *decoder) word() bool {
	l, begin := d.line, d.i
	letter := upper(d.raw[begin])
	if letter == 'E' && d.readsAsExponent(begin) {
		d.trouble(Exponent, begin)
	}
	d.i++
	value, ok := d.number()
	if l.count == MaxWords {
		d.trouble(TooManyWords, begin)
		return false
	}
	bit := uint32(1) << (letter - 'A')
	if d.seen&bit != 0 && letter != 'G' && letter != 'M' {
		d.trouble(RepeatedLetter, begin)
	}
	d.seen |= bit
	l.words[l.count] = Word{Value: value, Span: Span{int32(begin), int32(d.i)}, Letter: letter, Bare: !ok}
	l.count++
	if l.Code == 0 && ok && (letter == 'G' || letter == 'M' || letter == 'T') {
		l.Code = CodeOf(letter, value)
		if l.count == 1 && letter == 'M' && d.textFollows() {
			l.Flags |= FreeText
			l.Text = d.text()
			return false
		}
	}
	if letter == 'A' && l.Code == M(486) {
		l.Flags |= FreeText
		d.i = begin + 1
		l.Text = bytes.Trim(d.text(), `"`)
		l.count--
		return false
	}
	return true
}

// readsAsExponent reports whether an E right behind a digit looks like part of
// the number: other words stand apart by blanks, or E has come already, or it
// is in another case than the line's first letter. "g1x1e5" is three words.
func (d *decoder) readsAsExponent(at int) bool {
	l := d.line
	if at == 0 || l.count == 0 || !isDigit(d.raw[at-1]) && d.raw[at-1] != '.' {
		return false
	}
	first := d.raw[l.words[0].Span.Start]
	return d.blanks || d.seen&(1<<('E'-'A')) != 0 || (d.raw[at] == 'e') != (first >= 'a')
}

// textFollows reports whether the M code just read takes text. A program stop
// (M0, M1) and an end (M30) take text only where what follows is no word.
func (d *decoder) textFollows() bool {
	code := d.line.Code
	if code == M(0) || code == M(1) || code == M(30) {
		j := d.i
		for j < len(d.raw) && isBlank(d.raw[j]) {
			j++
		}
		return j+1 < len(d.raw) && isLetter(d.raw[j]) && (isLetter(d.raw[j+1]) || isBlank(d.raw[j+1])) ||
			code == M(30) && j < len(d.raw) && (d.raw[j] == '/' || d.raw[j] == '_')
	}
	return textCodes[code]
}

// number reads the number of a word: sign, digits, one point, at least one
// digit, blanks anywhere (NISTIR 6556, §3.3.2.1). ok is false where there is
// none; a number that is malformed is marked as trouble.
func (d *decoder) number() (value float64, ok bool) {
	var text [maxDigits + 2]byte
	n, digits, point, blank := 0, 0, -1, false
	mantissa, fraction := uint64(0), 0
	negative := false
	j := d.i
	for ; j < len(d.raw); j++ {
		c := d.raw[j]
		switch {
		case isDigit(c):
			digits++
			if digits <= 18 {
				mantissa = mantissa*10 + uint64(c-'0')
			}
			if point >= 0 {
				fraction++
			}
		case c == '.' && point < 0:
			point = j
		case (c == '-' || c == '+') && n == 0:
			negative = c == '-'
		case isBlank(c):
			blank = blank || n > 0
			continue
		default:
			goto done
		}
		if blank {
			d.trouble(BlankInNumber, j)
		}
		if n < len(text) {
			text[n] = c
		}
		n++
		d.i = j + 1
	}
done:
	if digits == 0 {
		if n > 0 {
			d.trouble(BadNumber, d.i-1)
		}
		return 0, false
	}
	if j < len(d.raw) && (d.raw[j] == '.' || d.raw[j] == '-' || d.raw[j] == '+') && !blank {
		d.trouble(BadNumber, j)
		for d.i < len(d.raw) && (isDigit(d.raw[d.i]) || d.raw[d.i] == '.' || d.raw[d.i] == '-' || d.raw[d.i] == '+') {
			d.i++
		}
		return 0, false
	}
	if digits <= 18 && mantissa <= 1<<53 && fraction < len(tens) {
		value = float64(mantissa) / tens[fraction]
		if negative {
			value = -value
		}
		return value, true
	}
	if n > len(text) {
		d.trouble(BadNumber, d.i-1)
		return 0, false
	}
	value, err := strconv.ParseFloat(string(text[:n]), 64)
	if err != nil {
		d.trouble(BadNumber, d.i-1)
		return 0, false
	}
	return value, true
}

// Arguments calls yield for every KEY=VALUE argument of a word command, in
// order, until it returns false. A value in quotes is given without them; an
// argument without "=" has a nil value.
func (l *Line) Arguments(yield func(key, value []byte) bool) {
	l.Decode()
	if l.Flags&NamedCommand == 0 {
		return
	}
	rest := l.Text
	for {
		rest = bytes.TrimLeft(rest, " \t")
		if len(rest) == 0 {
			return
		}
		end := bytes.IndexAny(rest, "= \t")
		if end < 0 {
			yield(rest, nil)
			return
		}
		key := rest[:end]
		if rest[end] != '=' {
			rest = rest[end:]
			if !yield(key, nil) {
				return
			}
			continue
		}
		rest = rest[end+1:]
		var value []byte
		if len(rest) > 0 && (rest[0] == '"' || rest[0] == '\'') {
			quote := bytes.IndexByte(rest[1:], rest[0])
			if quote < 0 {
				quote = len(rest) - 1
			}
			value = rest[1 : 1+quote]
			rest = rest[min(len(rest), quote+2):]
		} else {
			stop := bytes.IndexAny(rest, " \t")
			if stop < 0 {
				stop = len(rest)
			}
			value, rest = rest[:stop], rest[stop:]
		}
		if !yield(key, value) {
			return
		}
	}
}
