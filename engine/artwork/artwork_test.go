package artwork

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/plane"
)

func input(change func(*job.Job)) Input {
	j := job.Default()
	change(&j)
	face := plane.Region{{{X: 100, Y: 90}, {X: 140, Y: 90}, {X: 140, Y: 130}, {X: 100, Y: 130}}}
	return Input{Art: j.Art, Placement: j.Placement, Face: face, WidthMM: 0.42, NozzleMM: 0.4, HeightMM: 0.2,
		FlowPercent: 100, SpeedMMs: 20, Limits: bead.DefaultLimits()}
}

func placed(t *testing.T, change func(*job.Job)) Artwork {
	t.Helper()
	a, err := Make(context.Background(), input(change))
	require.NoError(t, err)
	return a
}

const twoShapes = `<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 20 10">
<rect id="left" width="10" height="10" fill="#000" data-lay="30"/><rect id="right" x="10" width="10" height="10" fill="#fff" data-lay="100"/></svg>`

func TestPlacement(t *testing.T) {
	for _, row := range []struct {
		name         string
		change       func(*job.Placement)
		left         plane.Point // middle of the left square, bed frame
		lay, areaMM2 float64
	}{
		{"centred on the face", func(*job.Placement) {}, plane.Point{X: 115, Y: 110}, 30, 100},
		{"moved", func(p *job.Placement) { p.XMM, p.YMM = 3, -2 }, plane.Point{X: 118, Y: 108}, 30, 100},
		{"turned", func(p *job.Placement) { p.TurnDeg = 90 }, plane.Point{X: 120, Y: 105}, 120, 100},
		{"scaled", func(p *job.Placement) { p.Scale = 2 }, plane.Point{X: 110, Y: 110}, 30, 400},
		{"mirrored", func(p *job.Placement) { p.Mirror = true }, plane.Point{X: 125, Y: 110}, 150, 100},
	} {
		t.Run(row.name, func(t *testing.T) {
			a := placed(t, func(j *job.Job) {
				j.Art.Kind, j.Art.SVG = "shapes", twoShapes
				row.change(&j.Placement)
			})
			z := a.Pattern.Zones[0]
			middle := z.Region.Bounds().Centre()
			assert.InDelta(t, row.left.X, middle.X, 1e-6)
			assert.InDelta(t, row.left.Y, middle.Y, 1e-6)
			assert.InDelta(t, row.lay, z.Lay.Angle*180/math.Pi, 1e-6)
			assert.InDelta(t, row.areaMM2, z.Region.Area(), 1e-4)
		})
	}
}

func TestPins(t *testing.T) {
	lay := func(a Artwork, zone int) float64 {
		return math.Round(a.Pattern.Zones[zone].Lay.Angle*180/math.Pi*1e6) / 1e6
	}
	a := placed(t, func(j *job.Job) {
		j.Art.Kind, j.Art.SVG = "shapes", twoShapes
		j.Art.Lays = map[string]float64{"kind:0": 45, "zone:1": -10, "ground": 77}
	})
	assert.Equal(t, 45.0, lay(a, 0))
	assert.Equal(t, 170.0, lay(a, 1))
	assert.InDelta(t, 77, a.Pattern.Ground.Angle*180/math.Pi, 1e-9)
	a = placed(t, func(j *job.Job) { j.Art.Kind, j.Art.SVG, j.Art.TurnLaysDeg = "shapes", twoShapes, 15 })
	assert.Equal(t, 45.0, lay(a, 0))
	_, err := Make(context.Background(), input(func(j *job.Job) { j.Art.Lays = map[string]float64{"roof": 1} }))
	assert.ErrorContains(t, err, "roof")
}

// Five sectors in a ring, each touching its two neighbours only: χ_c of C5 is
// 5/2, so 72° is the best (Vince 1988; Zhu 2001).
func TestRingOfFiveGets72Degrees(t *testing.T) {
	var svg strings.Builder
	svg.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="-20 -20 40 40">`)
	for i := range 5 {
		a, b := float64(i)*2*math.Pi/5, float64(i+1)*2*math.Pi/5
		fmt.Fprintf(&svg, `<path fill="#%02x0000" d="M%f %f L%f %f L%f %f L%f %fz"/>`, 40*i+10,
			18*math.Cos(a), 18*math.Sin(a), 18*math.Cos(b), 18*math.Sin(b), 8*math.Cos(b), 8*math.Sin(b), 8*math.Cos(a), 8*math.Sin(a))
	}
	svg.WriteString(`</svg>`)
	a := placed(t, func(j *job.Job) { j.Art.Kind, j.Art.SVG = "shapes", svg.String() })
	assert.InDelta(t, 72, a.Reached, 0.01)
	assert.InDelta(t, 72, a.Bound, 0.01)
	assert.True(t, a.Findings.Has("artwork-lays-chosen"))
}

func TestLetteringIsMirroredForTheEyeBelow(t *testing.T) {
	text := func(read bool) Artwork {
		return placed(t, func(j *job.Job) {
			j.Art.Kind, j.Art.Text, j.Art.CapHeightMM, j.Placement.ReadFromBelow = "lettering", "LI", 8, read
		})
	}
	below, above := text(true), text(false)
	assert.True(t, below.Mirrored)
	assert.True(t, below.Findings.Has("artwork-mirrored"))
	assert.False(t, above.Mirrored)
	// The letter I stands on the right of L; mirrored, on the left.
	order := func(a Artwork) bool {
		return a.Pattern.Zones[0].Region.Bounds().Centre().X < a.Pattern.Zones[1].Region.Bounds().Centre().X
	}
	assert.True(t, order(above))
	assert.False(t, order(below))
}

func TestPictureFromPNGAndFromPixels(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 60, 40))
	for y := range 40 {
		for x := range 60 {
			img.Set(x, y, color.NRGBA{R: uint8(255 * (x / 30)), G: uint8(255 * (x / 30)), B: uint8(255 * (x / 30)), A: 255})
		}
	}
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, img))
	plain := append([]byte{60, 0, 0, 0, 40, 0, 0, 0}, img.Pix...)
	for name, raw := range map[string][]byte{"PNG": file.Bytes(), "pixels": plain} {
		a := placed(t, func(j *job.Job) {
			j.Art.Kind, j.Art.Picture, j.Art.Levels, j.Art.PictureWidthMM = "picture", base64.StdEncoding.EncodeToString(raw), 2, 30
		})
		require.Len(t, a.Pattern.Zones, 2, name)
		assert.InDelta(t, 300, a.Pattern.Zones[1].Region.Area(), 6, "the light half of 30 × 20 mm")
	}
}

func TestWhatCannotBeMadeSaysWhy(t *testing.T) {
	for _, row := range []struct {
		name, code string
		change     func(*job.Job)
	}{
		{"no drawing", "artwork-no-drawing", func(j *job.Job) { j.Art.Kind = "lines" }},
		{"nothing drawn", "artwork-empty", func(j *job.Job) { j.Art.Kind, j.Art.SVG = "lines", `<svg xmlns="http://www.w3.org/2000/svg"/>` }},
		{"no strokes", "artwork-no-lines", func(j *job.Job) { j.Art.Kind, j.Art.SVG = "lines", twoShapes }},
		{"no picture", "artwork-no-picture", func(j *job.Job) { j.Art.Kind = "picture" }},
		{"bad picture", "artwork-no-picture", func(j *job.Job) { j.Art.Kind, j.Art.Picture = "picture", "AAAAAAAAAAAAAAAA" }},
		{"unknown kind", "artwork-kind", func(j *job.Job) { j.Art.Kind = "smoke" }},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := Make(context.Background(), input(row.change))
			f, ok := err.(finding.Finding)
			require.True(t, ok, "%v", err)
			assert.Equal(t, row.code, f.Code)
			assert.Equal(t, finding.Stop, f.Level)
		})
	}
}

// What the drawing held instead is said beside the refusal.
func TestARefusedDrawingSaysWhatItHeld(t *testing.T) {
	a, err := Make(context.Background(), input(func(j *job.Job) {
		j.Art.Kind, j.Art.SVG = "lines", `<svg xmlns="http://www.w3.org/2000/svg"><text x="1" y="9">READ</text></svg>`
	}))
	assert.ErrorContains(t, err, "nothing that can be laid")
	assert.True(t, a.Findings.Has("drawing-text"), "%v", a.Findings)
}
