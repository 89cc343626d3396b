package quickprint

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The sums that the algorithm's own test programs and libraries state for seed 0.
func TestPublishedSums(t *testing.T) {
	cases := []struct {
		text string
		want uint64
	}{
		{"", 0xef46db3751d8e999},
		{"a", 0xd24ec4f1a98c6e5b},
		{"as", 0x1c330fb2d66be179},
		{"asd", 0x631c37ce72a97393},
		{"asdf", 0x415872f599cea71e},
		{"abc", 0x44bc2cf5ad770999},
		{"Call me Ishmael. Some years ago--never mind how long precisely-", 0x02a2e85470d6fd96},
	}
	for _, c := range cases {
		assert.Equal(t, c.want, Of([]byte(c.text)), "%q", c.text)
	}
}

// Every single bit that changes in a slice of any length changes its print.
func TestOneBit(t *testing.T) {
	const seed = 9
	random := rand.New(rand.NewPCG(seed, 0))
	for size := 1; size <= 100; size++ {
		data := []byte(strings.Repeat("G1 X12.5 Y7 E.03\n", 6)[:size])
		before := Of(data)
		for range 20 {
			at, bit := random.IntN(size), byte(1)<<random.IntN(8)
			data[at] ^= bit
			assert.NotEqual(t, before, Of(data), "seed %d, size %d, byte %d, bit %08b", seed, size, at, bit)
			data[at] ^= bit
		}
		assert.Equal(t, before, Of(data))
	}
}

func BenchmarkOf(b *testing.B) {
	for _, size := range []int{4 << 10, 64 << 10, 4 << 20} {
		b.Run(fmt.Sprintf("n=%d", size), func(b *testing.B) {
			data := make([]byte, size)
			b.SetBytes(int64(size))
			for b.Loop() {
				data[0] = byte(Of(data))
			}
		})
	}
}
