package specimen_test

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// Stadium section h(w − h) + πh²/4 over the filament's (derived):
// w 0.45, h 0.20 → E/mm 0.033849 for 1.75 mm filament, pitch 0.407080.
func TestBeadValues(t *testing.T) {
	assert.InDelta(t, 0.033849, specimen.EPerMM(0.45, 0.2, 1.75), 5e-7)
	assert.InDelta(t, 0.012762, specimen.EPerMM(0.45, 0.2, 2.85), 5e-7)
	assert.InDelta(t, 0.407080, specimen.PitchMM(0.45, 0.2), 5e-7)
}

// A layer without gaps holds area × height of material (volume invariant, free
// of any bead model). The specimens leave the corners of their walls and the
// ends of their rows open, so a plate of some size comes within 3 %.
func TestVolume(t *testing.T) {
	m := specimen.Make(specimen.Options{Shape: specimen.Rectangle(100, 100), At: plane.Point{X: 110, Y: 110}, Walls: 2, FillDegree: 0})
	fed := 0.0
	for _, s := range m.Truth.Strokes {
		fed += s.Filament()
	}
	// 831.5034 mm of 1.75 mm filament fill 100 × 100 × 0.2 mm (derived).
	assert.InEpsilon(t, 831.5034, fed, 0.03)
}

func TestShapesAreInNormalForm(t *testing.T) {
	for _, s := range []specimen.Shape{
		specimen.Rectangle(30, 20), specimen.Disc(9), specimen.Annulus(10, 4), specimen.Star(5, 14, 20), specimen.Letter(30),
		specimen.Parts(10, 6, 4, 4, 6), specimen.Slits(20, 10, 3, 0.8), specimen.Tag(30, 12, 2), specimen.Twins(8, 9, 0.6), specimen.Islands(60),
	} {
		t.Run(s.Name, func(t *testing.T) {
			require.NotEmpty(t, s.Contours)
			assert.Positive(t, s.Contours[0].Ring.Area(), "outer border first, counter-clockwise")
			assert.Positive(t, s.Region().Area())
		})
	}
	// Closed forms: circle πr², ring π(R² − r²); the polygons lie inside by
	// at most perimeter × sagitta.
	assert.InDelta(t, math.Pi*81, specimen.Disc(9).Region().Area(), 2*math.Pi*9*0.003)
	assert.InDelta(t, math.Pi*84, specimen.Annulus(10, 4).Region().Area(), 2*math.Pi*14*0.003)
	assert.InDelta(t, 60*16.0, specimen.Parts(10, 6, 4, 4, 6).Region().Area(), 1e-9)
}

var motion = regexp.MustCompile(`(?i)^(?:N\d+ )?G[0123](?:[ XYZEFIJ]|$)`)

// plain reads a line by itself: upper case, without number, checksum, comment.
func plain(line string) string {
	line, _, _ = strings.Cut(line, ";")
	line, _, _ = strings.Cut(line, "*")
	return strings.TrimSpace(strings.ToUpper(line))
}

func extrudes(line string) bool {
	p := plain(line)
	return motion.MatchString(p) && strings.Contains(p, "E") && strings.ContainsAny(p, "XY")
}

// TestTruth holds the places of the truth against the bytes.
func TestTruth(t *testing.T) {
	n := uint64(300)
	if testing.Short() {
		n = 60
	}
	for seed := range n {
		m := specimen.Random(seed)
		lines := strings.SplitAfter(string(m.Bytes), "\n")
		offsets := make([]int64, len(lines)+1)
		for i, l := range lines {
			offsets[i+1] = offsets[i] + int64(len(l))
		}
		require.Len(t, m.Truth.Layers, m.Options.Layers, "seed %d %+v", seed, m.Options)
		for i, c := range m.Truth.Layers {
			require.Equal(t, offsets[c.FromLine-1], c.FromOffset, "seed %d layer %d", seed, i)
			require.Equal(t, offsets[c.ToLine-1], c.ToOffset, "seed %d layer %d", seed, i)
			require.True(t, extrudes(lines[c.ToLine-1]), "seed %d layer %d: %q lays no bead", seed, i, lines[c.ToLine-1])
			for k := c.FromLine; k < c.ToLine; k++ {
				if extrudes(lines[k-1]) {
					require.True(t, m.Options.Wipe, "seed %d layer %d: line %d lays a bead between the layers: %q", seed, i, k, lines[k-1])
				}
			}
			require.InDelta(t, c.Z, c.AtTo.Z, 0.0005*25.4, "seed %d layer %d", seed, i)
			require.Zero(t, c.AtTo.RetractedMM, "seed %d layer %d", seed, i)
		}
		for _, s := range m.Truth.Strokes {
			require.GreaterOrEqual(t, s.FirstOffset, m.Truth.Layers[0].ToOffset, "seed %d", seed)
			require.LessOrEqual(t, s.LastOffset, m.Truth.Layers[1].FromOffset, "seed %d", seed)
			require.Len(t, s.E, len(s.Points)-1)
			require.Len(t, s.Feed, len(s.Points)-1)
		}
		require.NotEmpty(t, m.Truth.Strokes, "seed %d", seed)
		require.Positive(t, m.Truth.Footprint.Area(), "seed %d", seed)
	}
}

func TestOneSeedGivesOneFile(t *testing.T) {
	for seed := range uint64(20) {
		require.True(t, bytes.Equal(specimen.Random(seed).Bytes, specimen.Random(seed).Bytes), "seed %d", seed)
	}
	assert.False(t, bytes.Equal(specimen.Random(1).Bytes, specimen.Random(2).Bytes))
}

// TestChecksums recomputes the exclusive or of every numbered line.
func TestChecksums(t *testing.T) {
	m := specimen.Make(specimen.Options{Numbered: true, Shape: specimen.Rectangle(8, 6), At: plane.Point{X: 50, Y: 50}, Walls: 1})
	checked, last := 0, -1
	for _, l := range strings.Split(string(m.Bytes), "\n") {
		text, sum, found := strings.Cut(l, "*")
		if !found || strings.HasPrefix(l, ";") {
			continue
		}
		want := byte(0)
		for i := range len(text) {
			want ^= text[i]
		}
		sum, _, _ = strings.Cut(sum, " ")
		have, err := strconv.Atoi(sum)
		require.NoError(t, err)
		require.Equal(t, int(want), have, l)
		number, err := strconv.Atoi(text[1:strings.IndexByte(text, ' ')])
		require.NoError(t, err)
		require.Equal(t, last+1, number, l)
		last = number
		checked++
	}
	assert.Greater(t, checked, 30)
}

func TestLarge(t *testing.T) {
	var b bytes.Buffer
	truth, err := specimen.Large(&b, 3_000_000)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, b.Len(), 3_000_000)
	assert.Less(t, b.Len(), 4_500_000)
	lines := bytes.SplitAfter(b.Bytes(), []byte("\n"))
	assert.True(t, extrudes(string(lines[truth.Layers[1].ToLine-1])))
	assert.Equal(t, 1, bytes.Count(b.Bytes(), []byte(";LAYER:5\n")))
	assert.Contains(t, b.String(), "Z1.2\n", "layer 5 lies at 1.2 mm")
}

func BenchmarkRandom(b *testing.B) {
	for b.Loop() {
		specimen.Random(7)
	}
}
