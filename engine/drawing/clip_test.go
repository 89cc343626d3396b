package drawing

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

func TestClipPaths(t *testing.T) {
	const window = `<clipPath id="c"><rect x="10" y="10" width="20" height="20"/></clipPath>`
	for _, c := range []struct{ name, content, want, found string }{
		{"line through", window + `<line x1="0" y1="20" x2="50" y2="20" stroke="red" clip-path="url(#c)"/>`, "line: 10,20 30,20", "drawing-clipped"},
		{"line inside stays whole", window + `<line x1="12" y1="20" x2="15" y2="20" stroke="red" clip-path="url(#c)"/>`, "line: 12,20 15,20", ""},
		{"line outside is gone", window + `<line x1="0" y1="5" x2="50" y2="5" stroke="red" clip-path="url(#c)"/>`, "", "drawing-clipped drawing-nothing"},
		{"style property and quotes", window + `<line x1="0" y1="20" x2="50" y2="20" stroke="red" style="clip-path: url('#c')"/>`, "line: 10,20 30,20", "drawing-clipped"},
		{"corner kept", window + `<polyline fill="none" points="0,20 20,20 20,0" stroke="red" clip-path="url(#c)"/>`, "polyline: 10,20 20,20 20,10", "drawing-clipped"},
		{"closed line joined over its first point", window + `<rect x="15" y="15" width="30" height="5" fill="none" stroke="red" clip-path="url(#c)"/>`, "rect: 30,20 15,20 15,15 30,15", "drawing-clipped"},
		{"on a group", window + `<g clip-path="url(#c)" transform="translate(10,0)"><line x1="0" y1="20" x2="50" y2="20" stroke="red"/></g>`, "line: 20,20 40,20", "drawing-clipped"},
		{"two clips both hold", window + `<clipPath id="d"><rect x="0" width="20" height="100"/></clipPath><g clip-path="url(#d)"><line y1="20" x2="50" y2="20" stroke="red" clip-path="url(#c)"/></g>`, "line: 10,20 20,20", "drawing-clipped"},
		{"several children add up", `<clipPath id="c"><rect width="10" height="9"/><rect x="5" width="10" height="9"/><rect x="40" width="5" height="9"/></clipPath><line y1="5" x2="90" y2="5" stroke="red" clip-path="url(#c)"/>`, "line: 0,5 15,5; line: 40,5 45,5", "drawing-clipped"},
		{"even-odd clip rule", `<clipPath id="c"><path clip-rule="evenodd" d="M0,0h30v10h-30zM10,0h10v10h-10z"/></clipPath><line y1="5" x2="90" y2="5" stroke="red" clip-path="url(#c)"/>`, "line: 0,5 10,5; line: 20,5 30,5", "drawing-clipped"},
		{"nonzero clip rule", `<clipPath id="c"><path d="M0,0h30v10h-30zM10,0h10v10h-10z"/></clipPath><line y1="5" x2="90" y2="5" stroke="red" clip-path="url(#c)"/>`, "line: 0,5 30,5", "drawing-clipped"},
		{"clip path that is clipped", window + `<clipPath id="d" clip-path="url(#c)"><rect width="20" height="100"/></clipPath><line y1="20" x2="50" y2="20" stroke="red" clip-path="url(#d)"/>`, "line: 10,20 20,20", "drawing-clipped"},
		{"child that is clipped", window + `<clipPath id="d"><rect width="20" height="100" clip-path="url(#c)"/><rect x="60" width="5" height="100"/></clipPath><line y1="20" x2="90" y2="20" stroke="red" clip-path="url(#d)"/>`, "line: 10,20 20,20; line: 60,20 65,20", "drawing-clipped"},
		{"use among the children", `<defs><rect id="r" width="10" height="10"/></defs><clipPath id="d"><use href="#r" x="5"/></clipPath><line y1="5" x2="90" y2="5" stroke="red" clip-path="url(#d)"/>`, "line: 5,5 15,5", "drawing-clipped"},
		{"bounding box units", `<clipPath id="d" clipPathUnits="objectBoundingBox"><rect x=".25" width=".5" height="1"/></clipPath><path d="M10,0V10H50" fill="none" stroke="red" clip-path="url(#d)"/>`, "path: 20,10 40,10", "drawing-clipped"},
		{"bounding box units on a group", `<clipPath id="d" clipPathUnits="objectBoundingBox"/><g clip-path="url(#d)"><line x2="9" stroke="red"/></g>`, "line: 0,0 9,0", "drawing-clip-kind"},
		{"empty clip path hides all", `<clipPath id="d"/><line x2="9" stroke="red" clip-path="url(#d)"/>`, "", "drawing-clipped drawing-nothing"},
		{"hidden child", `<clipPath id="d"><rect width="9" height="9" display="none"/></clipPath><line x2="9" y1="1" y2="1" stroke="red" clip-path="url(#d)"/>`, "", "drawing-clipped drawing-nothing"},
		{"clip path that is missing", `<line x2="9" stroke="red" clip-path="url(#gone)"/>`, "line: 0,0 9,0", "drawing-clip-missing"},
		{"basic shape", `<line x2="9" stroke="red" style="clip-path:circle(5px)"/>`, "line: 0,0 9,0", "drawing-clip-kind"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := readText(t, page(c.content))
			assert.Equal(t, c.want, sketch(d))
			assert.Equal(t, c.found, codes(d))
		})
	}
}

// Lines through a disc and a ring: chord lengths in closed form, the polygon
// of the disc being within the flattening tolerance of it. Seed 3.
func TestClippedChords(t *testing.T) {
	random := rand.New(rand.NewSource(3))
	for range 300 {
		angle, offset := random.Float64()*math.Pi, (random.Float64()*2-1)*19
		far := plane.Point{X: 90}.Turn(angle)
		foot := plane.Point{X: offset}.Turn(angle + math.Pi/2).Add(plane.Point{X: 50, Y: 50})
		a, b := foot.Add(far), foot.Sub(far)
		d := readText(t, page(fmt.Sprintf(`<clipPath id="c"><path clip-rule="evenodd" d="M30,50a20,20 0 1 1 40,0a20,20 0 1 1 -40,0zM40,50a10,10 0 1 1 20,0a10,10 0 1 1 -20,0z"/></clipPath>
<line x1="%v" y1="%v" x2="%v" y2="%v" stroke="red" clip-path="url(#c)"/>`, a.X, a.Y, b.X, b.Y)))
		chord := func(r float64) float64 { return 2 * math.Sqrt(math.Max(0, r*r-offset*offset)) }
		total := 0.0
		for _, l := range d.Lines {
			total += l.Length()
		}
		assert.InDelta(t, chord(20)-chord(10), total, 1.3, "offset %v", offset)
		if math.Abs(offset) < 9.5 {
			assert.Len(t, d.Lines, 2)
			assert.InDelta(t, chord(20)-chord(10), total, 0.15, "offset %v", offset)
		}
	}
}

// Cutting keeps what is inside and nothing else: every point of the parts is
// inside, and the parts of a window and of its complement make up the whole.
// Vertices lie on a coarse lattice so that lines meet corners and run along
// edges. Seed 5.
func TestCutLineSplitsEvenly(t *testing.T) {
	random := rand.New(rand.NewSource(5))
	lattice := func() plane.Point {
		return plane.Point{X: float64(random.Intn(9)), Y: float64(random.Intn(9))}
	}
	for round := range 2000 {
		ring := plane.Ring{lattice(), lattice(), lattice(), lattice(), lattice()}
		line := plane.Polyline{lattice(), lattice(), lattice(), lattice()}
		closed := round%2 == 0
		around := plane.Ring{{X: -1, Y: -1}, {X: 99, Y: -1}, {X: 99, Y: 99}, {X: -1, Y: 99}}
		sum := 0.0
		for _, rings := range [][]plane.Ring{{ring}, {ring, around}} {
			left := 1 << 30
			x := newClipIndex([]*Clip{{Parts: []Outline{{Rings: rings, Rule: EvenOdd}}}}, &left)
			parts, whole := x.cutLine(line, closed)
			if whole {
				sum += Line{Points: line, Closed: closed}.Length()
				continue
			}
			for _, p := range parts {
				sum += p.Length()
				for i := 1; i < len(p); i++ {
					require.True(t, x.inside(p[i-1].Lerp(p[i], 0.5)) || onBorder(ring, p[i-1].Lerp(p[i], 0.5)), "seed 5, round %d", round)
				}
			}
		}
		require.InDelta(t, Line{Points: line, Closed: closed}.Length(), sum, 0.01, "seed 5, round %d: %v %v", round, ring, line)
	}
}

func onBorder(r plane.Ring, p plane.Point) bool {
	for i, a := range r {
		if distanceToSegment(p, a, r[(i+1)%len(r)]) < 1e-9 {
			return true
		}
	}
	return false
}

func TestClipTooComplexIsSaid(t *testing.T) {
	var teeth, lines strings.Builder
	for i := range 20_000 {
		fmt.Fprintf(&teeth, "L%v,0L%v,100", float64(i)/200, float64(i)/200+0.0025)
	}
	for i := range 12 {
		fmt.Fprintf(&lines, `<path d="M0,%dH100V0H0" fill="none" stroke="red"/>`, i)
	}
	d := readText(t, page(`<clipPath id="c"><path d="M0,0`+teeth.String()+`z"/></clipPath><g clip-path="url(#c)">`+lines.String()+`</g>`))
	assert.Contains(t, codes(d), "drawing-clip-too-complex")
}
