// Package view draws beads at their true width into pixels: the lines in the
// order they are laid, and the old and the new layer over each other. A whole
// layer is drawn once and panned as a picture, so that a face of 100 m of bead
// moves at 60 frames per second without a graphics card.
package view

import (
	"math"

	"sheenlay/engine/plane"
)

// Colour is straight (not premultiplied) RGBA.
type Colour struct{ R, G, B, A uint8 }

// Canvas is a picture of part of the bed. Row 0 holds the largest Y; X runs
// with the bed, or against it when the bed is seen from below.
type Canvas struct {
	Width, Height int
	Box           plane.Box // part of the bed shown, mm
	Below         bool      // seen from below: X runs to the left
	Pixels        []byte    // RGBA, straight

	scale float64 // pixels per mm
}

// MaxSide bounds the width and height of a canvas, in pixels.
const MaxSide = 4096

// NewCanvas returns an empty, transparent canvas. Sizes are clamped to
// 1…MaxSide; the box is widened on one axis so that pixels are square. A box
// without area is replaced by one of 1 mm.
func NewCanvas(box plane.Box, width, height int, below bool) *Canvas {
	width, height = min(max(width, 1), MaxSide), min(max(height, 1), MaxSide)
	size := box.Size()
	if !(size.X > 0) || !(size.Y > 0) {
		box = plane.Box{Max: plane.Point{X: 1, Y: 1}}
		size = box.Size()
	}
	scale := math.Min(float64(width)/size.X, float64(height)/size.Y)
	half := plane.Point{X: float64(width) / scale / 2, Y: float64(height) / scale / 2}
	middle := box.Centre()
	return &Canvas{Width: width, Height: height, Below: below, scale: scale,
		Box:    plane.Box{Min: middle.Sub(half), Max: middle.Add(half)},
		Pixels: make([]byte, 4*width*height)}
}

// PixelsPerMM returns the scale.
func (c *Canvas) PixelsPerMM() float64 { return c.scale }

// at returns the picture place of a bed place, in pixels.
func (c *Canvas) at(p plane.Point) plane.Point {
	x := (p.X - c.Box.Min.X) * c.scale
	if c.Below {
		x = float64(c.Width) - x
	}
	return plane.Point{X: x, Y: (c.Box.Max.Y - p.Y) * c.scale}
}

// Place returns the bed place of a place of the picture, in pixels.
func (c *Canvas) Place(x, y float64) plane.Point {
	if c.Below {
		x = float64(c.Width) - x
	}
	return plane.Point{X: c.Box.Min.X + x/c.scale, Y: c.Box.Max.Y - y/c.scale}
}

// Dot lays a colour over one pixel.
func (c *Canvas) Dot(col, row int, colour Colour) {
	c.blend(4*(row*c.Width+col), colour, 1, float64(colour.A)/255)
}

// Bead draws one segment of the given width (mm). relief 0 draws it flat;
// 1 darkens it fully towards its flanks, so that neighbouring beads can be told
// apart. Beads narrower than a pixel fade instead of vanishing.
func (c *Canvas) Bead(from, to plane.Point, widthMM float64, colour Colour, relief float64) {
	a, b := c.at(from), c.at(to)
	r := widthMM * c.scale / 2
	if !(r > 0) {
		return
	}
	opacity := float64(colour.A) / 255
	if r < 0.5 {
		opacity *= 2 * r
		r = 0.5
	}
	reach := r + 0.5
	box := plane.EmptyBox().Include(a).Include(b).Grow(reach)
	if box.Max.X < 0 || box.Max.Y < 0 || box.Min.X > float64(c.Width) || box.Min.Y > float64(c.Height) {
		return
	}
	d := b.Sub(a)
	length := d.Norm()
	u := d.Unit()
	rows := [2]int{max(int(box.Min.Y), 0), min(int(box.Max.Y)+1, c.Height)}
	for row := rows[0]; row < rows[1]; row++ {
		lo, hi := plane.CapsuleRow(a, b, u, reach, float64(row)+0.5)
		from, to := max(int(math.Floor(lo)), 0), min(int(math.Ceil(hi)), c.Width)
		for col := from; col < to; col++ {
			p := plane.Point{X: float64(col) + 0.5, Y: float64(row) + 0.5}.Sub(a)
			t := math.Min(math.Max(p.Dot(u), 0), length)
			distance := p.Sub(u.Mul(t)).Norm()
			share := math.Min(reach-distance, 1)
			if share <= 0 {
				continue
			}
			shade := 1.0
			if relief > 0 {
				q := math.Min(distance/r, 1)
				shade = 1 - relief*q*q
			}
			c.blend(4*(row*c.Width+col), colour, shade, share*opacity)
		}
	}
}

// blend lays a colour over the pixel at byte offset i (source-over).
func (c *Canvas) blend(i int, colour Colour, shade, alpha float64) {
	under := float64(c.Pixels[i+3]) / 255
	out := alpha + under*(1-alpha)
	if out <= 0 {
		return
	}
	w := alpha / out
	for k, v := range [3]uint8{colour.R, colour.G, colour.B} {
		old := float64(c.Pixels[i+k])
		c.Pixels[i+k] = uint8(old + (float64(v)*shade-old)*w + 0.5)
	}
	c.Pixels[i+3] = uint8(out*255 + 0.5)
}

// Line draws a thin line of the given width in pixels, dashed when dash > 0
// (pixels on, pixels off).
func (c *Canvas) Line(from, to plane.Point, pixels float64, colour Colour, dash float64) {
	width := pixels / c.scale
	if dash <= 0 {
		c.Bead(from, to, width, colour, 0)
		return
	}
	length := from.Dist(to)
	step := dash / c.scale
	for s := 0.0; s < length; s += 2 * step {
		c.Bead(from.Lerp(to, s/length), from.Lerp(to, math.Min(s+step, length)/length), width, colour, 0)
	}
}
