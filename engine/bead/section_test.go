package bead_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/bead"
)

// Source: check-values "Bead geometry", computed there by a second
// implementation; the closed forms are elementary geometry.
func TestSectionTable(t *testing.T) {
	for _, row := range []struct {
		w, h, stadium, rect, pitch, e175, e285, void, flow20 float64
	}{
		{0.40, 0.20, 0.071416, 0.0800, 0.357080, 0.029691, 0.011195, 10.73, 1.4283},
		{0.42, 0.20, 0.075416, 0.0840, 0.377080, 0.031354, 0.011822, 10.22, 1.5083},
		{0.45, 0.20, 0.081416, 0.0900, 0.407080, 0.033849, 0.012762, 9.54, 1.6283},
		{0.45, 0.25, 0.099087, 0.1125, 0.396350, 0.041196, 0.015532, 11.92, 1.9817},
		{0.50, 0.20, 0.091416, 0.1000, 0.457080, 0.038006, 0.014330, 8.58, 1.8283},
		{0.50, 0.30, 0.130686, 0.1500, 0.435619, 0.054333, 0.020486, 12.88, 2.6137},
		{0.60, 0.30, 0.160686, 0.1800, 0.535619, 0.066805, 0.025188, 10.73, 3.2137},
	} {
		t.Run(fmt.Sprintf("%gx%g", row.w, row.h), func(t *testing.T) {
			area := bead.Stadium.Area(row.w, row.h)
			assert.InDelta(t, row.stadium, area, 6e-7)
			assert.InDelta(t, row.rect, bead.Rectangle.Area(row.w, row.h), 1e-12)
			assert.InDelta(t, row.pitch, bead.Stadium.Pitch(row.w, row.h), 6e-7)
			assert.InDelta(t, row.e175, bead.EPerMM(area, 1.75, 1), 6e-7)
			assert.InDelta(t, row.e285, bead.EPerMM(area, 2.85, 1), 6e-7)
			assert.InDelta(t, row.void, 100*bead.Stadium.TangentVoid(row.w, row.h), 6e-3)
			assert.InDelta(t, row.flow20, bead.VolumeFlow(area, 20), 6e-5)
			assert.InDelta(t, 20, bead.SpeedAtFlow(area, bead.VolumeFlow(area, 20)), 1e-9)
			for _, m := range []bead.Model{bead.Stadium, bead.Rectangle} {
				assert.InDelta(t, row.w, m.Width(m.Area(row.w, row.h), row.h), 1e-12, m.String())
				assert.InDelta(t, m.Area(row.w, row.h), bead.AreaFromE(bead.EPerMM(m.Area(row.w, row.h), 1.75, 1), 1.75), 1e-12)
			}
			assert.InDelta(t, bead.Stadium.Pitch(row.w, row.h), bead.Stadium.Flat(row.w, row.h)+row.h*math.Pi/4, 1e-12,
				"flat and groove make up the pitch")
		})
	}
}

// Source: check-values "Bead geometry", the single figures below its table.
func TestSectionFigures(t *testing.T) {
	assert.InDelta(t, 2.405281875, bead.FilamentArea(1.75), 1e-8)
	assert.InDelta(t, 6.379396582, bead.FilamentArea(2.85), 1e-8)
	assert.InDelta(t, 0.033260, bead.EPerMM(bead.Rectangle.Area(0.40, 0.20), 1.75, 1), 6e-7)
	assert.InDelta(t, 0.037418, bead.EPerMM(bead.Rectangle.Area(0.45, 0.20), 1.75, 1), 6e-7)
	assert.InDelta(t, 3.384881, 100*bead.EPerMM(bead.Stadium.Area(0.45, 0.20), 1.75, 1), 1e-6)
	assert.InDelta(t, 0.450, bead.Rectangle.Width(bead.AreaFromE(0.037418, 1.75), 0.2), 1e-5)
	assert.InDelta(t, 0.4929, bead.Stadium.Width(bead.AreaFromE(0.037418, 1.75), 0.2), 5e-5)
	assert.InDelta(t, 0.25, bead.Stadium.Flat(0.45, 0.20), 1e-12)
	assert.InDelta(t, 831.5034, 100*100*0.2/bead.FilamentArea(1.75), 5e-5)
	assert.InDelta(t, 313.5093, 100*100*0.2/bead.FilamentArea(2.85), 5e-5)
}

// 1 m of Ø1.75 at 1.24 g/cm³ is 2.405281875 cm³ × 1.24 = 2.98255 g, and a
// spool of 1 kg holds about 335 m (common practice, no published source).
func TestMass(t *testing.T) {
	assert.InDelta(t, 2.98255, bead.Mass(1000, 1.75, 1.24), 1e-5)
	assert.InDelta(t, 335, 1000/bead.Mass(1000, 1.75, 1.24), 0.5)
	assert.Zero(t, bead.Mass(0, 1.75, 1.24))
}

func TestOutsideTheDomainIsNotANumber(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, v := range map[string]float64{
		"no width":                     bead.Stadium.Area(0, 0.2),
		"no height":                    bead.Rectangle.Area(0.4, 0),
		"negative width":               bead.Rectangle.Area(-0.4, 0.2),
		"infinite width":               bead.Rectangle.Area(inf, 0.2),
		"stadium narrower than high":   bead.Stadium.Area(0.19, 0.2),
		"area under the round section": bead.Stadium.Width(0.03, 0.2),
		"NaN area":                     bead.Stadium.Width(nan, 0.2),
		"unknown model":                bead.Model(9).Area(0.4, 0.2),
		"unknown model, width":         bead.Model(9).Width(0.08, 0.2),
		"no filament":                  bead.FilamentArea(0),
		"no flow":                      bead.EPerMM(0.08, 1.75, 0),
		"negative E":                   bead.AreaFromE(-1, 1.75),
		"no speed":                     bead.VolumeFlow(0.08, 0),
		"no volume flow":               bead.SpeedAtFlow(0.08, 0),
		"no density":                   bead.Mass(10, 1.75, 0),
		"negative length":              bead.Mass(-1, 1.75, 1.24),
		"flat of no bead":              bead.Stadium.Flat(0.1, 0.2),
	} {
		assert.True(t, math.IsNaN(v), "%s gives %v", name, v)
	}
}
