package layers

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText is the longest text (bytes) that is looked at as a marker; longer
// lines are settings and embedded pictures.
const maxText = 120

// maxNumbers is the most numbers kept of one text.
const maxNumbers = 4

// text is a comment or message in normal form: words in lower case joined by
// single blanks, with "#" where a number stood, and the numbers apart.
//
// The form follows NFKC and case folding (UAX #15) as far as sliced files need
// it: full-width ASCII becomes ASCII, all blanks and the signs _-:;=/,.|<>*()
// become one blank, a lower case letter followed by an upper case one is a
// word's end, and a minus is part of a number only right before it and after a
// sign or blank.
type text struct {
	key     string
	numbers [maxNumbers]float64
	count   int
}

// normal returns the normal form; ok is false for text that cannot be a
// marker: empty, longer than maxText, or with neither letter nor number.
func normal(raw []byte) (t text, ok bool) {
	if len(raw) == 0 || len(raw) > maxText {
		return text{}, false
	}
	var b strings.Builder
	blank, letters := true, false
	var before rune
	push := func(r rune) {
		b.WriteRune(r)
		blank = false
	}
	space := func() {
		if !blank {
			b.WriteByte(' ')
			blank = true
		}
	}
	for i := 0; i < len(raw); {
		r, size := utf8.DecodeRune(raw[i:])
		r = narrow(r)
		if r >= '0' && r <= '9' || (r == '-' || r == '+' || r == '.' && before != '.') && startsNumber(raw[i+size:], before) {
			value, n := readNumber(raw[i:])
			if n > 0 {
				space()
				push('#')
				space()
				if t.count < maxNumbers {
					t.numbers[t.count] = value
					t.count++
				}
				before = '0'
				i += n
				continue
			}
		}
		i += size
		switch {
		case unicode.IsLetter(r):
			if unicode.IsUpper(r) && unicode.IsLower(before) || isIdeograph(r) != isIdeograph(before) {
				space()
			}
			push(unicode.ToLower(r))
			letters = true
		default:
			space()
		}
		before = r
	}
	t.key = strings.TrimRight(b.String(), " ")
	return t, letters || t.count > 0
}

func isIdeograph(r rune) bool {
	return unicode.Is(unicode.Han, r) || unicode.Is(unicode.Hiragana, r) || unicode.Is(unicode.Katakana, r) || unicode.Is(unicode.Hangul, r)
}

// narrow turns full-width forms into ASCII and bytes that are no text into a
// blank.
func narrow(r rune) rune {
	switch {
	case r >= 0xff01 && r <= 0xff5e:
		return r - 0xff01 + '!'
	case r == utf8.RuneError:
		return ' '
	}
	return r
}

// startsNumber reports whether a sign or point opens a number: a digit (or a
// point and a digit) follows, and no letter or digit stands right before. The
// last of several points is a leader's, as in "layer ... 7".
func startsNumber(rest []byte, before rune) bool {
	if len(rest) > 1 && rest[0] == '.' {
		rest = rest[1:]
	}
	return len(rest) > 0 && rest[0]-'0' <= 9 && !unicode.IsLetter(before) && !unicode.IsDigit(before)
}

// readNumber reads a decimal number in ASCII or full-width digits and returns
// its value and length in bytes.
func readNumber(raw []byte) (value float64, n int) {
	sign, scale, digits, point := 1.0, 1.0, 0, false
	for n < len(raw) {
		r, size := utf8.DecodeRune(raw[n:])
		r = narrow(r)
		switch {
		case r >= '0' && r <= '9':
			digits++
			if digits > 15 {
				return 0, 0
			}
			value = value*10 + float64(r-'0')
			if point {
				scale *= 10
			}
		case (r == '-' || r == '+') && n == 0:
			if r == '-' {
				sign = -1
			}
		case r == '.' && !point && n+1 < len(raw) && raw[n+1]-'0' <= 9:
			point = true
		default:
			if digits == 0 {
				return 0, 0
			}
			return sign * value / scale, n
		}
		n += size
	}
	if digits == 0 {
		return 0, 0
	}
	return sign * value / scale, n
}
