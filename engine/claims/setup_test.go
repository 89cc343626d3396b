package claims

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

func setupOf(lines ...string) *Setup {
	s := new(Setup)
	for _, line := range lines {
		s.Line([]byte(line))
	}
	return s
}

// Shapes of lines that give the width of a nozzle: words of a key, a number from
// 0.1 to 2, one or one for each tool. No published source: common practice.
func TestNozzleOfAFile(t *testing.T) {
	for _, row := range []struct {
		name  string
		lines []string
		tool  int
		want  float64 // 0: not noted
	}{
		{"nothing", nil, 0, 0},
		{"key and equals", []string{"; nozzle_diameter = 0.6"}, 0, 0.6},
		{"key and colon, no blanks", []string{";NOZZLE_DIAMETER:0.25"}, 0, 0.25},
		{"words and a unit", []string{"; Nozzle diameter: 0.4 mm"}, 0, 0.4},
		{"unit against the number", []string{";nozzle size=0.4mm"}, 0, 0.4},
		{"words of another language", []string{"; Düsendurchmesser = 0.5"}, 0, 0.5},
		{"no sign between them", []string{"; nozzle 0.8 mm"}, 0, 0.8},
		{"in brackets", []string{"(nozzle diameter = 0.4)"}, 0, 0.4},
		{"indented", []string{"  ; extruder_nozzle_size = 0.35"}, 0, 0.35},
		{"one for each tool", []string{"; nozzle_diameter = 0.4,0.6"}, 1, 0.6},
		{"fewer than tools, all alike", []string{"; nozzle_diameter = 0.4,0.4"}, 3, 0.4},
		{"fewer than tools, not alike", []string{"; nozzle_diameter = 0.4,0.6"}, 2, 0},
		{"said twice", []string{"; nozzle_diameter = 0.4", ";nozzle size: 0.40"}, 0, 0.4},
		{"its temperature", []string{"; nozzle_temperature = 0.4"}, 0, 0},
		{"its outer width", []string{"; nozzle_tip_outer_diameter = 1.2"}, 0, 0},
		{"smallest that would do", []string{"; min_nozzle_diameter = 0.2"}, 0, 0},
		{"no such nozzle", []string{"; nozzle_diameter = 4"}, 0, 0},
		{"zero, negative and words", []string{"; nozzle_diameter = 0", "; nozzle_diameter = -0.4", "; nozzle_diameter = fine", "; nozzle_diameter ="}, 0, 0},
		{"a bare number after a bare word", []string{"; nozzle 0.4"}, 0, 0},
		{"a move of the nozzle", []string{"; nozzle wipe 0.4 mm"}, 0, 0},
		{"a command", []string{"M117 nozzle diameter = 0.4"}, 0, 0},
		{"a layer comment", []string{";LAYER:0", "; layer 1, z = 0.2"}, 0, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, ok := setupOf(row.lines...).NozzleMM(row.tool)
			assert.Equal(t, row.want != 0, ok)
			assert.Equal(t, row.want, got.Value)
			assert.Empty(t, got.Against)
		})
	}
	got, ok := setupOf("; nozzle_diameter = 0.4", "; nozzle_diameter = 0.6").NozzleMM(0)
	assert.True(t, ok)
	assert.Equal(t, Noted[float64]{0.4, "; nozzle_diameter = 0.4", "; nozzle_diameter = 0.6"}, got, "two lines that contradict each other are both named")
}

// disc writes the outline of a round bed as a list of points.
func disc(x, y, radius float64, corners int) string {
	var out []string
	for k := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(corners))
		out = append(out, fmt.Sprintf("%gx%g", x+radius*cos, y+radius*sin))
	}
	return strings.Join(out, ",")
}

func box(x0, y0, x1, y1 float64) plane.Box {
	return plane.Box{Min: plane.Point{X: x0, Y: y0}, Max: plane.Point{X: x1, Y: y1}}
}

func TestBedOfAFile(t *testing.T) {
	for _, row := range []struct {
		name  string
		lines []string
		want  *Bed
	}{
		{"nothing", nil, nil},
		{"four corners", []string{"; bed_shape = 0x0,250x0,250x210,0x210"}, &Bed{Box: box(0, 0, 250, 210), Placed: true}},
		{"four corners in brackets", []string{"; printable area: (0, 0) (180, 0) (180, 180) (0, 180)"}, &Bed{Box: box(0, 0, 180, 180), Placed: true}},
		{"about the middle", []string{";BED_OUTLINE:-110x-110,110x-110,110x110,-110x110"}, &Bed{Box: box(-110, -110, 110, 110), Placed: true}},
		{"off the corner", []string{"; bed_shape = -5x-8,215x-8,215x202,-5x202"}, &Bed{Box: box(-5, -8, 215, 202), Placed: true}},
		{"more corners on its sides", []string{"; bed_shape = 0x0,100x0,200x0,200x200,0x200,0x90"}, &Bed{Box: box(0, 0, 200, 200), Placed: true}},
		{"a disc of 72 corners", []string{"; bed_shape = " + disc(0, 0, 120, 72)}, &Bed{Round: true, Box: box(-120, -120, 120, 120), Placed: true}},
		{"a disc of 400 corners", []string{"; bed_shape = " + disc(100, 100, 100, 400)}, &Bed{Round: true, Box: box(0, 0, 200, 200), Placed: true}},
		{"a shape of its own", []string{"; bed_shape = 0x0,200x0,200x100,100x100,100x200,0x200"}, &Bed{Box: box(0, 0, 200, 200), Placed: true, Corners: 6}},
		{"a hexagon is no disc", []string{"; bed_shape = " + disc(0, 0, 100, 6)}, &Bed{Box: box(-100, -86.6, 100, 86.6), Placed: true, Corners: 6}},
		{"a pair", []string{"; bed size: 220 x 210 mm"}, &Bed{Box: box(0, 0, 220, 210)}},
		{"a pair and a height", []string{"; build volume: 256x256x250"}, &Bed{Box: box(0, 0, 256, 256)}},
		{"a circle by its diameter", []string{"; bed shape: circle, diameter 240"}, &Bed{Round: true, Box: box(0, 0, 240, 240)}},
		{"a circle by its radius", []string{"; bed shape: round, radius 90 mm"}, &Bed{Round: true, Box: box(0, 0, 180, 180)}},
		{"measures on lines of their own", []string{";machine_width = 220", ";machine_depth = 200"}, &Bed{Box: box(0, 0, 220, 200)}},
		{"the same, round", []string{";machine_shape = elliptic", ";machine_width = 240", ";machine_depth = 240"}, &Bed{Round: true, Box: box(0, 0, 240, 240)}},
		{"a diameter alone", []string{"; bed diameter = 180"}, &Bed{Round: true, Box: box(0, 0, 180, 180)}},
		{"a width alone", []string{";machine_width = 220"}, nil},
		{"temperatures of the bed", []string{"; bed_temperature = 60", "; first_layer_bed_temperature = 65", "; bed_temp_area = 60x60"}, nil},
		{"what is left out of it", []string{"; bed_exclude_area = 0x0,18x0,18x28,0x28"}, nil},
		{"too small or too large", []string{"; bed size: 5 x 5", "; bed size: 9000 x 9000", "; bed_shape = 0x0,1x0,1x1,0x1"}, nil},
		{"odd numbers, words, nothing", []string{"; bed_shape = 0x0,1", "; bed_shape = custom", "; bed_shape =", "; bed_shape"}, nil},
		{"a line of zero width", []string{"; bed_shape = 0x0,200x0,100x0"}, nil},
		{"how the piece sticks to it", []string{"; build plate adhesion size = 200x200"}, nil},
		{"widths of lines", []string{"; line width = 220x220", "; first layer plate width = 200x200"}, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, ok := setupOf(row.lines...).Bed()
			require.Equal(t, row.want != nil, ok)
			if !ok {
				return
			}
			assert.Empty(t, got.Against)
			assert.InDelta(t, 0, got.Value.Box.Min.Dist(row.want.Box.Min), 0.02)
			assert.InDelta(t, 0, got.Value.Box.Max.Dist(row.want.Box.Max), 0.02)
			got.Value.Box = row.want.Box
			assert.Equal(t, *row.want, got.Value)
		})
	}
	got, ok := setupOf("; bed size: 220 x 220", "; bed_shape = 0x0,250x0,250x210,0x210").Bed()
	assert.True(t, ok)
	assert.Equal(t, "; bed_shape = 0x0,250x0,250x210,0x210", got.Against)
}

func TestHeightOfAFile(t *testing.T) {
	for line, want := range map[string]float64{
		"; max_print_height = 250": 250, "; printable_height = 180.5": 180.5, ";machine_height:300": 300,
		"; layer_height = 25": 0, "; first layer print height = 200": 0, "; object print height: 30": 0, "; print height: 3": 0,
	} {
		got, ok := setupOf(line).HeightMM()
		assert.Equal(t, want != 0, ok, line)
		if ok {
			assert.Equal(t, want, got.Value, line)
		}
	}
}

func FuzzSetup(f *testing.F) {
	f.Add("; nozzle_diameter = 0.4,0.6\n; bed_shape = 0x0,250x0,250x210,0x210\n;machine_width = 220")
	f.Add("; bed shape: circle, diameter 240\n(nozzle 0.4 mm)\n; print height = 1e9")
	f.Add("; bed_shape = " + strings.Repeat("0x0,", 5000))
	f.Fuzz(func(t *testing.T, text string) {
		lines := strings.Split(text, "\n")
		s := setupOf(lines...)
		if v, ok := s.NozzleMM(0); ok {
			assert.True(t, v.Value >= narrowestNozzle && v.Value <= widestNozzle, v)
		}
		if v, ok := s.HeightMM(); ok {
			assert.True(t, v.Value >= smallestBed && v.Value <= largestBed, v)
		}
		b, ok := s.Bed()
		if ok {
			size := b.Value.Box.Size()
			assert.True(t, min(size.X, size.Y) >= smallestBed && max(size.X, size.Y) <= largestBed, b)
		}
		again, same := setupOf(append(lines, lines...)...).Bed()
		assert.Equal(t, ok, same)
		assert.Equal(t, b.Value, again.Value, "lines said twice say the same")
	})
}
