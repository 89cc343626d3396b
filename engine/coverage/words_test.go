package coverage

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/tol"
)

// kindOf is what one counter means, written down as the package's text has it.
func kindOf(v uint8, inFace bool) Kind {
	switch n := v & raster.Layers; {
	case !inFace && n > 0:
		return Spilled
	case !inFace:
		return Outside
	case n > 1:
		return Double
	case n == 1:
		return Once
	case v&raster.Near != 0:
		return Narrow
	}
	return Open
}

// Eight counters at a time give what each gives alone: every counter, in rows of
// every length up to two words, mostly of the ordinary ones.
func TestWordsAreAsPixels(t *testing.T) {
	const seed = 83
	random := rand.New(rand.NewPCG(seed, 1))
	for round := range 4000 {
		row := make([]uint8, random.IntN(18))
		inFace := round%2 == 0
		var want tally
		kinds := make([]uint8, len(row))
		for i := range row {
			row[i] = []uint8{1, 1 | raster.Near}[random.IntN(2)]
			if random.IntN(12) == 0 || round < 256 {
				row[i] = uint8(random.IntN(256)) &^ 0x40 // counts stop at 63
			}
			k := kindOf(row[i], inFace)
			kinds[i] = uint8(k)
			want[k]++
		}
		var got tally
		if inFace {
			got.inside(row)
		} else {
			got.beyond(row)
		}
		require.Equal(t, kinds, row, "seed %d, round %d", seed, round)
		require.Equal(t, want, got, "seed %d, round %d", seed, round)
	}
}

// The nearest lines beside a place are those that asking every line finds.
func TestNeighboursAreTheNearestOfAll(t *testing.T) {
	const seed = 89
	random := rand.New(rand.NewPCG(seed, 1))
	found := 0
	for round := range 300 {
		pieces, box := []piece{}, plane.EmptyBox()
		lay := plane.Point{X: 1}.Turn(math.Pi * random.Float64())
		for range 1 + random.IntN(40) {
			a := plane.Point{X: 8 * random.Float64(), Y: 8 * random.Float64()}
			b := a.Add(lay.Turn(0.1 * random.NormFloat64()).Mul(0.3 + 3*random.Float64()))
			pieces = append(pieces, piece{a, b, 0.3 + 0.3*random.Float64()})
			box = box.Include(a).Include(b)
		}
		const reach = 0.84
		g, ok := newIndex(pieces, box.Grow(2*reach), reach)
		require.True(t, ok)
		for i, p := range pieces {
			u, m := p.b.Sub(p.a).Unit(), p.a.Lerp(p.b, 0.5)
			side := u.Left()
			want := [2]beside{{off: reach}, {off: reach}}
			for k, q := range pieces {
				v := q.b.Sub(q.a)
				along, across := v.Dot(u), v.Dot(side)
				if k == i || math.Abs(across) > tol.CoverageParallel*math.Abs(along) {
					continue
				}
				at := m.Sub(q.a).Dot(u) / along
				if at < 0 || at > 1 {
					continue
				}
				d := q.a.Add(v.Mul(at)).Sub(m).Dot(side)
				for s, off := range [2]float64{d, -d} {
					if off >= -tol.Coincident && off < want[s].off {
						want[s] = beside{math.Max(off, 0), (p.width + q.width) / 2}
						found++
					}
				}
			}
			require.Equal(t, want, g.neighbours(int32(i), p.width, m, u, reach), "seed %d, round %d, line %d", seed, round, i)
		}
	}
	assert.Greater(t, found, 1000)
}
