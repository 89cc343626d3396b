package protocol

import (
	"context"
	"encoding/json"
	"fmt"
	"math"

	"sheenlay/engine/artwork"
	"sheenlay/engine/bead"
	"sheenlay/engine/fill"
	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/light"
	"sheenlay/engine/plane"
	"sheenlay/engine/sheet"
)

// Cautions stand wherever a finished file is saved or its sheet is printed.
// They are written here alone: hosts take them from hello.
var Cautions = []string{
	"Nozzle and plate burn, during a print and long after it: let them cool before you reach in.",
	"Moving parts pinch and catch: keep hands, hair and sleeves out while the machine is on.",
	"Molten plastic gives off fumes: print in a room with fresh air.",
	"Watch this first layer to its end with a hand near the stop: your machine has never printed it. Never leave a running machine alone.",
	"Your machine's manual and your local rules come first.",
}

// thumb draws a small picture of a built-in pattern as it shines: the engine's
// own light on a coarse fill of a small face.
func thumb(_ *Session, ctx context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct {
		Generator     string
		Params        map[string]float64
		Seed          uint64
		Width, Height int
		Colour        [3]float64
		Surface       string
		Lamp          [3]float64
	}
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	a.Width, a.Height = min(max(a.Width, 8), 512), min(max(a.Height, 8), 512)
	// No side more than three times the other: a strip would show metres of face.
	a.Width, a.Height = max(a.Width, a.Height/3), max(a.Height, a.Width/3)
	const tallMM = 36.0
	wideMM := tallMM * float64(a.Width) / float64(a.Height)
	face := plane.Region{{{X: -wideMM / 2, Y: -tallMM / 2}, {X: wideMM / 2, Y: -tallMM / 2}, {X: wideMM / 2, Y: tallMM / 2}, {X: -wideMM / 2, Y: tallMM / 2}}}
	settings := job.Default()
	settings.Art.Generator, settings.Art.Params, settings.Art.Seed = a.Generator, a.Params, a.Seed
	const lineMM = 0.42
	art, err := artwork.Make(ctx, artwork.Input{Art: settings.Art, Placement: settings.Placement, Face: face, WidthMM: lineMM,
		NozzleMM: 0.4, HeightMM: 0.2, FlowPercent: 100, SpeedMMs: 20, Limits: bead.DefaultLimits()})
	if err != nil {
		return nil, nil, err
	}
	laid, err := fill.Fill(ctx, fill.Request{Face: face, Pattern: art.Pattern, WidthMM: lineMM, Coarse: !art.Pattern.Threaded(), Threader: artwork.Threader})
	if err != nil {
		return nil, nil, err
	}
	m, err := light.NewMap(ctx, face, laid.Strands, max(a.Width, a.Height))
	if err != nil {
		return nil, nil, err
	}
	sc := scene(viewArgs{Surface: a.Surface, Lamp: a.Lamp, Eye: [3]float64{0, 0, 400}, Colour: a.Colour, Below: true})
	if sc.Lamp == (light.Vector{}) {
		sc.Lamp = light.Vector{X: -70, Y: 60, Z: 260}
	}
	pixels, err := m.Shade(ctx, sc)
	return map[string]any{"width": m.Width, "height": m.Height}, [][]byte{pixels}, err
}

func printSheet(s *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct{ Format, Paper, Link string }
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	if s.made == nil || len(s.made.Block) == 0 {
		return nil, nil, finding.Finding{Code: "sheet-nothing", Level: finding.Stop, Text: "There is nothing to print a sheet of yet.", Remedy: "Lay a pattern first."}
	}
	paper := sheet.A4
	if a.Paper == sheet.Letter.ID {
		paper = sheet.Letter
	}
	data, err := sheet.Render(s.sheetContent(a.Link), paper, sheet.Format(a.Format))
	if err != nil {
		return nil, nil, err
	}
	return map[string]any{"bytes": len(data)}, [][]byte{data}, nil
}

func (s *Session) sheetContent(address string) sheet.Content {
	m, l := s.made, &s.made.Layers[0]
	c := sheet.Content{Title: s.piece.Name, Subtitle: sentence(m), Face: l.Footprint.Region, Strands: l.Strands, Cautions: Cautions, Link: address}
	figure := func(v float64, unit string) string { return finding.Figure(math.Round(v*1000)/1000) + " " + unit }
	c.Settings = []sheet.Row{
		{Name: "Artwork", Value: m.ArtName()},
		{Name: "Line width", Value: figure(m.Line.WidthMM, "mm")},
		{Name: "Layer height", Value: figure(m.Line.HeightMM, "mm")},
		{Name: "Speed", Value: figure(m.Job.Bead.SpeedMMs, "mm/s")},
		{Name: "Flow", Value: figure(m.Job.Bead.FlowPercent, "%")},
		{Name: "Walls kept", Value: itoa(m.Job.Keep.Walls)},
		{Name: "Layers with the pattern", Value: itoa(len(m.Layers))},
		{Name: "Nozzle", Value: figure(m.Job.Machine.NozzleMM, "mm")},
		{Name: "Bed", Value: bedWords(m.Job)},
		{Name: "Pause after it", Value: m.Job.Join.Pause},
	}
	c.Figures = []sheet.Row{
		{Name: "Bead", Value: fmt.Sprintf("%.1f m", l.Stats.LengthMM/1000)},
		{Name: "Unbroken lines", Value: itoa(len(l.Strands))},
		{Name: "Time of the layer", Value: duration(m.Times.NewS)},
		{Name: "Before", Value: duration(m.Times.OldS)},
		{Name: "Covered", Value: fmt.Sprintf("%.1f %%", m.Coverage.Covered.Percent)},
		{Name: "Laid twice", Value: fmt.Sprintf("%.1f %%", m.Coverage.Double.Percent)},
		{Name: "Open gaps", Value: fmt.Sprintf("%.1f %%", m.Coverage.Open.Percent)},
		{Name: "Filament", Value: fmt.Sprintf("%.2f m", m.Join.Figures.EMM/1000)},
		{Name: "Joins at line", Value: grouped(m.Join.JoinLine)},
		{Name: "Tail from line", Value: grouped(m.Join.TailLine)},
	}
	if whole := s.totals(m); whole != nil {
		c.Figures = append(c.Figures, sheet.Row{Name: "Time of the finished file", Value: duration(whole.afterS)},
			sheet.Row{Name: "Time of the sliced file", Value: duration(whole.beforeS)})
	}
	for _, k := range l.Artwork.Kinds {
		name := k.Name
		if name == "" {
			name = "kind " + itoa(k.Kind+1)
		}
		value := figure(k.LayDeg, "°")
		if k.Field {
			value = "along a field"
		}
		c.Lays = append(c.Lays, sheet.Row{Name: name, Value: value})
	}
	return c
}

func bedWords(j job.Job) string {
	m := j.Machine
	if m.BedShape == "round" {
		return fmt.Sprintf("round %g mm, %s", m.BedDiameterMM, m.Origin)
	}
	return fmt.Sprintf("%g × %g mm, %s", m.BedWidthMM, m.BedDepthMM, m.Origin)
}
