package drawing

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

// Perimeters of the basic shapes in closed form (SVG 2, §10). The ellipse by
// Ramanujan's second approximation, whose relative error at these axes is below
// 1e-9 (published: Ramanujan, Modular equations and approximations to π, 1914).
func TestBasicShapes(t *testing.T) {
	ramanujan := func(a, b float64) float64 {
		h := (a - b) * (a - b) / ((a + b) * (a + b))
		return math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
	}
	for _, c := range []struct {
		name, content string
		length        float64
		box           plane.Box // as in the file, y down
	}{
		{"line", `<line x1="3" y1="4" x2="33" y2="44"/>`, 50, plane.Box{Min: plane.Point{X: 3, Y: 4}, Max: plane.Point{X: 33, Y: 44}}},
		{"polyline", `<polyline points="0,0 3,4 3,9"/>`, 10, plane.Box{Max: plane.Point{X: 3, Y: 9}}},
		{"polygon", `<polygon points="0,0 3,0 3,4"/>`, 12, plane.Box{Max: plane.Point{X: 3, Y: 4}}},
		{"rectangle", `<rect x="1" y="2" width="30" height="40"/>`, 140, plane.Box{Min: plane.Point{X: 1, Y: 2}, Max: plane.Point{X: 31, Y: 42}}},
		{"rounded by rx, ry follows", `<rect width="30" height="20" rx="4"/>`, 2*(22+12) + 8*math.Pi, plane.Box{Max: plane.Point{X: 30, Y: 20}}},
		{"rounded by ry, rx follows", `<rect width="30" height="20" ry="4"/>`, 2*(22+12) + 8*math.Pi, plane.Box{Max: plane.Point{X: 30, Y: 20}}},
		{"rounded by both", `<rect width="30" height="20" rx="6" ry="3"/>`, 2*(18+14) + ramanujan(6, 3), plane.Box{Max: plane.Point{X: 30, Y: 20}}},
		{"radii beyond half the side", `<rect width="20" height="10" rx="100"/>`, ramanujan(10, 5), plane.Box{Max: plane.Point{X: 20, Y: 10}}},
		{"circle", `<circle cx="50" cy="40" r="12.5"/>`, 25 * math.Pi, plane.Box{Min: plane.Point{X: 37.5, Y: 27.5}, Max: plane.Point{X: 62.5, Y: 52.5}}},
		{"circle in percent of the diagonal", `<circle cx="50%" cy="50%" r="10%"/>`, 20 * math.Pi, plane.Box{Min: plane.Point{X: 40, Y: 40}, Max: plane.Point{X: 60, Y: 60}}},
		{"ellipse", `<ellipse cx="50" cy="40" rx="30" ry="10"/>`, ramanujan(30, 10), plane.Box{Min: plane.Point{X: 20, Y: 30}, Max: plane.Point{X: 80, Y: 50}}},
		{"ellipse, ry follows", `<ellipse cx="50" cy="40" rx="20" ry="auto"/>`, 40 * math.Pi, plane.Box{Min: plane.Point{X: 30, Y: 20}, Max: plane.Point{X: 70, Y: 60}}},
		{"path", `<path d="M10,10 h20 v20 H10 z"/>`, 80, plane.Box{Min: plane.Point{X: 10, Y: 10}, Max: plane.Point{X: 30, Y: 30}}},
	} {
		d := Read(context.Background(), []byte(page(`<g fill="none" stroke="red">`+c.content+`</g>`)), Options{ToleranceMM: 1e-5})
		require.Len(t, d.Lines, 1, c.name)
		assert.InEpsilon(t, c.length, d.Lines[0].Length(), 1e-5, c.name)
		got := d.Lines[0].Points.Bounds()
		for i, pair := range [][2]float64{{c.box.Min.X, got.Min.X}, {c.box.Max.X, got.Max.X}, {100 - c.box.Max.Y, got.Min.Y}, {100 - c.box.Min.Y, got.Max.Y}} {
			assert.InDelta(t, pair[0], pair[1], 2e-5, "%s, side %d", c.name, i)
		}
	}
}

// A stated lay of its own, of the nearest group, and through use.
func TestLayMarksAreInherited(t *testing.T) {
	d := readText(t, page(`<g id="g" data-lay="30"><g data-lay="60"><rect width="3" height="3"/></g><rect width="2" height="2"/>
<g data-lay="upward"><rect width="1" height="1"/></g></g><use href="#g" x="5" data-lay="90"/><rect width="4" height="4"/>
<defs><rect id="r" width="3" height="3"/></defs><use href="#r" data-lay="45"/>`))
	var got []LayMark
	for _, s := range d.Shapes {
		got = append(got, s.Lay)
	}
	assert.Equal(t, []LayMark{{Fixed, 60}, {Fixed, 30}, {Fixed, 30}, {Fixed, 60}, {Fixed, 30}, {Fixed, 30}, {}, {Fixed, 45}}, got)
}

// Painting order is the order of the file, fill below stroke unless the element
// says otherwise (SVG 2, §13.8).
func TestPaintingOrder(t *testing.T) {
	d := Read(context.Background(), []byte(page(`<defs><rect id="c" width="1" height="1" fill="lime"/></defs>
<rect width="5" height="5" fill="blue" stroke="red"/><use href="#c"/><g style="paint-order:stroke"><rect width="5" height="5" fill="blue" stroke="red"/></g>
<rect width="5" height="5" fill="navy" stroke="teal" paint-order="markers fill"/>`)), Options{StrokesAsShapes: true})
	var got []string
	for _, s := range d.Shapes {
		got = append(got, s.Colour)
	}
	assert.Equal(t, []string{"#0000ff", "#ff0000", "#00ff00", "#ff0000", "#0000ff", "#000080", "#008080"}, got)
}

// What is not followed is said, element by element; nothing is dropped in
// silence.
func TestWhatIsNotFollowedIsSaid(t *testing.T) {
	const line = `<line x2="9" stroke="red"/>`
	for _, c := range []struct{ name, text, want, found string }{
		{"script", page(`<script>draw()</script>` + line), "line: 0,0 9,0", "drawing-script"},
		{"text in a clip path", page(`<clipPath id="c"><text>a</text><rect width="5" height="5"/></clipPath><line x2="9" y1="1" y2="1" stroke="red" clip-path="url(#c)"/>`), "line: 0,1 5,1", "drawing-clip-text drawing-clipped"},
		{"at-rule", page(`<style>@font-face{src:x} line{stroke:red}</style><line x2="9"/>`), "line: 0,0 9,0", "drawing-style-at-rule"},
		{"selector", page(`<style>line:nth-child(2){stroke:lime} line{stroke:red}</style><line x2="9"/>`), "line: 0,0 9,0", "drawing-style-selector"},
		{"variable", page(`<style>:root{--c:red}</style><line x2="9" stroke="var(--c)"/>` + line), "line: 0,0 9,0", "drawing-style-selector drawing-style-variable drawing-invisible"},
		{"transform origin", page(`<line x2="9" stroke="red" transform="scale(1)" transform-origin="calc(1px) 2"/>`), "line: 0,0 9,0", "drawing-transform-origin"},
		{"view box", `<svg width="9mm" height="9mm" viewBox="0 0 0 9"><line x2="96" stroke="red"/></svg>`, "line: 0,0 25.4,0", "drawing-bad-viewbox drawing-beyond-page"},
		{"entity outside the file", `<!DOCTYPE svg [<!ENTITY out SYSTEM "other.svg">]>` + page(line+`&out;`), "line: 0,0 9,0", "drawing-entity-outside"},
		{"entity that opens a group", `<!DOCTYPE svg [<!ENTITY open "<g>">]>` + page(`&open;`+line+`</g>`), "line: 0,0 9,0", ""},
		{"entity as a vocabulary's name", `<!DOCTYPE svg PUBLIC "a" "b" [<!ENTITY % p SYSTEM "x"> %p; <!ENTITY ns "http://www.w3.org/2000/svg"><!ATTLIST svg xmlns CDATA "x"><!ELEMENT svg ANY>]><svg xmlns="&ns;" width="9mm" height="9mm" viewBox="0 0 9 9">` + line + `</svg>`, "line: 0,0 9,0", ""},
		{"character references", page(`<line x2="9" stroke="&#x72;e&#100;"/>`), "line: 0,0 9,0", ""},
	} {
		d := readText(t, c.text)
		assert.Equal(t, c.want, sketch(d), c.name)
		assert.Equal(t, c.found, codes(d), c.name)
	}
	z := zonesOf(t, `<path d="M0,0h10h-5z" fill="red"/><rect width="2" height="2" opacity="0.5"/>`)
	require.Len(t, z.Pattern.Zones, 1)
	assert.True(t, z.Findings.Has("drawing-shape-empty"))
	assert.True(t, z.Findings.Has("drawing-shape-opacity"))
}
