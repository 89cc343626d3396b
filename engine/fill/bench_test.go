package fill

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func BenchmarkFillBlocks(b *testing.B) {
	for _, size := range []float64{25, 50, 100, 200, 400} {
		b.Run(fmt.Sprintf("face=%g", size), func(b *testing.B) {
			face := plate(size, 0, 0)
			p := blocks(10, 0.2, face.Bounds())
			var length float64
			for b.Loop() {
				res, err := Fill(context.Background(), Request{Face: face, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.3, MaxWidthMM: 0.55})
				require.NoError(b, err)
				length = res.Stats.LengthMM
			}
			b.ReportMetric(length/1000, "m")
		})
	}
}
