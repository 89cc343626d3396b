package pattern

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

// ClippedArea returns the area (mm²) of g inside box, g in normal form. Each
// ring is cut by the four sides in turn (Sutherland & Hodgman, Comm. ACM 17,
// 1974); the doubled edges that the method leaves along a side enclose nothing.
func ClippedArea(g plane.Region, box plane.Box) float64 {
	sum := 0.0
	for _, ring := range g {
		b := ring.Bounds()
		if !b.Intersects(box) {
			continue
		}
		if box.Contains(b.Min) && box.Contains(b.Max) {
			sum += ring.Area()
			continue
		}
		cut := cutBelow(ring, func(p plane.Point) float64 { return p.X - box.Min.X })
		cut = cutBelow(cut, func(p plane.Point) float64 { return box.Max.X - p.X })
		cut = cutBelow(cut, func(p plane.Point) float64 { return p.Y - box.Min.Y })
		cut = cutBelow(cut, func(p plane.Point) float64 { return box.Max.Y - p.Y })
		sum += cut.Area()
	}
	return sum
}

// cutBelow drops what lies on the negative side of a straight line.
func cutBelow(r plane.Ring, side func(plane.Point) float64) plane.Ring {
	out := make(plane.Ring, 0, len(r)+4)
	for i, a := range r {
		b := r[(i+1)%len(r)]
		sa, sb := side(a), side(b)
		if sa >= 0 {
			out = append(out, a)
		}
		if (sa < 0) != (sb < 0) {
			out = append(out, a.Lerp(b, sa/(sa-sb)))
		}
	}
	return out
}

// CheckPartition reports whether the zones cover box once and only once: by
// sampling places centres of a steps × steps grid, turned a little against the
// axes so that it never runs along tile edges, and by comparing the sum of the
// zones' areas inside box with the area of box, to within 1e-6 of it. Empty
// findings mean that both hold. Places on a border follow the half-open rule.
func CheckPartition(zones []Zone, box plane.Box, steps int) finding.List {
	var out finding.List
	if box.Empty() || steps < 1 {
		return out
	}
	size := box.Size()
	want := size.X * size.Y
	sum := 0.0
	bounds := make([]plane.Box, len(zones))
	for i, z := range zones {
		bounds[i] = z.Region.Bounds()
		if z.Region.Area() < 0 {
			out.Add(finding.Finding{
				Code: "pattern-zone-form", Level: finding.Stop,
				Text: fmt.Sprintf("Zone %d (%s) is not in normal form: its area is negative.", i, z.Name),
			})
		}
		sum += ClippedArea(z.Region, box)
	}
	if math.Abs(sum-want) > 1e-6*want {
		out.Add(finding.Finding{
			Code: "pattern-area-sum", Level: finding.Stop,
			Text:  fmt.Sprintf("The zones measure %.6f mm² inside a box of %.6f mm².", sum, want),
			Value: sum - want, Unit: "mm²",
		})
	}
	for _, p := range samplePlaces(box, steps) {
		count := 0
		for i, z := range zones {
			if bounds[i].Contains(p) && z.Region.Contains(p) {
				count++
			}
		}
		if count != 1 {
			out.Add(finding.Finding{
				Code: "pattern-cover-count", Level: finding.Stop,
				Text:  fmt.Sprintf("The place (%.4f, %.4f) lies in %d zones.", p.X, p.Y, count),
				Place: &finding.Place{At: &[2]float64{p.X, p.Y}},
				Value: float64(count),
			})
			if len(out) > 20 {
				return out
			}
		}
	}
	return out
}

// samplePlaces returns a grid turned by atan(0.1234) inside box.
func samplePlaces(box plane.Box, steps int) []plane.Point {
	var out []plane.Point
	size := box.Size()
	for i := 0; i < steps; i++ {
		for j := 0; j < steps; j++ {
			u, v := (float64(i)+0.5)/float64(steps), (float64(j)+0.5)/float64(steps)
			p := plane.Point{
				X: box.Min.X + size.X*math.Mod(u+0.1234*v, 1),
				Y: box.Min.Y + size.Y*math.Mod(v+0.1234*(1-u), 1),
			}
			out = append(out, p)
		}
	}
	return out
}
