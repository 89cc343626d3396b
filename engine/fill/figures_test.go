package fill

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

const lineWidth = 0.42

func lay(t testing.TB, face plane.Region, p pattern.Pattern) Result {
	t.Helper()
	res, err := Fill(context.Background(), Request{
		Face: face, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.30, MaxWidthMM: 0.55,
		Start: &plane.Point{X: -100, Y: -100},
	})
	require.NoError(t, err)
	return res
}

// aim is what a face should reach, percent; a zero leaves a figure open.
type aim struct{ covered, double, spill, gap, deep, anywhere float64 }

// TestFigures measures faces for 0.42 mm lines of adapted width. The floors are
// what is reached, less 0.1 to 0.2 points; all but one are at or above the
// project's aims (the lay of facets "anywhere" is to be 85 %, and is 83.5 on the
// disc: beads drawn out into tips close half of the open gaps there and take
// two points of the lay). Where the geometry of a face forbids the aims (a 3 mm
// frame, a neck, tips of a star) it has floors of its own. FILL_PICTURES names a folder for pictures of the faces.
func TestFigures(t *testing.T) {
	blocksAim := aim{covered: 99.1, double: 1.2, spill: 0.2, gap: 0.25, deep: 99.8, anywhere: 92}
	facetsAim := aim{covered: 98.3, double: 1.7, spill: 0.2, gap: 0.45, deep: 99.8, anywhere: 83}
	otherAim := aim{covered: 99.4, double: 1.0, spill: 0.2, gap: 0.25, deep: 99.8, anywhere: 92}
	narrow := func(covered, double, gap float64) aim {
		return aim{covered: covered, double: double, spill: 0.2, gap: gap, deep: 99.8}
	}
	ringAim := blocksAim
	ringAim.anywhere = 91 // 92 on larger faces: the ring's own border is a third of all connectors
	for _, c := range []struct {
		name    string
		face    plane.Region
		p       pattern.Pattern
		strands int
		aim     aim
	}{
		{"one direction disc", disc(60), oneDirection(0.4), 1, aim{99.7, 0.3, 0.2, 0.15, 99.8, 92}},
		{"one direction ring", annulus(60, 30), oneDirection(0.4), 1, otherAim},
		{"blocks disc", disc(60), blocks(10, 0.2, disc(60).Bounds()), 1, blocksAim},
		{"blocks ring", annulus(60, 30), blocks(10, 0.2, disc(60).Bounds()), 1, ringAim},
		{"blocks plate12", plate(100, 12, 8), blocks(10, 0.2, plate(100, 0, 0).Bounds()), 1, blocksAim},
		{"blocks star", star(40, 18, 5), blocks(10, 0.2, star(40, 18, 5).Bounds()), 1, narrow(98.8, 1.2, 0.45)},
		{"blocks letter", letterA(), blocks(10, 0.2, letterA().Bounds()), 1, narrow(98.8, 1.35, 0.4)},
		{"blocks gear", gear(32, 16), blocks(10, 0.2, gear(32, 16).Bounds()), 1, narrow(98.5, 1.2, 0.5)},
		{"blocks frame", frame3(), blocks(10, 0.2, frame3().Bounds()), 1, narrow(96.7, 1.9, 1.3)},
		{"blocks neck 0.7", neck(0.7), blocks(10, 0.2, neck(1).Bounds()), 2, narrow(98.6, 1.45, 0.4)},
		{"blocks neck 1.5", neck(1.5), blocks(10, 0.2, neck(1).Bounds()), 1, narrow(98.5, 1.45, 0.5)},
		{"facets disc", disc(60), facets(1, 8, disc(60).Bounds()), 1, facetsAim},
		{"facets plate12", plate(100, 12, 8), facets(2, 8, plate(100, 0, 0).Bounds()), 1, facetsAim},
		{"herringbone disc", disc(60), herringbone(8, 16, disc(60).Bounds()), 1, otherAim},
	} {
		t.Run(c.name, func(t *testing.T) {
			res := lay(t, c.face, c.p)
			f := measure(c.face, c.p, res.Strands, lineWidth, 0.04)
			t.Logf("%s; left out %.2f mm²", f, res.Stats.LeftOutMM2)
			assert.Equal(t, c.strands, len(res.Strands), "strands")
			assert.Equal(t, c.strands > 1, res.Findings.Has("fill-separate-stroke"), "a separate stroke is reported")
			assert.Zero(t, Crossings(res.Strands), "crossings")
			assert.GreaterOrEqual(t, f.Covered, c.aim.covered, "covered")
			assert.GreaterOrEqual(t, f.Deep, c.aim.deep, "lay, deep")
			assert.GreaterOrEqual(t, f.Anywhere, c.aim.anywhere, "lay, anywhere")
			assert.LessOrEqual(t, f.Spill, c.aim.spill, "spilled")
			if c.aim.double > 0 {
				assert.LessOrEqual(t, f.Double, c.aim.double, "double")
				assert.LessOrEqual(t, f.Gap, c.aim.gap, "open gap")
			}
			assert.GreaterOrEqual(t, f.Shortest, 0.05-1e-9, "shortest segment")
			if dir := os.Getenv("FILL_PICTURES"); dir != "" {
				require.NoError(t, picture(dir+"/"+c.name+".png", c.face.Bounds().Grow(1), res.Strands, 16))
			}
		})
	}
}

// TestMeasureSeesFaults: the measurement itself must notice a bead taken away,
// laid twice, laid outside and turned.
func TestMeasureSeesFaults(t *testing.T) {
	face, p := disc(20), oneDirection(0)
	clean := lay(t, face, p).Strands
	good := measure(face, p, clean, lineWidth, 0.04)
	cut := clean[0]
	n := len(cut.Width) / 2
	cut.Points, cut.Width, cut.Zone = cut.Points[:n+1], cut.Width[:n], cut.Zone[:n]
	short := clean[:0:0]
	assert.Less(t, measure(face, p, append(short, cut), lineWidth, 0.04).Covered, good.Covered-5)
	assert.Greater(t, measure(face, p, append(clean[:1:1], cut), lineWidth, 0.04).Double, good.Double+30)
	moved := clean[0]
	moved.Points = plane.Translate(2, 0).ApplyLine(plane.Polyline(moved.Points))
	assert.Greater(t, measure(face, p, append(short, moved), lineWidth, 0.04).Spill, good.Spill+5)
	turned := clean[0]
	turned.Points = plane.Rotate(0.1).ApplyLine(plane.Polyline(turned.Points))
	assert.Less(t, measure(face, p, append(short, turned), lineWidth, 0.04).Deep, 1.0)
}
