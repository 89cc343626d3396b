package lettering

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/tdewolff/canvas"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

func set(t *testing.T, text string, o Options) Lettered {
	t.Helper()
	out := Set(context.Background(), text, o)
	box := plane.EmptyBox()
	for _, z := range out.Pattern.Zones {
		require.NotEmpty(t, z.Region, z.Name)
		require.Positive(t, z.Region.Area(), z.Name)
		box = box.Union(z.Region.Bounds())
	}
	if !box.Empty() {
		require.InDelta(t, 0, box.Min.Norm(), 1e-5, "the corner of what is drawn is the origin")
		require.InDelta(t, 0, box.Max.Dist(out.SizeMM), 1e-5)
	}
	return out
}

func names(l Lettered) string {
	var b strings.Builder
	for _, z := range l.Pattern.Zones {
		b.WriteString(z.Name)
	}
	return b.String()
}

// table returns a table of a font file (OpenType, table directory).
func table(t *testing.T, data []byte, tag string) []byte {
	t.Helper()
	for i := range int(binary.BigEndian.Uint16(data[4:])) {
		entry := data[12+16*i:]
		if string(entry[:4]) == tag {
			from, length := binary.BigEndian.Uint32(entry[8:]), binary.BigEndian.Uint32(entry[12:])
			return data[from : from+length]
		}
	}
	return nil
}

// Advance widths, cap height and line distance against the tables of the font
// files read byte by byte (OpenType: hhea, hmtx, OS/2).
func TestMeasuresAreThoseOfTheTables(t *testing.T) {
	for face, data := range map[Face][]byte{Regular: goregular.TTF, Bold: gobold.TTF} {
		f := load[face]()
		hhea, hmtx, os2 := table(t, data, "hhea"), table(t, data, "hmtx"), table(t, data, "OS/2")
		signed := func(b []byte, at int) float64 { return float64(int16(binary.BigEndian.Uint16(b[at:]))) }
		assert.Equal(t, signed(os2, 88), f.capHeight, "OS/2 sCapHeight")
		assert.Equal(t, signed(hhea, 4)-signed(hhea, 6)+signed(hhea, 8), f.lineDown, "hhea ascender − descender + line gap")
		metrics := int(binary.BigEndian.Uint16(hhea[34:]))
		for _, char := range "HiAWm.ßЖΩ" {
			var buffer sfnt.Buffer
			glyph, err := f.font.GlyphIndex(&buffer, char)
			require.NoError(t, err)
			advance := float64(binary.BigEndian.Uint16(hmtx[4*min(int(glyph), metrics-1):]))
			letters, unknown := f.layout(string(char)+"H", Options{LineSpacing: 1}, 1)
			require.Empty(t, unknown)
			require.Len(t, letters, 2)
			assert.Equal(t, advance, letters[1].at.X, "%c", char)
		}
	}
}

// Outlines against the font outlines of canvas, which has its own font reader:
// areas and boxes of single characters at 20 mm cap height.
func TestOutlinesAgreeWithCanvas(t *testing.T) {
	for face, data := range map[Face][]byte{Regular: goregular.TTF, Bold: gobold.TTF} {
		theirs, err := canvas.LoadFont(data, 0, canvas.FontRegular)
		require.NoError(t, err)
		for _, char := range "HOo8&@ßÅéЖΩ" {
			ours := set(t, string(char), Options{Face: face, CapHeightMM: 20, ToleranceMM: 0.001})
			area := 0.0
			for _, z := range ours.Pattern.Zones {
				area += z.Region.Area()
			}
			path := &canvas.Path{}
			// One font unit as one unit of the path.
			require.NoError(t, theirs.GlyphPath(path, theirs.GlyphIndex(char), theirs.Head.UnitsPerEm, 0, 0, 1, 0))
			scale := 20 / load[face]().capHeight
			path = path.Scale(scale, scale)
			box := path.Bounds()
			assert.InDelta(t, box.W(), ours.SizeMM.X, 0.01, "%c", char)
			assert.InDelta(t, box.H(), ours.SizeMM.Y, 0.01, "%c", char)
			want := 0.0
			for _, sub := range path.Flatten(0.001).Split() {
				var r plane.Ring
				for _, p := range sub.Coords() {
					r = append(r, plane.Point{X: p.X, Y: p.Y})
				}
				want += r.Area()
			}
			// Accented letters may overlap their accents; then the joined area
			// is the smaller one.
			assert.InDelta(t, math.Abs(want), area, 0.002*math.Abs(want), "%c", char)
		}
	}
}

// A line of text against the text path of canvas, which shapes it by itself.
func TestTextAgreesWithCanvas(t *testing.T) {
	family := canvas.NewFontFamily("letters")
	require.NoError(t, family.LoadFont(goregular.TTF, 0, canvas.FontRegular))
	face := family.Face(72, canvas.Black)
	for _, text := range []string{"Lesetag", "AVATAR To Wy", "Harbour 1926"} {
		path, _, err := face.ToPath(text)
		require.NoError(t, err)
		box := path.Bounds()
		capHeight := face.Metrics().CapHeight
		ours := set(t, text, Options{CapHeightMM: capHeight})
		assert.InDelta(t, box.W(), ours.SizeMM.X, 0.02, text)
		assert.InDelta(t, box.H(), ours.SizeMM.Y, 0.02, text)
	}
}

func TestCapHeight(t *testing.T) {
	for _, height := range []float64{2, 7.5, 40} {
		assert.InDelta(t, height, set(t, "H", Options{CapHeightMM: height}).SizeMM.Y, 1e-6)
	}
	assert.InDelta(t, 10, set(t, "H", Options{}).SizeMM.Y, 1e-6)
}

// Counters are holes, and letters are told from their holes by direction.
func TestLettersHaveCounters(t *testing.T) {
	for char, rings := range map[string]int{"I": 1, "i": 2, "O": 2, "B": 3, "8": 3, "%": 5, "é": 3, "Å": 3} {
		out := set(t, char, Options{CapHeightMM: 30})
		require.Len(t, out.Pattern.Zones, 1, char)
		got := len(out.Pattern.Zones[0].Region)
		if char == "Å" {
			assert.GreaterOrEqual(t, got, rings, char) // the ring may touch the letter
			continue
		}
		assert.Equal(t, rings, got, char)
	}
}

func TestLinesAndAlignment(t *testing.T) {
	f := load[Regular]()
	down := f.lineDown * 10 / f.capHeight
	two := set(t, "H\nH", Options{})
	assert.InDelta(t, 10+down, two.SizeMM.Y, 1e-5)
	assert.Equal(t, "HH", names(two))
	assert.Greater(t, two.Pattern.Zones[0].Region.Bounds().Min.Y, two.Pattern.Zones[1].Region.Bounds().Max.Y, "the first line stands above")
	assert.InDelta(t, 10+down/2, set(t, "H\r\nH", Options{LineSpacing: 0.5}).SizeMM.Y, 1e-5)
	for align, check := range map[Align]func(short, long plane.Box) (a, b float64){
		Left:   func(s, l plane.Box) (float64, float64) { return s.Min.X, l.Min.X },
		Centre: func(s, l plane.Box) (float64, float64) { return s.Centre().X, l.Centre().X },
		Right:  func(s, l plane.Box) (float64, float64) { return s.Max.X, l.Max.X },
	} {
		out := set(t, "H\nHHHH", Options{Align: align})
		long := plane.EmptyBox()
		for _, z := range out.Pattern.Zones[1:] {
			long = long.Union(z.Region.Bounds())
		}
		a, b := check(out.Pattern.Zones[0].Region.Bounds(), long)
		assert.InDelta(t, b, a, 1e-5, "alignment %d", align)
	}
}

func TestTracking(t *testing.T) {
	plain, wide := set(t, "HHH", Options{}), set(t, "HHH", Options{TrackingMM: 1.5})
	assert.InDelta(t, plain.SizeMM.X+3, wide.SizeMM.X, 1e-5)
}

func TestLays(t *testing.T) {
	out := set(t, "Boot", Options{LetterDegrees: 30, GroundDegrees: -60})
	for _, z := range out.Pattern.Zones {
		assert.InDelta(t, 30*math.Pi/180, z.Lay.Angle, 1e-12)
	}
	assert.InDelta(t, 120*math.Pi/180, out.Pattern.Ground.Angle, 1e-12)
	assert.InDelta(t, math.Pi/2, set(t, "a", Options{}).Pattern.Ground.Angle, 1e-12, "letters never have the lay of their ground")
	assert.InDelta(t, math.Pi/2, set(t, "a", Options{GroundDegrees: 180}).Pattern.Ground.Angle, 1e-12)
	assert.True(t, out.Pattern.ReadsOneWay)
}

func TestFindings(t *testing.T) {
	for _, c := range []struct{ name, text, drawn, code string }{
		{"nothing", "", "", "lettering-nothing"},
		{"blanks", " \n\t ", "", "lettering-nothing"},
		{"unknown among known", "a漢b漢", "ab", "lettering-unknown"},
		{"only unknown", "漢字", "", "lettering-unknown lettering-nothing"},
		{"signs that draw nothing", "a\u00adb\u200dc\ufe0f\x00", "abc", ""},
		{"not UTF-8", "a\xffb", "ab", "lettering-unknown"},
		{"too long", strings.Repeat("a", tol.LetteringRunes+1), "", "lettering-too-long"},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := set(t, c.text, Options{})
			var codes []string
			for _, f := range out.Findings {
				codes = append(codes, f.Code)
				assert.NotEmpty(t, f.Remedy)
			}
			if c.name == "not UTF-8" && len(codes) == 0 {
				c.code, c.drawn = "", "a\uFFFDb" // a font with a replacement character draws it
			}
			assert.Equal(t, c.code, strings.Join(codes, " "))
			assert.Equal(t, c.drawn, names(out))
		})
	}
	out := set(t, "漢字", Options{})
	assert.Contains(t, out.Findings[0].Text, "漢 (U+6F22), 字 (U+5B57)")

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	assert.Equal(t, finding.Stop, Set(ctx, "abc", Options{}).Findings.Worst())
}

// The mean stroke of a capital I without serifs is its width, nearly: 2A/P of
// a bar w × h is wh/(w+h).
func TestThinLetters(t *testing.T) {
	bar := set(t, "|", Options{CapHeightMM: 20})
	w, h := bar.SizeMM.X, bar.SizeMM.Y
	assert.InDelta(t, w*h/(w+h), bar.StrokeMM, 1e-6)
	assert.True(t, set(t, "mm", Options{CapHeightMM: 4, LineWidthMM: 0.42}).Findings.Has("lettering-thin"))
	assert.False(t, set(t, "mm", Options{CapHeightMM: 20, LineWidthMM: 0.42}).Findings.Has("lettering-thin"))
	assert.Greater(t, set(t, "mm", Options{Face: Bold}).StrokeMM, 1.2*set(t, "mm", Options{}).StrokeMM)
}

func TestOptionsAreHeldToTheirLimits(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, o := range []Options{
		{Face: 99, Align: 99}, {CapHeightMM: nan, LineSpacing: nan, TrackingMM: nan, ToleranceMM: nan, LetterDegrees: nan, GroundDegrees: inf},
		{CapHeightMM: 1e300}, {CapHeightMM: -1}, {ToleranceMM: 1e-300}, {LineSpacing: -5}, {TrackingMM: -1e9}, {CapHeightMM: 0.1, ToleranceMM: 10},
	} {
		assert.Equal(t, "abc", names(set(t, "a\nbc", o)), "%+v", o)
	}
}

func FuzzSet(f *testing.F) {
	f.Add("Harbour library\nreading day", 10.0, 0.0, uint8(1))
	f.Add("Ωß\u0301漢\x00", 0.6, -3.0, uint8(0))
	f.Fuzz(func(t *testing.T, text string, height, tracking float64, face uint8) {
		if len(text) > 60 {
			return
		}
		var out Lettered
		limits.Reader(t, func() {
			out = Set(context.Background(), text, Options{CapHeightMM: height, TrackingMM: tracking, Face: Face(face), ToleranceMM: 0.1})
		})
		for _, z := range out.Pattern.Zones {
			if !(z.Region.Area() > 0) {
				t.Fatalf("%q has the area %v", z.Name, z.Region.Area())
			}
		}
	})
}

func BenchmarkSet(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		text := strings.Repeat("Lesetag am Hafen 12\n", n/20+1)[:n]
		b.Run(fmt.Sprintf("characters=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if out := Set(context.Background(), text, Options{}); len(out.Pattern.Zones) == 0 {
					b.Fatal("nothing set")
				}
			}
		})
	}
}
