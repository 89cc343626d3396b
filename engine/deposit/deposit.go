// Package deposit holds what a sliced file lays down on one layer: strokes of
// material with the width, height and filament of each, and what the file says
// about them. It is the meaning of a layer, free of G-code syntax.
package deposit

import "sheenlay/engine/plane"

// Class says what a stroke is for.
type Class uint8

// The classes of strokes.
const (
	Unknown Class = iota
	Wall
	Fill
	Skirt
	Brim
	Support
	Priming
)

// String returns the plain word used in reports, job files and the page.
func (c Class) String() string {
	return [...]string{"unknown", "wall", "fill", "skirt", "brim", "support", "priming"}[c]
}

// Stroke is one run of extruding moves without a travel, a retraction, or a
// change of what the file says about it. Arcs of the file are flattened.
type Stroke struct {
	Points []plane.Point // n ≥ 2, bed frame, mm
	E      []float64     // filament fed on each segment, mm, n−1 entries, > 0
	Feed   []float64     // speed of each segment, mm/min, n−1 entries
	Z      float64       // height of the nozzle above the bed, mm

	FirstLine, LastLine     int   // lines of the file, from 1
	FirstOffset, LastOffset int64 // bytes: start of the first line, end of the last

	Label  string // text of the last type comment before it, "" where none
	Object string // object label in force, "" where none
	Tool   int

	Class      Class
	Confidence float64 // 0..1, of Class
}

// Filament returns the length of filament fed, mm.
func (s Stroke) Filament() float64 {
	sum := 0.0
	for _, e := range s.E {
		sum += e
	}
	return sum
}

// Length returns the length of the centre line, mm.
func (s Stroke) Length() float64 { return plane.Polyline(s.Points).Length() }

// Layer is all that one layer of a file lays down.
type Layer struct {
	Index   int     // from 0, the first layer that carries the piece
	Z       float64 // mm
	Height  float64 // mm: Z minus the Z of the layer below (or the bed)
	Strokes []Stroke
}
