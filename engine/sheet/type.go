package sheet

import (
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// mmPerPoint is the size of a typographic point (1/72 inch).
const mmPerPoint = 25.4 / 72

// typeface is one weight of the bundled font.
type typeface struct {
	name string // PostScript name
	data []byte
	font *sfnt.Font
	em   float64 // font units in an em
	buf  sfnt.Buffer
}

// faces returns the two weights; parsing takes a moment, so it is done once.
var faces = sync.OnceValues(func() ([2]*typeface, error) {
	var out [2]*typeface
	for i, source := range []typeface{{name: "GoRegular", data: goregular.TTF}, {name: "GoBold", data: gobold.TTF}} {
		parsed, err := sfnt.Parse(source.data)
		if err != nil {
			return out, err
		}
		source.font, source.em = parsed, float64(parsed.UnitsPerEm())
		out[i] = &source
	}
	return out, nil
})

// glyph returns the index of a character's glyph; characters that the font
// lacks get the glyph 0, an empty box.
func (t *typeface) glyph(r rune) sfnt.GlyphIndex {
	index, err := t.font.GlyphIndex(&t.buf, r)
	if err != nil {
		return 0
	}
	return index
}

// advance returns the width of a glyph in thousandths of an em.
func (t *typeface) advance(index sfnt.GlyphIndex) float64 {
	a, err := t.font.GlyphAdvance(&t.buf, index, fixed.Int26_6(t.em)<<6, font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(a) / 64 * 1000 / t.em
}

// width returns the width of a text in mm at a size in points.
func (t *typeface) width(points float64, s string) float64 {
	sum := 0.0
	for _, r := range s {
		sum += t.advance(t.glyph(r))
	}
	return sum / 1000 * points * mmPerPoint
}
