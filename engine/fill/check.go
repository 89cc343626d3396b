package fill

import (
	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// crossing names two loops and their segments that share a point.
type crossing struct {
	first, second int    // loops, first <= second
	segment       [2]int // the segments of the two
	at            plane.Point
}

// crossings returns the pairs of segments, other than neighbours, that share a
// point. Segments are compared exactly (signs of turns), by way of a grid.
func crossings(all []loops.Loop) []crossing {
	box := plane.EmptyBox()
	count := 0
	for _, l := range all {
		box = box.Union(plane.Polyline(l.Points).Bounds())
		count += l.Segments()
	}
	grid := near.New(box, 1)
	grid.Expect(count)
	type owner struct{ loop, segment int32 }
	owners := make([]owner, 0, count)
	seen := make([]int32, count) // by grid index: the last segment it met, from 1
	var out []crossing
	for i, l := range all {
		n := l.Segments()
		for s := range n {
			a, b := l.Segment(s)
			this := near.Segment{A: a, B: b}
			me := int32(grid.Len() + 1)
			grid.Near(a, b, 0, func(id int) bool {
				if seen[id] == me {
					return true // met in another cell of the grid
				}
				seen[id] = me
				o := owners[id]
				if int(o.loop) == i {
					if d := s - int(o.segment); d <= 1 || (!l.Open && d == n-1) {
						return true
					}
				}
				if other := grid.Segment(id); this.Crosses(other) {
					out = append(out, crossing{int(o.loop), i, [2]int{int(o.segment), s}, other.A.Lerp(other.B, 0.5)})
				}
				return true
			})
			grid.Add(a, b)
			owners = append(owners, owner{int32(i), int32(s)})
		}
	}
	return out
}

// Crossings counts the pairs of segments of the strands that share a point,
// neighbours of one strand apart. It is the check that every result of Fill
// has passed: bead never crosses or touches bead already laid.
func Crossings(strands []strand.Strand) int {
	all := make([]loops.Loop, len(strands))
	for i, s := range strands {
		all[i] = loops.Loop{Points: s.Points, Open: true}
	}
	return len(crossings(all))
}
