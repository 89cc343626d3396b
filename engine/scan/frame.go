package scan

import (
	"math"

	"sheenlay/engine/plane"
)

// Frame is the frame of a lay: X runs along the lines, Y across them. It is
// the bed frame turned about the origin by the lay angle.
type Frame struct{ cos, sin float64 }

// NewFrame returns the frame of a lay angle (radians).
func NewFrame(angle float64) Frame {
	s, c := math.Sincos(angle)
	return Frame{c, s}
}

// In takes a point of the bed into the frame. Products are rounded one by one
// so that the result is the same on every machine (see plane.Point.Dot).
func (f Frame) In(p plane.Point) plane.Point {
	return plane.Point{
		X: float64(p.X*f.cos) + float64(p.Y*f.sin),
		Y: float64(p.Y*f.cos) - float64(p.X*f.sin),
	}
}

// Out takes a point of the frame back to the bed.
func (f Frame) Out(p plane.Point) plane.Point {
	return plane.Point{
		X: float64(p.X*f.cos) - float64(p.Y*f.sin),
		Y: float64(p.X*f.sin) + float64(p.Y*f.cos),
	}
}
