package piece

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/layers"
)

// Survey skims the whole file after it was opened: it counts the layers and
// looks whether the first one comes back.
type Survey struct {
	piece *Piece
	count *layers.Survey
}

// Surveyed is what the whole file shows.
type Surveyed struct {
	Layers   int          `json:"layers"`
	Bytes    int64        `json:"bytes"`
	Restarts int          `json:"restarts"`
	HeightMM float64      `json:"heightMM"` // of the layers counted, by the heights of the first two
	Findings finding.List `json:"findings"`
}

// NewSurvey returns a survey of the piece's file, to be fed from its first
// byte.
func NewSurvey(p *Piece) *Survey {
	return &Survey{piece: p, count: layers.NewSurvey(p.Found, gcode.Options{})}
}

// Feed takes the next bytes and reports whether more are wanted.
func (s *Survey) Feed(data []byte) bool {
	last := s.count.Bytes+int64(len(data)) >= s.piece.Size
	s.count.Push(data, last)
	return !last
}

// Finish returns what was counted.
func (s *Survey) Finish() Surveyed {
	out := Surveyed{Layers: s.count.Count, Bytes: s.count.Bytes, Restarts: s.count.Restarts, Findings: finding.List{}}
	if n := len(s.piece.Layers); n > 0 && out.Layers > 0 {
		height := s.piece.Layers[n-1].Height
		out.HeightMM = math.Round((s.piece.Layers[0].Z+height*float64(out.Layers-1))*1000) / 1000
	}
	if out.Restarts > 0 {
		out.Findings.Add(finding.Finding{Code: "survey-restarts", Level: finding.Caution, Value: float64(out.Restarts),
			Text:   "The file comes back to its first layer later on: it lays one object after another. Only the first object's first layer is replaced.",
			Remedy: "Slice the objects layer by layer together, or each into a file of its own.", Place: &finding.Place{File: "piece"}})
	}
	return out
}
