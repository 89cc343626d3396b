package protocol

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/footprint"
	"sheenlay/engine/job"
	"sheenlay/engine/making"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// flat writes points as x, y, x, y …, rounded to 0.01 mm: enough to draw and to
// click.
func flat(points []plane.Point) []float64 {
	out := make([]float64, 0, 2*len(points))
	for _, p := range points {
		out = append(out, math.Round(p.X*100)/100, math.Round(p.Y*100)/100)
	}
	return out
}

func flatBox(b plane.Box) *[4]float64 {
	if b.Empty() {
		return nil
	}
	return &[4]float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y}
}

// mostStrokes bounds the strokes that a report draws; their count is always
// whole.
const mostStrokes = 4000

func pieceReport(p *piece.Piece) map[string]any {
	found := p.Found
	why := []string{}
	for _, e := range found.Why {
		why = append(why, e.Text)
	}
	candidates := []map[string]any{}
	for _, c := range found.Candidates {
		candidates = append(candidates, map[string]any{"line": c.Line, "offset": c.Offset, "z": c.Z, "reads": c.Reads,
			"text": c.Text, "before": c.Before, "after": c.After})
	}
	boundaries := map[string]any{"confidence": found.Confidence, "why": why, "needsChoice": found.NeedsChoice, "candidates": candidates}
	if len(found.Layers) > 1 {
		boundaries["firstLine"], boundaries["firstOffset"] = found.Layers[0].Line, found.Layers[0].Offset
		boundaries["nextLine"], boundaries["nextOffset"] = found.Layers[1].Line, found.Layers[1].Offset
	}
	read, reasons := readings(p)
	report := map[string]any{
		"name": p.Name, "size": p.Size, "boundaries": boundaries, "layersKnown": p.LayersKnown(),
		"machine": map[string]any{"read": read, "why": reasons, "missing": unread(read)}, "findings": listed(p.Findings), "settled": p.Settled(),
	}
	if len(p.Layers) > 0 {
		report["layer"] = layerReport(p)
		report["footprint"] = footprintReport(&p.Footprint)
		report["strokes"] = strokesReport(p.Footprint.Strokes)
	}
	return report
}

// readings returns what the file shows of a job's fields, and why, by their
// paths. What does not fit its field is left out, here and wherever a job is
// read: the page and the engine must take the same.
func readings(p *piece.Piece) (values map[string]any, reasons map[string]string) {
	values, reasons = map[string]any{}, map[string]string{}
	byPath := map[string]job.Field{}
	for _, f := range job.Fields() {
		byPath[f.Path] = f
	}
	for _, r := range p.Reads {
		if f := byPath[r.Path]; f.Read && f.Fits(r.Value) {
			values[r.Path], reasons[r.Path] = r.Value, r.Why
		}
	}
	return values, reasons
}

// unread lists the fields that a sliced file may show and this one does not:
// they stand at their defaults until a person types them.
func unread(read map[string]any) []string {
	out := []string{}
	for _, f := range job.Fields() {
		if _, ok := read[f.Path]; f.Read && !ok {
			out = append(out, f.Path)
		}
	}
	return out
}

func layerReport(p *piece.Piece) map[string]any {
	f, l := &p.Footprint, p.Layers[0]
	counts := map[string]int{}
	length := 0.0
	for _, s := range f.Strokes {
		counts[s.Class.String()]++
		length += s.Length()
	}
	return map[string]any{"heightMM": l.Height, "z": l.Z, "widthMM": f.LineWidthMM, "pitchMM": f.PitchMM, "ePerMM": f.EPerMM,
		"filamentMM": f.FilamentDiameterMM, "speedMMs": p.Bead.SpeedMMs, "strokes": counts, "walls": f.WallDepth, "lengthMM": length}
}

func footprintReport(f *footprint.Footprint) map[string]any {
	rings := [][]float64{}
	for _, r := range f.Region {
		rings = append(rings, flat(r))
	}
	islands := []map[string]any{}
	for i, island := range f.Islands {
		at := island.Bounds.Centre()
		if !island.Region.Contains(at) && len(island.Region) > 0 {
			at = island.Region[0][0]
		}
		islands = append(islands, map[string]any{"index": i, "areaMM2": island.AreaMM2, "bounds": flatBox(island.Bounds),
			"at": [2]float64{at.X, at.Y}, "object": island.Object})
	}
	return map[string]any{"areaMM2": f.Region.Area(), "bounds": flatBox(f.Region.Bounds()), "islands": islands, "rings": rings}
}

func strokesReport(strokes []deposit.Stroke) []map[string]any {
	out := []map[string]any{}
	for i, s := range strokes {
		if i == mostStrokes {
			break
		}
		out = append(out, map[string]any{"index": i, "class": s.Class.String(), "confidence": s.Confidence,
			"points": flat(s.Points), "label": s.Label, "object": s.Object, "line": s.FirstLine})
	}
	return out
}

// layReport is the answer to a job: every figure, every finding.
func layReport(p *piece.Piece, m *making.Made, whole *totals) map[string]any {
	report := map[string]any{"ok": m.OK(), "coarse": m.Coarse, "findings": listed(m.Findings), "sentence": sentence(m)}
	if len(m.Layers) == 0 {
		return report
	}
	l := m.Layers[0]
	report["figures"] = figures(m, whole)
	report["zones"] = l.Artwork.Kinds
	report["lays"] = map[string]any{"reachedDeg": l.Artwork.Reached, "boundDeg": l.Artwork.Bound}
	report["placement"] = map[string]any{"xMM": m.Job.Placement.XMM, "yMM": m.Job.Placement.YMM, "turnDeg": m.Job.Placement.TurnDeg,
		"scale": m.Job.Placement.Scale, "mirrored": l.Artwork.Placed.Det() < 0, "box": flatBox(l.Artwork.Box)}
	report["resolved"] = map[string]any{"widthMM": m.Line.WidthMM, "heightMM": m.Line.HeightMM, "ePerMM": m.Line.EPerMM}
	face := [][]float64{}
	for _, r := range l.Face {
		face = append(face, flat(r))
	}
	report["face"] = face
	report["classes"] = l.Count()
	report["travels"] = travels(&l)
	if m.Job.Art.JoinGaps {
		report["added"] = added(l.Strands)
	}
	if len(m.Block) == 0 {
		return report
	}
	report["kept"] = m.Join.Kept
	report["proof"] = m.Proof.Clauses
	report["commands"] = explained(m.Block)
	from, to := m.Join.Blocks[0].Cut.From, m.Join.TailOffset
	report["before"], report["after"] = folded(p.Head[from:to]), folded(m.Block)
	report["finished"] = map[string]any{"headEnd": m.Join.HeadLength, "tailStart": m.Join.TailOffset, "blockBytes": len(m.Block),
		"size": m.Join.HeadLength + int64(len(m.Block)) + p.Size - m.Join.TailOffset, "name": outName(p.Name)}
	report["scrub"] = map[string]any{"segments": len(m.Times.Trace.Moves), "lengthMM": m.Join.Figures.LengthMM, "timeS": m.Times.NewS}
	return report
}

// travels lists the ways of the first layer from run to run.
func travels(l *making.Layer) []map[string]any {
	out := []map[string]any{}
	for _, t := range l.Travels {
		if len(out) == mostTravels {
			break
		}
		out = append(out, map[string]any{"from": [2]float64{t.From.X, t.From.Y}, "to": [2]float64{t.To.X, t.To.Y}, "via": flat(t.Via),
			"lengthMM": t.LengthMM, "bareMM": t.BareMM})
	}
	return out
}

// mostTravels bounds the list of a report.
const mostTravels = 2000

// added lists the runs of bead that join drawn lines.
func added(strands []strand.Strand) [][]float64 {
	out := [][]float64{}
	for _, s := range strands {
		for i, zone := range s.Zone {
			if zone != strand.Connector {
				continue
			}
			if i > 0 && s.Zone[i-1] == strand.Connector {
				out[len(out)-1] = append(out[len(out)-1], flat(s.Points[i+1:i+2])...)
			} else {
				out = append(out, flat(s.Points[i:i+2]))
			}
		}
	}
	return out
}

// outName is the source's name with a suffix: the source is never overwritten.
func outName(name string) string {
	name = strings.TrimSuffix(name, ".gz")
	ext := filepath.Ext(name)
	if ext == "" {
		ext = ".gcode"
	}
	return strings.TrimSuffix(name, filepath.Ext(name)) + "-sheenlay" + ext
}

// sentence is the verdict in one line.
func sentence(m *making.Made) string {
	stops, cautions := 0, 0
	first := ""
	for _, f := range m.Findings {
		switch f.Level {
		case finding.Stop:
			if stops == 0 {
				first = f.Text
			}
			stops++
		case finding.Caution:
			cautions++
		}
	}
	switch {
	case stops == 1:
		return "Not ready. " + first
	case stops > 1:
		return fmt.Sprintf("Not ready: %d findings stop it. %s", stops, first)
	case m.Coarse || len(m.Block) == 0:
		return ""
	}
	l := m.Layers[0]
	lines := fmt.Sprintf("%s unbroken lines", grouped(len(l.Strands)))
	if len(l.Strands) == 1 {
		lines = "One unbroken line"
	}
	out := fmt.Sprintf("Ready. %s, %.1f m, %s; %.1f %% covered; joins at line %s; nothing after it changes.",
		lines, l.Stats.LengthMM/1000, duration(m.Times.NewS), m.Coverage.Covered.Percent, grouped(m.Join.JoinLine))
	if cautions > 0 {
		out = strings.Replace(out, "Ready.", fmt.Sprintf("Ready, with %s to look at.", counted(cautions, "caution")), 1)
	}
	return out
}

func counted(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return itoa(n) + " " + word + "s"
}

// grouped writes a count with commas between thousands.
func grouped(n int) string {
	text := itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

func duration(seconds float64) string {
	minutes := int(math.Round(seconds / 60))
	switch {
	case seconds < 90:
		return fmt.Sprintf("%.0f s", seconds)
	case minutes < 120:
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
}

// Lines of old and new text shown at the beginning and at the end.
const shownLines = 120

// folded returns the first and last lines of a text, with the number of those
// left out between them.
func folded(text []byte) string {
	lines := strings.Split(strings.ToValidUTF8(strings.TrimRight(string(text), "\r\n"), "·"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], "\r")
	}
	if len(lines) <= 2*shownLines {
		return strings.Join(lines, "\n")
	}
	out := append([]string(nil), lines[:shownLines]...)
	out = append(out, fmt.Sprintf("… %s lines …", grouped(len(lines)-2*shownLines)))
	return strings.Join(append(out, lines[len(lines)-shownLines:]...), "\n")
}
