package grain

import (
	"math"
	"slices"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// Measure is what |∇Level| does on a box, sampled on a grid.
type Measure struct {
	Min, Max float64 // smallest and largest |∇Level| but for the outer Outlier share
	Outside  float64 // share of the samples beyond MinSlope..MaxSlope
	Swing    float64 // largest turn of the lines against the box's X axis, radians
}

// Outlier is the share of samples at either end that Measure's Min and Max
// leave out: a gradient may jump across single lines, and a difference taken
// over such a line means nothing.
const Outlier = 0.001

// MeasureSlope samples |∇Level| of f on a steps × steps grid over box.
func MeasureSlope(f pattern.Field, box plane.Box, steps int) Measure {
	var m Measure
	if box.Empty() || steps < 1 {
		return m
	}
	size := box.Size()
	all := make([]float64, 0, steps*steps)
	outside := 0
	for j := 0; j < steps; j++ {
		for i := 0; i < steps; i++ {
			g := pattern.Slope(f, plane.Point{
				X: box.Min.X + size.X*(float64(i)+0.5)/float64(steps),
				Y: box.Min.Y + size.Y*(float64(j)+0.5)/float64(steps),
			})
			n := g.Norm()
			all = append(all, n)
			if n < MinSlope || n > MaxSlope {
				outside++
			}
			turn := plane.NormalLay(math.Atan2(g.X, -g.Y))
			m.Swing = math.Max(m.Swing, math.Min(turn, math.Pi-turn))
		}
	}
	slices.Sort(all)
	skip := int(Outlier * float64(len(all)))
	m.Min, m.Max = all[skip], all[len(all)-1-skip]
	m.Outside = float64(outside) / float64(len(all))
	return m
}

// strongest returns the largest strength in [0, most] for which ok holds, by
// bisection in 8 steps; ok must hold at 0 and, once lost, stay lost.
func strongest(most float64, ok func(strength float64) bool) float64 {
	if ok(most) {
		return most
	}
	low, high := 0.0, most
	for k := 0; k < 8; k++ {
		mid := (low + high) / 2
		if ok(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// measureSteps is the sampling of the makers below: a 60 mm face every 1.25 mm,
// about the height of a small knot.
const measureSteps = 48
