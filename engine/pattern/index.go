package pattern

import (
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

// MaxPixels bounds the raster of Index. Reason: 6 bytes each, so 400 MB of
// memory is never asked for; a 200 mm face at 0.025 mm fits.
const MaxPixels = 64 << 20

// NoZone marks a pixel of a Raster that no zone covers.
const NoZone = -1

// Raster tells for every pixel which zone lies on top and what its lay is.
// Row 0 is the lowest (smallest Y); pixel (i, j) stands for its centre.
type Raster struct {
	Box     plane.Box // covers all pixels: its size is a whole number of them
	PixelMM float64
	W, H    int
	Zone    []int32  // index into Pattern.Zones, NoZone for ground
	Angle   []uint16 // lay angle · 65536/π
}

// AngleOf returns the lay angle (radians) that an entry of Raster.Angle means.
func AngleOf(a uint16) float64 { return float64(a) * math.Pi / 65536 }

// quantAngle is the inverse of AngleOf, rounded, mod π.
func quantAngle(a float64) uint16 {
	return uint16(int64(math.Round(plane.NormalLay(a)*65536/math.Pi)) & 0xffff)
}

// Centre returns the place of the centre of pixel (i, j), in mm.
func (r *Raster) Centre(i, j int) plane.Point {
	return plane.Point{X: r.columnX(i), Y: r.rowY(j)}
}

func (r *Raster) columnX(i int) float64 { return r.Box.Min.X + float64((float64(i)+0.5)*r.PixelMM) }
func (r *Raster) rowY(j int) float64    { return r.Box.Min.Y + float64((float64(j)+0.5)*r.PixelMM) }

// Index rasters p over box with square pixels of pixelMM: the topmost (last)
// zone wins, ground takes what is left. Pixel centres on a border follow the
// half-open rule of plane.Region.Contains, so zones that share a border share
// no pixel and leave none out. An empty box gives an empty raster. A pixel
// that is not a positive number, or more than MaxPixels pixels, is refused
// with a finding.Finding.
//
// The cost is one pass over the edges and one write per covered pixel; fields
// cost one slope per pixel.
func (p Pattern) Index(box plane.Box, pixelMM float64) (*Raster, error) {
	if !(pixelMM > 0) || math.IsInf(pixelMM, 0) || !(box.Min.Finite() && box.Max.Finite() || box.Empty()) {
		return nil, finding.Finding{
			Code: "pattern-raster-size", Level: finding.Stop,
			Text:   fmt.Sprintf("A raster with pixels of %g mm cannot be made.", pixelMM),
			Remedy: "Give a positive pixel size and a finite box.",
		}
	}
	if box.Empty() {
		return &Raster{Box: box, PixelMM: pixelMM}, nil
	}
	size := box.Size()
	w, h := math.Max(1, math.Ceil(size.X/pixelMM-1e-9)), math.Max(1, math.Ceil(size.Y/pixelMM-1e-9))
	if w*h > MaxPixels {
		return nil, finding.Finding{
			Code: "pattern-raster-size", Level: finding.Stop,
			Text:   fmt.Sprintf("A raster of %.0f by %.0f pixels is too large (at most %d in all).", w, h, MaxPixels),
			Remedy: fmt.Sprintf("Use pixels of at least %.3f mm.", math.Sqrt(size.X*size.Y/MaxPixels)*1.001),
			Value:  w * h,
		}
	}
	r := &Raster{Box: box, PixelMM: pixelMM, W: int(w), H: int(h)}
	r.Box.Max = plane.Point{X: box.Min.X + w*pixelMM, Y: box.Min.Y + h*pixelMM}
	r.Zone = make([]int32, r.W*r.H)
	r.Angle = make([]uint16, r.W*r.H)
	fill(r.Zone, NoZone)
	if p.Ground.Field == nil && quantAngle(p.Ground.Angle) != 0 {
		fill(r.Angle, quantAngle(p.Ground.Angle))
	}
	s := scan{r: r}
	hasField := p.Ground.Field != nil
	for i, z := range p.Zones {
		hasField = hasField || z.Lay.Field != nil
		s.paint(z.Region, int32(i), quantAngle(z.Lay.Angle))
	}
	if hasField {
		r.fieldAngles(p)
	}
	return r, nil
}

// fill sets every element by doubling copies, several times faster than a
// loop under wasm.
func fill[T any](dst []T, v T) {
	if len(dst) == 0 {
		return
	}
	if len(dst) < 16 {
		for i := range dst {
			dst[i] = v
		}
		return
	}
	dst[0] = v
	for n := 1; n < len(dst); n *= 2 {
		copy(dst[n:], dst[:n])
	}
}

// fieldAngles writes the angle of every pixel whose lay is a field, once all
// zones are painted, so that hidden zones cost nothing.
func (r *Raster) fieldAngles(p Pattern) {
	levels := cornerLevels{r: r, row: -1}
	for j := 0; j < r.H; j++ {
		row := r.Zone[j*r.W : (j+1)*r.W]
		for i := 0; i < r.W; {
			end := i + 1
			for end < r.W && row[end] == row[i] {
				end++
			}
			lay := p.Ground
			if row[i] >= 0 {
				lay = p.Zones[row[i]].Lay
			}
			if lay.Field != nil {
				levels.angles(lay, row[i], j, i, end)
			}
			i = end
		}
	}
}

// cornerLevels differences the levels at the corners of a run of pixels. Fields
// without a slope of their own are called once or twice per pixel so, instead
// of four times.
type cornerLevels struct {
	r           *Raster
	below, here []float64
	zone        int32
	row, from   int // the run that here belongs to
}

func (c *cornerLevels) angles(lay Lay, zone int32, j, from, to int) {
	r := c.r
	out := r.Angle[j*r.W : (j+1)*r.W]
	if s, ok := lay.Field.(Sloped); ok {
		y := r.rowY(j)
		for i := from; i < to; i++ {
			out[i] = lay.levelAngle(s.Slope(plane.Point{X: r.columnX(i), Y: y}))
		}
		return
	}
	again := c.row == j-1 && c.zone == zone && c.from == from && len(c.here) == to-from+1
	c.below, c.here = c.here, c.below
	if !again {
		c.below = c.levels(c.below, lay.Field, j, from, to)
	}
	c.here = c.levels(c.here, lay.Field, j+1, from, to)
	c.zone, c.row, c.from = zone, j, from
	for i := from; i < to; i++ {
		k := i - from
		out[i] = lay.levelAngle(plane.Point{
			X: c.below[k+1] - c.below[k] + c.here[k+1] - c.here[k],
			Y: c.here[k] - c.below[k] + c.here[k+1] - c.below[k+1],
		})
	}
}

// levels returns the levels at the lower corners of row j from column from to
// to, both included.
func (c *cornerLevels) levels(dst []float64, f Field, j, from, to int) []float64 {
	dst = dst[:0]
	half := c.r.PixelMM / 2
	for i := from; i <= to; i++ {
		dst = append(dst, f.Level(plane.Point{X: c.r.columnX(i) - half, Y: c.r.rowY(j) - half}))
	}
	return dst
}

// levelAngle returns the direction of a level line with slope g, quantised; the
// lay's own angle where there is no slope.
func (l Lay) levelAngle(g plane.Point) uint16 {
	if g.X == 0 && g.Y == 0 {
		return quantAngle(l.Angle)
	}
	return quantAngle(math.Atan2(g.X, -g.Y))
}

// scan is the working memory of the scanline fill, reused from zone to zone.
type scan struct {
	r     *Raster
	start []int32   // per row of the zone: first crossing
	xs    []float64 // crossings, row by row
}

// rows returns the half-open range of raster rows whose centre y satisfies
// lo ≤ y < hi. The closed form is corrected against the row centres themselves
// so that two edges that meet in a vertex never both take or both leave a row.
func (s *scan) rows(lo, hi float64) (int, int) { return s.firstRow(lo), s.firstRow(hi) }

func (s *scan) firstRow(y float64) int {
	f := math.Ceil((y-s.r.Box.Min.Y)/s.r.PixelMM - 0.5)
	if !(f > 0) {
		f = 0
	}
	if f > float64(s.r.H) {
		return s.r.H
	}
	j := int(f)
	for j > 0 && s.r.rowY(j-1) >= y {
		j--
	}
	for j < s.r.H && s.r.rowY(j) < y {
		j++
	}
	return j
}

// paint fills a region (even-odd) with a zone index and an angle.
func (s *scan) paint(g plane.Region, zone int32, angle uint16) {
	bounds := g.Bounds()
	if !bounds.Intersects(s.r.Box) {
		return
	}
	lo, hi := s.rows(bounds.Min.Y, bounds.Max.Y)
	if lo >= hi {
		return
	}
	s.start = slices.Grow(s.start[:0], hi-lo+2)[:hi-lo+2]
	clear(s.start)
	total := 0
	for _, ring := range g {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if a.Y > b.Y {
				a, b = b, a
			}
			from, to := s.rows(a.Y, b.Y)
			for j := from; j < to; j++ {
				s.start[j-lo+2]++
			}
			total += max(0, to-from)
		}
	}
	for j := 2; j < len(s.start); j++ {
		s.start[j] += s.start[j-1]
	}
	s.xs = slices.Grow(s.xs[:0], total)[:total]
	for _, ring := range g {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			// The lower end first: both zones of a shared edge compute the
			// same crossings.
			if a.Y > b.Y {
				a, b = b, a
			}
			from, to := s.rows(a.Y, b.Y)
			if from >= to {
				continue
			}
			slope := (b.X - a.X) / (b.Y - a.Y)
			for j := from; j < to; j++ {
				k := s.start[j-lo+1]
				s.xs[k] = a.X + float64((s.r.rowY(j)-a.Y)*slope)
				s.start[j-lo+1] = k + 1
			}
		}
	}
	for j := lo; j < hi; j++ {
		row := s.xs[s.start[j-lo]:s.start[j-lo+1]]
		sortFew(row)
		for k := 0; k+1 < len(row); k += 2 {
			from, to := s.firstColumn(row[k]), s.firstColumn(row[k+1])
			if from < to {
				base := j * s.r.W
				fill(s.r.Zone[base+from:base+to], zone)
				fill(s.r.Angle[base+from:base+to], angle)
			}
		}
	}
}

// firstColumn returns the first column whose centre lies at or right of x.
func (s *scan) firstColumn(x float64) int {
	f := math.Ceil((x-s.r.Box.Min.X)/s.r.PixelMM - 0.5)
	if !(f > 0) {
		return 0
	}
	if f > float64(s.r.W) {
		return s.r.W
	}
	return int(f)
}

// sortFew sorts a row of crossings: two in nearly every case.
func sortFew(x []float64) {
	if len(x) == 2 {
		if x[0] > x[1] {
			x[0], x[1] = x[1], x[0]
		}
		return
	}
	if len(x) > 24 {
		slices.Sort(x)
		return
	}
	for i := 1; i < len(x); i++ {
		for k := i; k > 0 && x[k] < x[k-1]; k-- {
			x[k], x[k-1] = x[k-1], x[k]
		}
	}
}
