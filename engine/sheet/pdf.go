package sheet

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"sort"
	"strings"
	"unicode/utf16"

	"golang.org/x/image/font/sfnt"

	"sheenlay/engine/plane"
)

// pdfPage writes one page of lines and text as PDF 1.4 (ISO 32000-1:2008):
// content stream §7.8, paths §8.5, composite fonts with embedded TrueType
// outlines §9.7, ToUnicode maps §9.10.3. The canvas library, which could write
// it too, brings a text shaper and a network stack along: 1.6 MB of the
// engine's download for one page.
type pdfPage struct {
	paper   Paper
	title   string
	content bytes.Buffer
	used    [2]map[sfnt.GlyphIndex]rune
}

func newPDF(paper Paper, title string) *pdfPage {
	p := &pdfPage{paper: paper, title: title}
	p.used[0], p.used[1] = map[sfnt.GlyphIndex]rune{}, map[sfnt.GlyphIndex]rune{}
	// User space in mm from here on.
	fmt.Fprintf(&p.content, "%s 0 0 %s 0 0 cm 1 j 1 J\n", short(1/mmPerPoint), short(1/mmPerPoint))
	return p
}

// short writes a number with at most four decimals.
func short(v float64) string {
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.4f", v), "0"), ".")
	if s == "" || s == "-0" {
		return "0"
	}
	return s
}

func (p *pdfPage) stroke(points []plane.Point, closed bool, widthMM float64, c ink) {
	if len(points) < 2 {
		return
	}
	fmt.Fprintf(&p.content, "%s %s %s RG %s w\n", short(c.r), short(c.g), short(c.b), short(widthMM))
	for i, q := range points {
		op := "l"
		if i == 0 {
			op = "m"
		}
		fmt.Fprintf(&p.content, "%s %s %s\n", short(q.X), short(q.Y), op)
	}
	if closed {
		p.content.WriteString("s\n")
		return
	}
	p.content.WriteString("S\n")
}

func (p *pdfPage) text(x, y, points float64, weight int, c ink, s string) {
	all, _ := faces()
	face := all[weight]
	var hex strings.Builder
	for _, r := range s {
		g := face.glyph(r)
		if _, known := p.used[weight][g]; !known {
			p.used[weight][g] = r
		}
		fmt.Fprintf(&hex, "%04X", uint16(g))
	}
	fmt.Fprintf(&p.content, "BT %s %s %s rg /F%d %s Tf %s %s Td <%s> Tj ET\n",
		short(c.r), short(c.g), short(c.b), weight, short(points*mmPerPoint), short(x), short(y), hex.String())
}

func (p *pdfPage) finish() ([]byte, error) {
	w := &pdfWriter{}
	w.WriteString("%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
	all, err := faces()
	if err != nil {
		return nil, err
	}
	w.object(1, "<< /Type /Catalog /Pages 2 0 R >>")
	w.object(2, "<< /Type /Pages /Kids [3 0 R] /Count 1 >>")
	w.object(3, fmt.Sprintf("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %s %s] /Contents 4 0 R /Resources << /Font << /F0 6 0 R /F1 11 0 R >> >> >>",
		short(p.paper.Width/mmPerPoint), short(p.paper.Height/mmPerPoint)))
	w.stream(4, "", p.content.Bytes())
	w.object(5, fmt.Sprintf("<< /Title %s /Creator (Sheenlay) >>", textString(p.title)))
	for i, face := range all {
		p.font(w, 6+5*i, face, p.used[i])
	}
	return w.end(1, 5), nil
}

// font writes the five objects of one embedded font, from number on.
func (p *pdfPage) font(w *pdfWriter, number int, face *typeface, used map[sfnt.GlyphIndex]rune) {
	glyphs := make([]int, 0, len(used))
	for g := range used {
		glyphs = append(glyphs, int(g))
	}
	sort.Ints(glyphs)
	var widths, unicode strings.Builder
	for _, g := range glyphs {
		fmt.Fprintf(&widths, "%d [%s] ", g, short(face.advance(sfnt.GlyphIndex(g))))
		fmt.Fprintf(&unicode, "<%04X> <%s>\n", g, utf16Hex(string(used[sfnt.GlyphIndex(g)])))
	}
	w.object(number, fmt.Sprintf("<< /Type /Font /Subtype /Type0 /BaseFont /%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R >>", face.name, number+1, number+4))
	w.object(number+1, fmt.Sprintf("<< /Type /Font /Subtype /CIDFontType2 /BaseFont /%s /CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> /FontDescriptor %d 0 R /CIDToGIDMap /Identity /W [%s] >>", face.name, number+2, widths.String()))
	// Descriptor values of the font's own tables, in thousandths of an em,
	// rounded outwards.
	w.object(number+2, fmt.Sprintf("<< /Type /FontDescriptor /FontName /%s /Flags 4 /FontBBox [-440 -320 1160 1080] /ItalicAngle 0 /Ascent 940 /Descent -220 /CapHeight 730 /StemV 90 /FontFile2 %d 0 R >>", face.name, number+3))
	w.stream(number+3, fmt.Sprintf("/Length1 %d ", len(face.data)), face.data)
	w.stream(number+4, "", []byte("/CIDInit /ProcSet findresource begin 12 dict begin begincmap /CMapName /Sheet def /CMapType 2 def\n1 begincodespacerange <0000> <FFFF> endcodespacerange\n"+ranges(unicode.String())+"endcmap CMapName currentdict /CMap defineresource pop end end\n"))
}

// ranges wraps lines of a character map in blocks of at most 100 (ISO 32000-1
// §9.10.3).
func ranges(lines string) string {
	all := strings.SplitAfter(strings.TrimSuffix(lines, "\n"), "\n")
	var b strings.Builder
	for len(all) > 0 && all[0] != "" {
		n := min(len(all), 100)
		fmt.Fprintf(&b, "%d beginbfchar\n%s\nendbfchar\n", n, strings.TrimSuffix(strings.Join(all[:n], ""), "\n"))
		all = all[n:]
	}
	return b.String()
}

func utf16Hex(s string) string {
	var b strings.Builder
	for _, unit := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", unit)
	}
	return b.String()
}

// textString writes a text as UTF-16BE with its mark (ISO 32000-1 §7.9.2.2).
func textString(s string) string { return "<FEFF" + utf16Hex(s) + ">" }

// pdfWriter writes numbered objects and the table of their places.
type pdfWriter struct {
	bytes.Buffer
	offsets map[int]int
}

func (w *pdfWriter) object(number int, body string) {
	if w.offsets == nil {
		w.offsets = map[int]int{}
	}
	w.offsets[number] = w.Len()
	fmt.Fprintf(w, "%d 0 obj\n%s\nendobj\n", number, body)
}

func (w *pdfWriter) stream(number int, entries string, data []byte) {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	z.Write(data)
	z.Close()
	w.object(number, fmt.Sprintf("<< %s/Filter /FlateDecode /Length %d >>\nstream\n%s\nendstream", entries, packed.Len(), packed.Bytes()))
}

func (w *pdfWriter) end(root, info int) []byte {
	at, count := w.Len(), len(w.offsets)+1
	fmt.Fprintf(w, "xref\n0 %d\n0000000000 65535 f \n", count)
	for i := 1; i < count; i++ {
		fmt.Fprintf(w, "%010d 00000 n \n", w.offsets[i])
	}
	fmt.Fprintf(w, "trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R >>\nstartxref\n%d\n%%%%EOF\n", count, root, info, at)
	return w.Bytes()
}
