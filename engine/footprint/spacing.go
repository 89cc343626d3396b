package footprint

import (
	"math"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// spacingReach is the farthest (mm) a parallel neighbour is looked for; wider
// lines are not laid. spacingProbes is how many segments are asked.
const (
	spacingReach  = 3.0
	spacingProbes = 400
)

// segment is one straight piece of a stroke.
type segment struct{ a, b plane.Point }

// longSegments returns the longer segments of what may belong to the piece.
func (w *work) longSegments() (long []segment, box plane.Box) {
	each := func(use func(segment, float64)) {
		for i, s := range w.Strokes {
			switch s.Class {
			case deposit.Priming, deposit.Support, deposit.Skirt:
				continue
			}
			if w.drawable[i] {
				for k := 1; k < len(s.Points); k++ {
					use(segment{s.Points[k-1], s.Points[k]}, s.Points[k].Dist(s.Points[k-1]))
				}
			}
		}
	}
	longest := 0.0
	each(func(_ segment, length float64) { longest = math.Max(longest, length) })
	box = plane.EmptyBox()
	each(func(s segment, length float64) {
		if length > 0 && length >= math.Min(2, longest/4) {
			long = append(long, s)
			box = box.Include(s.a).Include(s.b)
		}
	})
	return long, box
}

// spacing returns the median distance between a line and its nearest parallel
// neighbour, over a sample of the longer segments; 0 where there are none.
func (w *work) spacing() float64 {
	long, box := w.longSegments()
	size := box.Size()
	columns, rows := int(size.X/spacingReach)+3, int(size.Y/spacingReach)+3
	if len(long) < 2 || columns > 1<<20/rows {
		return 0
	}
	// Probes hang in lists by the cell of their middle; a rim of empty cells
	// spares the test for neighbours beyond the grid.
	cell := func(p plane.Point) int {
		return (int((p.Y-box.Min.Y)/spacingReach)+1)*columns + int((p.X-box.Min.X)/spacingReach) + 1
	}
	head, next := make([]int32, columns*rows), make([]int32, len(long))
	step := (len(long) + spacingProbes - 1) / spacingProbes
	for i := 0; i < len(long); i += step {
		c := cell(long[i].a.Lerp(long[i].b, 0.5))
		head[c], next[i] = int32(i+1), head[c]
	}
	nearest := make([]float64, len(long))
	for i := range nearest {
		nearest[i] = spacingReach
	}
	for j, s := range long {
		d := s.b.Sub(s.a)
		length, last := d.Norm(), -1
		u := d.Mul(1 / length)
		for t := 0.0; ; t += spacingReach / 2 {
			if c := cell(s.a.Add(u.Mul(math.Min(t, length)))); c != last {
				last = c
				for _, near := range [9]int{c - columns - 1, c - columns, c - columns + 1, c - 1, c, c + 1, c + columns - 1, c + columns, c + columns + 1} {
					for i := head[near]; i > 0; i = next[i-1] {
						if off, ok := beside(long[i-1], s.a, u, length); ok && int(i-1) != j {
							nearest[i-1] = math.Min(nearest[i-1], off)
						}
					}
				}
			}
			if t >= length {
				break
			}
		}
	}
	var found []weighted
	for i := 0; i < len(long); i += step {
		if nearest[i] < spacingReach {
			found = append(found, weighted{nearest[i], long[i].b.Dist(long[i].a)})
		}
	}
	return median(found)
}

// beside returns the distance of the middle of p from the line that starts at a
// and runs length mm along u, and whether p is parallel to it and lies beside it.
func beside(p segment, a, u plane.Point, length float64) (float64, bool) {
	m := p.a.Lerp(p.b, 0.5).Sub(a)
	along, off := m.Dot(u), math.Abs(m.Cross(u))
	return off, along > 0 && along < length && off > 0.05 && math.Abs(p.b.Sub(p.a).Unit().Cross(u)) < 0.05
}
