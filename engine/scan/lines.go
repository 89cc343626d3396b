package scan

import (
	"math"
	"slices"
	"sync"

	"sheenlay/engine/plane"
)

// Rows holds the stretches of equally spaced parallel lines inside a region.
// Row i (from 0) runs at height Y(i) of the frame; its spans ascend and do not
// overlap.
type Rows struct {
	Frame   Frame
	First   int     // index of row 0 in the lattice phase + k·spacing
	Spacing float64 // mm
	Phase   float64 // mm

	spans []Span
	start []int32 // spans of row i are spans[start[i]:start[i+1]]
}

// Len returns the number of rows; the first and the last are not empty unless
// all are.
func (r Rows) Len() int { return max(0, len(r.start)-1) }

// Y returns the height of row i in the frame, mm.
func (r Rows) Y(i int) float64 { return r.Phase + float64(float64(r.First+i)*r.Spacing) }

// Spans returns the stretches of row i. The slice must not be modified.
func (r Rows) Spans(i int) []Span { return r.spans[r.start[i]:r.start[i+1]] }

// Row returns the stretches of the row with lattice index k, nil where none.
func (r Rows) Row(k int) []Span {
	if k < r.First || k >= r.First+r.Len() {
		return nil
	}
	return r.Spans(k - r.First)
}

// Count returns the number of stretches in all rows.
func (r Rows) Count() int { return len(r.spans) }

// Length returns the length of all stretches, mm.
func (r Rows) Length() float64 {
	sum := 0.0
	for _, s := range r.spans {
		sum += s.Length()
	}
	return sum
}

// maxRows and maxCrossings bound the rows and the row ends of one cut: a spacing
// far below the size of the region gives no rows rather than exhausting memory.
const (
	maxRows      = 1 << 24
	maxCrossings = 1 << 26
)

// desk is the scratch memory of a cut.
type desk struct {
	points []plane.Point // of all rings, in the frame
	row    []int32       // first row at or above each point
	at     []int32       // where the next crossing of each row goes
	cross  []float64
}

// desks keeps scratch memory between cuts: without it half the time of a cut goes
// into finding, clearing and giving back memory.
var desks = sync.Pool{New: func() any { return new(desk) }}

// keptCrossings bounds what a desk is kept with: 8 MB of crossings.
const keptCrossings = 1 << 20

// leave keeps d for the next cut, unless an odd one made it large.
func (d *desk) leave() {
	if cap(d.cross)+cap(d.at)+cap(d.points) <= keptCrossings {
		desks.Put(d)
	}
}

// room returns a slice of n elements, which hold anything, in the memory of s
// where that is enough.
func room[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// Cut cuts a region by the lines at heights phase + k·spacing (mm, all whole
// k) of the lay's frame, under the even-odd rule.
//
// Cost is proportional to vertices plus crossings. An empty region, a spacing
// that is not positive, or numbers that are not finite give no rows. End
// points are exact to a few units in the last place of the coordinates.
func Cut(region plane.Region, frame Frame, phase, spacing float64) Rows {
	rows := Rows{Frame: frame, Spacing: spacing, Phase: phase}
	count := 0
	for _, ring := range region {
		count += len(ring)
	}
	if count == 0 || !(spacing > 0) || math.IsInf(spacing, 0) {
		return rows
	}
	d := desks.Get().(*desk)
	defer d.leave()
	d.points, d.row = room(d.points, count), room(d.row, count)
	first, n, ok := d.place(region, frame, phase, 1/spacing)
	if !ok {
		return rows
	}
	rows.First = first
	if !d.count(region, n) {
		return rows
	}
	d.meet(region, &rows)
	rows.gather(d, n)
	return rows
}

// place takes the points into the frame and finds the first row at or above
// each, counted from the lowest of all, whose index it returns, with the number
// of rows. That one number per point decides everything: edges that share a
// point agree on it, so each ring meets each row an even number of times. It
// reports false for numbers that are not finite or too far apart.
func (d *desk) place(region plane.Region, frame Frame, phase, inverse float64) (first, n int, ok bool) {
	base, i := 0.0, 0
	var low, high int32
	for _, ring := range region {
		points, row := d.points[i:i+len(ring)], d.row[i:i+len(ring)]
		for j, p := range ring {
			q := frame.In(p)
			k := math.Ceil((q.Y - phase) * inverse)
			if i+j == 0 {
				base = k
			}
			k -= base
			if !(k > -maxRows && k < maxRows) { // also numbers that are not finite
				return 0, 0, false
			}
			v := int32(k)
			low, high = min(low, v), max(high, v)
			points[j], row[j] = q, v
		}
		i += len(ring)
	}
	if !(math.Abs(base) < 1<<40) {
		return 0, 0, false
	}
	for i := range d.row {
		d.row[i] -= low
	}
	return int(base) + int(low), int(high) - int(low), true
}

// count makes room for the crossings of n rows. It reports false where they are
// too many.
func (d *desk) count(region plane.Region, n int) bool {
	d.at = room(d.at, n+1)
	at := d.at
	clear(at)
	start := 0
	for _, ring := range region {
		row := d.row[start : start+len(ring)]
		start += len(ring)
		// An edge meets the rows from its lower number up to its upper one: one
		// more there, one less here.
		if len(row) > 0 {
			a := row[len(row)-1]
			for _, b := range row {
				at[min(a, b)]++
				at[max(a, b)]--
				a = b
			}
		}
	}
	edges, total := int32(0), 0
	for k, change := range at {
		edges += change
		at[k] = int32(total)
		if total += int(edges); total > maxCrossings {
			return false
		}
	}
	d.cross = room(d.cross, total)
	return true
}

// meet finds the crossings, row by row.
func (d *desk) meet(region plane.Region, rows *Rows) {
	at, cross := d.at, d.cross
	start := 0
	for _, ring := range region {
		row, points := d.row[start:start+len(ring)], d.points[start:start+len(ring)]
		start += len(ring)
		for i, j := len(ring)-1, 0; j < len(row); i, j = j, j+1 {
			a, b := i, j
			if row[a] == row[b] {
				continue
			}
			if row[a] > row[b] {
				a, b = b, a // same formula for both senses of a shared edge
			}
			p, q := points[a], points[b]
			slope := (q.X - p.X) / (q.Y - p.Y)
			lo, hi := p.X, q.X
			if lo > hi {
				lo, hi = hi, lo
			}
			for k := row[a]; k < row[b]; k++ {
				x := p.X + float64((rows.Y(int(k))-p.Y)*slope)
				if !(x >= lo) { // also catches a slope that overflowed
					x = lo
				}
				if x > hi {
					x = hi
				}
				cross[at[k]] = x
				at[k]++
			}
		}
	}
}

// gather sorts the crossings of each of n rows and pairs them.
func (r *Rows) gather(d *desk, n int) {
	r.start = make([]int32, n+1)
	r.spans = make([]Span, len(d.cross)/2)
	from, m := int32(0), 0
	for k := range n {
		line := d.cross[from:d.at[k]]
		from = d.at[k]
		sortCrossings(line)
		for ; len(line) >= 2; line = line[2:] {
			if line[0] < line[1] {
				r.spans[m] = Span{line[0], line[1]}
				m++
			}
		}
		r.start[k+1] = int32(m)
	}
	r.spans = r.spans[:m]
}

// sortCrossings sorts by insertion, as a line seldom meets more than twenty
// edges; long lists go to the library.
func sortCrossings(x []float64) {
	if len(x) > 32 {
		slices.Sort(x)
		return
	}
	for i := 1; i < len(x); i++ {
		v, j := x[i], i
		for j > 0 && x[j-1] > v {
			x[j] = x[j-1]
			j--
		}
		x[j] = v
	}
}
