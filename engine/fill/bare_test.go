package fill

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// squares25 is a face of 2.5 mm squares, six lines wide, turned so that nothing
// lies along an axis.
func squares25(turn float64, at ...[2]float64) plane.Region {
	var all []plane.Region
	for _, p := range at {
		all = append(all, plane.Region{rect(2.5*p[0], 2.5*p[1], 2.5*p[0]+2.5, 2.5*p[1]+2.5)})
	}
	return plane.Rotate(turn).Then(plane.Translate(7, 3)).ApplyRegion(overlay.Union(all...))
}

func row(n int) (at [][2]float64) {
	for i := range n {
		at = append(at, [2]float64{float64(i), 0})
	}
	return at
}

// TestSmallFaces lays lines at many angles over faces of few small squares.
// Each must be covered to the floor (what is reached at the worst angle, less
// half a point), and what is covered badly must be said, with the area left bare.
func TestSmallFaces(t *testing.T) {
	for _, c := range []struct {
		name  string
		at    [][2]float64
		floor float64
	}{
		{"one square", row(1), 90.5},
		{"three in a row", row(3), 90.8},
		{"seven in a row", row(7), 89.9},
		{"an angle", append(row(4), [2]float64{0, 1}, [2]float64{0, 2}), 92.6},
		{"a cross", [][2]float64{{1, 0}, {0, 1}, {1, 1}, {2, 1}, {1, 2}}, 92.1},
		{"two by three", append(row(3), [2]float64{0, 1}, [2]float64{1, 1}, [2]float64{2, 1}), 94.6},
	} {
		t.Run(c.name, func(t *testing.T) {
			least, worst := 100.0, 0.0
			for k := range 18 {
				lay := float64(k) * math.Pi / 18
				face := squares25(0.37, c.at...)
				p := pattern.Pattern{Ground: pattern.Lay{Angle: plane.NormalLay(0.37 + lay)}}
				res, err := Fill(context.Background(), Request{Face: face, Pattern: p, WidthMM: lineWidth})
				require.NoError(t, err)
				name := fmt.Sprintf("%.0f°", lay*180/math.Pi)
				assert.Len(t, res.Strands, 1, name)
				assert.Zero(t, Crossings(res.Strands), name)
				f := measure(face, p, res.Strands, lineWidth, 0.02)
				if f.Covered < least {
					least, worst = f.Covered, lay
				}
				said := 0.0
				for _, n := range res.Findings {
					if n.Code == "fill-bare-share" {
						said = n.Value
						at := plane.Point{X: n.Place.At[0], Y: n.Place.At[1]}
						assert.True(t, face.Bounds().Contains(at), name)
					}
				}
				bare := (100 - f.Covered) / 100
				if math.Abs(bare-tol.FillBareShare) > 0.002 {
					assert.Equal(t, bare > tol.FillBareShare, said > 0, "%s: %.2f %% bare", name, 100*bare)
				}
				if said > 0 {
					assert.InDelta(t, bare*face.Area(), said, 0.004*face.Area(), name)
				}
			}
			t.Logf("least covered %.2f %% at %.0f°", least, worst*180/math.Pi)
			assert.GreaterOrEqual(t, least, c.floor)
		})
	}
}

// TestBareArea measures areas known in closed form.
func TestBareArea(t *testing.T) {
	square := plane.Region{rect(0, 0, 10, 10)}
	line := func(x0, y0, x1, y1, width float64) strand.Strand {
		return strand.Strand{Points: []plane.Point{{X: x0, Y: y0}, {X: x1, Y: y1}}, Width: []float64{width}}
	}
	for name, c := range map[string]struct {
		strands []strand.Strand
		mm2     float64
		at      plane.Point
		near    float64
	}{
		"nothing laid":        {nil, 100, plane.Point{X: 5, Y: 5}, 7.1},
		"a bar over the half": {[]strand.Strand{line(-5, 2.5, 15, 2.5, 5)}, 50, plane.Point{X: 5, Y: 7.5}, 5.6},
		"a dot":               {[]strand.Strand{line(5, 5, 5.0001, 5, 2)}, 100 - math.Pi, plane.Point{X: 5, Y: 5}, 7.1},
		"all but a corner":    {[]strand.Strand{line(-5, 4.5, 15, 4.5, 9), line(4.5, 0, 4.5, 10, 9)}, 1, plane.Point{X: 9.5, Y: 9.5}, 0.7},
	} {
		t.Run(name, func(t *testing.T) {
			mm2, at := bareArea(square, c.strands, 0.05)
			assert.InDelta(t, c.mm2, mm2, 0.1)
			assert.Less(t, at.Dist(c.at), c.near)
		})
	}
}

// TestBareSeesFaults: bead taken away from an island must be said.
func TestBareSeesFaults(t *testing.T) {
	face := squares25(0.2, row(4)...)
	clean := lay(t, face, oneDirection(0.2))
	require.False(t, clean.Findings.Has("fill-bare-share"), "%v", clean.Findings)
	w := &worker{req: Request{WidthMM: lineWidth}, island: face, res: &Result{}, ctx: context.Background()}
	short := clean.Strands[0]
	n := len(short.Width) * 8 / 10
	short.Points, short.Width = short.Points[:n+1], short.Width[:n]
	w.noteBare([]strand.Strand{short})
	require.Len(t, w.res.Findings, 1)
	half := clean.Strands[0]
	half.Points, half.Width = half.Points[:n/2+1], half.Width[:n/2]
	w.noteBare([]strand.Strand{half})
	require.Len(t, w.res.Findings, 2)
	assert.Equal(t, finding.Caution, w.res.Findings[1].Level)
}
