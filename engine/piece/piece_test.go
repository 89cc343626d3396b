package piece

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/motion"
	"sheenlay/engine/specimen"
)

// fed reads data in chunks of the sizes that next gives.
func fed(data []byte, o Options, next func() int) *Piece {
	o.Size = int64(len(data))
	r := NewReader(o)
	for from := 0; from < len(data); {
		to := min(from+next(), len(data))
		if !r.Feed(data[from:to]) {
			break
		}
		from = to
	}
	return r.Finish(context.Background())
}

func inOne(data []byte) *Piece { return fed(data, Options{Layers: 3}, func() int { return len(data) }) }

// However the bytes come in, the piece is the same.
func TestAnyChunksGiveTheSamePiece(t *testing.T) {
	for _, s := range append(specimen.Samples(), specimen.TestFiles()...) {
		data := specimen.Make(s.Options).Bytes
		want := inOne(data)
		for seed := range uint64(3) {
			random := rand.New(rand.NewPCG(seed, 9))
			got := fed(data, Options{Layers: 3}, func() int { return 1 + random.IntN(1<<random.IntN(16)) })
			require.Equal(t, want.Found, got.Found, "%s, seed %d", s.ID, seed)
			require.Equal(t, want.Layers, got.Layers, "%s, seed %d", s.ID, seed)
			require.Equal(t, want.Reads, got.Reads, "%s, seed %d", s.ID, seed)
			require.Equal(t, want.Findings, got.Findings, "%s, seed %d", s.ID, seed)
			require.Equal(t, want.Start, got.Start, "%s, seed %d", s.ID, seed)
		}
	}
}

// The kept files: boundaries, height, filament and bead are the maker's truth.
func TestKeptFilesAreReadAsMade(t *testing.T) {
	for _, s := range append(specimen.Samples(), specimen.TestFiles()...) {
		t.Run(s.ID, func(t *testing.T) {
			m := specimen.Make(s.Options)
			p := inOne(m.Bytes)
			require.True(t, p.Settled(), "%v", p.Findings)
			assert.True(t, m.Truth.Accepts(0, p.Found.Layers[0].Offset), "first layer at line %d", p.Found.Layers[0].Line)
			assert.True(t, m.Truth.Accepts(1, p.Found.Layers[1].Offset), "second layer at line %d", p.Found.Layers[1].Line)
			assert.InDelta(t, m.Truth.FirstHeightMM, p.Layers[0].Height, 2e-4, "inches are written to 1e-5")
			assert.InDelta(t, m.Truth.FilamentMM, p.Footprint.FilamentDiameterMM, 1e-9)
			assert.InEpsilon(t, m.Truth.EPerMM, p.Footprint.EPerMM, 0.005)
			assert.InEpsilon(t, m.Truth.PitchMM, p.Footprint.PitchMM, 0.005)
		})
	}
}

// What is no sliced file is refused in words.
func TestBadFilesAreRefused(t *testing.T) {
	whole := specimen.Make(specimen.Samples()[0].Options).Bytes
	for name, data := range map[string][]byte{
		"empty":        {},
		"binary":       []byte(strings.Repeat("\x00\x01\xff\x7f", 4000)),
		"packed":       append([]byte{0x1f, 0x8b, 8, 0}, whole[:500]...),
		"all comments": []byte(strings.Repeat("; nothing but talk\n", 2000)),
		"prose":        []byte(strings.Repeat("The reading day begins at ten.\n", 200)),
		"start only":   whole[:200],
		"one line":     []byte("G1 X" + strings.Repeat("1", 1<<20)),
	} {
		t.Run(name, func(t *testing.T) {
			p := inOne(data)
			assert.False(t, p.Settled())
			if !p.Found.NeedsChoice {
				assert.Equal(t, finding.Stop, p.Findings.Worst(), "%v", p.Findings)
			}
		})
	}
}

// A file that ends within its first layer may be what the person wants, but
// they are told.
func TestCutShort(t *testing.T) {
	whole := specimen.Make(specimen.Samples()[0].Options).Bytes
	p := inOne(whole[:len(whole)/6])
	assert.Equal(t, finding.Caution, p.Findings.Worst(), "%v", p.Findings)
}

func TestMoreLayersThanThereAre(t *testing.T) {
	p := inOne(specimen.Make(specimen.Samples()[0].Options).Bytes)
	require.True(t, p.Settled())
	assert.Nil(t, p.NeedLayers(1))
	problem := p.NeedLayers(12)
	require.NotNil(t, problem)
	assert.Equal(t, "piece-few-layers", problem.Code)
	assert.Equal(t, finding.Stop, problem.Level)
}

func TestSurveyCounts(t *testing.T) {
	for _, s := range specimen.Samples() {
		m := specimen.Make(s.Options)
		p := inOne(m.Bytes)
		v := NewSurvey(p, motion.DefaultLimits())
		for from := 0; from < len(m.Bytes); from += 999 {
			v.Feed(m.Bytes[from:min(from+999, len(m.Bytes))])
		}
		got := v.Finish()
		assert.Equal(t, len(m.Truth.Layers), got.Layers, s.ID)
		assert.Equal(t, int64(len(m.Bytes)), got.Bytes, s.ID)
		assert.Zero(t, got.Restarts, s.ID)
		assert.True(t, got.Timed)
		assert.Positive(t, got.TimeS)
		first := 0.0
		for _, stroke := range m.Truth.Strokes {
			first += stroke.Filament()
		}
		assert.Greater(t, got.FilamentMM, first, "%s: more than the first layer alone", s.ID)
	}
}

// A priming line may be laid beside the bed; it does not stay, so it says nothing
// of where the piece lies.
func TestPrimingBesideTheBedIsNoPiece(t *testing.T) {
	data := specimen.Make(specimen.Samples()[0].Options).Bytes
	p := inOne(data)
	first := p.Layers[0].Strokes[0]
	line := "G0 X20 Y-2 F6000\nG1 X90 Y-2 E7 F1000\n"
	if !p.Start.RelativeE {
		line = "M83\n" + line + "M82\n"
	}
	at := first.FirstOffset
	for at > 0 && !strings.HasPrefix(string(data[at:]), "G0") {
		at--
	}
	primed := inOne([]byte(string(data[:at]) + line + string(data[at:])))
	require.Equal(t, deposit.Priming, primed.Footprint.Strokes[0].Class)
	require.InDelta(t, -2, primed.Layers[0].Strokes[0].Points[0].Y, 1e-9)
	assert.Equal(t, p.Evidence.Piece, primed.Evidence.Piece)
}
