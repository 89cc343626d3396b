package gcode

import (
	"math"

	"sheenlay/engine/tol"
)

// MaxWords is the largest number of words kept of one line. Further words are
// dropped and the line is marked with TooManyWords. A line of NISTIR 6556 has
// at most one word per letter plus its G and M words.
const MaxWords = 40

// MaxLineBytes is the largest number of bytes kept of one line. A longer line
// is cut there and marked with TooLong; its words are not read. Offsets stay
// true. The longest lines of sliced files, embedded picture rows and settings,
// stay far below.
const MaxLineBytes = 64 << 10

// Span is a range of bytes of Line.Raw, End excluded.
type Span struct{ Start, End int32 }

// Word is a letter with its number.
type Word struct {
	Value  float64 // as written, in the file's units; 0 without a number
	Span   Span    // letter and number in Line.Raw
	Letter byte    // upper case
	Bare   bool    // no number follows the letter, as in "G28 X"
}

// Code is a command: a letter and its number in tenths, so that G92.1 has a
// code of its own. The zero Code means that a line commands nothing by itself.
type Code uint32

// G returns the code of a G word, in tenths: G(921) is G92.1, G(10) is G1.
func G(tenths uint32) Code { return Code('G')<<24 | Code(tenths) }

// M returns the code of an M word, in whole numbers: M(104).
func M(number uint32) Code { return Code('M')<<24 | Code(number*10) }

// T returns the code of a tool word.
func T(number uint32) Code { return Code('T')<<24 | Code(number*10) }

// CodeOf returns the code of a word, and 0 where the value is negative, not
// within tol.CloseToInteger of a tenth, or beyond 99999.
func CodeOf(letter byte, value float64) Code {
	tenths := math.Round(value * 10)
	if !(value > -tol.CloseToInteger && value < 100000) || math.Abs(value*10-tenths) > 10*tol.CloseToInteger {
		return 0
	}
	return Code(letter)<<24 | Code(uint32(tenths))
}

// Letter returns the letter of the code.
func (c Code) Letter() byte { return byte(c >> 24) }

// Tenths returns the number of the code in tenths.
func (c Code) Tenths() int { return int(c & 0xffffff) }

// String returns the code as it is written: "G1", "G92.1", "M104"; "" for 0.
func (c Code) String() string {
	if c == 0 {
		return ""
	}
	return string(appendCode(nil, c))
}

func appendCode(dst []byte, c Code) []byte {
	dst = appendInt(append(dst, c.Letter()), int64(c.Tenths()/10))
	if t := c.Tenths() % 10; t != 0 {
		dst = append(dst, '.', byte('0'+t))
	}
	return dst
}

// Flags says what a line is made of.
type Flags uint16

// The flags of a line.
const (
	CarriageReturn Flags = 1 << iota // ends in CR LF
	NoNewline                        // the last line, which ends with the file
	ByteOrderMark                    // opened with a UTF-8 mark, which Raw still holds
	HasNumber                        // has an N word (kept in LineNumber, not among the words)
	HasChecksum                      // has a checksum (kept in Checksum)
	HasComment                       // has a comment
	BlockDelete                      // opens with the optional slash of NISTIR 6556 §3.3
	Percent                          // is a program mark "%"
	FreeText                         // a code whose argument is text (in Text), or text in quotes
	NamedCommand                     // a word command: Name, with its arguments in Text
)

// Trouble is a set of things wrong with a line.
type Trouble uint32

// The troubles of a line.
const (
	BadChecksum    Trouble = 1 << iota // the checksum does not fit the bytes
	BadNumber                          // a number that cannot be read, such as "1.2.3"
	Exponent                           // reads like a number with an exponent
	BlankInNumber                      // blanks inside a number: allowed by NISTIR 6556, read otherwise by some machines
	StrayByte                          // a byte that belongs to no word
	Expression                         // a parameter (#) or an expression ([ ])
	TooManyWords                       // more than MaxWords words
	TooLong                            // more than MaxLineBytes bytes
	OpenComment                        // a "(" without ")"
	NestedComment                      // a "(" inside a comment
	BadLineNumber                      // an N word with a sign, point, or more than nine digits
	RepeatedLetter                     // a letter other than G and M stands twice
)

// Line is one line of a file. A Line given out by a Scanner, with every slice
// in it, is valid until the Scanner's next line.
type Line struct {
	Number int    // from 1
	Offset int64  // of its first byte in the file
	End    int64  // past its newline
	Raw    []byte // without the line's end; at most MaxLineBytes

	Flags   Flags
	Trouble Trouble
	Column  int // byte column, from 1, of the first trouble; 0 without trouble

	Code       Code   // of the first G, M or T word; 0 where there is none
	Name       []byte // of a word command, as written
	Text       []byte // argument of a FreeText code or of a word command, blanks trimmed
	Comment    []byte // text of the last comment, without its marks, blanks trimmed
	LineNumber int64  // value of the N word
	Checksum   int    // as written

	words   [MaxWords]Word
	count   int
	decoded bool
	xye     bool // nothing but G1, X, Y and E is on the line, and their numbers are:
	x, y, e float64
}

// Words returns the words in the order written, without N and checksum. The
// slice is valid until the scanner's next line.
func (l *Line) Words() []Word {
	if !l.decoded {
		l.decode()
	}
	return l.words[:l.count]
}

// Word returns the first word with the letter (upper case).
func (l *Line) Word(letter byte) (Word, bool) {
	for _, w := range l.Words() {
		if w.Letter == letter {
			return w, true
		}
	}
	return Word{}, false
}

// Value returns the number of the first word with the letter (upper case), in
// the file's units; ok is false where the word is missing or bare.
func (l *Line) Value(letter byte) (value float64, ok bool) {
	w, ok := l.Word(letter)
	return w.Value, ok && !w.Bare
}

// Is reports whether all the flags are set.
func (l *Line) Is(f Flags) bool { return l.Flags&f == f }

// Argument returns the value of the KEY=VALUE argument of a word command, with
// quotes removed; keys are compared without case. Nil where it is missing.
func (l *Line) Argument(key string) []byte {
	var found []byte
	l.Arguments(func(k, v []byte) bool {
		if equalFold(k, key) {
			found = v
			return false
		}
		return true
	})
	return found
}
