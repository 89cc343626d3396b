package fill

import (
	"context"
	"os"
	"testing"

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

func TestFigures(t *testing.T) {
	for _, c := range []struct {
		name string
		face plane.Region
		p    pattern.Pattern
	}{
		{"one direction disc", disc(60), oneDirection(0.4)},
		{"one direction ring", annulus(60, 30), oneDirection(0.4)},
		{"blocks disc", disc(60), blocks(10, 0.2, disc(60).Bounds())},
		{"blocks ring", annulus(60, 30), blocks(10, 0.2, disc(60).Bounds())},
		{"blocks star", star(40, 18, 5), blocks(10, 0.2, star(40, 18, 5).Bounds())},
		{"blocks letter", letterA(), blocks(10, 0.2, letterA().Bounds())},
		{"blocks gear", gear(32, 16), blocks(10, 0.2, gear(32, 16).Bounds())},
		{"blocks plate12", plate(100, 12, 8), blocks(10, 0.2, plate(100, 0, 0).Bounds())},
		{"blocks frame", frame3(), blocks(10, 0.2, frame3().Bounds())},
		{"blocks neck 0.7", neck(0.7), blocks(10, 0.2, neck(1).Bounds())},
		{"blocks neck 1.5", neck(1.5), blocks(10, 0.2, neck(1).Bounds())},
		{"facets disc", disc(60), facets(1, 8, disc(60).Bounds())},
		{"facets plate12", plate(100, 12, 8), facets(2, 8, plate(100, 0, 0).Bounds())},
		{"herringbone disc", disc(60), herringbone(8, 16, disc(60).Bounds())},
	} {
		t.Run(c.name, func(t *testing.T) {
			res := lay(t, c.face, c.p)
			f := measure(c.face, c.p, res.Strands, lineWidth, 0.03)
			t.Logf("%s", f)
			t.Logf("%+v", res.Stats)
			count := map[string]int{}
			for _, x := range res.Findings {
				count[x.Code]++
			}
			for _, x := range res.Findings {
				t.Logf("   %s %.3f at %v", x.Code, x.Value, *x.Place.At)
			}
			t.Logf("%v crossings %d", count, Crossings(res.Strands))
			if dir := os.Getenv("FILL_PICTURES"); dir != "" {
				require.NoError(t, picture(dir+"/"+c.name+".png", c.face.Bounds().Grow(1), res.Strands, 16))
			}
		})
	}
}
