package footprint_test

import (
	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

const (
	width  = 0.45
	height = 0.2
)

// stroke lays points with the filament of a stadium bead of the given width.
func stroke(width float64, points ...plane.Point) deposit.Stroke {
	s := deposit.Stroke{Points: points, Z: height}
	for i := 1; i < len(points); i++ {
		s.E = append(s.E, points[i].Dist(points[i-1])*bead.EPerMM(bead.Stadium.Area(width, height), 1.75, 1))
		s.Feed = append(s.Feed, 1200)
	}
	return s
}

// ring lays a closed loop.
func ring(width float64, r plane.Ring) deposit.Stroke {
	return stroke(width, append(append([]plane.Point{}, r...), r[0])...)
}

func layer(strokes ...deposit.Stroke) deposit.Layer {
	return deposit.Layer{Z: height, Height: height, Strokes: strokes}
}

func box(x0, y0, x1, y1 float64) plane.Ring {
	return plane.Ring{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// rows lays lines inside a box, pitch apart.
func rows(x0, y0, x1, y1, pitch float64) (out []deposit.Stroke) {
	for y := y0 + width/2; y <= y1-width/2+1e-9; y += pitch {
		out = append(out, stroke(width, plane.Point{X: x0 + width/2, Y: y}, plane.Point{X: x1 - width/2, Y: y}))
	}
	return out
}

var pitch = bead.Stadium.Pitch(width, height)

// plate lays a box with one wall and fill.
func plate(x0, y0, x1, y1 float64) []deposit.Stroke {
	h := width / 2
	return append([]deposit.Stroke{ring(width, box(x0+h, y0+h, x1-h, y1-h))}, rows(x0+h, y0+h+0.1, x1-h, y1-h-0.1, pitch)...)
}

func codes(list finding.List) (out []string) {
	for _, f := range list {
		out = append(out, f.Code)
	}
	return out
}
