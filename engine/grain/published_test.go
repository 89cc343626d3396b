package grain

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// With whole places at nought the hash of seeds 1, 2, 3, 4 is the sequence of
// splitmix64 from state 0 (Steele, Lea, Flood, OOPSLA 2014; the values, which
// are those of its reference code, from memory).
func TestHashIsSplitmix64(t *testing.T) {
	for k, want := range []uint64{0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F, 0xF88BB8A8724C81EC} {
		assert.Equal(t, want, Hash(uint64(k+1), 0, 0))
	}
}

// Gradient noise is zero at every whole place, and there its slope is the
// place's own direction, since the fade has no slope at its ends (Perlin, An
// image synthesizer, SIGGRAPH 1985, and Improving noise, 2002; from memory).
func TestNoiseAtWholePlaces(t *testing.T) {
	const d = 1e-5
	for seed := range uint64(5) {
		for i := -20; i <= 20; i++ {
			for j := -20; j <= 20; j++ {
				x, y := float64(i), float64(j)
				require.Zero(t, gradientNoise(seed, x, y))
				slope := plane.Point{
					X: (gradientNoise(seed, x+d, y) - gradientNoise(seed, x-d, y)) / (2 * d),
					Y: (gradientNoise(seed, x, y+d) - gradientNoise(seed, x, y-d)) / (2 * d),
				}
				g := directions[Hash(seed, i, j)&63]
				require.InDelta(t, 1.4*g[0], slope.X, 1e-4, "seed %d at %d, %d", seed, i, j)
				require.InDelta(t, 1.4*g[1], slope.Y, 1e-4, "seed %d at %d, %d", seed, i, j)
			}
		}
	}
}

// Gradient noise of unit directions keeps within ±√N/2 in N dimensions (known;
// from memory): in a cell's middle each of the four corners adds at most ¼·√½.
// Both noise and its three scales are to keep within ±1, and come near it.
func TestNoiseKeepsItsRange(t *testing.T) {
	most, mostOctaves := 0.0, 0.0
	for k := range 400_000 {
		x, y := 1e4*Draw(11, k, 0), 1e4*Draw(11, k, 1)
		most = max(most, math.Abs(gradientNoise(3, x, y)))
		mostOctaves = max(mostOctaves, math.Abs(octaves(3, x, y)))
	}
	bound := 1.4 * math.Sqrt2 / 2
	assert.Less(t, bound, 1.0)
	assert.LessOrEqual(t, most, bound)
	assert.Greater(t, most, 0.85*bound, "the bound is no idle one")
	assert.LessOrEqual(t, mostOctaves, 1.0)
}

// At a place of a cell the noise is a sum of four independent products, so that
// its mean square is Σ weight²·distance²/2, with E[g·gᵀ] = ½ for unit directions
// (derived); beside it that of many cells.
func TestNoiseHasItsMeanSquare(t *testing.T) {
	for _, at := range [][2]float64{{0.5, 0.5}, {0.25, 0.5}, {0.1, 0.3}, {0.8, 0.9}} {
		want := 0.0
		for corner := range 4 {
			dx, dy := at[0]-float64(corner&1), at[1]-float64(corner>>1)
			u, v := fade(at[0]), fade(at[1])
			if corner&1 == 0 {
				u = 1 - u
			}
			if corner>>1 == 0 {
				v = 1 - v
			}
			want += 1.4 * 1.4 * u * u * v * v * (dx*dx + dy*dy) / 2
		}
		sum, sum2, n := 0.0, 0.0, 0
		for i := range 300 {
			for j := range 300 {
				v := gradientNoise(21, float64(i)+at[0], float64(j)+at[1])
				sum, sum2, n = sum+v, sum2+v*v, n+1
			}
		}
		assert.InEpsilon(t, want, sum2/float64(n), 0.03, "at %v", at)
		assert.InDelta(t, 0, sum/float64(n), 5*math.Sqrt(want/float64(n)), "at %v", at)
	}
}

// Noise of feature size 1 has its power about one cycle and next to none far
// from it: band-limited, if weakly (Perlin 1985; Cook and DeRose, Wavelet noise,
// SIGGRAPH 2005; from memory, which give no figure for these shares). A seeded
// fault: white noise has most of its power beyond.
func TestNoiseIsBandLimited(t *testing.T) {
	const cells, per = 8, 8
	shares := func(f func(seed uint64, x, y float64) float64) (slow, middle, fast float64) {
		for seed := range uint64(8) {
			for freq, power := range spectrum(cells*per, func(i, j int) float64 {
				return f(seed, float64(i)/per+0.37, float64(j)/per+0.71)
			}) {
				switch f := float64(freq) / cells; {
				case f < 0.25:
					slow += power
				case f <= 2:
					middle += power
				default:
					fast += power
				}
			}
		}
		all := slow + middle + fast
		return slow / all, middle / all, fast / all
	}
	slow, middle, fast := shares(gradientNoise)
	t.Logf("power under ¼ cycle %.2f %%, up to 2 cycles %.2f %%, beyond %.3f %%", 100*slow, 100*middle, 100*fast)
	assert.Less(t, slow, 0.05)
	assert.Greater(t, middle, 0.94)
	assert.Less(t, fast, 0.01)
	_, _, fast = shares(func(seed uint64, x, y float64) float64 { return Draw(seed, int(x*per), int(y*per)) - 0.5 })
	assert.Greater(t, fast, 0.5)
}

// spectrum returns the power of n × n samples by the whole number of waves
// across them, under a raised-cosine window, mean taken off.
func spectrum(n int, at func(i, j int) float64) []float64 {
	rows := make([][]complex128, n)
	for i := range n {
		rows[i] = make([]complex128, n)
		for j := range n {
			window := (1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))) * (1 - math.Cos(2*math.Pi*(float64(j)+0.5)/float64(n)))
			rows[i][j] = complex(window*at(i, j), 0)
		}
	}
	turn := make([]complex128, n)
	for k := range n {
		turn[k] = cmplx.Exp(complex(0, -2*math.Pi*float64(k)/float64(n)))
	}
	transform := func(v []complex128) []complex128 {
		out := make([]complex128, n)
		for k := range n {
			for i, a := range v {
				out[k] += a * turn[k*i%n]
			}
		}
		return out
	}
	for i := range n {
		rows[i] = transform(rows[i])
	}
	power := make([]float64, n)
	column := make([]complex128, n)
	for k := range n {
		for i := range n {
			column[i] = rows[i][k]
		}
		for m, a := range transform(column) {
			if k == 0 && m == 0 {
				continue
			}
			p, q := min(k, n-k), min(m, n-m)
			power[int(math.Round(math.Hypot(float64(p), float64(q))))] += real(a)*real(a) + imag(a)*imag(a)
		}
	}
	return power
}

// smooth are fields without a jump of the gradient.
func smooth(t *testing.T) map[string]pattern.Field {
	wood, m := NewWood(plane.Point{X: 2}, WoodOptions{Turn: 0.3, WaveMM: 3, LengthMM: 40}, 5, face)
	require.Positive(t, m.Max)
	flowing, _ := NewFlowing(plane.Point{X: 1}, 0.4, 25, 0.6, 5, face)
	return map[string]pattern.Field{"wood": wood, "flowing": flowing}
}

func slopeOf(f pattern.Field, p plane.Point) plane.Point {
	const d = 1e-4
	return plane.Point{
		X: (f.Level(p.Add(plane.Point{X: d})) - f.Level(p.Sub(plane.Point{X: d}))) / (2 * d),
		Y: (f.Level(p.Add(plane.Point{Y: d})) - f.Level(p.Sub(plane.Point{Y: d}))) / (2 * d),
	}
}

// places are spread over the face.
func places(f func(k int, p plane.Point)) {
	size := face.Size()
	for k := range 400 {
		f(k, face.Min.Add(plane.Point{X: size.X * Draw(31, k, 0), Y: size.Y * Draw(31, k, 1)}))
	}
}

// Levels that differ by h stand h/|∇Level| apart (first order; derived): beside
// it the way along the normal until the level has risen by h.
func TestSpacingIsTheInverseOfTheSlope(t *testing.T) {
	const h = 0.02
	for name, f := range smooth(t) {
		places(func(k int, p plane.Point) {
			g := slopeOf(f, p)
			along := g.Unit()
			lo, hi := 0.0, 10*h
			for range 50 {
				if middle := (lo + hi) / 2; f.Level(p.Add(along.Mul(middle))) < f.Level(p)+h {
					lo = middle
				} else {
					hi = middle
				}
			}
			require.InEpsilon(t, h/g.Norm(), lo, 0.01, "%s, place %d of seed 31", name, k)
			require.InDelta(t, 0, slopeOf(f, p).Sub(pattern.Slope(f, p)).Norm(), 0.01, "%s, place %d", name, k)
		})
	}
}

// The curvature of a level line is ∇·(∇f/|∇f|) (Goldman, Curvature formulas for
// implicit curves and surfaces, CAGD 2005; from memory): beside it the circle
// through three points of the line.
func TestCurvatureOfLevelLines(t *testing.T) {
	for name, f := range smooth(t) {
		normal := func(p plane.Point) plane.Point { return slopeOf(f, p).Unit() }
		onLevel := func(p plane.Point, level float64) plane.Point {
			for range 6 {
				g := slopeOf(f, p)
				p = p.Add(g.Mul((level - f.Level(p)) / g.Dot(g)))
			}
			return p
		}
		places(func(k int, p plane.Point) {
			const d, way = 0.01, 0.15
			curvature := (normal(p.Add(plane.Point{X: d})).X - normal(p.Sub(plane.Point{X: d})).X +
				normal(p.Add(plane.Point{Y: d})).Y - normal(p.Sub(plane.Point{Y: d})).Y) / (2 * d)
			along := normal(p).Left()
			a, b := onLevel(p.Sub(along.Mul(way)), f.Level(p)), onLevel(p.Add(along.Mul(way)), f.Level(p))
			u, v := p.Sub(a), b.Sub(p)
			circle := 2 * u.Cross(v) / (u.Norm() * v.Norm() * b.Sub(a).Norm())
			require.InDelta(t, curvature, circle, 0.004, "%s, place %d of seed 31", name, k)
		})
	}
}

// The lines that begin inside a box less those that end there, were they all of
// one spacing, are ∬∇·T = ∮T·n (divergence theorem), T the lines' direction.
func TestLineEndsByTheDivergenceTheorem(t *testing.T) {
	box := plane.Box{Min: plane.Point{X: -9, Y: -14}, Max: plane.Point{X: 17, Y: 11}}
	for name, f := range smooth(t) {
		along := func(p plane.Point) plane.Point { return slopeOf(f, p).Unit().Left() }
		const n, d = 160, 0.01
		size := box.Size()
		dx, dy := size.X/n, size.Y/n
		inside, unsigned := 0.0, 0.0
		for i := range n {
			for j := range n {
				p := box.Min.Add(plane.Point{X: dx * (float64(i) + 0.5), Y: dy * (float64(j) + 0.5)})
				spread := (along(p.Add(plane.Point{X: d})).X - along(p.Sub(plane.Point{X: d})).X +
					along(p.Add(plane.Point{Y: d})).Y - along(p.Sub(plane.Point{Y: d})).Y) / (2 * d)
				inside, unsigned = inside+spread*dx*dy, unsigned+math.Abs(spread)*dx*dy
			}
		}
		border := 0.0
		for i := range n {
			x, y := box.Min.X+dx*(float64(i)+0.5), box.Min.Y+dy*(float64(i)+0.5)
			border += dx * (along(plane.Point{X: x, Y: box.Max.Y}).Y - along(plane.Point{X: x, Y: box.Min.Y}).Y)
			border += dy * (along(plane.Point{X: box.Max.X, Y: y}).X - along(plane.Point{X: box.Min.X, Y: y}).X)
		}
		t.Logf("%s: ∬∇·T = %.3f mm, ∮T·n = %.3f mm, ∬|∇·T| = %.1f mm", name, inside, border, unsigned)
		assert.InDelta(t, border, inside, 0.01*unsigned, name)
	}
}
