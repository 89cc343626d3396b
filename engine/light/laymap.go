package light

import (
	"context"
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// Map is the face as a grid of lays: what the page's shader reads. Row 0 holds
// the largest Y of the bed; X runs with the bed, seen from above.
type Map struct {
	Width, Height int
	Box           plane.Box // bed frame, mm; the grid fills it exactly
	MMPerPixel    float64
	Lay           []uint16 // lay angle mod π in the bed frame: 65536 stands for π
	Cover         []uint8  // share of the pixel that bears material, 0..255
	Face          []uint8  // 255 on the face, 0 off it
}

// MaxPixels bounds a map; a larger wish is answered with a coarser grid.
const MaxPixels = 2200 * 2200

// NewMap lays the strands into a grid of at most maxPixels on its longer side.
// face marks what belongs to the piece; strands may reach beyond it. A place
// covered twice shows the bead laid last, as the plate does not: the first
// bead on the plate is the one that is seen from below, so the first wins.
func NewMap(ctx context.Context, face plane.Region, strands []strand.Strand, maxPixels int) (Map, error) {
	box := face.Bounds()
	for _, s := range strands {
		box = box.Union(s.Bounds())
	}
	if box.Empty() || maxPixels < 1 {
		return Map{}, nil
	}
	box = box.Grow(edgeMM)
	size := box.Size()
	pixel := math.Max(size.X, size.Y) / float64(maxPixels)
	pixel = math.Max(pixel, math.Sqrt(size.X*size.Y/MaxPixels))
	pixel = math.Max(pixel, finestMM)
	m := Map{Width: int(math.Ceil(size.X / pixel)), Height: int(math.Ceil(size.Y / pixel)), MMPerPixel: pixel}
	m.Box = plane.Box{Min: box.Min, Max: box.Min.Add(plane.Point{X: float64(m.Width) * pixel, Y: float64(m.Height) * pixel})}
	n := m.Width * m.Height
	m.Lay, m.Cover, m.Face = make([]uint16, n), make([]uint8, n), make([]uint8, n)
	m.markFace(face)
	for _, s := range strands {
		if err := ctx.Err(); err != nil {
			return Map{}, err
		}
		for i := 1; i < len(s.Points); i++ {
			m.stamp(s.Points[i-1], s.Points[i], s.Width[i-1]/2)
		}
	}
	return m, nil
}

const (
	edgeMM   = 1.0  // free border round the face, so that spill shows
	finestMM = 0.02 // finer pixels show nothing more of a 0.4 mm bead
)

// centre returns the bed place of the middle of a pixel.
func (m *Map) centre(col, row int) plane.Point {
	return plane.Point{
		X: m.Box.Min.X + (float64(col)+0.5)*m.MMPerPixel,
		Y: m.Box.Max.Y - (float64(row)+0.5)*m.MMPerPixel,
	}
}

// columns returns the pixel columns whose centres lie in [x0, x1), clipped.
func (m *Map) columns(x0, x1 float64) (int, int) {
	from := math.Ceil((x0-m.Box.Min.X)/m.MMPerPixel - 0.5)
	to := math.Ceil((x1-m.Box.Min.X)/m.MMPerPixel - 0.5)
	return int(math.Max(from, 0)), int(math.Min(to, float64(m.Width)))
}

// markFace fills Face by scan lines through the pixel centres.
func (m *Map) markFace(face plane.Region) {
	crossings := make([][]float64, m.Height)
	for _, ring := range face {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if a.Y > b.Y {
				a, b = b, a
			}
			// Rows whose centre lies in [a.Y, b.Y): the half-open rule.
			last := int(math.Ceil((m.Box.Max.Y-a.Y)/m.MMPerPixel-0.5)) - 0
			first := int(math.Floor((m.Box.Max.Y-b.Y)/m.MMPerPixel-0.5)) + 1
			for row := max(first, 0); row <= min(last, m.Height-1); row++ {
				y := m.centre(0, row).Y
				if y < a.Y || y >= b.Y {
					continue
				}
				crossings[row] = append(crossings[row], a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
			}
		}
	}
	for row, xs := range crossings {
		sortFloats(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			from, to := m.columns(xs[i], xs[i+1])
			for col := from; col < to; col++ {
				m.Face[row*m.Width+col] = 255
			}
		}
	}
}

func sortFloats(xs []float64) {
	for i := 1; i < len(xs); i++ { // rows have few crossings
		for j := i; j > 0 && xs[j] < xs[j-1]; j-- {
			xs[j], xs[j-1] = xs[j-1], xs[j]
		}
	}
}

// stamp lays one segment: a capsule of radius r about ab.
func (m *Map) stamp(a, b plane.Point, r float64) {
	d := b.Sub(a)
	length := d.Norm()
	if length == 0 || !(r > 0) {
		return
	}
	lay := uint16(math.Round(plane.NormalLay(math.Atan2(d.Y, d.X))/math.Pi*65536)) & 0xffff
	half := m.MMPerPixel / 2
	reach := r + half
	box := plane.EmptyBox().Include(a).Include(b).Grow(reach)
	rowFrom := max(int((m.Box.Max.Y-box.Max.Y)/m.MMPerPixel), 0)
	rowTo := min(int((m.Box.Max.Y-box.Min.Y)/m.MMPerPixel)+1, m.Height)
	u := d.Mul(1 / length)
	for row := rowFrom; row < rowTo; row++ {
		from, to := m.columns(plane.CapsuleRow(a, b, u, reach, m.centre(0, row).Y))
		for col := from; col < to; col++ {
			p := m.centre(col, row).Sub(a)
			t := math.Min(math.Max(p.Dot(u), 0), length)
			distance := p.Sub(u.Mul(t)).Norm()
			share := (r - distance + half) / m.MMPerPixel
			if share <= 0 {
				continue
			}
			cover := uint8(math.Min(share, 1) * 255)
			if at := row*m.Width + col; cover > m.Cover[at] {
				m.Cover[at], m.Lay[at] = cover, lay
			}
		}
	}
}

// Pixels returns the map as the page's texture: red and green hold the lay
// (high and low byte), blue the cover, alpha the face.
func (m *Map) Pixels() []byte {
	out := make([]byte, 4*len(m.Lay))
	for i, lay := range m.Lay {
		out[4*i], out[4*i+1] = byte(lay>>8), byte(lay)
		out[4*i+2], out[4*i+3] = m.Cover[i], m.Face[i]
	}
	return out
}

// Shade draws the map in a scene: RGBA, one pixel a pixel, transparent where
// nothing is laid. Seen from below the picture is mirrored left to right.
func (m *Map) Shade(ctx context.Context, sc Scene) ([]byte, error) {
	out := make([]byte, 4*len(m.Lay))
	middle := m.Box.Centre()
	for row := 0; row < m.Height; row++ {
		if row%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for col := 0; col < m.Width; col++ {
			from := row*m.Width + col
			if m.Cover[from] == 0 {
				continue
			}
			at := from
			place := m.centre(col, row).Sub(middle)
			lay := float64(m.Lay[from]) / 65536 * math.Pi
			if sc.Below {
				at = row*m.Width + m.Width - 1 - col
				place.X, lay = -place.X, math.Pi-lay
			}
			light := sc.Reflected(Vector{place.X, place.Y, 0}, lay, float64(m.Cover[from])/255)
			for i, v := range light {
				out[4*at+i] = Encode(v)
			}
			out[4*at+3] = 255
		}
	}
	return out, nil
}
