package specimen

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"sheenlay/engine/plane"
)

// Random returns the specimen that seed draws: every choice of Options at
// random, over a small piece, so that ten thousand of them can be judged in
// minutes. One seed gives one specimen.
func Random(seed uint64) Specimen {
	o := RandomOptions(seed)
	s := Make(o)
	s.Truth.Seed = seed
	return s
}

// RandomOptions returns the options that seed draws.
func RandomOptions(seed uint64) Options {
	r := rand.New(rand.NewPCG(seed, 0x5eed))
	yes := func(share float64) bool { return r.Float64() < share }
	pick := func(values ...float64) float64 { return values[r.IntN(len(values))] }

	o := Options{
		Name:       fmt.Sprintf("tile %d", seed),
		Shape:      randomShape(r),
		TurnDegree: pick(0, 0, 30, 45, 90, r.Float64()*360),
		Layers:     3 + r.IntN(4),
		FirstMM:    pick(0.15, 0.2, 0.2, 0.25, 0.3),
		HeightMM:   pick(0.1, 0.15, 0.2, 0.2, 0.25, 0.3),
		WidthMM:    pick(0.4, 0.42, 0.45, 0.45, 0.5, 0.6),
		FilamentMM: pick(1.75, 1.75, 1.75, 2.85),
		Walls:      r.IntN(4),
		FillDegree: pick(0, 45, 45, 90, -45, r.Float64()*180),
		RelativeE:  yes(0.5),
		Retract:    []Retraction{RetractNone, RetractByE, RetractByE, RetractByCommand}[r.IntN(4)],
		RetractMM:  pick(0.4, 0.8, 1.2, 5),
		Wipe:       yes(0.2),
		RunOn:      yes(0.2),
		Inch:       yes(0.1),
		Arcs:       yes(0.3),
		Numbered:   yes(0.15),
		CRLF:       yes(0.2),
		LowerCase:  yes(0.1),
		NoBlanks:   yes(0.1),
		BOM:        yes(0.1),
		NoFinalEnd: yes(0.1),
		RawBytes:   yes(0.1),
		PrimeLine:  yes(0.5),
		Heated:     yes(0.8),

		RelativeHead: yes(0.4),
		ToolCommand:  yes(0.4),

		MarkerAt: []Place{BeforeRetract, AfterRetract, AfterLift, AfterTravel, AfterPrime}[r.IntN(5)],
		Marker:   randomMarker(r),
		ZLate:    yes(0.3),
		Types:    typeSets[r.IntN(len(typeSets))],
		Labels:   []Labels{LabelsNone, LabelsNone, LabelsNumber, LabelsMacro, LabelsComment}[r.IntN(5)],
		Skirt:    yes(0.4),
		Support:  yes(0.15),

		FanInLayer:      yes(0.3),
		HeatInLayer:     yes(0.2),
		AccelInLayer:    yes(0.3),
		ProgressInLayer: yes(0.4),
		UnknownInLayer:  yes(0.2),

		PrintMMs:  pick(15, 20, 25, 30),
		TravelMMs: pick(80, 120, 150, 200),
	}
	o.Marker = oddMarker(rand.New(rand.NewPCG(seed, 0x0dd)), o.Marker)
	o.At = plane.Point{X: 75 + r.Float64()*70, Y: 75 + r.Float64()*70}
	if yes(0.25) {
		o.Centred = true
		o.At = plane.Point{X: -40 + r.Float64()*80, Y: -40 + r.Float64()*80}
	}
	if yes(0.4) {
		o.LiftMM = pick(0.2, 0.4, 0.6)
	}
	if yes(0.3) {
		o.ResetE = true
	}
	if yes(0.2) {
		o.Brim = 1 + r.IntN(4)
	}
	if yes(0.2) {
		size := o.Shape.Region().Bounds().Size().Norm() + 3
		o.Copies = []plane.Point{{X: size}}
		if yes(0.3) {
			o.Copies = append(o.Copies, plane.Point{Y: -size})
		}
	}
	if yes(0.1) {
		o.Identical = 2
	}
	o.Decoys = yes(0.3)
	switch {
	case yes(0.01) && strings.Contains(o.Marker.Text, "%n") && o.Marker.Text != MarkDone:
		o.Marker.Base = -3 // only comments count from below nought
		o.Layers += 3
	case yes(0.05) && len(o.Copies) > 0:
		o.Sequential = true
	case yes(0.01):
		o.ToolInLayer = true
	}
	if o.Walls == 0 && yes(0.1) {
		o.Walls = 1
	}
	if o.Walls > 0 && yes(0.03) {
		o.NoFill = true
	}
	o.FullCircles = yes(0.3)
	return o
}

func randomShape(r *rand.Rand) Shape {
	switch r.IntN(9) {
	case 0:
		return Disc(4 + r.Float64()*5)
	case 1:
		return Annulus(7+r.Float64()*3, 3)
	case 2:
		return Star(5+r.IntN(3), 12+r.Float64()*4, 40)
	case 3:
		return Letter(24 + r.Float64()*10)
	case 4:
		return Parts(2+r.IntN(2), 2, 3+r.Float64()*2, 4, 7)
	case 5:
		return Slits(20+r.Float64()*5, 10, 2, 0.8)
	case 6:
		return Tag(20+r.Float64()*10, 9, 2)
	case 7:
		return Twins(6+r.Float64()*3, 8, 0.6)
	}
	return Rectangle(6+r.Float64()*12, 5+r.Float64()*8)
}

func randomMarker(r *rand.Rand) Marker {
	texts := []string{
		MarkColon, MarkColon, MarkPlain, MarkOf, MarkHeight, MarkBracket, MarkDashes, MarkEquals, MarkHash,
		MarkZ, MarkChange, MarkCommand, MarkDone, MarkPair, MarkEnds, MarkNone,
	}
	m := Marker{
		Text: texts[r.IntN(len(texts))],
		Word: markerWords[r.IntN(len(markerWords))],
		Base: r.IntN(2),
		Z:    r.Float64() < 0.2,
	}
	m.Count = m.Text != MarkNone && r.Float64() < 0.3
	if m.Text == MarkNone {
		m.Z = false
	}
	return m
}

// oddMarker turns some markers into a shape that is in no list, and some words
// into a slip of the keys.
func oddMarker(r *rand.Rand, m Marker) Marker {
	yes := func(share float64) bool { return r.Float64() < share }
	pick := func(values ...string) string { return values[r.IntN(len(values))] }
	if m.Text != MarkNone && yes(0.2) {
		lead := pick("; ", ";", ";;", ";@", ";~", "; >> ", ";[", "; #", "; * ", ";<", "; !")
		between := pick(" ", ":", " : ", "=", " = ", "_", "-", "\t", "..", "~", " no ", "/", "[")
		m.Text = lead + "%w" + between + "%n" + pick("", "", "]", ">", " ~", " !", ";", " - - -", ".")
		if yes(0.2) {
			m.Text = lead + "%n" + pick(" ", ". ", "~") + "%w"
		}
	}
	if word := []rune(m.Word); len(word) > 4 && yes(0.15) {
		at := r.IntN(len(word) - 1)
		switch r.IntN(4) {
		case 0:
			word[at], word[at+1] = word[at+1], word[at]
		case 1:
			word = append(word[:at], word[at+1:]...)
		case 2:
			word[at] = rune('a' + r.IntN(26))
		default:
			word = append(word[:at+1], word[at:]...) // a letter twice
		}
		m.Word = string(word)
	}
	return m
}
