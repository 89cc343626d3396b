package footprint_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/deposit"
	"sheenlay/engine/footprint"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

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
		{"priming line round a corner", []deposit.Stroke{stroke(width, at(5, 5), at(5, 45), at(45, 45))}, true, deposit.Priming},
		{"support with a wall", append(loops(1, 97, 57, 115, 78), stroke(width, zigzag...)), false, deposit.Support},
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

// TestBrimWithoutWalls: many loops round a bare fill that does not bond with them
// are no wall, so the piece does not grow by them; the classes are honestly unsure.
func TestBrimWithoutWalls(t *testing.T) {
	for _, shape := range []specimen.Shape{specimen.Annulus(15, 6), specimen.Tag(40, 18, 3), specimen.Letter(40), specimen.Rectangle(30, 20), specimen.Disc(12)} {
		for _, brim := range []int{5, 8} {
			for _, turn := range []float64{0, 20, 45} {
				t.Run(fmt.Sprintf("%s/%d/%g", shape.Name, brim, turn), func(t *testing.T) {
					o := specimen.Options{Shape: shape, At: plane.Point{X: 100, Y: 100}, Layers: 1, FillDegree: turn}
					bare := read(layerOf(specimen.Make(o)))
					o.Brim = brim
					s := specimen.Make(o)
					got := read(layerOf(s))
					for i, want := range s.Truth.Strokes {
						assert.Equal(t, want.Class, got.Strokes[i].Class, "stroke %d", i)
						if want.Class == deposit.Brim {
							assert.Less(t, got.Strokes[i].Confidence, 0.7)
						}
					}
					assert.InDelta(t, 1, got.Region.Area()/bare.Region.Area(), 0.001)
					assert.Contains(t, codes(got.Findings), "footprint-no-walls")
				})
			}
		}
	}
}

// TestFewLoopsAreWalls: one to four loops with fill inside are walls, however
// much the fill overlaps them or the bead is fed short or rich; where it does not
// bond the person is told that nothing but the place tells. Loops that stand off
// the fill are skirt.
func TestFewLoopsAreWalls(t *testing.T) {
	const step = width // a slicing that lays lines a whole width apart
	for walls := 1; walls <= 4; walls++ {
		for _, flow := range []float64{0.9, 0.95, 1, 1.05} {
			for _, c := range []struct {
				name   string
				apart  float64 // lines between the innermost loop and the ends of fill
				class  deposit.Class
				unsure bool
			}{
				{"bonds by a quarter", 0.75, deposit.Wall, false},
				{"touches", 1, deposit.Wall, true},
				{"stands off", 1.25, deposit.Skirt, false},
			} {
				t.Run(fmt.Sprintf("%d/%g/%s", walls, flow, c.name), func(t *testing.T) {
					var strokes []deposit.Stroke
					for k := range walls {
						d := (float64(k) + 0.5) * step
						strokes = append(strokes, ring(width, box(d, d, 40-d, 30-d)))
					}
					d := (float64(walls) - 0.5 + c.apart) * step
					zigzag, right := []plane.Point{}, false
					for y := d; y <= 30-d; y += step {
						for _, x := range [2]bool{right, !right} {
							p := plane.Point{X: d, Y: y}
							if x {
								p.X = 40 - d
							}
							zigzag = append(zigzag, p)
						}
						right = !right
					}
					strokes = append(strokes, stroke(width, zigzag...))
					for i := range strokes {
						for k := range strokes[i].E {
							strokes[i].E[k] *= flow
						}
					}
					got := read(layer(strokes...))
					for i := range walls {
						assert.Equal(t, c.class, got.Strokes[i].Class, "loop %d", i)
					}
					if c.unsure && flow >= 0.95 {
						assert.Contains(t, codes(got.Findings), "footprint-class-unsure")
					}
				})
			}
		}
	}
}
