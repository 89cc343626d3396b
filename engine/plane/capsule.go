package plane

import "math"

// CapsuleRow returns the stretch of the line at height y that lies within
// reach of the segment ab with direction u; lo > hi when there is none.
func CapsuleRow(a, b, u Point, reach, y float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, end := range [2]Point{a, b} {
		if dy := y - end.Y; math.Abs(dy) < reach {
			w := math.Sqrt(float64(reach*reach) - float64(dy*dy))
			lo, hi = math.Min(lo, end.X-w), math.Max(hi, end.X+w)
		}
	}
	n := u.Left().Mul(reach)
	corners := [5]Point{a.Add(n), b.Add(n), b.Sub(n), a.Sub(n), a.Add(n)}
	for i := 1; i < 5; i++ {
		p, q := corners[i-1], corners[i]
		if (p.Y > y) != (q.Y > y) {
			x := p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y)
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	return lo, hi
}
