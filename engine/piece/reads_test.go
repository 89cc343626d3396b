package piece

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// sampled returns the options of a sample.
func sampled(t *testing.T, id string) specimen.Options {
	t.Helper()
	for _, s := range append(specimen.Samples(), specimen.TestFiles()...) {
		if s.ID == id {
			return s.Options
		}
	}
	t.Fatalf("no sample %q", id)
	return specimen.Options{}
}

// withEnd reads a file as hosts do: from its beginning, and then its end.
func withEnd(data []byte) *Piece {
	r := NewReader(Options{Layers: 3, Size: int64(len(data))})
	r.Feed(data)
	r.FeedEnd(data[max(0, len(data)-EndBytes):])
	return r.Finish(context.Background())
}

// shown returns what a piece reads, by path.
func shown(p *Piece) map[string]any {
	out := map[string]any{}
	for _, r := range p.Reads {
		out[r.Path] = r.Value
	}
	return out
}

// The speed is that with which the file was made, to a tenth, and typed by
// nobody; a speed that no usual hot end follows is told and left alone.
func TestSpeedOfTheFirstLayer(t *testing.T) {
	for _, speed := range []float64{8, 22, 33.3, 50} {
		o := sampled(t, "shelf-tag")
		o.PrintMMs = speed
		p := inOne(specimen.Make(o).Bytes)
		require.True(t, p.Settled(), "%v", p.Findings)
		assert.InDelta(t, speed, shown(p)["bead.speedMMs"], 0.05, "%g mm/s", speed)
		assert.False(t, p.Findings.Has("piece-speed-fast"))
	}
	o := sampled(t, "shelf-tag")
	o.PrintMMs = 200
	p := inOne(specimen.Make(o).Bytes)
	require.True(t, p.Settled(), "%v", p.Findings)
	assert.NotContains(t, shown(p), "bead.speedMMs")
	require.True(t, p.Findings.Has("piece-speed-fast"))
	assert.Equal(t, finding.Note, p.Findings.Worst())
}

// The bead is that of the fill, whether or not comments say which lines are
// fill: walls laid slowly and a skirt laid fast do not hide it.
func TestBeadIsThatOfTheFill(t *testing.T) {
	for _, s := range append(specimen.Samples(), specimen.TestFiles()...) {
		p := inOne(specimen.Make(s.Options).Bytes)
		require.True(t, p.Settled(), s.ID)
		assert.Equal(t, deposit.Fill, p.Bead.Class, s.ID)
	}
}

// What comments say of nozzle and bed is taken over with the line as its reason,
// wherever in the file it stands.
func TestWhatCommentsSayOfTheMachine(t *testing.T) {
	plain := string(specimen.Make(sampled(t, "shelf-tag")).Bytes)
	round := func(x, y, r float64) string {
		var out []string
		for k := range 72 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 72)
			out = append(out, fmt.Sprintf("%.3fx%.3f", x+r*cos, y+r*sin))
		}
		return strings.Join(out, ",")
	}
	for _, row := range []struct {
		name, says string
		want       map[string]any // nil: must not be read
		code       string         // of a finding
	}{
		{"nothing", "", map[string]any{"machine.nozzleMM": nil, "machine.bedShape": nil, "machine.bedHeightMM": nil}, ""},
		{"a nozzle", "; nozzle_diameter = 0.6", map[string]any{"machine.nozzleMM": 0.6}, ""},
		{"two nozzles at once", "; nozzle_diameter = 0.6\n; nozzle size: 0.4", map[string]any{"machine.nozzleMM": nil}, "piece-nozzle-disputed"},
		{"a rectangle", "; bed_shape = 0x0,250x0,250x210,0x210", map[string]any{"machine.bedShape": "rect", "machine.bedWidthMM": 250.0, "machine.bedDepthMM": 210.0,
			"machine.origin": "corner", "machine.originXMM": 0.0, "machine.originYMM": 0.0}, ""},
		{"a rectangle off its corner", "; bed_shape = -10x-4,240x-4,240x206,-10x206", map[string]any{"machine.origin": "corner", "machine.originXMM": -10.0, "machine.originYMM": -4.0,
			"machine.bedWidthMM": 250.0}, ""},
		{"a disc with its corner at zero", "; bed_shape = " + round(120, 120, 120), map[string]any{"machine.bedShape": "round", "machine.bedDiameterMM": 240.0,
			"machine.origin": "corner", "machine.originXMM": 0.0}, ""},
		{"a size alone", "; bed size: 300 x 300 mm", map[string]any{"machine.bedShape": "rect", "machine.bedWidthMM": 300.0, "machine.origin": "corner"}, ""},
		{"a height", "; max_print_height = 210", map[string]any{"machine.bedHeightMM": 210.0}, ""},
		{"two heights", "; max_print_height = 210\n; printable height = 180", map[string]any{"machine.bedHeightMM": nil}, "piece-height-disputed"},
		{"another shape", "; bed_shape = 0x0,200x0,200x100,100x100,100x200,0x200", map[string]any{"machine.bedShape": nil, "machine.origin": "corner"}, "piece-bed-shape"},
		{"two beds", "; bed_shape = 0x0,250x0,250x210,0x210\n; bed size: 300 x 300", map[string]any{"machine.bedShape": nil}, "piece-bed-disputed"},
		{"a bed beside the piece", "; bed_shape = 400x400,600x400,600x600,400x600", map[string]any{"machine.bedShape": nil, "machine.origin": "corner"}, "piece-bed-elsewhere"},
	} {
		for where, data := range map[string]string{"first": row.says + "\n" + plain, "last": plain + row.says + "\n"} {
			t.Run(row.name+", "+where, func(t *testing.T) {
				p := withEnd([]byte(data))
				require.True(t, p.Settled(), "%v", p.Findings)
				read := shown(p)
				for path, value := range row.want {
					if value == nil {
						assert.NotContains(t, read, path)
						continue
					}
					assert.Equal(t, value, read[path], path)
				}
				for _, r := range p.Reads {
					if value, ok := row.want[r.Path]; ok && value != nil && r.Path == "machine.bedShape" {
						assert.Contains(t, r.Why, "the file notes it: “; bed", "the line is the reason")
					}
				}
				for _, code := range []string{"piece-nozzle-disputed", "piece-height-disputed", "piece-bed-shape", "piece-bed-disputed", "piece-bed-elsewhere"} {
					assert.Equal(t, row.code == code, p.Findings.Has(code), code)
				}
			})
		}
	}
}

// What a machine says otherwise than the file notes is a caution, by field.
func TestAnotherMachineThanTheFileNotes(t *testing.T) {
	plain := string(specimen.Make(sampled(t, "shelf-tag")).Bytes)
	p := withEnd([]byte(plain + "; nozzle_diameter = 0.6\n; bed_shape = 0x0,250x0,250x210,0x210\n"))
	require.NotNil(t, p.Evidence.Bed)
	asNoted := machine.Default()
	asNoted.NozzleMM, asNoted.BedWidthMM, asNoted.BedDepthMM = 0.6, 250, 210
	assert.Empty(t, asNoted.Disagree(p.Evidence))
	for _, row := range []struct {
		name, code, field string
		change            func(*machine.Machine)
	}{
		{"another nozzle", "machine-nozzle-differs", "machine.nozzleMM", func(m *machine.Machine) { m.NozzleMM = 0.4 }},
		{"another size", "machine-bed-differs", "machine.bedWidthMM", func(m *machine.Machine) { m.BedWidthMM = 300 }},
		{"another origin", "machine-bed-differs", "machine.origin", func(m *machine.Machine) { m.OriginXMM = -10 }},
		{"another shape", "machine-bed-differs", "machine.bedShape", func(m *machine.Machine) { m.BedShape, m.BedDiameterMM = machine.Round, 300 }},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := asNoted
			row.change(&m)
			found := m.Disagree(p.Evidence)
			require.True(t, found.Has(row.code), "%v", found)
			for _, f := range found {
				if f.Code == row.code {
					assert.Equal(t, finding.Caution, f.Level)
					assert.Equal(t, row.field, f.Place.Element)
				}
			}
		})
	}
}

// Files that rise for their travels show by how much; others show nothing.
func TestLiftOfTheFile(t *testing.T) {
	lifted := inOne(specimen.Make(sampled(t, "absolute-retracted-lifted")).Bytes)
	assert.Positive(t, shown(lifted)["machine.liftMM"])
	low := inOne(specimen.Make(sampled(t, "absolute-retracted-low")).Bytes)
	assert.NotContains(t, shown(low), "machine.liftMM")

	var reach machineReach
	for _, d := range []float64{0.4, 0.4, 0.6} {
		reach.lifts.add(d, 1)
	}
	assert.Equal(t, 0.4, reach.lifts.usual())
}

// A round bed with its origin in the middle is told from a rectangle about it.
func TestRoundBedAboutItsMiddle(t *testing.T) {
	o := sampled(t, "shelf-tag")
	o.Centred, o.At = true, plane.Point{}
	p := withEnd(append(specimen.Make(o).Bytes, "; bed shape: circle, diameter 240\n"...))
	read := shown(p)
	assert.Equal(t, "round", read["machine.bedShape"])
	assert.Equal(t, 240.0, read["machine.bedDiameterMM"])
	assert.Equal(t, "centre", read["machine.origin"])
}
