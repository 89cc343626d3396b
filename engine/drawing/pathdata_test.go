package drawing

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/tdewolff/canvas"

	"sheenlay/engine/plane"
)

// written gives subpaths in absolute path notation, arcs as "A" with their
// centre, turn in degrees and end.
func written(subpaths []subpath) string {
	var b strings.Builder
	pt := func(p plane.Point) string {
		number := func(v float64) string { return strconv.FormatFloat(math.Round(v*1e4)/1e4+0, 'f', -1, 64) }
		return number(p.X) + "," + number(p.Y)
	}
	for _, s := range subpaths {
		fmt.Fprintf(&b, "M%s", pt(s.start))
		for _, g := range s.segments {
			switch g.kind {
			case lineSegment:
				fmt.Fprintf(&b, " L%s", pt(g.end))
			case quadSegment:
				fmt.Fprintf(&b, " Q%s %s", pt(g.c1), pt(g.end))
			case cubicSegment:
				fmt.Fprintf(&b, " C%s %s %s", pt(g.c1), pt(g.c2), pt(g.end))
			case arcSegment:
				fmt.Fprintf(&b, " A(%s %.4g° %s)", pt(g.arc.centre), g.arc.sweep*180/math.Pi, pt(g.end))
			}
		}
		if s.closed {
			b.WriteString("z")
		}
	}
	return b.String()
}

func TestPathGrammar(t *testing.T) {
	const (
		w3c = "W3C SVG 2, Paths"
		wpt = "web-platform-tests svg/import paths-data-18 and -20"
	)
	for _, c := range []struct{ name, source, data, want, fault string }{
		{"empty", w3c, "", "", ""},
		{"none", w3c, "none", "", ""},
		{"white space of all kinds", w3c, "\t\f\r\n M\t1\f2\r\n", "", ""},
		{"sign parts numbers", w3c, "M 0,0 L 100-200", "M0,0 L100,-200", ""},
		{"second point parts numbers", w3c, "M 0,0 L 0.6.5", "M0,0 L0.6,0.5", ""},
		{"exponents", w3c, "M1e1 1E-1L-2.5e+1,.5e1", "M10,0.1 L-25,5", ""},
		{"point without digits behind it", "SVG 1.1, accepted", "M23. 4.L1,1", "M23,4 L1,1", ""},
		{"first command must be M", w3c, "L 10,10", "", `at character 1 there is "L 10,10" where the command M should be`},
		{"pairs after M are lines", w3c, "M10,10 20,20 30,10", "M10,10 L20,20 L30,10", ""},
		{"pairs after m are relative lines", w3c, "m10,10 10,10 10,-10", "M10,10 L20,20 L30,10", ""},
		{"drawn up to the last good segment", w3c, "M 10,10 L 20,20,30", "M10,10 L20,20", "at character 19 there is the end where a number should be"},
		{"moveto alone draws nothing", w3c, "M 10,10", "", ""},
		{"z on a point", w3c, "M10,10z", "M10,10z", ""},
		{"command after z starts at the same point", w3c, "M10,10 h10 v10 z l-5,-5", "M10,10 L20,10 L20,20zM10,10 L5,5", ""},
		{"M starts another subpath", w3c, "M0,0 h1 m1,1 h1", "M0,0 L1,0M2,1 L3,1", ""},
		{"H with two values", wpt, "M0,0 H 40.5.6", "M0,0 L40.5,0 L0.6,0", ""},
		{"h with two values", wpt, "M0,0 h 10-20", "M0,0 L10,0 L-10,0", ""},
		{"H stops at #", wpt, "M0,0 H 40#90", "M0,0 L40,0", `at character 10 there is "#90" where a command should be`},
		{"V and v", w3c, "M1,1V5v-1", "M1,1 L1,5 L1,4", ""},
		{"arc flags without separators", wpt, "M0,0 a25,25 0 1125,25 z", written(mustPath(t, "M0,0 a25,25 0 1 1 25,25 z")), ""},
		{"arc flags 0 and 1 then a number", wpt, "M0,0 a25,25 0 10 -25,25z", written(mustPath(t, "M0,0 a25,25 0 1 0 -25,25z")), ""},
		{"arc flag 6", wpt, "M0,0 h1 a25,25 0 6 0 25,25", "M0,0 L1,0", `at character 18 there is "6 0 25,25" where a flag 0 or 1 should be`},
		{"arc flag -1", wpt, "M0,0 h1 a25,25 0 -1 0 25,25", "M0,0 L1,0", `at character 18 there is "-1 0 25,25" where a flag 0 or 1 should be`},
		{"arc flag 7", wpt, "M0,0 h1 a25,25 0 1 7 25,25", "M0,0 L1,0", `at character 20 there is "7 25,25" where a flag 0 or 1 should be`},
		{"arc with its numbers run together", wpt, "M0,0 h1 a25,2501 025,-25", "M0,0 L1,0", `at character 22 there is "-25" where a flag 0 or 1 should be`},
		{"smooth cubic reflects (cubic01)", w3c, "M100,200 C100,100 250,100 250,200 S400,300 400,200", "M100,200 C100,100 250,100 250,200 C250,300 400,300 400,200", ""},
		{"smooth cubic after a line", w3c, "M0,0 L10,10 S20,20 30,10", "M0,0 L10,10 C10,10 20,20 30,10", ""},
		{"smooth cubic after a quadratic", w3c, "M0,0 Q5,5 10,0 S20,20 30,10", "M0,0 Q5,5 10,0 C10,0 20,20 30,10", ""},
		{"smooth quadratic reflects (quad01)", w3c, "M200,300 Q400,50 600,300 T1000,300", "M200,300 Q400,50 600,300 Q800,550 1000,300", ""},
		{"smooth quadratic twice", w3c, "M0,0 q1,1 2,0 t2,0 t2,0", "M0,0 Q1,1 2,0 Q3,-1 4,0 Q5,1 6,0", ""},
		{"relative curves", w3c, "m1,1 c1,0 2,1 2,2 s1,2 2,2", "M1,1 C2,1 3,2 3,3 C3,4 4,5 5,5", ""},
		{"arc to where it starts is dropped", w3c, "M5,5 A1,1 0 0 1 5,5 L6,6", "M5,5 L6,6", ""},
		{"arc with a zero radius is a line", w3c, "M0,0 A0,5 0 0 1 10,0", "M0,0 L10,0", ""},
		{"arc radii lose their sign", w3c, "M0,0 A-5,-5 0 0 1 10,0", "M0,0 A(5,0 180° 10,0)", ""},
		{"arc radii grow to reach", w3c, "M0,0 A1,1 0 0 1 10,0", "M0,0 A(5,0 180° 10,0)", ""},
		{"infinite numbers end the path", "own bound", "M0,0 L1,1 L1e999,0", "M0,0 L1,1", `at character 12 there is "1e999,0" where a number in range should be`},
		{"comma before a command", w3c, "M0,0 L1,1, L2,2", "M0,0 L1,1", `at character 12 there is "L2,2" where a number should be`},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, fault := parsePath(c.data)
			assert.Equal(t, c.want, written(got), "source: %s", c.source)
			message := ""
			if fault != nil {
				message = fault.Error()
			}
			assert.Equal(t, c.fault, message)
		})
	}
}

func mustPath(t *testing.T, data string) []subpath {
	t.Helper()
	s, fault := parsePath(data)
	require.Nil(t, fault)
	return s
}

// The four arcs of W3C SVG 2, figure arcs02, with centres, turns and lengths
// computed by an independent script.
func TestArcFlags(t *testing.T) {
	for _, c := range []struct {
		flags        string
		centre       plane.Point
		turn, length float64
	}{
		{"0,0", plane.Point{X: 225, Y: 75}, -90, 121.1056},
		{"0,1", plane.Point{X: 125, Y: 125}, 90, 121.1056},
		{"1,0", plane.Point{X: 125, Y: 125}, -270, 363.3168},
		{"1,1", plane.Point{X: 225, Y: 75}, 270, 363.3168},
	} {
		s := mustPath(t, "M125,75 a100,50 0 "+c.flags+" 100,50")
		a := s[0].segments[0].arc
		assert.InDelta(t, c.centre.X, a.centre.X, 1e-9, c.flags)
		assert.InDelta(t, c.centre.Y, a.centre.Y, 1e-9, c.flags)
		assert.InDelta(t, c.turn, a.sweep*180/math.Pi, 1e-9, c.flags)
		assert.InDelta(t, c.length, lengthOf(t, s), 1e-3, c.flags)
	}
}

// fine flattens a path without a map, closely enough for lengths to 1e-4.
func fine(t *testing.T, s []subpath) []plane.Polyline {
	t.Helper()
	f := flattener{tolerance: 1e-6, left: 1 << 24}
	var out []plane.Polyline
	for _, one := range s {
		out = append(out, f.flatten(one, plane.Identity()))
	}
	require.False(t, f.overflow)
	return out
}

func lengthOf(t *testing.T, s []subpath) float64 {
	sum := 0.0
	for i, l := range fine(t, s) {
		sum += Line{Points: l, Closed: s[i].closed}.Length()
	}
	return sum
}

// Lengths and points computed by an independent script from the curves of the
// W3C figures cubic01, quad01 and arcs01.
func TestCurveLengths(t *testing.T) {
	cubic := mustPath(t, "M100,200 C100,100 250,100 250,200 S400,300 400,200")
	assert.InDelta(t, 2*237.873649, lengthOf(t, cubic), 1e-4)
	quad := mustPath(t, "M200,300 Q400,50 600,300 T1000,300")
	assert.InDelta(t, 2*487.771094, lengthOf(t, quad), 1e-4)
	assert.InDelta(t, 15.7080, lengthOf(t, mustPath(t, "M0,0 A1,1 0 0 1 10,0")), 1e-4)

	hasPoint := func(s []subpath, x, y float64) {
		t.Helper()
		best := math.Inf(1)
		for _, l := range fine(t, s) {
			for i := 1; i < len(l); i++ {
				best = math.Min(best, distanceToSegment(plane.Point{X: x, Y: y}, l[i-1], l[i]))
			}
		}
		assert.Less(t, best, 1e-5)
	}
	hasPoint(cubic, 175, 125)
	hasPoint(quad, 400, 175)

	pie := mustPath(t, "M300,200 h-150 a150,150 0 1,0 150,-150 z")
	a := pie[0].segments[1].arc
	assert.InDelta(t, 300, a.centre.X, 1e-9)
	assert.InDelta(t, 200, a.centre.Y, 1e-9)
	assert.InDelta(t, -270, a.sweep*180/math.Pi, 1e-9)
	assert.InDelta(t, 706.8583, math.Abs(a.sweep)*150, 1e-4)
	assert.InDelta(t, 53014.376, math.Abs(plane.Ring(fine(t, pie)[0]).Area()), 0.05)
	assert.InDelta(t, 706.8583+300, lengthOf(t, pie), 1e-3)
}

func distanceToSegment(p, a, b plane.Point) float64 {
	return p.Dist(plane.NearestOnSegment(a, b, p))
}

// A quarter circle by one cubic errs by at most 2.7253e-4 of its radius
// (derived): the flattened curve must show that error and no other.
func TestFlatteningKeepsTolerance(t *testing.T) {
	const k = 0.5522847498
	quarter := mustPath(t, fmt.Sprintf("M1000,0 C1000,%v %v,1000 0,1000", 1000*k, 1000*k))
	for _, tolerance := range []float64{1, 0.1, 0.01, 0.001} {
		f := flattener{tolerance: tolerance, left: 1 << 20}
		l := f.flatten(quarter[0], plane.Identity())
		low, high := math.Inf(1), 0.0
		for i := 1; i < len(l); i++ {
			for _, share := range []float64{0, 0.25, 0.5, 0.75} {
				r := l[i-1].Lerp(l[i], share).Norm()
				low, high = math.Min(low, r), math.Max(high, r)
			}
		}
		assert.GreaterOrEqual(t, low, 1000-tolerance-1e-9, "tolerance %v", tolerance)
		assert.LessOrEqual(t, high, 1000+0.27253+1e-5, "tolerance %v", tolerance)
	}
}

// The chord error of an arc of any ellipse stays within the tolerance, and the
// number of chords is near the least there can be.
func TestArcFlatteningKeepsTolerance(t *testing.T) {
	for _, c := range []struct{ rx, ry, rotation float64 }{{10, 10, 0}, {40, 3, 30}, {3, 40, -75}, {0.02, 0.01, 0}} {
		s := mustPath(t, fmt.Sprintf("M0,0 A%v,%v %v 1 1 %v,%v", c.rx, c.ry, c.rotation, c.rx/3, c.ry/2))
		a := s[0].segments[0].arc
		f := flattener{tolerance: 0.01, left: 1 << 20}
		l := f.flatten(s[0], plane.Identity())
		n := len(l) - 1
		for i := range n {
			for _, share := range []float64{0.25, 0.5, 0.75} {
				p := a.at((float64(i) + share) / float64(n))
				assert.LessOrEqual(t, distanceToSegment(p, l[i], l[i+1]), 0.01, "%v", c)
			}
		}
	}
}

// canvas reads the well-formed examples too: an independent implementation of
// the grammar and of the arc conversion. Compared with its flattened paths,
// since its closed forms for the length and the box of an arc are approximate.
func TestPathsAgreeWithCanvas(t *testing.T) {
	for _, data := range []string{
		"M100,200 C100,100 250,100 250,200 S400,300 400,200",
		"M200,300 Q400,50 600,300 T1000,300",
		"M300,200 h-150 a150,150 0 1,0 150,-150 z",
		"M275,175 v-150 a150,150 0 0,0 -150,150 z",
		"M600,350 l 50,-25 a25,25 -30 0,1 50,-25 l 50,-25 a25,50 -30 0,1 50,-25 l 50,-25 a25,75 -30 0,1 50,-25 l 50,-25 a25,100 -30 0,1 50,-25 l 50,-25",
		"M125,75 a100,50 20 1,1 100,50",
		"m1,1 c1,0 2,1 2,2 s1,2 2,2 q1-1 2 0 t2 0 z l5 5",
	} {
		theirs := canvas.MustParseSVGPath(data).Flatten(1e-5)
		assert.InEpsilon(t, theirs.Length(), lengthOf(t, mustPath(t, data)), 1e-3, data)
		box := plane.EmptyBox()
		for _, l := range fine(t, mustPath(t, data)) {
			box = box.Union(l.Bounds())
		}
		want := theirs.FastBounds()
		for i, pair := range [][2]float64{{want.X0, box.Min.X}, {want.Y0, box.Min.Y}, {want.X1, box.Max.X}, {want.Y1, box.Max.Y}} {
			assert.InDelta(t, pair[0], pair[1], 0.06, "%s, side %d", data, i)
		}
	}
}

// Lengths and boxes of turned arcs computed by an independent script from
// equations B.2.4 of W3C SVG 2 with 200,000 chords.
func TestTurnedArcs(t *testing.T) {
	for _, c := range []struct {
		data   string
		length float64
		box    plane.Box
	}{
		{"M125,75 a100,50 20 1,1 100,50", 370.588927, plane.Box{Min: plane.Point{X: 110.502167, Y: 10.564270}, Max: plane.Point{X: 301.527471, Y: 126.793928}}},
		{"M125,75 a100,50 0 1,1 100,50", 363.316808, plane.Box{Min: plane.Point{X: 125, Y: 25}, Max: plane.Point{X: 325, Y: 125}}},
		{"M650,325 a25,50 -30 0,1 50,-25", 135.217783, plane.Box{Min: plane.Point{X: 638.074310, Y: 262.178768}, Max: plane.Point{X: 700, Y: 325}}},
	} {
		s := mustPath(t, c.data)
		box := fine(t, s)[0].Bounds()
		assert.InDelta(t, c.length, lengthOf(t, s), 1e-4, c.data)
		for i, pair := range [][2]plane.Point{{c.box.Min, box.Min}, {c.box.Max, box.Max}} {
			assert.InDelta(t, 0, pair[0].Dist(pair[1]), 1e-4, "%s, corner %d", c.data, i)
		}
	}
}

func TestFlattenStopsAtItsBound(t *testing.T) {
	f := flattener{tolerance: 1e-9, left: 1000}
	f.flatten(mustPath(t, "M0,0 C0,1e5 1e5,1e5 1e5,0")[0], plane.Identity())
	assert.True(t, f.overflow)
}
