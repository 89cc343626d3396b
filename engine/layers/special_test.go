package layers_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/agnivade/levenshtein"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/layers"
)

// The pairs of published and classical examples: the distance that the library
// computes is plain Levenshtein. Sources: Icon Program Library, University of
// Arizona (Saturday/Sunday, cat/dog, day/may); the others from memory (Jurafsky
// & Martin; Gusfield; Dasgupta et al.) with the distances derived separately.
func TestEditDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"Saturday", "Sunday", 3}, {"cat", "dog", 3}, {"day", "may", 1},
		{"intention", "execution", 5}, {"vintner", "writers", 5}, {"industry", "interest", 6},
		{"ca", "abc", 3}, {"a cat", "an act", 3}, {"exponential", "polynomial", 6},
		{"rosettacode", "raisethysword", 8}, {"", "abc", 3},
	} {
		assert.Equal(t, c.want, levenshtein.ComputeDistance(c.a, c.b), "%s/%s", c.a, c.b)
		assert.Equal(t, c.want, levenshtein.ComputeDistance(c.b, c.a), "%s/%s", c.b, c.a)
	}
}

func square(x, y, side, z float64) string {
	return fmt.Sprintf("G1 Z%.2f F600\nG1 X%g Y%g F6000\nG1 X%g Y%g E1\nG1 X%g Y%g E1\nG1 X%g Y%g E1\nG1 X%g Y%g E1\n",
		z, x, y, x+side, y, x+side, y+side, x, y+side, x, y)
}

const opening = "M83\nG28\nM109 S200\n"
const closing = "G1 E-1 F2400\nM104 S0\n"

func TestCircumstances(t *testing.T) {
	sequential := opening
	for object := range 2 {
		for k := range 5 {
			sequential += fmt.Sprintf(";LAYER:%d\n", k) + square(float64(20+60*object), 20, 30, 0.2*float64(k+1))
		}
	}
	raft := opening
	for k := -2; k < 4; k++ {
		raft += fmt.Sprintf(";LAYER:%d\n", k) + square(20, 20, 30, 0.2*float64(k+3))
	}
	// The Z stated after it is the better marker; the word is of no language.
	stated, dotted := opening, opening
	for k := -2; k < 4; k++ {
		dotted += fmt.Sprintf("; Schicht ..%d -\n", k) + square(20, 20, 30, 0.2*float64(k+3))
		stated += fmt.Sprintf("; blorp %d\n;Z:%.1f\n", k, 0.2*float64(k+3)) + square(20, 20, 30, 0.2*float64(k+3))
	}
	tools := opening + ";LAYER:0\n" + square(20, 20, 30, 0.2) + "T1\n" + square(60, 20, 30, 0.2)
	for k := 1; k < 5; k++ {
		tools += fmt.Sprintf(";LAYER:%d\n", k) + square(20, 20, 30, 0.2*float64(k+1))
	}
	unmarked, flat := "", opening
	for _, l := range strings.SplitAfter(sequential, "\n") {
		if !strings.HasPrefix(l, ";") {
			unmarked += l
		}
	}
	for k := range 5 {
		flat += fmt.Sprintf(";LAYER:%d\n", k) + square(float64(20+2*k), 20, 30, 0.2)
	}
	priming := "G1 Z0.3 F600\nG1 X2 Y20 F6000\nG1 X2 Y180 E10\nG1 X2.4 Y180 F6000\nG1 X2.4 Y20 E10\n"
	spiral := opening + square(20, 20, 30, 0.2)
	for i := range 400 {
		a := float64(i) / 8
		spiral += fmt.Sprintf("G1 X%.3f Y%.3f Z%.3f E0.2\n", 35+15*math.Cos(a), 35+15*math.Sin(a), 0.2+0.003*float64(i+1))
	}
	for _, c := range []struct {
		name, data, code string
		level            finding.Level
	}{
		{"empty", "", "gcode-empty", finding.Stop},
		{"comments only", strings.Repeat("; layer 1\n", 50), "gcode-no-commands", finding.Stop},
		{"prose", strings.Repeat("Dear reader, the library opens at nine!\n", 30), "gcode-no-commands", finding.Stop},
		{"not words", strings.Repeat("<svg width='3'> ? {}\n", 30), "gcode-not", finding.Stop},
		{"binary", strings.Repeat("\x00\x01\x02MZ", 200), "gcode-binary", finding.Stop},
		{"compressed", "\x1f\x8b\x08\x00abc", "gcode-compressed", finding.Stop},
		{"no material", "G28\nG1 X10 Y10 F600\nM84\n", "layers-none", finding.Stop},
		{"rising from the first move", opening + strings.SplitAfterN(spiral, "\n", 12)[11], "layers-spiral", finding.Stop},
		{"spiral above a flat bottom", spiral + closing, "layers-spiral", finding.Note},
		{"one object after another", sequential + closing, "layers-sequential", finding.Stop},
		{"raft by negative numbers", raft + closing, "layers-raft", finding.Stop},
		{"raft by negative numbers beside a stated Z", stated + closing, "layers-raft", finding.Stop},
		{"raft by numbers behind dots", dotted + closing, "layers-raft", finding.Stop},
		{"tool change within the layer", tools + closing, "layers-tool-change", finding.Stop},
		{"one layer", opening + ";LAYER:0\n" + square(20, 20, 30, 0.2) + closing, "layers-one", finding.Caution},
		{"start code with a priming line and nothing behind", opening + priming, "layers-truncated", finding.Caution},
		{"start code with a priming line, and an end", opening + priming + closing, "layers-one", finding.Caution},
		{"markers, and material that never rises", flat + closing, "layers-no-rise", finding.Caution},
		{"one object after another, without markers", unmarked + closing, "layers-sequential", finding.Stop},
		{"cut off in the first layer", opening + ";LAYER:0\n" + square(20, 20, 30, 0.2), "layers-truncated", finding.Caution},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := layers.Find([]byte(c.data), layers.Options{})
			require.True(t, r.Findings.Has(c.code), "%+v", r)
			for _, f := range r.Findings {
				if f.Code == c.code {
					assert.Equal(t, c.level, f.Level)
				}
			}
		})
	}
}

// One flat layer and a wall that climbs from it: the markers of its turns say
// nothing against the first layer, and something does follow it.
func TestSpiralOnOneBottom(t *testing.T) {
	turns := func(marked bool) string {
		out := ""
		for i := range 160 {
			if marked && i%40 == 0 {
				out += fmt.Sprintf(";LAYER:%d\n", i/40+1)
			}
			a := float64(i) * math.Pi / 20
			out += fmt.Sprintf("G1 X%.3f Y%.3f Z%.3f E0.2\n", 35+15*math.Cos(a), 35+15*math.Sin(a), 0.2+0.005*float64(i+1))
		}
		return out
	}
	for _, c := range []struct {
		name, data string
		codes      []string
	}{
		{"with markers", opening + ";LAYER:0\n" + square(20, 20, 30, 0.2) + turns(true) + closing, []string{"layers-spiral"}},
		{"without", opening + square(20, 20, 30, 0.2) + turns(false) + closing, []string{"layers-spiral"}},
		{"cut off", opening + ";LAYER:0\n" + square(20, 20, 30, 0.2) + turns(true), []string{"layers-truncated", "layers-spiral"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := layers.Find([]byte(c.data), layers.Options{})
			var codes []string
			for _, f := range r.Findings {
				codes = append(codes, f.Code)
			}
			assert.Equal(t, c.codes, codes)
			require.False(t, r.NeedsChoice, "%+v", r)
			require.Len(t, r.Layers, 2)
			assert.Contains(t, c.data[r.Layers[1].Offset:][:40], "Z0.205", "the first bead that climbs")
		})
	}
}

// Lines that say "layer" within the material of every layer part nothing; the Z
// of the material does.
func TestMarkersWithinTheMaterial(t *testing.T) {
	data := opening
	for k := range 5 {
		lines := strings.SplitAfter(square(20, 20, 30, 0.2*float64(k+1)), "\n")
		data += strings.Join(lines[:4], "") + fmt.Sprintf(";LAYER:%d\n", k) + strings.Join(lines[4:], "")
	}
	r := layers.Find([]byte(data+closing), layers.Options{})
	require.False(t, r.NeedsChoice, "%+v", r)
	assert.Empty(t, r.Findings)
	assert.Empty(t, r.Marker)
	assert.True(t, strings.HasPrefix(data[r.Layers[0].Offset:], "G1 Z0.20"))
	assert.True(t, strings.HasPrefix(data[r.Layers[1].Offset:], "G1 Z0.40"))
}

// Layers counted in words, or in numerals that are letters, are lines of one
// kind each: none of them alone tells where the first layer ends.
func TestLayersCountedInWords(t *testing.T) {
	for _, numerals := range [][]string{{"one", "two", "three", "four", "five"}, {"I", "II", "III", "IV", "V"}, {"A", "B", "C", "D", "E"}} {
		t.Run(numerals[0], func(t *testing.T) {
			data := opening
			for k, numeral := range numerals {
				data += "; layer " + numeral + "\n" + square(20, 20, 30, 0.2*float64(k+1))
			}
			r := layers.Find([]byte(data+closing), layers.Options{})
			require.False(t, r.NeedsChoice, "%+v", r)
			assert.Empty(t, r.Findings)
			assert.True(t, strings.HasPrefix(data[r.Layers[0].Offset:], "G1 Z0.20"))
			assert.True(t, strings.HasPrefix(data[r.Layers[1].Offset:], "G1 Z0.40"))
		})
	}
}

func TestPlainFilesHaveNoFindings(t *testing.T) {
	for _, s := range shapes {
		if s.prime == 0 {
			r := layers.Find(build(s).data, layers.Options{})
			assert.Empty(t, r.Findings, s.name)
		}
	}
}

func TestOneLayerEndsWhereTheMaterialEnds(t *testing.T) {
	head := opening + ";LAYER:0\n" + square(20, 20, 30, 0.2)
	r := layers.Find([]byte(head+closing), layers.Options{})
	require.True(t, r.LastEnds)
	require.Len(t, r.Layers, 2)
	assert.Equal(t, int64(len(head)), r.Layers[1].Offset)
	assert.Equal(t, 4, r.Layers[0].Line)
}

func TestWeakEvidenceAsks(t *testing.T) {
	// Z goes up and down from stroke to stroke and no line marks layers.
	data := opening
	for _, z := range []float64{0.3, 0.2, 0.5, 0.4, 0.3, 0.7, 0.2, 0.6, 0.4} {
		for range 5 {
			data += square(20, 20, 30, z)
		}
	}
	r := layers.Find([]byte(data+closing), layers.Options{})
	require.True(t, r.NeedsChoice, "%+v", r)
	require.NotEmpty(t, r.Candidates)
	for _, c := range r.Candidates {
		assert.NotEmpty(t, c.Text)
		assert.Len(t, c.Before, 3)
		assert.NotEmpty(t, c.Reads)
	}
}

func TestChoiceByHand(t *testing.T) {
	f := build(shape{marker: numbered(";LAYER:%d", 0)})
	r := layers.Find(f.data, layers.Options{FirstLine: f.lines[0], SecondLine: f.lines[1]})
	require.False(t, r.NeedsChoice)
	assert.Equal(t, f.lines[1], r.Layers[1].Line)
	assert.Equal(t, 0.25, r.Layers[0].Z)
	assert.Equal(t, 0.2, r.Layers[1].HeightMM)
	for name, o := range map[string]layers.Options{
		"wrong order":    {FirstLine: f.lines[1], SecondLine: f.lines[0]},
		"not in file":    {FirstLine: f.lines[0], SecondLine: 1 << 20},
		"one of the two": {FirstLine: f.lines[0]},
		"no material":    {FirstLine: 1, SecondLine: 3},
	} {
		r := layers.Find(f.data, o)
		assert.True(t, r.NeedsChoice, name)
		assert.True(t, r.Findings.Has("layers-choice"), name)
	}
	r = layers.Find(f.data, layers.Options{FirstLine: f.lines[0], SecondLine: f.lines[1] - 4})
	assert.True(t, r.Findings.Has("layers-choice-parts"), "%+v", r)
}

func TestFurtherLayersHeightsAndNumbers(t *testing.T) {
	f := build(shape{marker: numbered("; layer %d", 1), layers: 9})
	r := layers.Find(f.data, layers.Options{Layers: 3})
	require.GreaterOrEqual(t, len(r.Layers), 4)
	for i, b := range r.Layers {
		assert.Equal(t, f.lines[i], b.Line)
		assert.InDelta(t, 0.25+0.2*float64(i), b.Z, 1e-9)
	}
	assert.Equal(t, 1, r.From)
	assert.InDelta(t, 0.25, r.Layers[0].HeightMM, 1e-9)
	assert.InDelta(t, 0.2, r.Layers[2].HeightMM, 1e-9)
	assert.NotEmpty(t, r.Why)
	for _, b := range r.Layers {
		at := bytes.Count(f.data[:b.Offset], []byte("\n")) + 1
		assert.Equal(t, b.Line, at, "offset and line agree")
	}
}

func TestClimbingSeams(t *testing.T) {
	// Each loop starts below its layer and climbs while laying, so that material
	// is laid between the levels.
	for _, marker := range []string{";LAYER:%d\n", ""} {
		data := opening
		truth := []int{}
		lines := 3
		add := func(text string) {
			data += text
			lines += strings.Count(text, "\n")
		}
		for k := range 6 {
			z := 0.2 * float64(k)
			truth = append(truth, lines+1)
			if marker != "" {
				add(fmt.Sprintf(marker, k))
			}
			for loop := range 3 {
				x := float64(20 + 2*loop)
				if k+loop > 0 {
					add("G1 E-0.8 F2400\n")
				}
				add(fmt.Sprintf("G1 X%g Y20 Z%.2f F6000\n", x, z))
				if k+loop > 0 {
					add("G1 E0.8 F2400\n")
				}
				for step := 1; step <= 10; step++ {
					add(fmt.Sprintf("G1 X%g Y%d Z%.2f E0.05\n", x, 20+step, z+0.02*float64(step)))
				}
				add(fmt.Sprintf("G1 X%g Y60 E2\nG1 X60 Y60 E2\nG1 X60 Y20 E2\nG1 X%g Y20 E2\n", x, x))
			}
		}
		r := layers.Find([]byte(data+closing), layers.Options{})
		require.False(t, r.NeedsChoice, "%+v", r)
		assert.Equal(t, truth[:2], []int{r.Layers[0].Line, r.Layers[1].Line}, "%q %+v", marker, r)
		assert.InDelta(t, 0.2, r.Layers[0].Z, 1e-9)
	}
}

func TestFirstLayerAtSeveralZ(t *testing.T) {
	// A first layer laid at several heights, as on an uneven plate.
	data, bare := opening, ""
	for k := range 6 {
		data += fmt.Sprintf(";LAYER:%d\n", k)
		for i := range 6 {
			data += square(float64(20+3*i), 20, 30, 0.2*float64(k+1)+0.04*float64(i%3))
		}
	}
	r := layers.Find([]byte(data+closing), layers.Options{})
	require.False(t, r.NeedsChoice, "%+v", r)
	assert.Equal(t, []int{4, 41}, []int{r.Layers[0].Line, r.Layers[1].Line})
	assert.True(t, r.Findings.Has("layers-several-z"))
	assert.False(t, r.Findings.Has("layers-sequential"))
	for _, l := range strings.SplitAfter(data, "\n") {
		if !strings.HasPrefix(l, ";") {
			bare += l
		}
	}
	assert.True(t, layers.Find([]byte(bare+closing), layers.Options{}).NeedsChoice, "without markers nothing tells")
}

func TestEnoughComesEarly(t *testing.T) {
	for _, s := range []shape{{marker: numbered(";LAYER:%d", 0)}, {}} {
		s.layers, s.sameZParts = 700, 40
		f := build(s)
		r := layers.Find(f.data, layers.Options{})
		require.Greater(t, len(f.data), 15_000_000)
		assert.Less(t, r.BytesRead, int64(len(f.data)/4))
		assert.Equal(t, f.lines[:2], []int{r.Layers[0].Line, r.Layers[1].Line})
	}
}

func TestNoMaterialIsSaidAfterBoundedWork(t *testing.T) {
	f := layers.NewFinder(layers.Options{})
	in := gcode.NewInterp(gcode.Options{})
	var s gcode.Scanner
	chunk := []byte("G28\n" + strings.Repeat("; harbour library, reading day, shelf by shelf and tag by tag\n", 16000))
	for i := 0; i < 1000 && !f.Enough(); i++ {
		s.Push(chunk, false)
		for s.Next() {
			m := in.Step(s.Line())
			f.Add(s.Line(), &m, 0)
		}
	}
	r := f.Result(false)
	assert.True(t, r.NeedsChoice)
	assert.True(t, r.Findings.Has("layers-none"))
	assert.Less(t, r.BytesRead, int64(70<<20))
}

func TestSurveyCountsLayers(t *testing.T) {
	for _, s := range shapes {
		s.layers = 23
		f := build(s)
		r := layers.Find(f.data, layers.Options{})
		for _, size := range []int{7, 1000, len(f.data)} {
			v := layers.NewSurvey(r, gcode.Options{})
			for at := 0; at < len(f.data); at += size {
				end := min(len(f.data), at+size)
				v.Push(f.data[at:end], end == len(f.data))
			}
			want := 23
			if s.trailing != nil {
				want++ // the settings at the end hold a line of the same form
			}
			require.Equal(t, want, v.Count, "%s, chunks of %d, marker %q", s.name, size, r.Marker)
			assert.Equal(t, r.Layers[1].Offset, v.Offsets[1], s.name)
			assert.Equal(t, int64(len(f.data)), v.Bytes)
		}
	}
}

func TestSurveySeesObjectsOneAfterAnother(t *testing.T) {
	for _, marker := range []string{";LAYER:%d\n", ""} {
		data := opening
		for object := range 2 {
			for k := range 40 {
				if marker != "" {
					data += fmt.Sprintf(marker, k)
				}
				data += square(float64(20+60*object), 20, 30, 0.2*float64(k+1))
			}
		}
		r := layers.Find([]byte(data), layers.Options{})
		v := layers.NewSurvey(r, gcode.Options{})
		v.Push([]byte(data), true)
		assert.Equal(t, 1, v.Restarts)
		assert.Equal(t, 80, v.Count)
	}
}

func TestReadLayers(t *testing.T) {
	f := build(shape{marker: numbered(";LAYER:%d", 0), labels: true, hop: true, sameZParts: 2})
	r := layers.Find(f.data, layers.Options{Layers: 2})
	got, findings := layers.Read(f.data, r, 2, gcode.Options{})
	assert.Empty(t, findings)
	require.Len(t, got, 2)
	first := got[0]
	assert.Equal(t, 0.25, first.Z)
	require.Len(t, first.Strokes, 5, "skirt, and wall and fill of each part")
	assert.Equal(t, deposit.Skirt, first.Strokes[0].Class)
	assert.Equal(t, deposit.Wall, first.Strokes[1].Class)
	assert.Equal(t, "outer wall", first.Strokes[1].Label)
	assert.Equal(t, deposit.Fill, first.Strokes[2].Class)
	assert.InDelta(t, 80, first.Strokes[1].Length(), 1e-9)
	assert.InDelta(t, 80*0.04, first.Strokes[1].Filament(), 1e-9)
	assert.Equal(t, 1500.0, first.Strokes[1].Feed[0])
	total := 0.0
	for _, s := range first.Strokes {
		require.Len(t, s.E, len(s.Points)-1)
		require.Len(t, s.Feed, len(s.Points)-1)
		assert.GreaterOrEqual(t, s.FirstLine, r.Layers[0].Line)
		assert.Less(t, s.LastLine, r.Layers[1].Line)
		total += s.Filament()
	}
	assert.InDelta(t, 240*0.04+2*(80*0.04+15*0.6), total, 1e-9, "the first of the sixteen stands still")
}

func TestReadObjectsAndArcs(t *testing.T) {
	data := opening + ";LAYER:0\nG1 Z0.2 F600\n" +
		"; printing object tag 3\nG1 X10 Y0 F6000\nG3 X-10 Y0 I-10 J0 E2 F1200\n; stop printing object tag 3\n" +
		"LABEL_OBJECT_START NAME=coaster\nG1 X30 Y30\nG1 X60 E1\nLABEL_OBJECT_END\nG1 X80 E1\n" +
		"M486 S2\nG1 X90 E1\nM486 S-1\n"
	for k := 1; k < 5; k++ {
		data += fmt.Sprintf(";LAYER:%d\n", k) + square(-10, 0, 30, 0.2*float64(k+1))
	}
	r := layers.Find([]byte(data), layers.Options{})
	require.False(t, r.NeedsChoice)
	got, _ := layers.Read([]byte(data), r, 1, gcode.Options{})
	require.Len(t, got[0].Strokes, 4)
	names := []string{}
	for _, s := range got[0].Strokes {
		names = append(names, s.Object)
	}
	assert.Equal(t, []string{"tag 3", "coaster", "", "object 2"}, names)
	arc := got[0].Strokes[0]
	assert.InDelta(t, 10*math.Pi, arc.Length(), 0.05)
	assert.InDelta(t, 2, arc.Filament(), 1e-9)
}

func TestReadNothing(t *testing.T) {
	got, findings := layers.Read(nil, layers.Result{}, 1, gcode.Options{})
	assert.Empty(t, got)
	assert.Empty(t, findings)
}

func FuzzFind(f *testing.F) {
	for _, s := range shapes {
		f.Add(build(s).data, uint8(1))
	}
	kept, _ := filepath.Glob("../../testdata/sliced/*.gcode")
	for _, name := range kept {
		if data, err := os.ReadFile(name); err == nil && len(data) < 40_000 {
			f.Add(data, uint8(2))
		}
	}
	f.Add([]byte("G1 X1e9 E1\n;LAYER:0\nG1 Z"), uint8(3))
	f.Fuzz(func(t *testing.T, data []byte, n uint8) {
		limits.Reader(t, func() {
			r := layers.Find(data, layers.Options{Layers: int(n)})
			if !r.NeedsChoice && len(r.Layers) < 2 {
				t.Fatalf("sure without an answer: %+v", r)
			}
			for i, b := range r.Layers {
				if b.Offset < 0 || b.Offset > int64(len(data)) || b.Offset > 0 && b.Offset < int64(len(data)) && data[b.Offset-1] != '\n' {
					t.Fatalf("a boundary within a line: %+v", b)
				}
				if i > 0 && b.Offset < r.Layers[i-1].Offset {
					t.Fatalf("boundaries fall: %+v", r.Layers)
				}
			}
			read, _ := layers.Read(data, r, 2, gcode.Options{})
			for _, v := range read {
				for _, s := range v.Strokes {
					if len(s.Points) < 1 || len(s.E) != len(s.Points)-1 {
						t.Fatal("a stroke without length")
					}
				}
			}
			v := layers.NewSurvey(r, gcode.Options{})
			v.Push(data, true)
		})
	})
}

func TestRandomBytesDoNoHarm(t *testing.T) {
	random := rand.New(rand.NewSource(5))
	for range 300 {
		s := shapes[random.Intn(len(shapes))]
		data := bytes.Clone(build(s).data)
		for range 1 + random.Intn(40) {
			data[random.Intn(len(data))] = byte(random.Intn(256))
		}
		layers.Find(data[:random.Intn(len(data))], layers.Options{})
	}
}
