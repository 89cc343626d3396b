package piece

import (
	"math"

	"sheenlay/engine/claims"
	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/layers"
	"sheenlay/engine/motion"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// DeepBytes is the size up to which a survey also follows every move, for the
// time and the filament of the whole file. It runs in the background, and a job
// waits for one slice of it at most, so that only files of a size nobody slices
// are skimmed only: a survey of 2 GB takes about half a minute in a browser.
const DeepBytes = 2 << 30

// Survey reads the whole file after it was opened: it counts the layers, looks
// whether the first one comes back, and, unless the file is very large,
// predicts its time, gathers what it says about itself and the temperatures it
// sets.
type Survey struct {
	piece   *Piece
	count   *layers.Survey
	deep    bool
	bytes   int64 // read so far
	scanner gcode.Scanner
	interp  *gcode.Interp
	planner *motion.Planner
	machine motion.Limits
	pace    Pace
	behind  int // line from which the first layer is over
	nozzle  heating
	bed     heating
	claims  claims.Collector
	fed     float64
	chords  []plane.Point // of the arc under way
}

// Surveyed is what the whole file shows.
type Surveyed struct {
	Layers     int            `json:"layers"`
	Bytes      int64          `json:"bytes"`
	Restarts   int            `json:"restarts"`
	HeightMM   float64        `json:"heightMM"` // of the layers counted, by the heights of the first two
	Timed      bool           `json:"timed"`    // the next two are known
	TimeS      float64        `json:"timeS"`    // of the file as it is, s
	FilamentMM float64        `json:"filamentMM"`
	Limits     motion.Limits  `json:"limits"` // of the machine for which the time was worked out
	Nozzle     Heat           `json:"nozzle"` // of any tool
	Bed        Heat           `json:"bed"`
	Claims     []claims.Claim `json:"claims,omitempty"`
	Findings   finding.List   `json:"findings"`
}

// NewSurvey returns a survey of the piece's file, to be fed from its first
// byte. The limits are those of the machine that is to print it; where the file
// sets limits itself, those hold (see Pace). To plan the same file for another
// machine it has to be read again.
func NewSurvey(p *Piece, machine motion.Limits) *Survey {
	s := &Survey{piece: p, count: layers.NewSurvey(p.Found, gcode.Options{}), deep: p.Size <= DeepBytes,
		interp: gcode.NewInterp(gcode.Options{}), planner: motion.NewPlanner(machine), machine: machine, pace: NewPace(machine)}
	if len(p.Found.Layers) > 1 {
		s.behind = p.Found.Layers[1].Line
	}
	return s
}

// NewSkim returns a survey that only counts layers, about as fast as a browser
// reads, however small the file.
func NewSkim(p *Piece) *Survey {
	s := NewSurvey(p, motion.DefaultLimits())
	s.deep = false
	return s
}

// Feed takes the next bytes and reports whether more are wanted.
func (s *Survey) Feed(data []byte) bool {
	s.bytes += int64(len(data))
	last := s.bytes >= s.piece.Size
	if !s.deep || !s.count.ByMaterial() {
		s.count.Push(data, last)
	}
	if s.deep {
		s.follow(data, last)
	}
	return !last
}

// follow plans every move of the next bytes.
func (s *Survey) follow(data []byte, last bool) {
	s.scanner.Push(data, last)
	move, counts := s.interp.Move(), s.count.ByMaterial()
	for s.interp.Next(&s.scanner) {
		if !s.scanner.Passed() {
			line := s.scanner.Line()
			s.claims.Line(line.Number, line.Offset, line.Raw)
			s.pace.Follow(s.planner, s.interp.At())
			s.feel(line)
		}
		if counts {
			s.count.Move(move, s.scanner.Start())
		}
		if move.Kind == gcode.None || move.Kind == gcode.Home {
			continue
		}
		s.fed += move.Fed
		m := motion.Move{From: [3]float64{move.From.X, move.From.Y, move.From.Z}, To: [3]float64{move.To.X, move.To.Y, move.To.Z}, DE: move.E, Feed: move.Feed}
		if move.Kind == gcode.Dwell {
			m.Dwell = dwell(s.scanner.Line())
		}
		if move.Arc.Is() && move.Arc.Plane == gcode.PlaneXY {
			s.chords = gcode.AppendArc(s.chords[:0], *move, tol.FlattenCurve)
			motion.Chords(m, s.chords, s.planner.Add)
			continue
		}
		s.planner.Add(&m)
	}
}

// dwell returns the seconds that a G4 waits: P in milliseconds or S in seconds,
// as sliced files have it (common practice; NISTIR 6556 §3.5.4 has P in
// seconds).
func dwell(line *gcode.Line) float64 {
	if v, ok := line.Value('S'); ok {
		return v
	}
	v, _ := line.Value('P')
	return v / 1000
}

// Finish returns what was counted.
func (s *Survey) Finish() Surveyed {
	out := Surveyed{Layers: s.count.Count, Bytes: s.bytes, Restarts: s.count.Restarts, Findings: finding.List{}}
	if s.deep {
		out.Nozzle, out.Bed = s.nozzle.hottest, s.bed.hottest
		out.Timed, out.TimeS, out.FilamentMM, out.Claims, out.Limits = true, s.planner.Finish().Seconds, s.fed, s.claims.Claims, s.machine
	}
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
