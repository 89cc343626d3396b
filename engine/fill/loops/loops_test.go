package loops

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
)

const width = 0.42

func loopOf(open bool, points ...plane.Point) Loop {
	l := Loop{Points: points, Open: open}
	l.Width = make([]float64, l.Segments())
	for i := range l.Width {
		l.Width[i] = width
	}
	return l
}

func box(x, y, w, h float64) Loop {
	return loopOf(false, plane.Point{X: x, Y: y}, plane.Point{X: x + w, Y: y},
		plane.Point{X: x + w, Y: y + h}, plane.Point{X: x, Y: y + h})
}

// requireClean is the plain quadratic check: no two segments of all loops
// share a point, but for neighbours, which share one.
func requireClean(t *testing.T, loops []Loop) {
	t.Helper()
	type piece struct {
		near.Segment
		loop, index, of int
	}
	var all []piece
	for i, l := range loops {
		require.Len(t, l.Width, l.Segments())
		for s := range l.Segments() {
			a, b := l.Segment(s)
			require.True(t, a.Finite() && b.Finite())
			all = append(all, piece{near.Segment{A: a, B: b}, i, s, l.Segments()})
		}
	}
	for i, p := range all {
		for _, q := range all[i+1:] {
			if p.loop == q.loop && (q.index-p.index == 1 || (!loops[p.loop].Open && q.index-p.index == p.of-1)) {
				continue
			}
			if p.Crosses(q.Segment) {
				require.Failf(t, "crossing", "%v and %v", p, q)
			}
		}
	}
}

func TestJoin(t *testing.T) {
	grid := func(n int, size float64) []Loop {
		var out []Loop
		for y := range n {
			for x := range n {
				out = append(out, box(float64(x)*(size+width), float64(y)*(size+width), size, size))
			}
		}
		return out
	}
	far := []Loop{box(0, 0, 5, 5), box(20, 0, 5, 5)}
	for name, c := range map[string]struct {
		loops   []Loop
		wall    plane.Region
		left    int
		bridges int
	}{
		"nothing":               {nil, nil, 0, 0},
		"one":                   {grid(1, 4), nil, 1, 0},
		"two side by side":      {grid(2, 4)[:2], nil, 1, 1},
		"five by five":          {grid(5, 3), nil, 1, 24},
		"too far apart":         {far, nil, 2, 0},
		"a wall between":        {grid(2, 4)[:2], plane.Region{{{X: 4.2, Y: -1}, {X: 4.22, Y: -1}, {X: 4.22, Y: 9}, {X: 4.2, Y: 9}}}, 2, 0},
		"a loop and a line":     {[]Loop{box(0, 0, 4, 4), loopOf(true, plane.Point{X: -3, Y: -width}, plane.Point{X: 9, Y: -width})}, nil, 1, 1},
		"a loop without points": {[]Loop{box(0, 0, 4, 4), {}}, nil, 2, 0},
	} {
		t.Run(name, func(t *testing.T) {
			before := 0.0
			for _, l := range c.loops {
				before += l.Length()
			}
			res, err := Join(context.Background(), c.loops, Options{Width: width, Wall: c.wall})
			require.NoError(t, err)
			assert.Len(t, res.Loops, c.left)
			assert.Equal(t, c.bridges, res.Bridges)
			requireClean(t, res.Loops)
			after := 0.0
			for _, l := range res.Loops {
				after += l.Length()
			}
			// Every bridge takes two gaps out and lays two links of the
			// loops' distance, which is one width here as the gap is.
			assert.InDelta(t, before, after, 1e-6*float64(1+c.bridges))
		})
	}
}

func TestJoinTurnedGrids(t *testing.T) {
	for seed := range uint64(20) {
		t.Run(fmt.Sprintf("seed=%d", seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 1))
			turn := plane.Rotate(rng.Float64() * 2 * math.Pi)
			var all []Loop
			for y := range 4 {
				for x := range 4 {
					l := box(float64(x)*3, float64(y)*3, 3-width, 3-width)
					if rng.IntN(2) == 0 {
						l.Points = plane.Polyline(l.Points).Reversed()
					}
					l.Points = turn.ApplyLine(l.Points)
					all = append(all, l)
				}
			}
			res, err := Join(context.Background(), all, Options{Width: width})
			require.NoError(t, err)
			require.Len(t, res.Loops, 1)
			requireClean(t, res.Loops)
		})
	}
}

func TestJoinStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Join(ctx, []Loop{box(0, 0, 4, 4), box(4+width, 0, 4, 4)}, Options{Width: width})
	require.ErrorIs(t, err, context.Canceled)
}
