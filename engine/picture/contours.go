package picture

import (
	"math"

	"sheenlay/engine/plane"
)

// contours returns the rings around field ≥ threshold within the picture,
// outer ones counter-clockwise, holes clockwise. Between samples the field is
// linear along cell edges; where a cell could be cut in two ways, the mean of
// its corners decides, so that the areas of rising thresholds lie within one
// another. No ring crosses itself or another.
//
// The samples are framed twice: by a row on the border of the picture that
// repeats them, and by a row at the same place that is outside whatever the
// threshold, which closes the rings along the border.
func contours(field []float64, g grid, threshold float64) []plane.Ring {
	c := framed{field: field, g: g, threshold: threshold, w: g.nx + 4, h: g.ny + 4}
	c.link()
	return c.rings()
}

type framed struct {
	field     []float64
	g         grid
	threshold float64
	w, h      int     // nodes, frame included
	next      []int32 // per cell edge: the edge on which its ring goes on, −1 for none
}

// value returns the field at a node, −Inf on the outer frame.
func (c *framed) value(x, y int) float64 {
	if x == 0 || y == 0 || x == c.w-1 || y == c.h-1 {
		return math.Inf(-1)
	}
	x, y = max(0, min(c.g.nx-1, x-2)), max(0, min(c.g.ny-1, y-2))
	return c.field[y*c.g.nx+x]
}

// place returns where a node stands, in mm.
func (c *framed) place(x, y int) plane.Point {
	along := func(i, cells int, step float64) float64 {
		return math.Max(0, math.Min(float64(cells), float64(i)-1.5)) * step
	}
	return plane.Point{X: along(x, c.g.nx, c.g.stepX), Y: along(y, c.g.ny, c.g.stepY)}
}

// Edges are numbered 2·node for the one to the right of a node and 2·node + 1
// for the one above it.

// link runs through all cells and notes how rings pass them, inside on the
// left.
func (c *framed) link() {
	c.next = make([]int32, 2*c.w*c.h)
	for i := range c.next {
		c.next[i] = -1
	}
	for y := 0; y+1 < c.h; y++ {
		for x := 0; x+1 < c.w; x++ {
			corner := [4]float64{c.value(x, y), c.value(x+1, y), c.value(x+1, y+1), c.value(x, y+1)}
			inside := 0
			for i, v := range corner {
				if v >= c.threshold {
					inside |= 1 << i
				}
			}
			if inside == 0 || inside == 15 {
				continue
			}
			passes := cellPasses[inside]
			if (corner[0]+corner[1]+corner[2]+corner[3])/4 >= c.threshold {
				passes = joinedPasses[inside]
			}
			node := int32(y*c.w + x)
			sides := [4]int32{2 * node, 2*(node+1) + 1, 2 * (node + int32(c.w)), 2*node + 1}
			for _, p := range passes {
				c.next[sides[p.in]] = sides[p.out]
			}
		}
	}
}

// pass is the way of a ring through a cell, from one side to another: 0 bottom,
// 1 right, 2 top, 3 left.
type pass struct{ in, out uint8 }

// cellPasses are the ways through a cell by its corners that are inside (1 lower
// left, 2 lower right, 4 upper right, 8 upper left), and joinedPasses those where
// the middle is inside as well: they differ where opposite corners are.
var cellPasses, joinedPasses = func() (apart, joined [16][]pass) {
	apart = [16][]pass{
		1: {{0, 3}}, 2: {{1, 0}}, 3: {{1, 3}}, 4: {{2, 1}}, 5: {{0, 3}, {2, 1}},
		6: {{2, 0}}, 7: {{2, 3}}, 8: {{3, 2}}, 9: {{0, 2}}, 10: {{3, 2}, {1, 0}},
		11: {{1, 2}}, 12: {{3, 1}}, 13: {{0, 1}}, 14: {{3, 0}},
	}
	joined = apart
	joined[5], joined[10] = []pass{{0, 1}, {2, 3}}, []pass{{3, 0}, {1, 2}}
	return apart, joined
}()

// rings follows the links. Each edge is left once.
func (c *framed) rings() []plane.Ring {
	var out []plane.Ring
	for start := range c.next {
		if c.next[start] < 0 {
			continue
		}
		var r plane.Ring
		for e := int32(start); c.next[e] >= 0; {
			p := c.crossing(int(e))
			if len(r) == 0 || r[len(r)-1] != p {
				r = append(r, p)
			}
			e, c.next[e] = c.next[e], -1
		}
		for len(r) > 1 && r[0] == r[len(r)-1] {
			r = r[:len(r)-1]
		}
		if len(r) > 2 {
			out = append(out, r)
		}
	}
	return out
}

// nearNode keeps a crossing this share of an edge away from the samples at
// its ends, so that rings through one sample do not meet there.
const nearNode = 1e-3

// crossing returns where the threshold lies on an edge.
func (c *framed) crossing(edge int) plane.Point {
	node := edge / 2
	x, y := node%c.w, node/c.w
	x2, y2 := x+1, y
	if edge%2 == 1 {
		x2, y2 = x, y+1
	}
	a, b := c.value(x, y), c.value(x2, y2)
	switch {
	case math.IsInf(a, -1):
		return c.place(x2, y2)
	case math.IsInf(b, -1):
		return c.place(x, y)
	}
	t := math.Max(nearNode, math.Min(1-nearNode, (c.threshold-a)/(b-a)))
	return c.place(x, y).Lerp(c.place(x2, y2), t)
}
