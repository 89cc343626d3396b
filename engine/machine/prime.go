package machine

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

// The sides of a piece, as seen from above and from the front.
const (
	Auto  = "auto"
	Front = "front"
	Back  = "back"
	Left  = "left"
	Right = "right"
)

// PlacePrime places a straight prime line of the given length and width beside
// the piece, its near edge gapMM away from the piece's box, parallel to that
// side and as near to the side's middle as the bed and the areas to keep free
// allow. Auto takes the first side with room, in the order front, left, right,
// back. Where there is no room the finding (Stop) says so; nothing is
// shortened. The line runs towards +X or +Y.
func (m Machine) PlacePrime(piece plane.Box, lengthMM, gapMM, widthMM float64, side string) (line plane.Polyline, on string, problem *finding.Finding) {
	refuse := func(element, text, remedy string) (plane.Polyline, string, *finding.Finding) {
		return nil, "", &finding.Finding{Code: "prime-no-room", Level: finding.Stop, Text: text, Remedy: remedy,
			Place: &finding.Place{Element: element}}
	}
	for _, v := range []struct {
		field, what      string
		value, low, high float64
	}{
		{"prime.lengthMM", "The prime line's length", lengthMM, 1, 2000},
		{"prime.gapMM", "The prime line's distance from the piece", gapMM, 0, 2000},
		{"bead.widthMM", "The prime line's width", widthMM, 0.05, 5},
	} {
		if f, out := finding.OutOfRange("prime-range", v.field, v.what, v.value, v.low, v.high, "mm"); out {
			return nil, "", &f
		}
	}
	if piece.Empty() || !piece.Min.Finite() || !piece.Max.Finite() {
		return refuse("piece", "There is no piece to lay a prime line beside.", "Choose a file that lays something.")
	}
	sides := []string{side}
	if side == Auto {
		sides = []string{Front, Left, Right, Back}
	}
	for _, s := range sides {
		if line := m.primeOn(s, piece, lengthMM, gapMM+widthMM/2, widthMM); line != nil {
			return line, s, nil
		}
	}
	where := "at the " + side
	if side == Auto {
		where = "on any side"
	}
	return refuse("prime.lengthMM",
		fmt.Sprintf("A prime line of %s mm, %s mm from the piece, has no room on the bed %s.", finding.Figure(lengthMM), finding.Figure(gapMM), where),
		"Shorten it, choose another side, or let the file's own start fill the nozzle.")
}

// primeOn returns the line on one side, nil where it has no room or the side
// has another name. off is the distance of the centre line from the box.
func (m Machine) primeOn(side string, piece plane.Box, length, off, width float64) plane.Polyline {
	var start, along plane.Point
	reach := m.Bed().Size()
	middle := piece.Centre()
	span := reach.X
	switch side {
	case Front:
		start, along = plane.Point{X: middle.X - length/2, Y: piece.Min.Y - off}, plane.Point{X: 1}
	case Back:
		start, along = plane.Point{X: middle.X - length/2, Y: piece.Max.Y + off}, plane.Point{X: 1}
	case Left:
		start, along, span = plane.Point{X: piece.Min.X - off, Y: middle.Y - length/2}, plane.Point{Y: 1}, reach.Y
	case Right:
		start, along, span = plane.Point{X: piece.Max.X + off, Y: middle.Y - length/2}, plane.Point{Y: 1}, reach.Y
	default:
		return nil
	}
	// From the middle outwards in whole millimetres, both ways in turn: a
	// search rather than a formula, since beds may be round and areas kept free.
	for shift := 0.0; shift <= math.Ceil(span); shift++ {
		for _, sign := range []float64{1, -1} {
			a := start.Add(along.Mul(sign * shift))
			b := a.Add(along.Mul(length))
			if m.ContainsBox(plane.Box{Min: a, Max: b}.Grow(width / 2)) {
				return plane.Polyline{a, b}
			}
		}
	}
	return nil
}
