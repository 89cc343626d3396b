package protocol

import (
	"context"
	"encoding/json"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/join"
	"sheenlay/engine/light"
	"sheenlay/engine/plane"
	"sheenlay/engine/view"
)

// viewArgs are the arguments of all views; each uses its own.
type viewArgs struct {
	Kind          string
	MaxPx         int
	Box           [4]float64 // part of the bed, mm
	Width, Height int        // pixels
	UpTo          *float64
	Below         bool
	Show          struct{ Old, New, Covered bool }
	At            [2]float64
	Surface       string
	Lamp, Eye     [3]float64
	Colour        [3]float64 // linear, 0..1
	Exposure      float64
	Ink           map[string][4]uint8 // straight RGBA by name, see inkOf
}

// look answers with a picture of the last job, as RGBA in the one buffer.
func look(s *Session, ctx context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a viewArgs
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	if s.piece == nil || (s.made == nil && a.Kind != "both" && a.Kind != "hit") {
		return nil, nil, finding.Finding{Code: "view-nothing", Level: finding.Stop, Text: "Nothing is laid yet.", Remedy: "Lay a pattern first."}
	}
	switch a.Kind {
	case "lay", "lit":
		return s.lightView(ctx, a)
	case "lines":
		return s.linesView(ctx, a)
	case "both":
		return s.bothView(ctx, a)
	case "hit":
		return s.hit(plane.Point{X: a.At[0], Y: a.At[1]}), nil, nil
	}
	return nil, nil, finding.Finding{Code: "view-unknown", Level: finding.Stop, Text: "There is no such view."}
}

// lightView gives the lay map or the face shaded by the engine.
func (s *Session) lightView(ctx context.Context, a viewArgs) (any, [][]byte, error) {
	if len(s.made.Layers) == 0 {
		return nil, nil, finding.Finding{Code: "view-nothing", Level: finding.Stop, Text: "Nothing is laid yet.", Remedy: "Look at the findings."}
	}
	side := min(max(a.MaxPx, 16), 4096)
	if s.light == nil || s.lightN != side {
		l := s.made.Layers[0]
		m, err := light.NewMap(ctx, l.Footprint.Region, l.Strands, side)
		if err != nil {
			return nil, nil, err
		}
		s.light, s.lightN = &m, side
	}
	m := s.light
	answer := map[string]any{"width": m.Width, "height": m.Height, "box": flatBox(m.Box), "mmPerPx": m.MMPerPixel}
	if a.Kind == "lay" {
		return answer, [][]byte{m.Pixels()}, nil
	}
	pixels, err := m.Shade(ctx, scene(a))
	return answer, [][]byte{pixels}, err
}

func scene(a viewArgs) light.Scene {
	sc := light.Scene{Surface: light.Surfaces()[0], Lamp: vector(a.Lamp), Eye: vector(a.Eye), Colour: a.Colour, Exposure: a.Exposure, Below: a.Below}
	for _, surface := range light.Surfaces() {
		if surface.ID == a.Surface {
			sc.Surface = surface
		}
	}
	if sc.Exposure == 0 {
		sc.Exposure = light.DefaultExposure
	}
	return sc
}

func vector(v [3]float64) light.Vector { return light.Vector{X: v[0], Y: v[1], Z: v[2]} }

func (a viewArgs) canvas() (*view.Canvas, error) {
	box := plane.Box{Min: plane.Point{X: a.Box[0], Y: a.Box[1]}, Max: plane.Point{X: a.Box[2], Y: a.Box[3]}}
	if !box.Min.Finite() || !box.Max.Finite() || box.Empty() {
		return nil, finding.Finding{Code: "view-box", Level: finding.Stop, Text: "The view has no size."}
	}
	return view.NewCanvas(box, a.Width, a.Height, a.Below), nil
}

func (a viewArgs) answer(c *view.Canvas) map[string]any {
	return map[string]any{"width": c.Width, "height": c.Height, "box": flatBox(c.Box)}
}

// ink returns a colour that the page gave, or a plain one.
func (a viewArgs) ink(name string, plain view.Colour) view.Colour {
	if v, ok := a.Ink[name]; ok {
		return view.Colour{R: v[0], G: v[1], B: v[2], A: v[3]}
	}
	return plain
}

// linesView draws the new bytes as the machine goes them, up to a share of
// their way.
func (s *Session) linesView(ctx context.Context, a viewArgs) (any, [][]byte, error) {
	c, err := a.canvas()
	if err != nil {
		return nil, nil, err
	}
	paths := s.tracePaths()
	upTo := 1.0
	if a.UpTo != nil {
		upTo = *a.UpTo
	}
	ink := view.Ink{
		Bead: a.ink("bead", view.Colour{R: 60, G: 76, B: 92, A: 255}), Coming: a.ink("coming", view.Colour{R: 60, G: 76, B: 92, A: 40}),
		Kept: a.ink("kept", view.Colour{R: 120, G: 120, B: 120, A: 255}), Prime: a.ink("prime", view.Colour{R: 150, G: 110, B: 60, A: 255}),
		Travel: a.ink("travel", view.Colour{R: 190, G: 60, B: 40, A: 255}), Nozzle: a.ink("nozzle", view.Colour{R: 190, G: 60, B: 40, A: 255}),
		Relief: 0.45,
	}
	nozzle, err := view.Lines(ctx, c, paths, ink, upTo)
	if err != nil {
		return nil, nil, err
	}
	answer := a.answer(c)
	answer["at"] = [2]float64{nozzle.X, nozzle.Y}
	for name, v := range s.traceAt(upTo) {
		answer[name] = v
	}
	return answer, [][]byte{c.Pixels}, nil
}

// sorts is how the roles of beads are drawn.
var sorts = map[join.Role]view.Sort{join.Pattern: view.Pattern, join.Kept: view.Kept, join.Prime: view.Prime}

// tracePaths cuts the trace into runs of one sort: what role a bead has
// follows from the order in which the operations are laid.
func (s *Session) tracePaths() []view.Path {
	if s.made.Coarse || len(s.made.Times.Trace.Moves) == 0 {
		var paths []view.Path
		for _, l := range s.made.Layers[:min(len(s.made.Layers), 1)] {
			for _, strand := range l.Strands {
				paths = append(paths, view.Path{Points: strand.Points, Width: strand.Width})
			}
		}
		return paths
	}
	var paths []view.Path
	roles := s.made.Roles()
	for i, m := range s.made.Times.Trace.Moves {
		role := view.Travel
		if m.WidthMM > 0 {
			role = sorts[roles[i]]
		}
		n := len(paths)
		if n == 0 || paths[n-1].Sort != role || paths[n-1].Points[len(paths[n-1].Points)-1] != m.From {
			paths = append(paths, view.Path{Sort: role, Points: []plane.Point{m.From}})
			n++
		}
		p := &paths[n-1]
		p.Points = append(p.Points, m.To)
		p.Width = append(p.Width, m.WidthMM)
	}
	return paths
}

// traceAt returns the figures at a share of the way.
func (s *Session) traceAt(share float64) map[string]any {
	moves := s.made.Times.Trace.Moves
	total := 0.0
	for _, m := range moves {
		total += m.From.Dist(m.To)
	}
	limit, at := total*math.Min(math.Max(share, 0), 1), 0.0
	for i, m := range moves {
		length := m.From.Dist(m.To)
		if at+length < limit && i < len(moves)-1 {
			at += length
			continue
		}
		start := 0.0
		if i > 0 {
			start = moves[i-1].EndS
		}
		part := 1.0
		if length > 0 {
			part = math.Min((limit-at)/length, 1)
		}
		return map[string]any{"timeS": start + (m.EndS-start)*part, "speedMMs": m.SpeedMMs, "flowMM3s": m.FlowMM3s, "line": m.Line, "lengthMM": limit, "widthMM": m.WidthMM}
	}
	return nil
}

// bothView draws the piece's own first layer, the new one, and the coverage,
// over each other.
func (s *Session) bothView(ctx context.Context, a viewArgs) (any, [][]byte, error) {
	c, err := a.canvas()
	if err != nil {
		return nil, nil, err
	}
	if a.Show.Old && len(s.piece.Layers) > 0 {
		old := a.ink("old", view.Colour{R: 120, G: 120, B: 120, A: 110})
		width := s.piece.Footprint.PitchMM
		for _, stroke := range s.piece.Layers[0].Strokes {
			if err := ctx.Err(); err != nil {
				return nil, nil, err
			}
			for i := 1; i < len(stroke.Points); i++ {
				c.Bead(stroke.Points[i-1], stroke.Points[i], width, old, 0)
			}
		}
	}
	if s.made != nil && len(s.made.Layers) > 0 {
		if a.Show.New {
			bead := a.ink("bead", view.Colour{R: 40, G: 90, B: 120, A: 200})
			for _, strand := range s.made.Layers[0].Strands {
				for i := 1; i < len(strand.Points); i++ {
					c.Bead(strand.Points[i-1], strand.Points[i], strand.Width[i-1]*0.9, bead, 0.4)
				}
			}
		}
		if a.Show.Covered && s.made.Coverage.Map != nil {
			s.drawCoverage(c, a)
		}
	}
	return a.answer(c), [][]byte{c.Pixels}, nil
}
