package drawing

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/tdewolff/canvas"

	"sheenlay/engine/plane"
)

// page wraps content in an svg of 100 × 100 mm, one user unit being 1 mm.
func page(content string) string {
	return `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100mm" height="100mm" viewBox="0 0 100 100">` + content + `</svg>`
}

func readText(t *testing.T, text string) Drawing {
	t.Helper()
	d := Read(context.Background(), []byte(text), Options{})
	for _, l := range d.Lines {
		require.GreaterOrEqual(t, len(l.Points), 2)
		for _, p := range l.Points {
			require.True(t, p.Finite())
		}
	}
	return d
}

// sketch gives lines as "element: x,y x,y" in page coordinates (y down, as in
// the file) with two decimals, "z" behind a closed one.
func sketch(d Drawing) string {
	var out []string
	for _, l := range d.Lines {
		var b strings.Builder
		b.WriteString(l.Element + ":")
		for _, p := range l.Points {
			b.WriteString(" " + short(math.Round(p.X*100)/100+0) + "," + short(math.Round((d.SizeMM.Y-p.Y)*100)/100+0))
		}
		if l.Closed {
			b.WriteString(" z")
		}
		out = append(out, b.String())
	}
	return strings.Join(out, "; ")
}

func codes(d Drawing) string {
	var out []string
	for _, f := range d.Findings {
		if f.Code != "drawing-unit" {
			out = append(out, f.Code)
		}
	}
	return strings.Join(out, " ")
}

func TestStructure(t *testing.T) {
	for _, c := range []struct{ name, content, want, found string }{
		{"empty page", ``, "", "drawing-nothing"},
		{"line", `<line x1="1" y1="2" x2="3" y2="4" stroke="red"/>`, "line: 1,2 3,4", ""},
		{"lengths with units", `<line x1="10" y1="1in" x2="20" y2="1in" stroke="red" transform="scale(0.26458333)"/>`, "line: 2.65,25.4 5.29,25.4", ""},
		{"percentages", `<line x1="10%" y1="20%" x2="50%" y2="20%" stroke="red"/>`, "line: 10,20 50,20", ""},
		{"polyline and polygon", `<g stroke="red" fill="none"><polyline points="0,0 10,0 10,10"/><polygon points="0 0,10 0,10 10"/></g>`,
			"polyline: 0,0 10,0 10,10; polygon: 0,0 10,0 10,10 z", ""},
		{"odd point list", `<polyline points="0,0 10,0 10" fill="none" stroke="red"/>`, "polyline: 0,0 10,0", "drawing-bad-points"},
		{"rectangle", `<rect x="1" y="2" width="3" height="4" fill="none" stroke="red"/>`, "rect: 1,2 4,2 4,6 1,6 z", ""},
		{"rectangle without width", `<rect height="4" fill="none" stroke="red"/>`, "", "drawing-nothing"},
		{"rectangle of negative width", `<rect width="-2" height="4" fill="none" stroke="red"/>`, "", "drawing-nothing"},
		{"circle without radius", `<circle fill="none" stroke="red"/><circle r="-3" fill="none" stroke="red"/>`, "", "drawing-nothing"},
		{"geometry as properties", `<style>rect{x:1px;y:2px;width:3px;height:4px;fill:none;stroke:red}</style><rect width="50"/><path style="d:path('M0 0h3')" stroke="red"/>`,
			"rect: 1,2 4,2 4,6 1,6 z; path: 0,0 3,0", ""},
		{"length that is none", `<line x1="left" x2="3" stroke="red" stroke-width="calc(1px + 1mm)"/>`, "line: 0,0 3,0", "drawing-bad-length drawing-bad-length"},
		{"path with two subpaths", `<path id="p" d="M0,0 h5 M0,1 h5" stroke="red"/>`, "path#p: 0,0 5,0; path#p: 0,1 5,1", ""},
		{"path error", `<path d="M0,0 h5 M0,1 h5 x" stroke="red"/>`, "path: 0,0 5,0; path: 0,1 5,1", "drawing-path-error"},
		{"transform list, leftmost last", `<line x2="1" stroke="red" transform="translate(10,20) scale(2) rotate(90)"/>`, "line: 10,20 10,22", ""},
		{"rotation about a point", `<line x2="1" stroke="red" transform="rotate(90, 10, 10)"/>`, "line: 20,0 20,1", ""},
		{"matrix", `<line x1="1" x2="2" stroke="red" transform="matrix(0 1 -1 0 50 60)"/>`, "line: 50,61 50,62", ""},
		{"skews", `<g stroke="red"><line y2="10" transform="skewX(45)"/><line x2="10" transform="skewY(45)"/></g>`, "line: 0,0 10,10; line: 0,0 10,10", ""},
		{"translate, rotate and scale as properties", `<g style="scale:2; rotate:90deg; translate:5px 2px; transform:translateX(1px)"><line x2="2" stroke="red" rotate="45"/></g>`, "line: 5,4 5,8", ""},
		{"four groups deep", `<g transform="translate(10)"><g transform="rotate(90)"><g transform="scale(2,3)"><g transform="translate(0 -1)"><line x2="4" stroke="red"/></g></g></g></g>`, "line: 13,0 13,8", ""},
		{"transform origin", `<line x1="60" y1="50" x2="70" y2="50" stroke="red" transform="rotate(90)" transform-origin="50 50"/>`, "line: 50,60 50,70", ""},
		{"transform origin by name", `<line x1="60" y1="50" x2="70" y2="50" stroke="red" style="transform: rotate(0.25turn); transform-origin: center"/>`, "line: 50,60 50,70", ""},
		{"bad transform counts for nothing", `<line x2="1" stroke="red" transform="translate(10) spin(2)"/>`, "line: 0,0 1,0", "drawing-bad-transform"},
		{"defs are not drawn", `<defs><line x2="1" stroke="red"/></defs><symbol><line x2="1" stroke="red"/></symbol>`, "", "drawing-nothing"},
		{"use", `<defs><line id="l" x2="1"/></defs><use href="#l" x="10" y="20" stroke="red" transform="scale(2)"/>`, "line#l: 20,40 22,40", ""},
		{"use by the older attribute", `<defs><g id="g"><line x2="1" stroke="red"/></g></defs><use xlink:href="#g" y="5"/>`, "line: 0,5 1,5", ""},
		{"use of a symbol with a view box", `<symbol id="s" viewBox="0 0 10 10"><line x2="10" y2="10" stroke="red"/></symbol><use href="#s" x="10" y="10" width="20" height="20"/>`, "line: 10,10 30,30", ""},
		{"use of a symbol, aspect ratio kept to one side", `<symbol id="s" viewBox="0 0 10 10" preserveAspectRatio="xMaxYMin meet"><line x2="10" y2="10" stroke="red"/></symbol><use href="#s" width="40" height="20"/>`, "line: 20,0 40,20", ""},
		{"use of a symbol, stretched", `<symbol id="s" viewBox="0 0 10 10" preserveAspectRatio="none"><line x2="10" y2="10" stroke="red"/></symbol><use href="#s" width="40" height="20"/>`, "line: 0,0 40,20", ""},
		{"a symbol cuts what leaves it", `<symbol id="s" viewBox="0 0 10 10"><line x1="-9" y1="5" x2="30" y2="5" stroke="red"/></symbol><use href="#s" width="20" height="20"/>`, "line: 0,10 20,10", "drawing-clipped"},
		{"use of a use, with the colour nearest", `<defs><g id="a" stroke="blue"><line x2="1"/></g><g id="b"><use href="#a" x="1"/></g></defs><use href="#b" y="1" stroke="red"/>`, "line: 1,1 2,1", ""},
		{"size on the use comes first", `<defs><svg id="s" width="10" height="10" viewBox="0 0 1 1"><line x2="1" y2="1" stroke="red"/></svg></defs><use href="#s" width="30" height="30" x="1"/>`, "line: 1,0 31,30", ""},
		{"use of what is not there", `<use href="#gone"/><use href="other.svg#l"/>`, "", "drawing-use-missing drawing-nothing"},
		{"nested svg", `<svg x="10" y="20" width="20" height="10" viewBox="0 0 2 1"><line x2="1" y2="1" stroke="red"/></svg>`, "line: 10,20 20,30", ""},
		{"nested svg cuts what leaves it", `<svg x="10" y="20" width="20" height="10"><line x1="-5" y1="5" x2="50" y2="5" stroke="red"/></svg>`, "line: 10,25 30,25", "drawing-clipped"},
		{"nested svg that slices", `<svg width="20" height="10" viewBox="0 0 10 10" preserveAspectRatio="xMinYMid slice"><line x1="-5" x2="50" y1="5" y2="5" stroke="red"/></svg>`, "line: 0,5 20,5", "drawing-clipped"},
		{"nested svg that shows overflow", `<svg x="10" y="20" width="20" height="10" overflow="visible"><line x1="-5" y1="5" x2="50" y2="5" stroke="red"/></svg>`, "line: 5,25 60,25", ""},
		{"hidden in three ways", `<g stroke="red"><line x2="1" display="none"/><line x2="2" visibility="hidden"/><g style="display:none"><line x2="3"/></g><line x2="4" opacity="0"/><line x2="5"/></g>`,
			"line: 0,0 5,0", "drawing-hidden drawing-invisible"},
		{"visibility can be shown again inside", `<g visibility="hidden" stroke="red"><line x2="1" visibility="visible"/></g>`, "line: 0,0 1,0", ""},
		{"switch takes the first that fits", `<switch stroke="red"><line x2="1" systemLanguage="xx"/><line x2="2" systemLanguage="en-GB, fr"/><line x2="3"/></switch>`, "line: 0,0 2,0", ""},
		{"switch past a foreign object", `<switch><foreignObject requiredExtensions="http://example.org/"/><g stroke="red"><line x2="3"/></g></switch>`, "line: 0,0 3,0", "drawing-foreign"},
		{"text, pictures and fills are reported", `<text>a</text><image/><rect width="9" height="9"/><line x2="1" stroke="red"/>`, "line: 0,0 1,0", "drawing-text drawing-image drawing-fill"},
		{"shapes only", `<rect width="9" height="9"/>`, "", "drawing-no-lines drawing-fill"},
		{"an animation of a shape", `<line x2="9" stroke="red"><animate attributeName="x2" to="50"/></line>`, "line: 0,0 9,0", "drawing-animation"},
		{"links, views and descriptions", `<title>t</title><desc>d</desc><metadata>m</metadata><view id="v" viewBox="0 0 5 5"/><a href="x"><line x2="9" stroke="red"/></a>`, "line: 0,0 9,0", ""},
		{"text in all its parts", `<g stroke="red"><text><tspan>a</tspan><textPath>b</textPath></text><line x2="9"/></g>`, "line: 0,0 9,0", "drawing-text"},
		{"gradient that is missing", `<line x2="9" stroke="url(#gone)"/>`, "", "drawing-paint-missing drawing-invisible drawing-nothing"},
		{"dashes and markers are reported", `<line x2="9" stroke="red" stroke-dasharray="2 1" marker-end="url(#m)"/>`, "line: 0,0 9,0", "drawing-dashes drawing-markers"},
		{"masks and filters are reported", `<line x2="9" stroke="red" mask="url(#m)" filter="url(#f)"/>`, "line: 0,0 9,0", "drawing-mask drawing-filter"},
		{"elements of other vocabularies are skipped", `<x:view xmlns:x="urn:x"><line x2="9" stroke="red"/></x:view><line x2="1" stroke="red"/>`, "line: 0,0 1,0", ""},
		{"colours that draw nothing", `<g fill="none"><line x2="1" stroke="none"/><line x2="2" stroke="transparent"/><line x2="3" stroke="#12345600"/><line x2="4" stroke="rgba(1,2,3,0)"/><line x2="5" stroke="bogus"/></g>`, "", "drawing-invisible drawing-nothing"},
		{"beyond reach", `<line x2="1e300" stroke="red"/><line x2="1e308" stroke="red" transform="scale(10)"/>`, "", "drawing-too-far drawing-nothing"},
		{"scaled to nothing", `<line x2="1" stroke="red" transform="scale(0)"/>`, "", "drawing-flattened drawing-nothing"},
		{"beyond the page", `<line x1="-5" x2="5" stroke="red"/>`, "line: -5,0 5,0", "drawing-beyond-page"},
		{"a point is no line", `<path d="M5,5z M1,1 h1" stroke="red"/>`, "path: 1,1 2,1", "drawing-dot"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := readText(t, page(c.content))
			assert.Equal(t, c.want, sketch(d))
			assert.Equal(t, c.found, codes(d))
		})
	}
}

func TestStyles(t *testing.T) {
	for _, c := range []struct{ name, content, want string }{
		{"presentation attribute", `<line x2="1" stroke="#abc"/>`, "#aabbcc"},
		{"type rule over attribute", `<style>line{stroke:red}</style><line x2="1" stroke="blue"/>`, "#ff0000"},
		{"class over type, whatever the order", `<style>.a{stroke:lime} line{stroke:red}</style><line class="b a" x2="1"/>`, "#00ff00"},
		{"id over class", `<style>#i{stroke:#00F} .a.a{stroke:red}</style><line id="i" class="a" x2="1"/>`, "#0000ff"},
		{"later over earlier", `<style>.a{stroke:red}.a{stroke:navy}</style><line class="a" x2="1"/>`, "#000080"},
		{"style attribute over id", `<style>#i{stroke:blue}</style><line id="i" style="stroke : red" x2="1"/>`, "#ff0000"},
		{"important over style attribute", `<style>line{stroke:blue !important}</style><line style="stroke:red" x2="1"/>`, "#0000ff"},
		{"grouping, comments and descendants", `<style>/* x */ rect, g .a > line /*y*/ {stroke:teal;}</style><g><g class="a"><line x2="1"/></g></g>`, "#008080"},
		{"child does not match deeper", `<style>g > line{stroke:red} line{stroke:blue}</style><g><a><line x2="1"/></a></g>`, "#0000ff"},
		{"siblings", `<style>line{stroke:none} rect + line{stroke:red} rect ~ line{stroke:red}</style><rect/><line x2="1"/>`, "#ff0000"},
		{"CDATA", `<style><![CDATA[ line { stroke : rgb(10%, 20, 300) } ]]></style><line x2="1"/>`, "#1a14ff"},
		{"inherited", `<g style="stroke:hsl(120, 100%, 25%)"><line x2="1"/></g>`, "#008000"},
		{"current colour", `<g color="gold" stroke="currentColor"><line x2="1"/></g>`, "#ffd700"},
		{"inherit keyword", `<style>line{stroke:inherit}</style><g stroke="red"><line x2="1" stroke="blue"/></g>`, "#ff0000"},
		{"gradient keeps its name", `<linearGradient id="fog"/><line x2="1" stroke="url(#fog)"/>`, "url(#fog)"},
		{"gradient that is missing gives way to the colour behind it", `<line x2="1" stroke="url(#fog) red"/>`, "#ff0000"},
		{"block for screens", `<style>@media screen, print{line{stroke:red}} rect{stroke:blue}</style><line x2="1" stroke="lime"/>`, "#ff0000"},
		{"sheet for print", `<style media="print">line{stroke:blue}</style><line x2="1" stroke="red"/>`, "#ff0000"},
		{"two classes of one element", `<style>.a.b{stroke:red} .a{stroke:blue}</style><line class="a c b" x2="1"/>`, "#ff0000"},
		{"class names know case", `<style>.A{stroke:blue} .a{stroke:red}</style><line class="a" x2="1"/>`, "#ff0000"},
		{"class of a copy's own place, not of where it is used", `<style>.w line{stroke:red} use line{stroke:blue}</style><defs><g class="w"><line id="l" x2="1"/></g></defs><use href="#l"/>`, "#ff0000"},
		{"a rule in a block that is not followed", `<style>@media print{line{stroke:red}} line{stroke:blue}</style><line x2="1"/>`, "#0000ff"},
		{"selectors that are not followed", `<style>line[x2]{stroke:red} line:hover{stroke:red} line{stroke:blue}</style><line x2="1"/>`, "#0000ff"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := readText(t, page(c.content))
			require.Len(t, d.Lines, 1, codes(d))
			assert.Equal(t, c.want, d.Lines[0].Colour)
		})
	}
}

// Specificities as in the examples of W3C Selectors 4, §17, without the
// selectors that are not followed.
func TestSpecificity(t *testing.T) {
	for selector, want := range map[string][3]int{
		"*": {0, 0, 0}, "li": {0, 0, 1}, "ul li": {0, 0, 2}, "ul ol+li": {0, 0, 3},
		"ul ol li.red": {0, 1, 3}, "li.red.level": {0, 2, 1}, "#x34y": {1, 0, 0},
	} {
		parsed, ok := parseSelector(selector)
		require.True(t, ok, selector)
		assert.Equal(t, want, specificity(parsed), selector)
	}
	for _, bad := range []string{"", "a >", "> a", "a[b]", "a:b", "a..b", "a b c d e", "#"} {
		_, ok := parseSelector(bad)
		assert.False(t, ok, bad)
	}
}

// CSS Values and Units 3, §6.2, in px and as the size of a page in mm.
func TestUnits(t *testing.T) {
	for _, c := range []struct {
		text   string
		px, mm float64
	}{
		{"1in", 96, 25.4}, {"2.54cm", 96, 25.4}, {"1cm", 37.795276, 10}, {"1mm", 3.779528, 1}, {"1Q", 0.944882, 0.25},
		{"1pc", 16, 25.4 / 6}, {"1pt", 4.0 / 3, 25.4 / 72}, {"1px", 1, 0.264583}, {"1", 1, 0.264583}, {"1e1mm", 37.795276, 10},
	} {
		l, ok := parseLength(c.text)
		require.True(t, ok, c.text)
		assert.InDelta(t, c.px, l.user(0), 1e-6, c.text)
		d := readText(t, fmt.Sprintf(`<svg width="%s" height="%s"><line x2="1" stroke="red" stroke-width="1.5"/></svg>`, c.text, c.text))
		assert.InDelta(t, c.mm, d.SizeMM.X, 1e-6, c.text)
	}
	for _, bad := range []string{"", "mm", "1 furlong", "1mm2", "--1"} {
		_, ok := parseLength(bad)
		assert.False(t, ok, bad)
	}
}

// The equivalent transform of W3C SVG 2, §8.2; the figures are computed by an
// independent script.
func TestViewBoxFit(t *testing.T) {
	small, large := viewBox{0, 0, 30, 40}, plane.Point{X: 50, Y: 30}
	for _, c := range []struct {
		box      viewBox
		size     plane.Point
		preserve string
		want     plane.Affine
	}{
		{small, large, "", plane.Affine{A: .75, D: .75, E: 13.75}},
		{small, large, "xMinYMin meet", plane.Affine{A: .75, D: .75}},
		{small, large, "xMidYMid", plane.Affine{A: .75, D: .75, E: 13.75}},
		{small, large, "xMaxYMax meet", plane.Affine{A: .75, D: .75, E: 27.5}},
		{small, large, "xMinYMin slice", plane.Affine{A: 5.0 / 3, D: 5.0 / 3}},
		{small, large, "xMidYMid slice", plane.Affine{A: 5.0 / 3, D: 5.0 / 3, F: -18.3333333}},
		{small, large, "xMaxYMax slice", plane.Affine{A: 5.0 / 3, D: 5.0 / 3, F: -36.6666667}},
		{small, large, "none", plane.Affine{A: 5.0 / 3, D: .75}},
		{viewBox{-50, -50, 500, 500}, plane.Point{X: 500, Y: 500}, "", plane.Affine{A: 1, D: 1, E: 50, F: 50}},
		{viewBox{0, 0, 20, 10}, plane.Point{X: 10, Y: 10}, "xMaxYMax", plane.Affine{A: .5, D: .5, F: 5}},
	} {
		m, _ := c.box.fit(c.size, c.preserve)
		for i, pair := range [][2]float64{{c.want.A, m.A}, {c.want.B, m.B}, {c.want.C, m.C}, {c.want.D, m.D}, {c.want.E, m.E}, {c.want.F, m.F}} {
			assert.InDelta(t, pair[0], pair[1], 1e-6, "%v %q entry %d", c.size, c.preserve, i)
		}
	}
}

// width=12cm height=5.25cm viewBox="0 0 1200 400": 0.1 mm per unit and 6.25 mm
// above and below (derived from the W3C algorithm).
func TestPageWithRoomToSpare(t *testing.T) {
	d := readText(t, `<svg width="12cm" height="5.25cm" viewBox="0 0 1200 400"><rect width="1200" height="400" fill="none" stroke="red"/></svg>`)
	assert.InDelta(t, 0.1, d.Unit.MMPerUserUnit, 1e-12)
	assert.True(t, d.Unit.Stated)
	assert.Equal(t, "rect: 0,6.25 120,6.25 120,46.25 0,46.25 z", sketch(d))
}

func TestPageSize(t *testing.T) {
	for _, c := range []struct {
		attributes string
		want       plane.Point
	}{
		{`width="10cm" height="5cm"`, plane.Point{X: 100, Y: 50}},
		{`width="10cm" viewBox="0 0 7 7"`, plane.Point{X: 100, Y: 100}},
		{`height="10cm" viewBox="0 0 20 10"`, plane.Point{X: 200, Y: 100}},
		{`viewBox="0 0 96 192"`, plane.Point{X: 25.4, Y: 50.8}},
		{`width="100%" height="100%" viewBox="0 0 96 192"`, plane.Point{X: 25.4, Y: 50.8}},
		{``, plane.Point{X: 25.4, Y: 12.7}}, // what is drawn
	} {
		d := readText(t, `<svg `+c.attributes+`><rect x="96" y="-5" width="96" height="48" fill="none" stroke="red"/></svg>`)
		assert.InDelta(t, c.want.X, d.SizeMM.X, 1e-9, c.attributes)
		assert.InDelta(t, c.want.Y, d.SizeMM.Y, 1e-9, c.attributes)
	}
	d := readText(t, `<svg><rect x="96" y="-5" width="96" height="48" fill="red" stroke="red"/></svg>`)
	assert.InDelta(t, 0, d.Bounds().Min.Norm(), 1e-9, "without a page the corner of what is drawn is the origin")
	assert.Contains(t, codes(d), "drawing-no-page")
}

func TestUnitIsRecognised(t *testing.T) {
	line := func(attributes, width string) string {
		return fmt.Sprintf(`<svg %s><path d="M1,1h50" stroke="red" stroke-width="%s"/></svg>`, attributes, width)
	}
	for _, c := range []struct {
		name, text string
		options    Options
		want       float64
		stated     bool
	}{
		{"mm page decides", line(`width="100mm" height="100mm" viewBox="0 0 100 100"`, "5"), Options{}, 1, true},
		{"page at half scale", line(`width="50mm" height="50mm" viewBox="0 0 100 100"`, "0.4"), Options{}, 0.5, true},
		{"bare numbers, stroke of a nozzle", line(`width="100" height="100"`, "0.4"), Options{}, 1, false},
		{"bare numbers, stroke of a line width", line(`viewBox="0 0 100 100"`, "0.42"), Options{}, 1, false},
		{"stroke of a wide nozzle", line(`viewBox="0 0 100 100"`, "1.0"), Options{NozzleMM: 0.8}, 1, false},
		{"stroke is a bead in pixels", line(`viewBox="0 0 100 100"`, "1.5875"), Options{}, 25.4 / 96, false},
		{"no evidence: the standard", line(`viewBox="0 0 100 100"`, "10"), Options{}, 25.4 / 96, false},
		{"as large as the face in mm", line(`viewBox="0 0 100 100"`, "10"), Options{FaceMM: plane.Point{X: 60, Y: 20}}, 1, false},
		{"as large as the face in pixels", line(`viewBox="0 0 100 100"`, "10"), Options{FaceMM: plane.Point{X: 9, Y: 16}}, 25.4 / 96, false},
		{"strokes outweigh the face", line(`viewBox="0 0 100 100"`, "1.5875"), Options{FaceMM: plane.Point{X: 50, Y: 50}}, 25.4 / 96, false},
		{"chosen", line(`viewBox="0 0 100 100"`, "0.42"), Options{MMPerUserUnit: 0.7}, 0.7, true},
		{"chosen against the page", line(`width="50mm" height="50mm" viewBox="0 0 100 100"`, "0.4"), Options{MMPerUserUnit: 1}, 1, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := Read(context.Background(), []byte(c.text), c.options)
			assert.InDelta(t, c.want, d.Unit.MMPerUserUnit, 1e-12)
			assert.Equal(t, c.stated, d.Unit.Stated)
			assert.InDelta(t, 50*c.want, d.Lines[0].Length(), 1e-9)
			for _, a := range d.Unit.Alternatives {
				assert.NotEqual(t, a.MMPerUserUnit, d.Unit.MMPerUserUnit)
				other := Read(context.Background(), []byte(c.text), Options{MMPerUserUnit: a.MMPerUserUnit})
				assert.InDelta(t, other.SizeMM.X, a.SizeMM.X, 1e-9, "the size promised is the size given")
			}
			require.True(t, d.Findings.Has("drawing-unit"))
		})
	}
}

// Random nested transforms against the matrices of canvas, an independent
// implementation. Seed 1.
func TestNestedTransformsAgreeWithCanvas(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	for range 200 {
		want := canvas.Identity
		var open, closing strings.Builder
		for range 1 + random.Intn(4) {
			a, b := random.Float64()*4-2, random.Float64()*4-2
			var text string
			switch random.Intn(5) {
			case 0:
				text, want = fmt.Sprintf("translate(%v,%v)", a, b), want.Translate(a, b)
			case 1:
				text, want = fmt.Sprintf("scale(%v %v)", a, b), want.Scale(a, b)
			case 2:
				text, want = fmt.Sprintf("rotate(%v)", a*90), want.Rotate(a*90)
			case 3:
				text, want = fmt.Sprintf("skewX(%v)", a*20), want.Shear(math.Tan(a*20*math.Pi/180), 0)
			case 4:
				text, want = fmt.Sprintf("rotate(%v, %v, %v)", a*90, a, b), want.RotateAbout(a*90, a, b)
			}
			fmt.Fprintf(&open, `<g transform="%s">`, text)
			closing.WriteString("</g>")
		}
		d := readText(t, page(open.String()+`<line x1="1" y1="2" x2="3" y2="-1" stroke="red"/>`+closing.String()))
		require.Len(t, d.Lines, 1)
		for i, p := range []canvas.Point{{X: 1, Y: 2}, {X: 3, Y: -1}} {
			q := want.Dot(p)
			got := d.Lines[0].Points[i]
			assert.InDelta(t, q.X, got.X, 1e-9)
			assert.InDelta(t, 100-q.Y, got.Y, 1e-9)
		}
	}
}

func TestStrokeWidth(t *testing.T) {
	for _, c := range []struct {
		content string
		want    float64
	}{
		{`<line x2="9" stroke="red"/>`, 1},
		{`<line x2="9" stroke="red" stroke-width="0.42"/>`, 0.42},
		{`<line x2="9" stroke="red" stroke-width="1%"/>`, 1},
		{`<g transform="scale(3)"><line x2="9" stroke="red" stroke-width="2"/></g>`, 6},
		{`<g transform="scale(4,1)"><line x2="9" stroke="red" stroke-width="2"/></g>`, 4},
		{`<g transform="scale(3)"><line x2="9" stroke="red" vector-effect="non-scaling-stroke"/></g>`, 25.4 / 96},
	} {
		d := readText(t, page(c.content))
		assert.InDelta(t, c.want, d.Lines[0].StrokeWidthMM, 1e-9, c.content)
	}
}

func TestLayMarks(t *testing.T) {
	for _, c := range []struct {
		attributes string
		want       LayMark
		found      string
	}{
		{``, LayMark{}, ""},
		{`data-lay="30"`, LayMark{Fixed, 30}, ""},
		{`data-lay="-30°"`, LayMark{Fixed, 150}, ""},
		{`data-lay=" 210deg "`, LayMark{Fixed, 30}, ""},
		{`data-lay="180"`, LayMark{Fixed, 0}, ""},
		{`data-lay="concentric"`, LayMark{Kind: Concentric}, ""},
		{`data-lay="Radial"`, LayMark{Kind: Radial}, ""},
		{`data-lay="upward"`, LayMark{}, "drawing-bad-lay"},
		{`data-lay="NaN"`, LayMark{}, "drawing-bad-lay"},
	} {
		d := readText(t, page(`<g `+c.attributes+`><path d="M0,0h9v9z" fill="red" stroke="red" transform="rotate(20)"/></g>`))
		assert.Equal(t, c.want, d.Shapes[0].Lay, c.attributes)
		assert.Equal(t, c.want, d.Lines[0].Lay, c.attributes)
		assert.Equal(t, c.found, strings.TrimSpace(strings.ReplaceAll(codes(d), "drawing-beyond-page", "")), c.attributes)
	}
}

// Entities of an internal DOCTYPE (XML 1.0, §4.1 and §4.4): in attributes, as
// markup, nested, with character references.
func TestEntities(t *testing.T) {
	d := readText(t, `<?xml version="1.0"?>
<!-- <!DOCTYPE x> -->
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "x" [
  <!ENTITY thin "stroke:&#x23;f00;stroke-width:0.4">
  <!-- <!ENTITY thin "none"> -->
  <!ENTITY two '<line x2="1" style="&thin;"/>
<line x2="2" style="&thin;"/>'>
  <!ENTITY thin "later ones do not bind">
]>
<svg width="10mm" height="10mm" viewBox="0 0 10 10">
  &two;
  <!-- &two; -->
  <line id="last" x2="3" style="&thin;"/>
</svg>`)
	assert.Equal(t, "line: 0,0 1,0; line: 0,0 2,0; line#last: 0,0 3,0", sketch(d))
	assert.Equal(t, []int{11, 11, 13}, []int{d.Lines[0].Line, d.Lines[1].Line, d.Lines[2].Line}, "lines of the file, not of the expansion")
	assert.Equal(t, "#ff0000", d.Lines[2].Colour)
}

func TestEncodings(t *testing.T) {
	text := `<?xml version="1.0" encoding="%s"?><svg width="10mm" height="10mm" viewBox="0 0 10 10"><line id="ä" x2="3" stroke="red"/></svg>`
	wide := utf16.Encode([]rune("\uFEFF" + fmt.Sprintf(text, "UTF-16")))
	var little, big []byte
	for _, u := range wide {
		little = append(little, byte(u), byte(u>>8))
		big = append(big, byte(u>>8), byte(u))
	}
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	_, err := w.Write([]byte(fmt.Sprintf(text, "UTF-8")))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	for name, data := range map[string][]byte{
		"UTF-8":          []byte(fmt.Sprintf(text, "UTF-8")),
		"UTF-8 with BOM": []byte("\uFEFF" + fmt.Sprintf(text, "UTF-8")),
		"UTF-16 little":  little, "UTF-16 big": big,
		"Latin 1": []byte(strings.ReplaceAll(fmt.Sprintf(text, "ISO-8859-1"), "ä", "\xe4")),
		"gzip":    packed.Bytes(),
	} {
		d := Read(context.Background(), data, Options{})
		assert.Equal(t, "line#ä: 0,0 3,0", sketch(d), name)
	}
	d := readText(t, fmt.Sprintf(text, "EBCDIC"))
	assert.Equal(t, "drawing-encoding", d.Findings[0].Code)
}

func TestHostileStyleSheetEnds(t *testing.T) {
	text := page(`<style>` + strings.Repeat("#zz * * *{stroke:red} .q ~ .q ~ * ~ *{stroke:red}", 500) + `</style>` +
		strings.Repeat("<g>", 400) + strings.Repeat(`<line x2="1"/>`, 2000) + strings.Repeat("</g>", 400))
	d := readText(t, text)
	assert.Contains(t, codes(d), "drawing-style-too-long")
}

func TestCancelledReading(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	d := Read(ctx, []byte(page(strings.Repeat(`<line x2="1" stroke="red"/>`, 5000))), Options{})
	assert.Equal(t, "drawing-cancelled", d.Findings[0].Code)
	assert.Empty(t, d.Lines)
}
