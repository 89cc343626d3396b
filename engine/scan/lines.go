package scan

import (
	"math"
	"slices"

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

// maxRows bounds the rows of one cut: a spacing far below the size of the
// region gives no rows rather than exhausting memory.
const maxRows = 1 << 24

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

	// One lattice index per vertex decides everything: edges that share the
	// vertex agree on it, so each ring meets each line an even number of times.
	points := make([]plane.Point, count)
	index := make([]int32, count)
	inverse, base, i := 1/spacing, 0.0, 0
	var low, high int32
	for _, ring := range region {
		for _, p := range ring {
			q := frame.In(p)
			k := math.Ceil((q.Y - phase) * inverse)
			if i == 0 {
				base = k
			}
			k -= base
			if !(k > -maxRows && k < maxRows) { // also numbers that are not finite
				return rows
			}
			v := int32(k)
			if v < low {
				low = v
			}
			if v > high {
				high = v
			}
			points[i], index[i] = q, v
			i++
		}
	}
	if !(math.Abs(base) < 1<<40) {
		return rows
	}
	rows.First = int(base) + int(low)

	// Count the crossings of each line, then place them line by line.
	n := int(high) - int(low)
	at := make([]int32, n+2)
	start := 0
	for _, ring := range region {
		end := start + len(ring)
		if start < end {
			a := index[end-1] - low
			for _, b := range index[start:end] {
				b -= low
				for k := min(a, b); k < max(a, b); k++ {
					at[k+2]++
				}
				a = b
			}
		}
		start = end
	}
	for k := 2; k < len(at); k++ {
		at[k] += at[k-1]
	}
	cross := make([]float64, at[n+1])
	start = 0
	for _, ring := range region {
		end := start + len(ring)
		for i, j := end-1, start; j < end; i, j = j, j+1 {
			if index[i] == index[j] {
				continue
			}
			a, b := i, j
			if index[a] > index[b] {
				a, b = b, a // same formula for both senses of a shared edge
			}
			p, q := points[a], points[b]
			slope := (q.X - p.X) / (q.Y - p.Y)
			lo, hi := p.X, q.X
			if lo > hi {
				lo, hi = hi, lo
			}
			for k := index[a] - low; k < index[b]-low; k++ {
				x := p.X + float64((rows.Y(int(k))-p.Y)*slope)
				if !(x >= lo) { // also catches a slope that overflowed
					x = lo
				}
				if x > hi {
					x = hi
				}
				cross[at[k+1]] = x
				at[k+1]++
			}
		}
		start = end
	}

	rows.start = make([]int32, n+1)
	rows.spans = make([]Span, 0, len(cross)/2)
	for k := range n {
		line := cross[at[k]:at[k+1]]
		sortCrossings(line)
		for i := 0; i+1 < len(line); i += 2 {
			if line[i] < line[i+1] {
				rows.spans = append(rows.spans, Span{line[i], line[i+1]})
			}
		}
		rows.start[k+1] = int32(len(rows.spans))
	}
	return rows
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
