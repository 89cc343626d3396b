package light

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

func tilted(degrees, azimuth float64) Vector {
	s, c := math.Sincos(degrees * math.Pi / 180)
	as, ac := math.Sincos(azimuth * math.Pi / 180)
	return Vector{s * ac, s * as, c}
}

// Ward 1992, rolled brass (αx .05, αy .16), eye overhead; values derived from
// the printed formula and parameters by an independent script.
func TestLobeOfRolledBrass(t *testing.T) {
	overhead := Vector{Z: 1}
	for _, row := range []struct {
		name          string
		tilt, azimuth float64
		want          float64
	}{
		{"peak 1/(4π αx αy)", 0, 0, 9.94718},
		{"10° along the grooves", 10, 0, 0.469183},
		{"10° across the grooves", 10, 90, 7.43315},
		{"10° at 45°", 10, 45, 1.8675},
		{"20° along", 20, 0, 4.075e-5},
		{"20° across", 20, 90, 3.04619},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := Lobe(RolledBrass(), 0, tilted(row.tilt, row.azimuth), overhead)
			assert.InEpsilon(t, row.want, got, 1e-4)
		})
	}
}

func TestLobeKnowsNoSense(t *testing.T) {
	l, v := tilted(23, 40), tilted(31, 200)
	assert.InEpsilon(t, Lobe(RolledBrass(), 0.3, l, v), Lobe(RolledBrass(), 0.3+math.Pi, l, v), 1e-9)
}

func TestLobeIsReciprocal(t *testing.T) {
	l, v := tilted(23, 40), tilted(31, 200)
	assert.InEpsilon(t, Lobe(RolledBrass(), 1, l, v), Lobe(RolledBrass(), 1, v, l), 1e-12, "Helmholtz reciprocity")
}

func TestLobeBelowTheFaceIsDark(t *testing.T) {
	assert.Zero(t, Lobe(RolledBrass(), 0, Vector{Z: -1}, Vector{Z: 1}))
	assert.Zero(t, Lobe(RolledBrass(), 0, Vector{Z: 1}, Vector{X: 1}))
}

// A seeded fault: swapping the two slopes must be seen by the lobe's table.
func TestSwappedSlopesAreSeen(t *testing.T) {
	wrong := RolledBrass()
	wrong.Along, wrong.Across = wrong.Across, wrong.Along
	assert.Greater(t, Lobe(wrong, 0, tilted(10, 0), Vector{Z: 1}), 2*0.469183)
}

// IEC 61966-2-1: code 128 stands for 0.2159 of full light; ends and the joint.
func TestEncode(t *testing.T) {
	for light, want := range map[float64]uint8{0: 0, 1: 255, 2: 255, -1: 0, 0.2159: 128, 0.0031308: 10} {
		assert.Equal(t, want, Encode(light), "light %g", light)
	}
	assert.Equal(t, uint8(0), Encode(math.NaN()))
	for v := 0; v < 256; v++ {
		assert.Equal(t, uint8(v), Encode(Decode(uint8(v))))
	}
}

func straight(a, b plane.Point, w float64) strand.Strand {
	return strand.Strand{Points: []plane.Point{a, b}, Width: []float64{w}}
}

func square(side float64) plane.Region {
	return plane.Region{{{X: 0, Y: 0}, {X: side, Y: 0}, {X: side, Y: side}, {X: 0, Y: side}}}
}

func TestMapHoldsLayAndCover(t *testing.T) {
	lines := []strand.Strand{straight(plane.Point{X: 2, Y: 5}, plane.Point{X: 8, Y: 5}, 1)}
	m, err := NewMap(context.Background(), square(10), lines, 240)
	require.NoError(t, err)
	// Capsule r 0.5, L 6: 2rL + πr² (check of coverage areas, closed form).
	sum := 0.0
	for i, c := range m.Cover {
		sum += float64(c) / 255
		if c > 0 {
			assert.Zero(t, m.Lay[i])
		}
	}
	assert.InEpsilon(t, 6+math.Pi*0.25, sum*m.MMPerPixel*m.MMPerPixel, 0.005)
	faces := 0
	for _, f := range m.Face {
		faces += int(f) / 255
	}
	assert.InEpsilon(t, 100, float64(faces)*m.MMPerPixel*m.MMPerPixel, 0.002)
}

func TestMapTurnsWithTheLine(t *testing.T) {
	for _, degrees := range []float64{0, 30, 45, 90, 120, 179} {
		d := plane.Point{X: 4}.Turn(degrees * math.Pi / 180)
		mid := plane.Point{X: 5, Y: 5}
		m, err := NewMap(context.Background(), square(10), []strand.Strand{straight(mid.Sub(d), mid.Add(d), 0.5)}, 120)
		require.NoError(t, err)
		centre := m.Height/2*m.Width + m.Width/2
		assert.InDelta(t, degrees, float64(m.Lay[centre])/65536*180, 0.01)
	}
}

func TestEmptyMap(t *testing.T) {
	m, err := NewMap(context.Background(), nil, nil, 100)
	require.NoError(t, err)
	assert.Zero(t, m.Width)
	pixels, err := m.Shade(context.Background(), Scene{})
	require.NoError(t, err)
	assert.Empty(t, pixels)
}

// Lines at right angles to the lamp's azimuth are the bright ones (Kajiya &
// Kay 1989 table: specular share 1 at 90°).
func TestLinesAcrossTheLampShine(t *testing.T) {
	sc := Scene{Surface: Surfaces()[0], Lamp: Vector{X: 150, Z: 400}, Eye: Vector{Z: 500}, Colour: [3]float64{.5, .5, .5}, Exposure: DefaultExposure}
	across := sc.Reflected(Vector{}, math.Pi/2, 1)
	along := sc.Reflected(Vector{}, 0, 1)
	assert.Greater(t, across[0], 4*along[0])
}

// The order of brightness by the lines' azimuth is that of the strand model of
// Kajiya & Kay 1989, [sinθL sinθV − (T·L)(T·V)]^20, light at 45° elevation, eye
// overhead: an independent formulation of the same effect.
func TestBrightnessRisesAsForStrands(t *testing.T) {
	strands := map[float64]float64{0: 0.000977, 30: 0.009095, 45: 0.056314, 60: 0.263076, 90: 1}
	for _, s := range Surfaces() {
		last, lastStrand := -1.0, -1.0
		for _, degrees := range []float64{0, 30, 45, 60, 90} {
			got := Lobe(s, degrees*math.Pi/180, tilted(45, 0), Vector{Z: 1})
			assert.Greater(t, strands[degrees], lastStrand)
			assert.Greater(t, got, last, "%s at %g°", s.ID, degrees)
			last, lastStrand = got, strands[degrees]
		}
	}
}

func TestFromBelowIsMirrored(t *testing.T) {
	lines := []strand.Strand{straight(plane.Point{X: 1, Y: 1}, plane.Point{X: 3, Y: 3}, 1)}
	m, err := NewMap(context.Background(), square(10), lines, 60)
	require.NoError(t, err)
	sc := Scene{Surface: Surfaces()[0], Lamp: Vector{X: 100, Y: 50, Z: 300}, Eye: Vector{Z: 500}, Colour: [3]float64{1, 1, 1}, Exposure: 1}
	above, err := m.Shade(context.Background(), sc)
	require.NoError(t, err)
	sc.Below = true
	sc.Lamp.X = -sc.Lamp.X
	below, err := m.Shade(context.Background(), sc)
	require.NoError(t, err)
	for row := 0; row < m.Height; row++ {
		for col := 0; col < m.Width; col++ {
			a := above[4*(row*m.Width+col) : 4*(row*m.Width+col)+4]
			b := below[4*(row*m.Width+m.Width-1-col) : 4*(row*m.Width+m.Width-1-col)+4]
			require.Equal(t, a, b)
		}
	}
}

func TestCancelledMap(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := NewMap(ctx, square(10), []strand.Strand{straight(plane.Point{}, plane.Point{X: 1}, 1)}, 100)
	assert.ErrorIs(t, err, context.Canceled)
}
