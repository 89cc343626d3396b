package footprint_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/footprint"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

const (
	width  = 0.45
	height = 0.2
)

// stroke lays points with the filament of a stadium bead of the given width.
func stroke(width float64, points ...plane.Point) deposit.Stroke {
	s := deposit.Stroke{Points: points, Z: height}
	for i := 1; i < len(points); i++ {
		s.E = append(s.E, points[i].Dist(points[i-1])*bead.EPerMM(bead.Stadium.Area(width, height), 1.75, 1))
		s.Feed = append(s.Feed, 1200)
	}
	return s
}

// ring lays a closed loop.
func ring(width float64, r plane.Ring) deposit.Stroke {
	return stroke(width, append(append([]plane.Point{}, r...), r[0])...)
}

func layer(strokes ...deposit.Stroke) deposit.Layer {
	return deposit.Layer{Z: height, Height: height, Strokes: strokes}
}

func box(x0, y0, x1, y1 float64) plane.Ring {
	return plane.Ring{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// rows lays lines inside a box, pitch apart.
func rows(x0, y0, x1, y1, pitch float64) (out []deposit.Stroke) {
	for y := y0 + width/2; y <= y1-width/2+1e-9; y += pitch {
		out = append(out, stroke(width, plane.Point{X: x0 + width/2, Y: y}, plane.Point{X: x1 - width/2, Y: y}))
	}
	return out
}

var pitch = bead.Stadium.Pitch(width, height)

// plate lays a box with one wall and fill.
func plate(x0, y0, x1, y1 float64) []deposit.Stroke {
	h := width / 2
	return append([]deposit.Stroke{ring(width, box(x0+h, y0+h, x1-h, y1-h))}, rows(x0+h, y0+h+0.1, x1-h, y1-h-0.1, pitch)...)
}

func codes(list finding.List) (out []string) {
	for _, f := range list {
		out = append(out, f.Code)
	}
	return out
}

// TestBadInput holds every kind of odd first layer to a result or a reason.
func TestBadInput(t *testing.T) {
	spiral := []plane.Point{}
	for i := 0; i <= 720; i++ {
		spiral = append(spiral, plane.Point{X: 20}.Turn(float64(i)*math.Pi/180).Add(plane.Point{X: 50, Y: 50}))
	}
	varying := ring(width, box(0, 0, 30, 20))
	thick := append(plate(0, 0, 30, 20), rows(40, 0, 60, 20, pitch)...)
	for i := len(thick) - 30; i < len(thick); i++ {
		for k := range thick[i].E {
			thick[i].E[k] *= 1.4
		}
	}
	broken := plate(0, 0, 30, 20)
	broken = append(broken, deposit.Stroke{}, stroke(width, plane.Point{X: math.NaN()}, plane.Point{X: 4}), deposit.Stroke{Points: []plane.Point{{}, {X: 1}}})
	noFeed := ring(width, box(0, 0, 30, 20))
	clear(noFeed.E)
	var many []deposit.Stroke
	for i := range 300 {
		x, y := float64(i%20)*10, float64(i/20)*10
		many = append(many, plate(x, y, x+8, y+8)...)
	}
	for _, c := range []struct {
		name    string
		layer   deposit.Layer
		area    float64 // 0 = refused
		islands int
		code    string
	}{
		{"empty", layer(), 0, 0, "footprint-empty"},
		{"no filament", layer(noFeed), 0, 0, "footprint-no-width"},
		{"no height", deposit.Layer{Strokes: plate(0, 0, 30, 20)}, 600, 1, ""},
		{"only a skirt by name", layer(func() deposit.Stroke { s := varying; s.Label = "skirt"; return s }()), 0, 0, "footprint-no-piece"},
		{"only a brim by name", layer(func() deposit.Stroke { s := varying; s.Label = "Brim"; return s }()), 0, 0, "footprint-no-piece"},
		{"walls without fill", layer(ring(width, box(0, 0, 30, 20)), ring(width, box(pitch, pitch, 30-pitch, 20-pitch))), 0.45*100 + pitch*98, 1, "footprint-no-fill"},
		{"a single loop", layer(varying), 100 * width, 1, "footprint-no-fill"},
		{"spiral vase, two turns on top of each other", layer(stroke(width, spiral...)), 2 * math.Pi * 20 * width, 1, "footprint-no-fill"},
		{"gaps larger than a line", layer(append([]deposit.Stroke{ring(width, box(0.225, 0.225, 29.775, 19.775))}, rows(0.3, 0.3, 29.7, 19.7, 3)...)...), 600, 1, "footprint-gaps"},
		{"no walls", layer(rows(0, 0, 30, 20, pitch)...), 600, 1, "footprint-no-walls"},
		{"widths differ", layer(thick...), 0, 2, "footprint-widths-vary"},
		{"stray coordinate", layer(append(plate(0, 0, 30, 20), stroke(width, plane.Point{X: 1e6, Y: 1e6}, plane.Point{X: 1e6 + 5, Y: 1e6}))...), 0, 0, "footprint-too-wide"},
		{"broken strokes", layer(broken...), 600, 1, "footprint-broken-stroke"},
		{"300 islands", layer(many...), 300 * 64, 300, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := read(c.layer)
			if c.code != "" {
				assert.Contains(t, codes(got.Findings), c.code)
			} else {
				assert.Empty(t, got.Findings)
			}
			if c.islands == 0 {
				assert.Empty(t, got.Region)
				assert.Equal(t, finding.Stop, got.Findings.Worst())
				return
			}
			assert.Len(t, got.Islands, c.islands)
			if c.area > 0 {
				assert.InDelta(t, 1, got.Region.Area()/c.area, 0.01)
			}
			for _, f := range got.Findings {
				assert.NotEmpty(t, f.Text)
				assert.NotEmpty(t, f.Remedy)
			}
		})
	}
}

// closedUnion is the exact answer where there are no walls: the union of all
// beads as polygons, grown by half a line and shrunk again.
func closedUnion(l deposit.Layer) plane.Region {
	var capsules []plane.Ring
	for _, s := range l.Strokes {
		for i := 1; i < len(s.Points); i++ {
			u := s.Points[i].Sub(s.Points[i-1]).Unit().Mul(width / 2)
			var r plane.Ring
			for k := range 32 {
				end := s.Points[i]
				if k >= 16 {
					end = s.Points[i-1]
				}
				r = append(r, end.Add(u.Turn(-math.Pi/2+math.Pi*float64(k-k/16)/15)))
			}
			capsules = append(capsules, r)
		}
	}
	g := overlay.Normalize(capsules, overlay.NonZero)
	g = overlay.Offset(g, width/2, overlay.Round(), 0.001)
	return overlay.Offset(g, -width/2, overlay.Round(), 0.001)
}

// TestWithoutWalls rebuilds shapes from fill alone, at several turns.
func TestWithoutWalls(t *testing.T) {
	worst := 0.0
	for _, shape := range []specimen.Shape{specimen.Rectangle(12, 8), specimen.Annulus(6, 3), specimen.Letter(20), specimen.Slits(12, 8, 2, 0.8), specimen.Twins(5, 6, 0.6), specimen.Tag(14, 8, 2)} {
		for _, turn := range []float64{0, 10, 45, 77.7} {
			t.Run(fmt.Sprintf("%s/%g", shape.Name, turn), func(t *testing.T) {
				s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 110, Y: 100}, TurnDegree: turn, FillDegree: 30, Layers: 1})
				l := layerOf(s)
				got, want := read(l), closedUnion(l)
				d := math.Max(borderDistance(got.Region, want), borderDistance(want, got.Region))
				assert.Less(t, d, 0.05)
				worst = math.Max(worst, d)
				assert.InDelta(t, 1, got.Region.Area()/want.Area(), 0.005)
				assert.Len(t, got.Islands, len(overlay.Islands(want)))
			})
		}
	}
	t.Logf("largest boundary error %.3f mm", worst)
}

// TestUnionOfBeadsIsExact holds the outline of bare beads, spaced so that the
// closing fills the valleys between them, against the closed form: a stadium
// whose rows are all there is the box of the lines grown by half a bead, less
// the corners and the valleys left at the row ends.
func TestUnionOfBeadsIsExact(t *testing.T) {
	lines := rows(0, 0, 30, 20, pitch)
	top := lines[len(lines)-1].Points[0].Y + width/2
	for _, degrees := range []float64{0, 12, 45, 90, 133} {
		m := plane.Rotate(degrees * math.Pi / 180).Then(plane.Translate(100, 100))
		var turned []deposit.Stroke
		for _, s := range lines {
			s.Points = m.ApplyLine(s.Points)
			turned = append(turned, s)
		}
		got := read(layer(turned...))
		want := m.ApplyRegion(plane.Region{box(0, 0, 30, top)})
		require.Len(t, got.Region, 1)
		assert.Less(t, borderDistance(got.Region, want), 0.1, "valleys are 0.06 mm deep")
		// The sides along the rows are straight and must be met.
		side := []plane.Point{m.Apply(plane.Point{X: 10}), m.Apply(plane.Point{X: 20, Y: top}), m.Apply(plane.Point{X: 15})}
		for _, p := range side {
			assert.Less(t, toBorder(p, got.Region), 0.05, "turned %g", degrees)
		}
	}
}

func TestBrimByShapeAlone(t *testing.T) {
	for _, c := range []struct {
		shape specimen.Shape
		brim  int
		walls int
	}{
		{specimen.Annulus(15, 6), 3, 2}, {specimen.Tag(40, 18, 3), 2, 1}, {specimen.Letter(40), 4, 2},
		{specimen.Rectangle(30, 20), 3, 2}, {specimen.Disc(12), 2, 3},
	} {
		t.Run(fmt.Sprintf("%s/%d", c.shape.Name, c.brim), func(t *testing.T) {
			s := specimen.Make(specimen.Options{Shape: c.shape, At: plane.Point{X: 100, Y: 100}, Walls: c.walls, Brim: c.brim, Layers: 1, FillDegree: 20})
			got := read(layerOf(s))
			assert.InDelta(t, 1, got.Region.Area()/overlay.Normalize(s.Truth.Footprint, overlay.EvenOdd).Area(), 0.005)
			for i, want := range s.Truth.Strokes {
				assert.Equal(t, want.Class, got.Strokes[i].Class, "stroke %d", i)
			}
			assert.Equal(t, c.walls, got.WallDepth)
		})
	}
}

func TestCorrectionsOverrule(t *testing.T) {
	l := layer(plate(0, 0, 30, 20)...)
	l.Strokes = append(l.Strokes, plate(50, 0, 60, 10)...)
	first := len(plate(0, 0, 30, 20))
	fix := map[int]deposit.Class{}
	for i := first; i < len(l.Strokes); i++ {
		fix[i] = deposit.Support
	}
	got := footprint.Of(context.Background(), l, footprint.Options{Corrections: fix})
	assert.Len(t, got.Islands, 1)
	assert.InDelta(t, 600, got.Region.Area(), 0.5)
	assert.Equal(t, deposit.Support, got.Strokes[first].Class)
	assert.Equal(t, 1.0, got.Strokes[first].Confidence)
	assert.Equal(t, deposit.Unknown, l.Strokes[first].Class, "the layer is not touched")
}

func TestFilamentAndSection(t *testing.T) {
	for _, c := range []struct {
		filament, width, height float64
		section                 bead.Model
	}{
		{1.75, 0.45, 0.2, bead.Stadium}, {2.85, 0.45, 0.2, bead.Stadium}, {1.75, 0.42, 0.25, bead.Stadium},
		{1.75, 0.45, 0.2, bead.Rectangle}, {2.85, 0.5, 0.3, bead.Rectangle}, {1.75, 0.8, 0.4, bead.Stadium},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			perMM := bead.EPerMM(c.section.Area(c.width, c.height), c.filament, 1)
			p := c.section.Pitch(c.width, c.height)
			l := deposit.Layer{Height: c.height}
			add := func(points ...plane.Point) {
				s := deposit.Stroke{Points: points}
				for i := 1; i < len(points); i++ {
					s.E, s.Feed = append(s.E, math.Round(points[i].Dist(points[i-1])*perMM*1e5)/1e5), append(s.Feed, 1200)
				}
				l.Strokes = append(l.Strokes, s)
			}
			r := box(c.width/2, c.width/2, 30-c.width/2, 20-c.width/2)
			add(append(r, r[0])...)
			for y := c.width * 1.4; y < 20-c.width*1.4; y += p {
				add(plane.Point{X: c.width * 1.4, Y: y}, plane.Point{X: 30 - c.width*1.4, Y: y})
			}
			got := read(l)
			assert.Equal(t, c.filament, got.FilamentDiameterMM)
			assert.Equal(t, c.section, got.Section)
			assert.InDelta(t, c.width, got.LineWidthMM, 0.001)
			assert.InDelta(t, p, got.PitchMM, 0.001)
			assert.InDelta(t, 600, got.Region.Area(), 0.2)
			given := footprint.Of(context.Background(), l, footprint.Options{FilamentMM: c.filament})
			assert.InDelta(t, c.width, given.LineWidthMM, 0.001)
		})
	}
}

func TestInsideKeptWallsAndMargin(t *testing.T) {
	s := specimen.Make(specimen.Options{Shape: specimen.Rectangle(30, 20), At: plane.Point{X: 60, Y: 60}, Walls: 2, Layers: 1})
	got := read(layerOf(s))
	w, p := s.Truth.WidthMM, s.Truth.PitchMM
	assert.InDelta(t, 600, got.InsideKeptWalls(0, 0.15).Area(), 0.1)
	for k, inset := range []float64{0, w/2 + p/2 - 0.15*w, w/2 + 1.5*p - 0.15*w, w/2 + 1.5*p - 0.15*w} {
		assert.InDelta(t, (30-2*inset)*(20-2*inset), got.InsideKeptWalls(k, 0.15).Area(), 0.15, "%d walls", k)
	}
	assert.InDelta(t, 32*22, got.Margin(1).Area(), 0.1)
	assert.InDelta(t, 28*18, got.Margin(-1).Area(), 0.1)
}

// TestKeepingEverythingReproducesTheDeposit keeps all classes and all walls: the
// same strokes in the same order, and the same filament.
func TestKeepingEverythingReproducesTheDeposit(t *testing.T) {
	for _, shape := range shapes {
		s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 110, Y: 100}, Walls: 3, Layers: 1, Skirt: true, Brim: 2, PrimeLine: true, Support: true, Types: specimen.TypeSet(1)})
		l := layerOf(s)
		got := read(l)
		kept := got.Kept(got.WallDepth, deposit.Unknown, deposit.Fill, deposit.Skirt, deposit.Brim, deposit.Support, deposit.Priming)
		require.Len(t, kept, len(l.Strokes), shape.Name)
		total, all := 0.0, 0.0
		for i, k := range kept {
			require.Equal(t, i, k)
			require.Equal(t, l.Strokes[i].Points, got.Strokes[k].Points)
			require.Equal(t, l.Strokes[i].E, got.Strokes[k].E)
			total, all = total+got.Strokes[k].Filament(), all+l.Strokes[i].Filament()
		}
		assert.InEpsilon(t, all, total, 1e-12)
		// The default: no walls, no fill.
		for _, k := range got.Kept(0, deposit.Skirt, deposit.Brim, deposit.Support) {
			c := got.Strokes[k].Class
			assert.True(t, c == deposit.Skirt || c == deposit.Brim || c == deposit.Support)
		}
		one := got.Kept(1)
		assert.NotEmpty(t, one)
		for _, k := range one {
			assert.Equal(t, deposit.Wall, got.Strokes[k].Class)
		}
	}
}

// TestTurningAndMovingMovesTheResultOnly turns strokes, not shapes, so that every
// number of the file changes.
func TestTurningAndMovingMovesTheResultOnly(t *testing.T) {
	for _, shape := range shapes {
		s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 110, Y: 100}, Walls: 2, Layers: 1, Skirt: true, FillDegree: 45})
		base := read(layerOf(s))
		for _, degrees := range []float64{3, 61, 199} {
			m := plane.Rotate(degrees * math.Pi / 180).Then(plane.Translate(30, -80))
			l := layerOf(s)
			for i := range l.Strokes {
				l.Strokes[i].Points = m.ApplyLine(l.Strokes[i].Points)
			}
			got := read(l)
			back := m.ApplyRegion(base.Region)
			assert.InDelta(t, base.Region.Area(), got.Region.Area(), 1e-2, shape.Name)
			assert.Less(t, borderDistance(got.Region, back), 0.002, shape.Name)
			assert.Equal(t, len(base.Islands), len(got.Islands))
			for i := range base.Strokes {
				require.Equal(t, base.Strokes[i].Class, got.Strokes[i].Class, "%s stroke %d", shape.Name, i)
			}
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	got := footprint.Of(ctx, layer(plate(0, 0, 30, 20)...), footprint.Options{})
	assert.Empty(t, got.Region)
	assert.True(t, got.Findings.Has("footprint-cancelled"))
}

func BenchmarkOf(b *testing.B) {
	for _, side := range []float64{20, 63, 200} {
		b.Run(fmt.Sprintf("meters=%.0f", side*side/pitch/1000), func(b *testing.B) {
			// Rows in moves of about 1.6 mm, 60,000 of them for 100 m.
			l := layer(plate(0, 0, side, side)...)
			moves := 0
			for i, s := range l.Strokes {
				var points []plane.Point
				for k := 1; k < len(s.Points); k++ {
					n := math.Ceil(s.Points[k].Dist(s.Points[k-1]) / 1.6)
					for j := 0.0; j < n; j++ {
						points = append(points, s.Points[k-1].Lerp(s.Points[k], j/n))
					}
				}
				l.Strokes[i] = stroke(width, append(points, s.Points[len(s.Points)-1])...)
				moves += len(points)
			}
			b.ReportMetric(float64(moves), "moves")
			b.ReportAllocs()
			for b.Loop() {
				read(l)
			}
		})
	}
	b.Run("islands=300", func(b *testing.B) {
		var l deposit.Layer = layer()
		for i := range 300 {
			x, y := float64(i%20)*10, float64(i/20)*10
			l.Strokes = append(l.Strokes, plate(x, y, x+8, y+8)...)
		}
		b.ReportAllocs()
		for b.Loop() {
			read(l)
		}
	})
}

func TestIslandsCarryTheirObject(t *testing.T) {
	s := specimen.Make(specimen.Options{Shape: specimen.Tag(20, 10, 2), At: plane.Point{X: 60, Y: 60}, Walls: 1, Layers: 1,
		Copies: []plane.Point{{X: 40}, {Y: 30}}})
	l := layerOf(s)
	for i := range l.Strokes {
		p := l.Strokes[i].Points[0]
		l.Strokes[i].Object = map[bool]string{true: "far ", false: "near "}[p.X > 80] + map[bool]string{true: "high", false: "low"}[p.Y > 75]
	}
	got := read(l)
	require.Len(t, got.Islands, 3)
	seen := map[string]bool{}
	for _, g := range got.Islands {
		assert.NotEmpty(t, g.Object)
		seen[g.Object] = true
		assert.InDelta(t, 200-4*math.Pi, g.AreaMM2, 0.05)
	}
	assert.Len(t, seen, 3)
	for _, w := range got.Walls {
		assert.GreaterOrEqual(t, w.Island, 0)
		assert.Equal(t, got.Islands[w.Island].Object, got.Strokes[w.Stroke].Object)
		assert.Equal(t, 1, w.Depth)
	}
}

// TestClassesByShape has no comments at all: what lies around the piece must be
// told by shape, place and order.
func TestClassesByShape(t *testing.T) {
	piece := plate(60, 60, 90, 80)
	at := func(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }
	loops := func(n int, x0, y0, x1, y1 float64) (out []deposit.Stroke) {
		for k := range n {
			d := pitch * float64(k)
			out = append(out, ring(width, box(x0-d, y0-d, x1+d, y1+d)))
		}
		return out
	}
	var supports []deposit.Stroke
	for k := range 6 {
		x := 100 + 2*float64(k)
		supports = append(supports, stroke(width, at(x, 60), at(x, 75)))
	}
	zigzag := []plane.Point{}
	for k := range 8 {
		x := 100 + 1.5*float64(k)
		zigzag = append(zigzag, at(x, 60+15*float64(k%2)), at(x, 75-15*float64(k%2)))
	}
	second := plate(110, 60, 130, 80)
	for _, c := range []struct {
		name  string
		extra []deposit.Stroke
		first bool // laid before the piece
		class deposit.Class
	}{
		{"priming line", []deposit.Stroke{stroke(width, at(5, 5), at(65, 5))}, true, deposit.Priming},
		{"priming line and back", []deposit.Stroke{stroke(width, at(5, 5), at(65, 5), at(65, 5.4), at(5, 5.4))}, true, deposit.Priming},
		{"two priming lines", []deposit.Stroke{stroke(width, at(5, 5), at(5, 65)), stroke(width, at(5.4, 65), at(5.4, 5))}, true, deposit.Priming},
		{"one skirt loop", loops(1, 55, 55, 95, 85), true, deposit.Skirt},
		{"three skirt loops", loops(3, 55, 55, 95, 85), true, deposit.Skirt},
		{"skirt laid last", loops(2, 55, 55, 95, 85), false, deposit.Skirt},
		{"support lines", supports, false, deposit.Support},
		{"support zigzag", []deposit.Stroke{stroke(width, zigzag...)}, false, deposit.Support},
		{"second part", second, false, deposit.Unknown},
		{"fill without walls", rows(100, 60, 115, 75, pitch), false, deposit.Fill},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := append(append([]deposit.Stroke{}, piece...), c.extra...)
			from := len(piece)
			if c.first {
				all, from = append(append([]deposit.Stroke{}, c.extra...), piece...), 0
			}
			got := read(layer(all...))
			for i := range all {
				own := i >= from && i < from+len(c.extra)
				switch s := got.Strokes[i]; {
				case own && c.class != deposit.Unknown:
					assert.Equal(t, c.class, s.Class, "stroke %d", i)
				case len(s.Points) == 5:
					assert.Equal(t, deposit.Wall, s.Class, "stroke %d", i)
				default:
					assert.Equal(t, deposit.Fill, s.Class, "stroke %d", i)
				}
			}
			islands := 1
			if c.class == deposit.Unknown || c.class == deposit.Fill {
				islands = 2
			}
			assert.Len(t, got.Islands, islands)
		})
	}
}

func TestThinPartBesideAWallIsNotLost(t *testing.T) {
	all := plate(0, 0, 30, 20)
	all = append(all, stroke(width, plane.Point{X: 29.9, Y: 10}, plane.Point{X: 36, Y: 10}))
	got := read(layer(all...))
	require.Len(t, got.Islands, 1)
	assert.InDelta(t, 600+6*width+math.Pi*width*width/8, got.Region.Area(), 0.1)
}

func TestWordsOfComments(t *testing.T) {
	for label, want := range map[string]deposit.Class{
		"Outer wall": deposit.Wall, "External perimeter": deposit.Wall, "WALL-INNER": deposit.Wall, "Bottom surface": deposit.Fill,
		"solid infill": deposit.Fill, "SKIRT": deposit.Skirt, "Brim": deposit.Brim, "support interface": deposit.Support,
		"Support wall": deposit.Support, "Prime tower": deposit.Priming, "Wand": deposit.Wall, "Schürze": deposit.Skirt,
		"Stütze": deposit.Support, "Boden": deposit.Fill,
	} {
		l := layer(plate(0, 0, 30, 20)...)
		l.Strokes = append(l.Strokes, stroke(width, plane.Point{X: 50}, plane.Point{X: 60}))
		l.Strokes[0].Label = "something"
		l.Strokes[len(l.Strokes)-1].Label = label
		got := read(l)
		assert.Equal(t, want, got.Strokes[len(l.Strokes)-1].Class, label)
		assert.Equal(t, 0.95, got.Strokes[len(l.Strokes)-1].Confidence, label)
	}
}

// TestAnythingIsAnswered reads layers of random strokes: no panic, and either a
// region in order or a finding that stops.
func TestAnythingIsAnswered(t *testing.T) {
	for k := range 100 {
		rng := rand.New(rand.NewPCG(61, uint64(k)))
		l := deposit.Layer{Height: []float64{0, 0.2, 0.3, -1, math.NaN()}[rng.IntN(5)]}
		for range rng.IntN(30) {
			var points []plane.Point
			at := plane.Point{X: 50 * rng.Float64(), Y: 50 * rng.Float64()}
			for range rng.IntN(20) {
				points = append(points, at)
				at = at.Add(plane.Point{X: 10*rng.Float64() - 5, Y: 10*rng.Float64() - 5}.Mul(float64(rng.IntN(3))))
			}
			if len(points) > 2 && rng.IntN(2) == 0 {
				points = append(points, points[0])
			}
			s := stroke(0.2+rng.Float64(), points...)
			s.Label = []string{"", "wall", "fill", "x", "Brim"}[rng.IntN(5)]
			l.Strokes = append(l.Strokes, s)
		}
		got := read(l)
		if len(got.Region) == 0 {
			require.Equal(t, finding.Stop, got.Findings.Worst(), "case %d", k)
			continue
		}
		require.Greater(t, got.Region.Area(), 0.0, "case %d", k)
		got.InsideKeptWalls(2, 0.15)
		got.Margin(3)
	}
}

// TestACommentOfTheHeadIsNoType: a setting in the file's head would name every
// stroke that no type comment follows.
func TestACommentOfTheHeadIsNoType(t *testing.T) {
	for _, label := range []string{"wall loops 2", "walls", "skirt loops", "support", "fill"} {
		l := layer(plate(0, 0, 30, 20)...)
		for i := range l.Strokes {
			l.Strokes[i].Label = label
		}
		got := read(l)
		assert.InDelta(t, 600, got.Region.Area(), 0.5, label)
		assert.Equal(t, deposit.Wall, got.Strokes[0].Class, label)
		assert.Equal(t, deposit.Fill, got.Strokes[1].Class, label)
	}
}
