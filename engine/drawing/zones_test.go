package drawing

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/grain"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/plane"
)

func zonesOf(t *testing.T, content string) Zoned {
	t.Helper()
	return Zones(context.Background(), readText(t, page(content)))
}

// The star of five points on a circle of radius 40 covers 1.122570 R² and its
// heart, a pentagon of radius R/φ², 2.377641 R²/φ⁴ (derived).
func TestZones(t *testing.T) {
	for _, c := range []struct{ name, content, want string }{
		{"nothing", ``, ""},
		{"rectangle", `<rect id="r" width="10" height="5"/>`, "rect#r 50 kind 0"},
		{"nonzero star, five points of a circle", `<polygon points="50,10 73.511,82.361 11.958,37.639 88.042,37.639 26.489,82.361"/>`, "polygon 1796.1 kind 0"},
		{"even-odd leaves the heart of the star", `<polygon fill-rule="evenodd" points="50,10 73.511,82.361 11.958,37.639 88.042,37.639 26.489,82.361"/>`, "polygon 1241.1 kind 0"},
		{"hole by direction", `<path d="M0,0h10v10h-10zM2,2v6h6v-6z"/>`, "path 64 kind 0"},
		{"same direction under nonzero is no hole", `<path d="M0,0h10v10h-10zM2,2h6v6h-6z"/>`, "path 100 kind 0"},
		{"open path is closed for filling", `<path d="M0,0h10v10"/>`, "path 50 kind 0"},
		{"colour makes the kind", `<g><rect width="1" height="1" fill="red"/><rect width="2" height="1" fill="blue"/><rect width="3" height="1" fill="#F00"/></g>`,
			"rect 1 kind 0; rect 2 kind 1; rect 3 kind 0"},
		{"stated lay is pinned and parts the kind", `<rect width="1" height="1" fill="red"/><rect width="2" height="1" fill="red" data-lay="30"/><rect width="3" height="1" fill="red" data-lay="210"/>`,
			"rect 1 kind 0; rect 2 kind 1 pinned 30°; rect 3 kind 1 pinned 30°"},
		{"clip path cuts", `<clipPath id="c"><rect width="5" height="100"/></clipPath><rect width="10" height="5" clip-path="url(#c)"/>`, "rect 25 kind 0"},
		{"clip of two parts and another", `<clipPath id="c"><rect width="2" height="100"/><rect x="8" width="9" height="100"/></clipPath><clipPath id="d"><rect width="9" height="100"/></clipPath>
<g clip-path="url(#d)"><rect width="10" height="5" clip-path="url(#c)"/></g>`, "rect 15 kind 0"},
		{"a line encloses nothing", `<path d="M0,0h10z" fill="red"/><rect width="1" height="1"/>`, "rect 1 kind 0"},
		{"a shape that folds to nothing", `<path d="M0,0h10h-5z" fill="red"/>`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			z := zonesOf(t, c.content)
			var out []string
			require.Len(t, z.Pinned, len(z.Pattern.Zones))
			for i, zone := range z.Pattern.Zones {
				text := fmt.Sprintf("%s %.5g kind %d", zone.Name, zone.Region.Area(), zone.Kind)
				if z.Pinned[i] {
					text += fmt.Sprintf(" pinned %.4g°", zone.Lay.Angle*180/math.Pi)
				}
				out = append(out, text)
			}
			assert.Equal(t, c.want, strings.Join(out, "; "))
		})
	}
}

func TestConcentricZoneCirclesItsCentroid(t *testing.T) {
	z := zonesOf(t, `<path d="M0,100 h60 v-30 h-60z" data-lay="concentric"/>`)
	require.Len(t, z.Pattern.Zones, 1)
	assert.Equal(t, grain.Concentric{Centre: plane.Point{X: 30, Y: 15}}, z.Pattern.Zones[0].Lay.Field)
	assert.True(t, z.Pinned[0])
}

// A radial zone: sectors that make up the whole, each with the lay of its
// middle ray, opposite ones of one kind.
func TestRadialZone(t *testing.T) {
	z := zonesOf(t, `<circle cx="50" cy="50" r="20" data-lay="radial"/>`)
	require.Len(t, z.Pattern.Zones, radialSectors)
	area := 0.0
	kinds := map[int]float64{}
	for _, zone := range z.Pattern.Zones {
		area += zone.Region.Area()
		ray := Centroid(zone.Region).Sub(plane.Point{X: 50, Y: 50})
		turn := plane.NormalLay(math.Atan2(ray.Y, ray.X) - zone.Lay.Angle)
		assert.Less(t, math.Min(turn, math.Pi-turn), 0.002)
		if angle, known := kinds[zone.Kind]; known {
			assert.InDelta(t, angle, zone.Lay.Angle, 1e-12)
		}
		kinds[zone.Kind] = zone.Lay.Angle
	}
	assert.Len(t, kinds, radialSectors/2)
	assert.InDelta(t, math.Pi*400, area, math.Pi*400*0.002)
}

// Centroid of a half disc: 4r/3π from its straight side (memory: any handbook
// of mechanics).
func TestCentroid(t *testing.T) {
	z := zonesOf(t, `<path d="M30,100 a20,20 0 0 1 40,0z"/>`)
	c := Centroid(z.Pattern.Zones[0].Region)
	assert.InDelta(t, 50, c.X, 1e-6)
	assert.InDelta(t, 4*20/(3*math.Pi), c.Y, 0.005)
	assert.Equal(t, plane.Point{}, Centroid(nil))
}

// The outline of a stroke: length × width, with round turns; an open line
// ends flat. A closed circle gives a ring of 2πrw.
func TestStrokesAsShapes(t *testing.T) {
	read := func(content string) Zoned {
		return Zones(context.Background(), Read(context.Background(), []byte(page(content)), Options{StrokesAsShapes: true}))
	}
	z := read(`<line x1="10" y1="10" x2="20" y2="10" stroke="red" stroke-width="2"/>`)
	require.Len(t, z.Pattern.Zones, 1)
	assert.InDelta(t, 20, z.Pattern.Zones[0].Region.Area(), 1e-4)
	z = read(`<circle cx="50" cy="50" r="10" fill="none" stroke="red" stroke-width="2"/>`)
	assert.InDelta(t, 2*math.Pi*10*2, z.Pattern.Zones[0].Region.Area(), 0.4)
	z = read(`<path d="M10,10h10v10" fill="none" stroke="red" stroke-width="2"/>`)
	assert.InDelta(t, 20+20-1+math.Pi/4, z.Pattern.Zones[0].Region.Area(), 0.02)
	z = read(`<path d="M10,10h10v10z" fill="blue" stroke="red" stroke-width="1"/>`)
	require.Len(t, z.Pattern.Zones, 2)
	assert.Equal(t, []string{"#0000ff", "#ff0000"}, z.Colours, "a stroke lies above the fill of its element")
}

// Zones end beyond the page; what lies in reach keeps its area and its holes.
func TestZonesEndBeyondThePage(t *testing.T) {
	z := zonesOf(t, `<path d="M-90000,20H90000V40H-90000zM10,30h80v5h-80z" fill-rule="evenodd" id="band"/>`)
	require.Len(t, z.Pattern.Zones, 1)
	assert.InDelta(t, 1100*20-80*5, z.Pattern.Zones[0].Region.Area(), 1e-6)
	assert.Empty(t, zonesOf(t, `<rect x="-9000" width="10" height="10"/>`).Pattern.Zones)
}

// A filled scribble has a crossing for every fourth pair of its strokes: it is
// left out and named, the shapes beside it are kept, and that within the limits
// for one input.
func TestTangledShapes(t *testing.T) {
	random := rand.New(rand.NewSource(13))
	scribble := func(n int) string {
		var b strings.Builder
		b.WriteString("M0,0")
		for range n {
			fmt.Fprintf(&b, "L%.3f,%.3f", 100*random.Float64(), 100*random.Float64())
		}
		return `<path id="s` + fmt.Sprint(n) + `" d="` + b.String() + `z"/>`
	}
	comb := func(turn string) string {
		var b strings.Builder
		for i := range 2000 {
			fmt.Fprintf(&b, "M%.3f,0v100h0.02v-100z", float64(i)*0.05)
		}
		return `<path transform="` + turn + `" d="` + b.String() + `"/>`
	}
	const square = `<rect id="kept" x="40" y="40" width="10" height="10"/>`
	for _, c := range []struct {
		name, content string
		zones         int
		tangled       bool
	}{
		{"a scribble that can be followed", scribble(500) + square, 2, false},
		{"one that cannot", scribble(3000) + square, 1, true},
		{"a very long one", scribble(150_000) + square, 1, true},
		{"many", strings.Repeat(scribble(2000), 60) + square, 1, true},
		{"retraced over and over", `<path d="M0,0` + strings.Repeat("H90V1H0V0", 30_000) + `z"/>` + square, 1, true},
		{"a comb cut by a comb", `<clipPath id="c">` + comb("rotate(90,50,50)") + `</clipPath><g clip-path="url(#c)">` + comb("") + `</g>` + square, 1, true},
	} {
		d := readText(t, page(c.content))
		var z Zoned
		limits.Reader(t, func() { z = Zones(context.Background(), d) })
		require.Len(t, z.Pattern.Zones, c.zones, c.name)
		assert.Equal(t, "rect#kept", z.Pattern.Zones[c.zones-1].Name, c.name)
		assert.Equal(t, c.tangled, z.Findings.Has("drawing-shape-tangled"), c.name)
	}
}

func TestZonesCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	z := Zones(ctx, readText(t, page(`<rect width="1" height="1"/>`)))
	assert.Empty(t, z.Pattern.Zones)
	assert.True(t, z.Findings.Has("drawing-cancelled"))
}

func sample(t testing.TB, name string) []byte {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "drawings", name))
	require.NoError(t, err)
	return data
}

// The sample drawings against closed forms.
func TestSampleWaves(t *testing.T) {
	d := Read(context.Background(), sample(t, "harbour-waves.svg"), Options{})
	assert.Equal(t, plane.Point{X: 90, Y: 90}, d.SizeMM)
	assert.Len(t, d.Lines, 48)
	_, found := Check(d.Lines, 0.4, 0.42)
	assert.Empty(t, found)
	for _, l := range d.Lines {
		for _, p := range l.Points {
			assert.LessOrEqual(t, p.Dist(plane.Point{X: 45, Y: 45}), 43+1e-9)
		}
		for _, end := range []plane.Point{l.Points[0], l.Points[len(l.Points)-1]} {
			assert.InDelta(t, 43, end.Dist(plane.Point{X: 45, Y: 45}), 0.0101, "lines end on the clip")
		}
	}
}

func TestSampleBookmark(t *testing.T) {
	d := Read(context.Background(), sample(t, "reading-bookmark.svg"), Options{})
	assert.Equal(t, 1.0, d.Unit.MMPerUserUnit, "its strokes are beads when a unit is 1 mm")
	assert.Equal(t, plane.Point{X: 36, Y: 140}, d.SizeMM)
	require.Len(t, d.Lines, 12+24+40)
	for i := range 12 {
		inset := 0.21 + 0.42*float64(i)
		r := 8 - inset
		want := 2*(36-2*inset-2*r) + 2*(140-2*inset-2*r) + 2*math.Pi*r
		assert.InDelta(t, want, d.Lines[i].Length(), 0.03)
	}
	for i := range 24 {
		// A polyline of chords with sagitta t is shorter than its circle by a
		// share of about 2t/3r.
		r := 0.42 * float64(i+1)
		assert.InDelta(t, 2*math.Pi*r, d.Lines[12+i].Length(), 2*math.Pi*r*0.0125/r)
	}
	chains := Chain(d.Lines, 0)
	assert.Len(t, chains, 12+24+20, "the two halves of each page are joined")
}

func TestSampleLighthouse(t *testing.T) {
	d := Read(context.Background(), sample(t, "lighthouse-zones.svg"), Options{})
	require.Len(t, d.Shapes, 12)
	z := Zones(context.Background(), d)
	assert.Empty(t, z.Findings)
	require.Len(t, z.Pattern.Zones, 11+radialSectors)
	panel := 100*100 - (4-math.Pi)*36
	assert.InDelta(t, panel, z.Pattern.Zones[0].Region.Area(), 0.3, "the sky fills the rounded panel")
	assert.InDelta(t, math.Pi*81, z.Pattern.Zones[1].Region.Area(), 0.4)
	for i, zone := range z.Pattern.Zones {
		assert.Positive(t, zone.Region.Area(), "zone %d", i)
		if zone.Name == "path#sail" {
			assert.True(t, z.Pinned[i])
		}
	}
}
