package raster

import (
	"encoding/binary"
	"math"
	"math/bits"
	"slices"
	"sort"

	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
)

// Bitmap holds one byte of meaning per pixel.
type Bitmap struct {
	Grid
	Cells  []uint8 // Stride bytes per row
	Stride int
}

// Row returns the cells of row j.
func (b *Bitmap) Row(j int) []uint8 { return b.Cells[j*b.Stride : j*b.Stride+b.Columns] }

// Bitmap returns the counters as a bitmap that shares their memory.
func (c *Counts) Bitmap() *Bitmap { return &Bitmap{Grid: c.Grid, Cells: c.Cells, Stride: c.Stride} }

// Spot is a connected patch of pixels.
type Spot struct {
	Pixels  int
	AreaMM2 float64
	// Thickness is the diameter (mm) of the largest square-ish part: the longest
	// run of pixels along a row or, where shorter, along the column through its
	// middle.
	Thickness float64
	// Worst is the middle of that run (bed frame, mm); it lies in the spot.
	Worst plane.Point
}

// Classes gives cells a class by their value; class 0 is passed over.
type Classes [256]uint8

// classOf makes a class 1 of the values for which is holds.
func classOf(is func(uint8) bool) *Classes {
	var of Classes
	for v := range of {
		if is(uint8(v)) {
			of[v] = 1
		}
	}
	return &of
}

// run is a stretch of pixels of one class in a row.
type run struct {
	row, from, to, root int32
	class               uint8
}

// Spots returns the patches of pixels for which is holds of the cell, joined
// across sides, of at least least pixels; the largest first, then by place.
func (b *Bitmap) Spots(is func(uint8) bool, least int) []Spot {
	return b.SpotsOf(classOf(is), least)[1]
}

// SpotsOf returns the patches of every class, like Spots, in one pass.
func (b *Bitmap) SpotsOf(of *Classes, least int) [256][]Spot {
	runs, _ := b.runs(of)
	return b.collect(runs, of, least)
}

// runs finds the runs of pixels of one class and joins those that touch across
// sides. Row j holds runs[start[j]:start[j+1]].
func (b *Bitmap) runs(of *Classes) (runs []run, start []int32) {
	start = make([]int32, 1, b.Rows+1)
	for j := range b.Rows {
		row := b.Row(j)
		begin := len(runs)
		for i := 0; i < len(row); {
			from, class := i, of[row[i]]
			i += sameRun(row[i:])
			for class > 0 && i < len(row) && of[row[i]] == class {
				i += sameRun(row[i:])
			}
			if class > 0 {
				runs = append(runs, run{int32(j), int32(from), int32(i), int32(len(runs)), class})
			}
		}
		for up, k := int(start[max(j-1, 0)]), begin; up < begin && k < len(runs); {
			if runs[up].from < runs[k].to && runs[k].from < runs[up].to && runs[up].class == runs[k].class {
				join(runs, int32(up), int32(k))
			}
			if runs[up].to < runs[k].to {
				up++
			} else {
				k++
			}
		}
		start = append(start, int32(len(runs)))
	}
	return runs, start
}

// Labels numbers the connected patches of a bitmap.
type Labels struct {
	grid  Grid
	runs  []run
	start []int32
	// Count is the number of patches.
	Count int
}

// Labels returns the patches of pixels for which is holds, joined across sides,
// numbered from 0 in the order of their lowest, then leftmost pixel.
func (b *Bitmap) Labels(is func(uint8) bool) *Labels {
	l := &Labels{grid: b.Grid}
	l.runs, l.start = b.runs(classOf(is))
	// Roots come first, so their numbers are known before they are asked for.
	number := make([]int32, len(l.runs))
	for i := range l.runs {
		root := find(l.runs, int32(i))
		if root == int32(i) {
			number[i] = int32(l.Count)
			l.Count++
		} else {
			number[i] = number[root]
		}
	}
	for i := range l.runs {
		l.runs[i].root = number[i]
	}
	return l
}

// At returns the number of the patch that holds p, or -1.
func (l *Labels) At(p plane.Point) int {
	x, y := l.grid.FromBed(p)
	i, j := int32(math.Floor(x+0.5)), int(math.Floor(y+0.5))
	if j < 0 || j >= l.grid.Rows {
		return -1
	}
	row := l.runs[l.start[j]:l.start[j+1]]
	k := sort.Search(len(row), func(k int) bool { return row[k].to > i })
	if k == len(row) || row[k].from > i {
		return -1
	}
	return int(row[k].root)
}

// sameRun returns the length of the run of equal bytes at the start of row.
func sameRun(row []uint8) int {
	same := row[0]
	s := row
	for ; len(s) >= 8; s = s[8:] {
		if differ := binary.LittleEndian.Uint64(s) ^ uint64(same)*ones; differ != 0 {
			return len(row) - len(s) + bits.TrailingZeros64(differ)/8
		}
	}
	for len(s) > 0 && s[0] == same {
		s = s[1:]
	}
	return len(row) - len(s)
}

// find returns the root of a run, halving the way to it.
func find(runs []run, i int32) int32 {
	for runs[i].root != i {
		runs[i].root = runs[runs[i].root].root
		i = runs[i].root
	}
	return i
}

// join makes one patch of two; the earlier root stays.
func join(runs []run, i, j int32) {
	i, j = find(runs, i), find(runs, j)
	if i < j {
		runs[j].root = i
	} else {
		runs[i].root = j
	}
}

// collect sums the runs of each patch.
func (b *Bitmap) collect(runs []run, of *Classes, least int) (out [256][]Spot) {
	pixels := make([]int, len(runs))
	longest := make([]int32, len(runs)) // run with the greatest thickness
	thick := make([]int32, len(runs))
	for i := range runs {
		root := find(runs, int32(i))
		pixels[root] += int(runs[i].to - runs[i].from)
	}
	for i := range runs {
		root := find(runs, int32(i))
		if pixels[root] < least {
			continue
		}
		if across := runs[i].to - runs[i].from; across > thick[root] {
			if t := min(across, b.height(&runs[i], of, across)); t > thick[root] {
				thick[root], longest[root] = t, int32(i)
			}
		}
	}
	for i := range runs {
		if runs[i].root != int32(i) || pixels[i] < least {
			continue
		}
		r := runs[longest[i]]
		out[r.class] = append(out[r.class], Spot{
			Pixels:    pixels[i],
			AreaMM2:   float64(pixels[i]) * b.PixelArea(),
			Thickness: float64(thick[i]) * b.Pixel,
			Worst:     b.ToBed(float64((r.from+r.to)/2), float64(r.row)),
		})
	}
	for _, spots := range out {
		sorting.Stable(spots, func(p, q Spot) int { return q.Pixels - p.Pixels })
	}
	return out
}

// height returns how many pixels of the class lie one above another through the
// middle of r, counted up to about most.
func (b *Bitmap) height(r *run, of *Classes, most int32) int32 {
	at := int((r.from + r.to) / 2)
	n := int32(1)
	for j := int(r.row) - 1; j >= 0 && n < most && of[b.Cells[j*b.Stride+at]] == r.class; j-- {
		n++
	}
	for j := int(r.row) + 1; j < b.Rows && n < most && of[b.Cells[j*b.Stride+at]] == r.class; j++ {
		n++
	}
	return n
}

// Outline returns the border of the pixels for which is holds, as rings through
// the middles of the pixel sides (marching squares at half height): inside on
// the left, so outer rings counter-clockwise and holes clockwise. Pixels that
// touch at a corner only are apart. The true border of what was sampled lies
// within 0.75 pixel. Cells at the rim of the grid count as having nothing beyond.
func (b *Bitmap) Outline(is func(uint8) bool) plane.Region {
	of := classOf(is)
	in := func(i, j int) bool {
		return i >= 0 && j >= 0 && i < b.Columns && j < b.Rows && of[b.Cells[j*b.Stride+i]] != 0
	}
	seen := make([]uint64, (b.Columns*b.Rows+63)/64) // left sides walked
	var out plane.Region
	for j := range b.Rows {
		row := b.Row(j)
		for i := 0; i < len(row); {
			if of[row[i]] != 0 && (i == 0 || of[row[i-1]] == 0) {
				if at := j*b.Columns + i; seen[at/64]>>(at%64)&1 == 0 {
					out = append(out, b.follow(in, i, j, seen))
				}
			}
			i += sameRun(row[i:])
		}
	}
	return out
}

// follow walks the border from the left side of pixel (i, j), downwards.
func (b *Bitmap) follow(in func(i, j int) bool, i, j int, seen []uint64) plane.Ring {
	// Corner (x, y) is the lower left corner of pixel (x, y); d is 0 right, 1 up,
	// 2 left, 3 down.
	dx, dy := [4]int{1, 0, -1, 0}, [4]int{0, 1, 0, -1}
	// The pixel to the left of a step from corner (x, y): offset of its index.
	lx, ly := [4]int{0, -1, -1, 0}, [4]int{0, 0, -1, -1}
	x, y, d := i, j+1, 3
	var ring plane.Ring
	for {
		if d == 3 {
			at := (y-1)*b.Columns + x
			if seen[at/64]>>(at%64)&1 != 0 {
				return ring
			}
			seen[at/64] |= 1 << (at % 64)
		}
		ring = append(ring, b.ToBed(float64(x)+float64(dx[d])/2-0.5, float64(y)+float64(dy[d])/2-0.5))
		x, y = x+dx[d], y+dy[d]
		right := (d + 3) % 4
		switch {
		case !in(x+lx[d], y+ly[d]):
			d = (d + 1) % 4
		case in(x+lx[right], y+ly[right]):
			d = right
		}
	}
}

// Straighten drops points of a ring that lie within tolerance mm of the segments
// between those kept (Douglas and Peucker, Cartographica 10(2), 1973, 112–122),
// cut at the two points farthest from the centre of its box and from each other.
// It returns a new ring; fewer than four points stay as they are.
func Straighten(r plane.Ring, tolerance float64) plane.Ring {
	if len(r) < 4 {
		return slices.Clone(r)
	}
	farthest := func(from plane.Point) int {
		best, most := 0, -1.0
		for i, p := range r {
			if d := p.Dist(from); d > most {
				best, most = i, d
			}
		}
		return best
	}
	first := farthest(r.Bounds().Centre())
	second := farthest(r[first])
	turned := append(append(plane.Ring{}, r[first:]...), r[:first]...)
	turned = append(turned, turned[0])
	middle := (second - first + len(r)) % len(r)
	keep := make([]bool, len(turned))
	keep[0], keep[middle] = true, true
	type part struct{ from, to int }
	for todo := []part{{0, middle}, {middle, len(r)}}; len(todo) > 0; {
		p := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		at, most := -1, tolerance
		for i := p.from + 1; i < p.to; i++ {
			if off := plane.NearestOnSegment(turned[p.from], turned[p.to], turned[i]).Dist(turned[i]); off > most {
				at, most = i, off
			}
		}
		if at >= 0 {
			keep[at] = true
			todo = append(todo, part{p.from, at}, part{at, p.to})
		}
	}
	var out plane.Ring
	for i, k := range keep[:len(r)] {
		if k {
			out = append(out, turned[i])
		}
	}
	return out
}
