package sorting

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Against package slices, equal elements included: both sort by the same method.
func TestSortsAsSlicesDoes(t *testing.T) {
	const seed = 5
	random := rand.New(rand.NewPCG(seed, 0))
	type pair struct{ key, place int }
	byKey := func(a, b pair) int { return cmp.Compare(a.key, b.key) }
	for _, n := range []int{0, 1, 2, 11, 12, 13, 50, 51, 1000} {
		for _, keys := range []int{1, 3, 1 << 30} {
			given := make([]pair, n)
			for i := range given {
				given[i] = pair{random.IntN(keys), i}
			}
			want, got := slices.Clone(given), slices.Clone(given)
			slices.SortFunc(want, byKey)
			By(got, byKey)
			assert.Equal(t, want, got, "seed %d, %d of %d keys", seed, n, keys)
			want, got = slices.Clone(given), slices.Clone(given)
			slices.SortStableFunc(want, byKey)
			Stable(got, byKey)
			assert.Equal(t, want, got, "stable, seed %d, %d of %d keys", seed, n, keys)
		}
	}
}

func BenchmarkSort(b *testing.B) {
	given := make([]float64, 10000)
	random := rand.New(rand.NewPCG(5, 0))
	for i := range given {
		given[i] = random.Float64()
	}
	for name, sorts := range map[string]func([]float64, func(a, b float64) int){"here": By[float64], "slices": slices.SortFunc[[]float64]} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				sorts(slices.Clone(given), cmp.Compare)
			}
		})
	}
}
