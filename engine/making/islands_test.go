package making

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
	"sheenlay/engine/strand"
)

// beadsOf makes islands of one bead each from pairs of ends.
func beadsOf(ends ...[2]plane.Point) [][]strand.Strand {
	var out [][]strand.Strand
	for i, e := range ends {
		out = append(out, []strand.Strand{{Points: []plane.Point{e[0], e[1]}, Width: []float64{0.4}, Zone: []int32{0}, Island: i}})
	}
	return out
}

// shortest tries every order and every way round.
func shortest(islands [][]strand.Strand, start *plane.Point) float64 {
	best := math.Inf(1)
	var try func(done, rest [][]strand.Strand)
	try = func(done, rest [][]strand.Strand) {
		if len(rest) == 0 {
			best = math.Min(best, wayBetween(done, start))
			return
		}
		for i, one := range rest {
			others := slices.Delete(slices.Clone(rest), i, i+1)
			try(append(slices.Clone(done), one), others)
			try(append(slices.Clone(done), turnedRound(one)), others)
		}
	}
	try(nil, islands)
	return best
}

// A few islands are toured as short as any order and any way round can be; the
// seeded fault is an order that leaves them as they came.
func TestFewIslandsAreTouredAtBest(t *testing.T) {
	const seed = 11
	random := rand.New(rand.NewPCG(seed, 1))
	point := func() plane.Point { return plane.Point{X: 100 * random.Float64(), Y: 100 * random.Float64()} }
	gained := 0
	for trial := range 40 {
		var ends [][2]plane.Point
		for range 2 + trial%4 {
			ends = append(ends, [2]plane.Point{point(), point()})
		}
		var start *plane.Point
		if at := point(); trial%3 > 0 {
			start = &at
		}
		islands := beadsOf(ends...)
		got := toured(context.Background(), islands, start)
		best := shortest(islands, start)
		assert.InDelta(t, best, wayBetween(got, start), 1e-9, "seed %d, trial %d", seed, trial)
		if wayBetween(islands, start) > best+1 {
			gained++
		}
		sameBeads(t, islands, got)
	}
	assert.Greater(t, gained, 20, "left as they came they would have been found too long")
}

// sameBeads checks that two tours lay the same beads, each forwards or backwards.
func sameBeads(t *testing.T, want, got [][]strand.Strand) {
	t.Helper()
	require.Len(t, got, len(want))
	seen := map[int]bool{}
	for _, island := range got {
		i := island[0].Island
		require.False(t, seen[i])
		seen[i] = true
		if island[0].Points[0] != want[i][0].Points[0] {
			island = turnedRound(island)
		}
		assert.Equal(t, want[i], island)
	}
}

func TestTourOfNoIslands(t *testing.T) {
	assert.Empty(t, toured(context.Background(), nil, nil))
	one := beadsOf([2]plane.Point{{X: 1}, {X: 2}})
	assert.Equal(t, one, toured(context.Background(), one, nil))
	cancelled, stop := context.WithCancel(context.Background())
	stop()
	four := beadsOf([2]plane.Point{{X: 1}, {X: 2}}, [2]plane.Point{{X: 9}, {X: 8}}, [2]plane.Point{{X: 3}, {X: 4}}, [2]plane.Point{{X: 6}, {X: 5}})
	sameBeads(t, four, toured(cancelled, four, nil))
	same := beadsOf([2]plane.Point{}, [2]plane.Point{}, [2]plane.Point{})
	assert.Equal(t, same, toured(context.Background(), same, nil), "nothing shorter: as they came")
}

// framed is four discs within a frame.
func framed() specimen.Shape {
	hole := specimen.Rectangle(66, 66).Contours[0]
	hole.Ring = hole.Ring.Reversed()
	out := specimen.Shape{Name: "framed discs", Contours: append(specimen.Rectangle(80, 80).Contours, hole)}
	for _, at := range []plane.Point{{X: -16, Y: -16}, {X: 16, Y: -16}, {X: 16, Y: 16}, {X: -16, Y: 16}} {
		out.Contours = append(out.Contours, specimen.Disc(11).Apply(0, at).Contours...)
	}
	return out
}

// Four discs within a frame are gone round, not crossed: the ways between them
// are the shortest that their beads leave.
func TestDiscsInAFrame(t *testing.T) {
	s := specimen.Make(specimen.Options{Shape: framed(), At: plane.Point{X: 110, Y: 110}, Walls: 2, Layers: 3, FillDegree: 45})
	p := open(t, "framed", s.Bytes, 1)
	for _, generator := range []string{"tumbling-blocks", "herringbone", "rings"} {
		m, err := Make(context.Background(), p, func() job.Job { j := job.Default(); j.Art.Generator = generator; return j }(), true, nil)
		require.NoError(t, err)
		l := &m.Layers[0]
		islands := [][]strand.Strand{}
		for k, s := range l.Strands {
			if k == 0 || s.Island != l.Strands[k-1].Island {
				islands = append(islands, nil)
			}
			islands[len(islands)-1] = append(islands[len(islands)-1], s)
		}
		require.Len(t, islands, 5, generator)
		lead := (&work{Made: m, piece: p}).leadIn(l)
		assert.InDelta(t, shortest(islands, lead), wayBetween(islands, lead), 1e-9, generator)
		t.Logf("%s: %.1f mm between five islands", generator, wayBetween(islands, lead))
	}
}
