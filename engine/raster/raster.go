// Package raster counts on a grid of pixels how many beads lie over each place.
// Unions and areas of thousands of beads are taken this way; polygon unions of
// as many shapes cost 45 times as much.
//
// # Model
//
// A bead is the set of points within half its width of its centre line (round
// ends). A pixel is covered when its centre is. Boundaries are half-open along
// rows, so two beads that share a border share no pixel: beads side by side at a
// spacing of one width count as exactly one layer.
//
// Along one path a place counts once for a stretch of path, however many
// segments it has; it counts again only for path more than tol.RasterStretch
// behind. Closed paths are taken round.
//
// # Turned grid
//
// A grid whose rows run along the beads is biased by up to 0.7 % of the area,
// because whole rows fall to one side. NewGrid therefore takes an angle, and
// QuietAngle finds one far from all bead directions; errors are then around
// 0.01 % at 0.05 mm pixels.
package raster

import (
	"math"
	"slices"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Grid is a turned grid of square pixels.
type Grid struct {
	Origin        plane.Point // bed position of the lower left corner of pixel (0, 0), mm
	Angle         float64     // direction of the rows, radians
	Pixel         float64     // side of a pixel, mm
	Columns, Rows int
}

// NewGrid returns a grid that covers box with pixels of side pixel mm, its rows
// turned by angle (radians). Where that would take more than
// tol.RasterMaxPixels, the pixels are larger: read Grid.Pixel. An empty or
// unbounded box, or a pixel that is not positive, gives a grid of no pixels.
func NewGrid(box plane.Box, pixel, angle float64) Grid {
	g := Grid{Angle: angle, Pixel: pixel}
	if box.Empty() || !box.Min.Finite() || !box.Max.Finite() || !(pixel > 0) {
		return g
	}
	turned := plane.EmptyBox()
	for _, p := range []plane.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}} {
		turned = turned.Include(p.Turn(-angle))
	}
	size := turned.Size()
	if most := float64(size.X/tol.RasterMaxPixels) * size.Y; most > pixel*pixel {
		g.Pixel = 1.001*math.Sqrt(most) + math.Max(size.X, size.Y)/tol.RasterMaxPixels
	}
	g.Origin = turned.Min.Turn(angle)
	g.Columns = int(math.Ceil(size.X/g.Pixel)) + 1
	g.Rows = int(math.Ceil(size.Y/g.Pixel)) + 1
	return g
}

// ToBed returns the bed position (mm) of a place in pixels: whole numbers are
// the centres of pixels.
func (g Grid) ToBed(column, row float64) plane.Point {
	return g.Origin.Add(plane.Point{X: (column + 0.5) * g.Pixel, Y: (row + 0.5) * g.Pixel}.Turn(g.Angle))
}

// FromBed returns the place of p in pixels, see ToBed.
func (g Grid) FromBed(p plane.Point) (column, row float64) {
	q := p.Sub(g.Origin).Turn(-g.Angle)
	return q.X/g.Pixel - 0.5, q.Y/g.Pixel - 0.5
}

// PixelArea returns the area of one pixel in mm².
func (g Grid) PixelArea() float64 { return g.Pixel * g.Pixel }

// mapper is FromBed with the sine and cosine at hand.
type mapper struct{ a, b, e, f float64 }

func (g Grid) mapper() mapper {
	s, c := math.Sincos(g.Angle)
	m := mapper{a: c / g.Pixel, b: s / g.Pixel}
	m.e = -(g.Origin.X*m.a + g.Origin.Y*m.b) - 0.5
	m.f = -(g.Origin.Y*m.a - g.Origin.X*m.b) - 0.5
	return m
}

func (m mapper) apply(p plane.Point) plane.Point {
	// Guarded against fused multiply-add: a pixel must fall the same way on
	// every machine.
	return plane.Point{
		X: float64(p.X*m.a) + float64(p.Y*m.b) + m.e,
		Y: float64(p.Y*m.a) - float64(p.X*m.b) + m.f,
	}
}

// slantCost is what a grid at 45° costs, in shares of all lines lying along it.
const slantCost = 0.02

// QuietAngle returns a direction for the rows of a grid (radians, between 0 and
// π/2) that keeps rows and columns as far from the directions of lines as it
// can, weighed by length. The same lines give the same angle.
func QuietAngle(lines ...[]plane.Point) float64 {
	const bins = 180 // half a degree each, over 90°
	var weight [bins]float64
	total := 0.0
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			d := line[i].Sub(line[i-1])
			length := d.Norm()
			if !(length > 0) || math.IsInf(length, 0) {
				continue
			}
			// Turned by quarters into the first quadrant.
			for range 3 {
				if d.X > 0 && d.Y >= 0 {
					break
				}
				d = plane.Point{X: d.Y, Y: -d.X}
			}
			weight[int(math.Atan(d.Y/d.X)/(math.Pi/2)*bins)%bins] += length
			total += length
		}
	}
	best, least := 0, math.Inf(1)
	const reach = 2 * tol.RasterQuiet
	for k := range weight {
		// A slanted grid has up to twice as many pixels over the same box, so a
		// small slant is preferred among quiet ones.
		angle := (float64(k) + 0.5) / bins * math.Pi / 2
		sum := slantCost * total * math.Sin(2*angle)
		for near := -reach; near <= reach; near++ {
			share := 1 - math.Abs(float64(near))/(reach+1)
			// Diagonals of the grid fall into step as well, half as much.
			sum += share * (weight[(k+near+bins)%bins] + weight[(k+near+bins+bins/2)%bins]/2)
		}
		if sum < least {
			best, least = k, sum
		}
	}
	// Off the centre of the bin by the golden section, so that no simple slope
	// brings rows and columns back into step.
	return (float64(best) + 0.618034) / bins * math.Pi / 2
}

// Counts holds one counter per pixel, row after row from the lowest.
type Counts struct {
	Grid
	// Cells has Stride bytes per row; those beyond Columns stay zero. The low
	// six bits count beads and stop at 63; the top bit says that the pixel lies
	// within reach of a bead, see AddReach.
	Cells  []uint8
	Stride int

	work work
}

// Layers and Near are the two parts of a cell.
const (
	Layers = 0x3f // mask of the count
	Near   = 0x80 // set within reach of a bead
)

// wordPad is how many spare bytes a row has, so that whole words can be read
// and written up to its end.
const wordPad = 8

// NewCounts returns counters at zero.
func NewCounts(g Grid) *Counts {
	stride := (g.Columns + wordPad + 7) &^ 7
	return &Counts{Grid: g, Stride: stride, Cells: make([]uint8, stride*g.Rows+wordPad)}
}

// Row returns the cells of row j without the spare ones.
func (c *Counts) Row(j int) []uint8 { return c.Cells[j*c.Stride : j*c.Stride+c.Columns] }

// At returns the number of beads over the pixel that holds p, 0 outside.
func (c *Counts) At(p plane.Point) int { return int(c.cell(p) & Layers) }

// NearAt reports whether the pixel that holds p was reached by AddReach.
func (c *Counts) NearAt(p plane.Point) bool { return c.cell(p)&Near != 0 }

func (c *Counts) cell(p plane.Point) uint8 {
	x, y := c.FromBed(p)
	i, j := int(math.Floor(x+0.5)), int(math.Floor(y+0.5))
	if i < 0 || j < 0 || i >= c.Columns || j >= c.Rows {
		return 0
	}
	return c.Cells[j*c.Stride+i]
}

// Histogram returns how many pixels lie under 0, 1, … 63 beads (63: or more).
func (c *Counts) Histogram() [Layers + 1]int {
	var out [Layers + 1]int
	for j := range c.Rows {
		for _, v := range c.Row(j) {
			out[v&Layers]++
		}
	}
	return out
}

// Tally is a count of pixels by the number of beads over them.
type Tally struct{ None, One, More int }

// All tallies every pixel of the grid.
func (c *Counts) All() Tally {
	var t Tally
	for j := range c.Rows {
		c.tally(&t, j, 0, c.Columns)
	}
	return t
}

// Within tallies the pixels of the mask, which must be of the same grid.
func (c *Counts) Within(m *Mask) Tally {
	var t Tally
	for j := range c.Rows {
		for _, s := range m.Spans(j) {
			c.tally(&t, j, int(s.From), int(s.To))
		}
	}
	return t
}

// tally adds the pixels [from, to) of row j.
func (c *Counts) tally(t *Tally, j, from, to int) {
	some, more := countSpan(c.Cells[j*c.Stride:], from, to)
	t.None += to - from - some
	t.One += some - more
	t.More += more
}

// Lines is a helper for QuietAngle: the centre lines of paths.
func Lines[T any](paths []T, line func(T) []plane.Point) [][]plane.Point {
	out := make([][]plane.Point, len(paths))
	for i, p := range paths {
		out[i] = line(p)
	}
	return out
}

// Mask says for every row of a grid which pixels lie in a region.
type Mask struct {
	Grid
	start []int32
	spans []Span
}

// Span is a run of pixels [From, To) in one row.
type Span struct{ From, To int32 }

// Spans returns the runs of row j from left to right.
func (m *Mask) Spans(j int) []Span { return m.spans[m.start[j]:m.start[j+1]] }

// Pixels returns the number of pixels in the mask.
func (m *Mask) Pixels() int {
	n := 0
	for _, s := range m.spans {
		n += int(s.To - s.From)
	}
	return n
}

// NewMask rasterises a region under the even-odd rule by scanline: a pixel
// belongs to it when its centre does. Parts beyond the grid are cut off.
func NewMask(g Grid, region plane.Region) *Mask {
	m := &Mask{Grid: g, start: make([]int32, g.Rows+1)}
	type side struct {
		x, slope    float64 // x on row first, and its growth per row
		first, last int     // rows crossed
	}
	var sides []side
	at := g.mapper()
	count := make([]int32, g.Rows+1)
	for _, r := range region {
		for i := range r {
			a, b := at.apply(r[i]), at.apply(r[(i+1)%len(r)])
			if a.Y > b.Y {
				a, b = b, a
			}
			s := side{first: max(int(math.Floor(a.Y))+1, 0), last: min(int(math.Floor(b.Y)), g.Rows-1)}
			if s.first > s.last {
				continue
			}
			s.slope = (b.X - a.X) / (b.Y - a.Y)
			s.x = a.X + float64((float64(s.first)-a.Y)*s.slope)
			sides = append(sides, s)
			for j := s.first; j <= s.last; j++ {
				count[j+1]++
			}
		}
	}
	for j := 1; j < len(count); j++ {
		count[j] += count[j-1]
	}
	crossings := make([]float64, count[g.Rows])
	fill := slices.Clone(count)
	for _, s := range sides {
		for j := s.first; j <= s.last; j++ {
			crossings[fill[j]] = s.x + float64(float64(j-s.first)*s.slope)
			fill[j]++
		}
	}
	for j := range g.Rows {
		row := crossings[count[j]:count[j+1]]
		slices.Sort(row)
		for k := 0; k+1 < len(row); k += 2 {
			s := Span{int32(clampIndex(row[k], g.Columns)), int32(clampIndex(row[k+1], g.Columns))}
			if s.From < s.To {
				m.spans = append(m.spans, s)
			}
		}
		m.start[j+1] = int32(len(m.spans))
	}
	return m
}

// clampIndex returns the first whole number above x, held within [0, n].
func clampIndex(x float64, n int) int {
	if !(x >= 0) {
		return 0
	}
	if x >= float64(n) {
		return n
	}
	return min(int(x)+1, n)
}
