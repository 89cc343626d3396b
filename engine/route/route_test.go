package route_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/plane"
	"sheenlay/engine/route"
	"sheenlay/engine/tol"
)

func at(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

func box(x0, y0, x1, y1 float64) plane.Box { return plane.Box{Min: at(x0, y0), Max: at(x1, y1)} }

func square(x0, y0, x1, y1 float64) plane.Region {
	return plane.Region{{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)}}
}

func onBed(b plane.Box) func(plane.Point) bool { return b.Contains }

var bed = onBed(box(-100, -100, 100, 100))

func TestWays(t *testing.T) {
	const c = tol.RouteClear
	middle := square(-10, -10, 10, 10)
	// Round a square by the two corners on one side: the shortest way that keeps
	// the clearance (closed form).
	around := 2*math.Hypot(20-10-c, 10+c) + 2*(10+c)
	bay := plane.Region{{at(-10, -10), at(10, -10), at(10, 10), at(5, 10), at(5, -5), at(-5, -5), at(-5, 10), at(-10, 10)}}
	for _, one := range []struct {
		name     string
		parts    []plane.Region
		laid     []int
		keepOut  []plane.Box
		allowed  func(plane.Point) bool
		from, to plane.Point
		length   float64
		bare     float64
		turns    int
	}{
		{name: "no parts", from: at(-20, 0), to: at(20, 0), length: 40},
		{name: "no way", from: at(3, 3), to: at(3, 3)},
		{name: "beside it", parts: []plane.Region{middle}, from: at(-20, 12), to: at(20, 12), length: 40},
		{name: "round a part", parts: []plane.Region{middle}, from: at(-20, 0), to: at(20, 0), length: around, turns: 2},
		{name: "over what is laid", parts: []plane.Region{middle}, laid: []int{0}, from: at(-20, 0), to: at(20, 0), length: 40},
		{name: "into a part from near", parts: []plane.Region{middle}, from: at(-20, 0), to: at(-8, 0), length: 12, bare: 2},
		{name: "into a part from the far side", parts: []plane.Region{middle}, from: at(-20, 0), to: at(8, 0), bare: 2, turns: 3,
			length: math.Hypot(9, 11) + 22 + math.Hypot(0, 11) + 3},
		{name: "out of a part, all of it bare", parts: []plane.Region{middle}, from: at(0, 8), to: at(0, 20), length: 12, bare: 2},
		{name: "into a bay", parts: []plane.Region{bay}, from: at(0, -20), to: at(0, 0), length: math.Hypot(11, 9) + 22 + math.Hypot(11-4, 0) + math.Hypot(4, 11), turns: 3},
		{name: "round the other side where the bed ends", parts: []plane.Region{middle}, allowed: onBed(box(-100, -100, 100, 10.5)),
			from: at(-20, 5), to: at(20, 5), length: 2*math.Hypot(9, 16) + 22, turns: 2},
		{name: "round an area to be kept free", keepOut: []plane.Box{box(-10, -10, 10, 10)}, from: at(-20, 0), to: at(20, 0), length: around, turns: 2},
		{name: "shut in by one", keepOut: []plane.Box{box(-10, -10, 10, 10)}, from: at(0, 0), to: at(20, 0), length: 20},
		{name: "no number", parts: []plane.Region{middle}, from: at(math.NaN(), 0), to: at(20, 0), length: math.NaN(), bare: math.NaN()},
	} {
		t.Run(one.name, func(t *testing.T) {
			if one.allowed == nil {
				one.allowed = bed
			}
			m := route.New(one.parts, one.keepOut, one.allowed)
			for _, i := range one.laid {
				m.Lay(i)
			}
			got := m.Way(one.from, one.to)
			if math.IsNaN(one.length) {
				assert.Empty(t, got.Via)
				return
			}
			assert.InDelta(t, one.bare, got.BareMM, 0.01, "%v", got.Via)
			assert.InDelta(t, one.length, got.LengthMM, 0.75, "%v", got.Via)
			assert.Len(t, got.Via, one.turns, "%v", got.Via)
		})
	}
}

// TestWaysKeepOffBareParts draws plates of parts that stand apart: whatever is
// laid, a way passes over no more bare face than its ends force it to, and it
// keeps off areas to be kept free. Straight ways do not (the seeded fault).
func TestWaysKeepOffBareParts(t *testing.T) {
	straightFails := 0
	for seed := uint64(1); seed <= 60; seed++ {
		random := rand.New(rand.NewPCG(seed, 7))
		var parts []plane.Region
		for row := range 5 {
			for column := range 5 {
				x, y := float64(column)*16-40, float64(row)*16-40
				turn := plane.Rotate(random.Float64())
				g := turn.ApplyRegion(square(-4-random.Float64(), -2, 4, 2+2*random.Float64()))
				parts = append(parts, plane.Translate(x, y).ApplyRegion(g))
			}
		}
		keepOut := []plane.Box{box(44, -60, 60, -44)}
		m := route.New(parts, keepOut, bed)
		from := at(-60, -60)
		for _, i := range random.Perm(len(parts)) {
			g := parts[i]
			to := g[0][0].Lerp(g.Bounds().Centre(), 0.1)
			way := m.Way(from, to)
			inside, _ := g.Nearest(to)
			assert.LessOrEqual(t, way.BareMM, inside.Dist(to)+2*tol.RouteSlack, "seed %d, part %d", seed, i)
			before := from
			for _, p := range append(append([]plane.Point{}, way.Via...), to) {
				assert.False(t, keepOut[0].Crosses(before, p), "seed %d, part %d", seed, i)
				before = p
			}
			straight := 0.0
			for k, other := range parts {
				if k != i {
					straight += other.LengthWithin(from, to)
				}
			}
			if straight > 1 {
				straightFails++
			}
			m.Lay(i)
			from = to
		}
	}
	assert.Greater(t, straightFails, 500, "the plates must stand in the way of straight travels")
}

func BenchmarkWay(b *testing.B) {
	for _, side := range []int{4, 8, 17} {
		b.Run(fmt.Sprintf("parts=%d", side*side), func(b *testing.B) {
			var parts []plane.Region
			for i := range side * side {
				x, y := float64(i%side)*12-100, float64(i/side)*12-100
				parts = append(parts, square(x, y, x+10, y+10))
			}
			for b.Loop() {
				m := route.New(parts, nil, func(plane.Point) bool { return true })
				from := at(-110, -110)
				for i := range parts {
					to := parts[(i*7)%len(parts)][0][2]
					m.Way(from, to)
					from = to
				}
			}
		})
	}
}
