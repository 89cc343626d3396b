package machine

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Evidence is what a sliced file shows of the machine it is for.
type Evidence struct {
	Piece plane.Box // box of what the file lays for the piece, mm
	Moves plane.Box // box of all moves, priming and parking included, mm
	MaxZ  float64   // mm; 0 when not known

	Bed      *NotedBed // the bed that the file itself notes; nil where it notes none
	NozzleMM float64   // the nozzle that the file itself notes, mm; 0 where it notes none
}

// NotedBed is a bed as a file describes it.
type NotedBed struct {
	Shape string      // Rect or Round
	Size  plane.Point // mm
	Box   plane.Box   // where it lies, empty where only its size is noted, mm
}

// Guess is the machine a file seems to be for.
type Guess struct {
	Origin string  // Corner or Centre
	Preset Machine // the smallest preset with that origin which holds the piece and has it nearest its middle
	Sure   bool    // whether the moves leave no doubt about the origin
	Reason string  // in words
}

// Infer guesses origin and size of the bed from the moves of a file.
//
// A piece that reaches into negative coordinates by more than
// tol.MachineBeyondCorner is on a bed with its origin in the centre: on a bed
// with the origin at its corner it would lie beside it. A piece wholly in the
// positive quarter is on a corner-origin bed, unless its middle is nearer to
// zero than its own half size. Among the presets with that origin, the one
// whose centre is nearest to the piece's is taken, since pieces are laid out
// around the middle; ties go to the smaller bed. An empty piece gives the
// default machine and Sure = false.
func Infer(e Evidence) Guess {
	if e.Piece.Empty() || !e.Piece.Min.Finite() || !e.Piece.Max.Finite() {
		return Guess{Origin: Corner, Preset: Default(), Reason: "The file lays nothing that shows where the bed is."}
	}
	low := math.Min(e.Piece.Min.X, e.Piece.Min.Y)
	g := Guess{Origin: Corner}
	switch {
	case low < -tol.MachineBeyondCorner:
		g.Origin, g.Sure = Centre, true
		g.Reason = fmt.Sprintf("The piece reaches to %s mm, so zero lies in the middle of the bed.", finding.Figure(low))
	case low < 0:
		g.Reason = "The piece reaches a little below zero: either zero is in the middle of the bed, or it overlaps the edge."
	default:
		g.Sure = true
		g.Reason = "All of the piece has positive coordinates, so zero lies at the corner of the bed."
	}
	size := e.Piece.Size()
	if off := e.Piece.Centre().Norm(); g.Origin == Corner && off < math.Max(size.X, size.Y)/2 {
		g.Origin, g.Sure = Centre, false
		g.Reason = "The piece stands over zero, so zero probably lies in the middle of the bed."
	}
	best, bestArea := math.Inf(1), math.Inf(1)
	for _, m := range Presets() {
		if m.Origin != g.Origin || !m.ContainsBox(e.Piece) || m.BedHeightMM < e.MaxZ {
			continue
		}
		// A few millimetres are no evidence: pieces are placed by hand.
		off := math.Round(m.Bed().Centre().Dist(e.Piece.Centre()) / tol.MachineCentred)
		bed := m.Bed().Size()
		if area := bed.X * bed.Y; off < best || (off == best && area < bestArea) {
			best, bestArea, g.Preset = off, area, m
		}
	}
	if math.IsInf(best, 1) {
		g.Preset, g.Sure = Default(), false
		g.Preset.Origin = g.Origin
		g.Reason += " No typical bed holds the piece; give the size of yours."
	}
	return g
}

// Disagree tells where the evidence of a file and the machine contradict each
// other: a piece that does not lie on the bed is a Stop, with the other origin
// as the remedy if that would put it there; another bed or nozzle than the file
// notes is a Caution; other moves outside the bed are a Note, since priming and
// parking often leave it.
func (m Machine) Disagree(e Evidence) finding.List {
	var found finding.List
	m.pieceOutside(&found, e.Piece)
	m.notedOtherwise(&found, e)
	bed := m.Bed()
	if !e.Moves.Empty() && !(bed.Contains(e.Moves.Min) && bed.Contains(e.Moves.Max)) {
		found.Add(finding.Finding{
			Code: "machine-moves-outside", Level: finding.Note,
			Text: fmt.Sprintf("Some moves of the file (X %.1f to %.1f, Y %.1f to %.1f) leave the bed (%s), as priming and parking often do.",
				e.Moves.Min.X, e.Moves.Max.X, e.Moves.Min.Y, e.Moves.Max.Y, m.bedWords()),
			Remedy: "Check the bed's size and origin if you did not expect this.",
		})
	}
	if e.MaxZ > m.BedHeightMM && !math.IsInf(e.MaxZ, 1) {
		found.Add(finding.Finding{
			Code: "machine-too-high", Level: finding.Stop,
			Text:   fmt.Sprintf("The file rises to %s mm; the machine reaches %s mm.", finding.Figure(e.MaxZ), finding.Figure(m.BedHeightMM)),
			Remedy: "Correct the machine's height, or slice a lower piece.", Place: &finding.Place{Element: "machine.bedHeightMM"},
			Value: e.MaxZ, Unit: "mm",
		})
	}
	return found
}

// bedWords describes the bed.
func (m Machine) bedWords() string {
	if m.BedShape == Round {
		return fmt.Sprintf("round, %s mm, origin in the %s", finding.Figure(m.BedDiameterMM), m.Origin)
	}
	return fmt.Sprintf("%s × %s mm, origin in the %s", finding.Figure(m.BedWidthMM), finding.Figure(m.BedDepthMM), m.Origin)
}

// notedOtherwise looks at the bed and the nozzle that the file itself notes.
func (m Machine) notedOtherwise(found *finding.List, e Evidence) {
	if e.NozzleMM > 0 && math.Abs(m.NozzleMM-e.NozzleMM) > tol.MachineSameNozzle {
		found.Add(finding.Finding{Code: "machine-nozzle-differs", Level: finding.Caution, Value: e.NozzleMM, Unit: "mm",
			Text:   fmt.Sprintf("The file was sliced for a nozzle of %s mm; the machine has one of %s mm.", finding.Figure(e.NozzleMM), finding.Figure(m.NozzleMM)),
			Remedy: "Correct the nozzle, or slice again for the one that is mounted.", Place: &finding.Place{Element: "machine.nozzleMM"}})
	}
	if e.Bed == nil {
		return
	}
	bed, noted := m.Bed(), e.Bed
	differs := func(field, what string) {
		found.Add(finding.Finding{Code: "machine-bed-differs", Level: finding.Caution,
			Text: fmt.Sprintf("The file was sliced for another bed: %s is not that of the machine (%s), which the file notes as %s.",
				what, m.bedWords(), noted.words()),
			Remedy: "Correct the machine, or slice again for it.", Place: &finding.Place{Element: "machine." + field}})
	}
	switch size := "bedWidthMM"; {
	case m.BedShape != noted.Shape:
		differs("bedShape", "its shape")
	case bed.Size().Dist(noted.Size) > tol.MachineSameBed:
		if m.BedShape == Round {
			size = "bedDiameterMM"
		}
		differs(size, "its size")
	case !noted.Box.Empty() && bed.Min.Dist(noted.Box.Min) > tol.MachineSameBed:
		differs("origin", "its origin")
	}
}

// words describes a noted bed.
func (b NotedBed) words() string {
	text := fmt.Sprintf("%s × %s mm", finding.Figure(b.Size.X), finding.Figure(b.Size.Y))
	if b.Shape == Round {
		text = fmt.Sprintf("round, %s mm", finding.Figure(b.Size.X))
	}
	if b.Box.Empty() {
		return text
	}
	return text + fmt.Sprintf(", from X %s, Y %s", finding.Figure(b.Box.Min.X), finding.Figure(b.Box.Min.Y))
}

// pieceOutside refuses a piece that does not lie on the bed.
func (m Machine) pieceOutside(found *finding.List, piece plane.Box) {
	if piece.Empty() || m.ContainsBox(piece) {
		return
	}
	f := finding.Finding{
		Code: "machine-piece-outside", Level: finding.Stop,
		Text: fmt.Sprintf("The piece (X %.1f to %.1f, Y %.1f to %.1f) does not lie on the bed (%s).",
			piece.Min.X, piece.Max.X, piece.Min.Y, piece.Max.Y, m.bedWords()),
		Remedy: "Correct the size of the bed, or slice the piece for this machine.",
		Place:  &finding.Place{Element: "machine.bedWidthMM"},
	}
	other := m
	other.Origin, other.OriginXMM, other.OriginYMM = Corner, 0, 0
	if m.Origin == Corner {
		other.Origin = Centre
	}
	onBed := m
	onBed.KeepOut = nil
	switch {
	case onBed.ContainsBox(piece):
		f.Code = "machine-piece-in-keep-out"
		f.Text = fmt.Sprintf("The piece (X %.1f to %.1f, Y %.1f to %.1f) touches an area that is to be kept free.",
			piece.Min.X, piece.Max.X, piece.Min.Y, piece.Max.Y)
		f.Remedy = "Move the piece and slice it again, or correct the area."
		f.Place.Element = "machine.keepOut"
	case other.ContainsBox(piece):
		f.Code = "machine-origin"
		f.Remedy = fmt.Sprintf("With the origin in the %s it would: change the origin of the machine.", other.Origin)
		f.Place.Element = "machine.origin"
	}
	found.Add(f)
}
