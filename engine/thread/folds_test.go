package thread_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/fill"
	"sheenlay/engine/fill/facetest"
	"sheenlay/engine/fill/loops"
	"sheenlay/engine/finding"
	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/thread"
)

// rays is a field whose lines are rays from the origin, one spacing apart at
// the radius r0; r/r0 spacings at r.
func rays(r0 float64) grain.Function {
	return func(p plane.Point) float64 { return r0 * math.Atan2(p.X, p.Y) }
}

// sector is the part of a ring about the origin within ±half radians of +Y.
func sector(inner, outer, half float64) plane.Region {
	var ring plane.Ring
	const n = 60
	for k := 0; k <= n; k++ {
		ring = append(ring, plane.Point{Y: outer}.Turn(half*(2*float64(k)/n-1)))
	}
	for k := n; k >= 0; k-- {
		ring = append(ring, plane.Point{Y: inner}.Turn(half*(2*float64(k)/n-1)))
	}
	return plane.Region{ring}
}

// across counts the lines that cross the arc at r.
func across(made []loops.Loop, r float64) int {
	n := 0
	for _, l := range made {
		for s := range l.Segments() {
			if a, b := l.Segment(s); (a.Norm() < r) != (b.Norm() < r) {
				n++
			}
		}
	}
	return n
}

// Between the radii r and R of a sector of angle α, lines of one width s need at
// least ∬|∇·T|/s = α·(R−r)/s ends (∇·T = 1/r for rays; derived from the
// divergence theorem). With widths within limits fewer do. The ends that are laid, counted as the change of the lines across arcs, keep within
// twice the bound of lines of one width, and the lines within the limits.
func TestLinesComeInAndGoOut(t *testing.T) {
	const inner, outer, half = 20.0, 60.0, 0.25
	face := sector(inner, outer, half)
	for _, c := range []struct {
		name      string
		r0        float64
		min, most float64
	}{
		{"lines come in, wide limits", 20, 0.24, 0.80},
		{"lines come in, narrow limits", 20, 0.30, 0.55},
		{"lines go out", 60, 0.24, 0.80},
		{"lines go out twice", 100, 0.24, 0.80},
		{"lines come in and go out", 30, 0.30, 0.55},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := areaOf(face, rays(c.r0))
			a.Min, a.Max = c.min, c.most
			made, found, err := thread.New().Zone(context.Background(), a)
			require.NoError(t, err)
			requireValid(t, made, a, face)
			off := 0.0
			for _, f := range found {
				off += f.Value
			}
			assert.LessOrEqual(t, off, 0.03*face.Area(), "one of the gaps beside the two borders stays as it is: %v", found)
			counted, ends, last := "", 0, 0
			for r := inner + 2.5; r < outer-2; r += 0.25 {
				n := across(made, r)
				if last > 0 && n != last {
					ends += max(n-last, last-n)
				}
				last = n
				if spacing := 2 * half * r / float64(n); math.Mod(r, 5) == 0 {
					counted += fmt.Sprintf("  %.0f: %d, %.2f mm", r, n, spacing)
				}
			}
			bound := 2 * half * (outer - inner) / lineWidth
			t.Logf("%d ends, bound for lines of 0.42 mm %.0f; lines across%s", ends, bound, counted)
			assert.LessOrEqual(t, float64(ends), 2*bound)
			assert.Positive(t, ends)
		})
	}
}

// A face whose lines fan out to three times their spacing is covered like one
// whose lines do not, as one bead without crossings.
func TestFansAreCovered(t *testing.T) {
	t.Parallel()
	rect := plane.Region{facetest.Rect(-8, 20, 8, 60)}
	swings := grain.Function(func(p plane.Point) float64 { return p.Y + 3*math.Sin(p.X/6)*math.Sin(p.Y/5) })
	for _, c := range []struct {
		name  string
		field grain.Function
		face  plane.Region
		gate
	}{
		{"fan", rays(20), rect, gate{97.6, 2.45, 0.5, 98.7}},
		{"fan that crowds", rays(40), rect, gate{98.5, 1.6, 0.35, 98.4}},
		{"fan that crowds more", rays(80), rect, gate{97.7, 3.5, 0.4, 97.2}},
		{"swings", swings, facetest.Disc(60), gate{98.6, 1.15, 0.45, 99.2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := pattern.Pattern{Ground: pattern.Lay{Field: c.field}}
			r := request(c.face, p)
			r.MinWidthMM, r.MaxWidthMM = 0.24, 0.80 // 0.6 and 2 nozzles of 0.4 mm
			res, err := fill.Fill(context.Background(), r)
			require.NoError(t, err)
			f := measured(c.face, p, res)
			t.Log(f)
			assert.Len(t, res.Strands, 1)
			assert.Zero(t, fill.Crossings(res.Strands))
			assert.GreaterOrEqual(t, f.Covered.Percent, c.covered)
			assert.LessOrEqual(t, f.Double.Percent, c.double)
			assert.LessOrEqual(t, f.Open.Percent, c.open)
			assert.GreaterOrEqual(t, f.deep, c.deep)
			picture(t, c.name, c.face, res.Strands)
		})
	}
}

// Fields with eyes, saddles and ridges among stretches too wide and too narrow:
// whatever lines come in or go out, beads keep the contract.
func TestFoldsOfWildFields(t *testing.T) {
	t.Parallel()
	seeds := uint64(18)
	if testing.Short() {
		seeds = 6
	}
	for seed := range seeds {
		t.Run(fmt.Sprintf("seed=%d", seed), func(t *testing.T) {
			d := func(k int) float64 { return grain.Draw(seed, k, 1) }
			strength, long, high := 1+5*d(0), 2+6*d(1), 2+6*d(2)
			slope := 0.5 + 1.5*d(3)
			field := grain.Function(func(p plane.Point) float64 {
				v := slope * (p.Y + strength*math.Sin(p.X/long+d(4))*math.Sin(p.Y/high))
				if seed%3 == 0 {
					return math.Abs(v)
				}
				return v
			})
			face := facetest.Disc(30)
			if seed%2 == 0 {
				face = facetest.Annulus(30, 9)
			}
			a := areaOf(face, field)
			a.Min, a.Max = 0.24, 0.80
			a.Phase = 0.42 * d(5)
			made, found, err := thread.New().Zone(context.Background(), a)
			require.NoError(t, err)
			requireValid(t, made, a, face)
			lost := 0.0
			for _, f := range found {
				if f.Code == "thread-left-out" {
					lost += f.Value
				}
				assert.NotEqual(t, finding.Stop, f.Level)
			}
			assert.LessOrEqual(t, lost, 0.02*face.Area(), "area of beads that crossed")
			again, _, err := thread.New().Zone(context.Background(), a)
			require.NoError(t, err)
			assert.Equal(t, made, again)
			for _, l := range made {
				for i, z := range l.Zone {
					require.Contains(t, []int32{strand.Ground, strand.Connector}, z, "segment %d", i)
				}
			}
		})
	}
}
