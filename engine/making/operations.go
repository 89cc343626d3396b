package making

import (
	"fmt"
	"slices"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/join"
	"sheenlay/engine/machine"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// operations puts what is laid into its order: the prime line, what is kept,
// the pattern.
func (w *work) operations() error {
	if w.Coarse {
		return nil
	}
	speeds := w.speeds()
	w.Findings = append(w.Findings, asJob(speeds.Validate())...)
	for i := range w.Layers {
		l := &w.Layers[i]
		l.Order = l.Order[:0]
		if len(l.Prime) > 0 {
			l.Order = append(l.Order, w.primeOperation(l))
		}
		for _, s := range l.Kept {
			l.Order = append(l.Order, join.FromStroke(s))
		}
		for k := range l.Strands {
			l.Order = append(l.Order, w.beadOperation(l, k, speeds))
			speeds.StartLengthMM = 0 // only the first metres of all are slow
		}
		for k, t := range l.Travels {
			l.Order[k].Via = t.Via
		}
		w.Findings = append(w.Findings, atLayer(bead.CheckWidths(l.Strands, w.Job.Machine.NozzleMM, w.limits()), l)...)
	}
	return nil
}

func (w *work) speeds() bead.Speeds {
	b := w.Job.Bead
	return bead.Speeds{BeadMMs: b.SpeedMMs, StartMMs: min(b.StartSpeedMMs, b.SpeedMMs), StartLengthMM: b.StartLengthMM,
		TurnMMs: min(b.TurnSpeedMMs, b.SpeedMMs), TurnRadiusMM: w.Line.WidthMM, TravelMMs: b.TravelSpeedMMs}
}

func (w *work) beadOperation(l *Layer, k int, speeds bead.Speeds) join.Operation {
	s := l.Strands[k]
	zones := l.Artwork.Pattern.Zones
	speed := func(zone int32) float64 {
		if zone < 0 || int(zone) >= len(zones) {
			return 0
		}
		return zones[zone].Speed
	}
	op := join.Operation{Role: join.Pattern, Points: s.Points,
		E: l.Feed.AppendE(nil, s, zoneFlow(l)), Feed: speeds.AppendFeeds(nil, s, speed)}
	if k == len(l.Strands)-1 && w.Job.Prime.WipeMM > 0 {
		op.Wipe = bead.Wipe(s, w.Job.Prime.WipeMM)
	}
	if len(l.Strands) > 1 {
		op.Note = fmt.Sprintf("bead %d of %d", k+1, len(l.Strands))
	}
	return op
}

// primeFor returns the centre line of the prime line; nil where none is laid:
// the person wants none, the kept skirt or brim fills the nozzle already, or
// the bed has no room. Further layers need none.
func (w *work) primeFor(l *Layer) []plane.Point {
	p := w.Job.Prime
	if p.Source != "own" || l.Source.Index != w.Layers[0].Source.Index {
		return nil
	}
	laid := l.Face.Bounds()
	for _, s := range l.Kept {
		if s.Class == deposit.Skirt || s.Class == deposit.Brim {
			return nil
		}
		laid = laid.Union(plane.Polyline(s.Points).Bounds())
	}
	width := w.Line.WidthMM
	var problem *finding.Finding
	for _, share := range []float64{1, 0.6, 0.3} {
		var line plane.Polyline
		line, _, problem = w.Job.Machine.PlacePrime(laid, p.LengthMM*share, p.GapMM, width, p.Side)
		if problem == nil {
			return endNear(line, laid.Centre())
		}
	}
	if !w.Findings.Has(problem.Code) {
		caution := *problem
		caution.Level = finding.Caution
		caution.Remedy = "The pattern starts without one. " + caution.Remedy
		w.Findings.Add(caution)
	}
	return nil
}

// endNear turns a line so that it ends at its end nearer to p.
func endNear(line plane.Polyline, p plane.Point) []plane.Point {
	if len(line) == 0 || line[len(line)-1].Dist(p) <= line[0].Dist(p) {
		return line
	}
	return line.Reversed()
}

// leads reports whether the prime line can run on to the pattern's first point
// as one bead: it is wanted, and on its way it comes over no other bead.
func (w *work) leads(l *Layer) bool {
	if w.Job.Prime.Lead != "bead" || len(l.Kept) > 0 || len(l.Strands) == 0 {
		return false
	}
	return newBeads(l.Strands, w.Line.WidthMM).free([]plane.Point{l.Prime[len(l.Prime)-1], l.Strands[0].Points[0]})
}

// primeOperation lays the prime line. Where nothing stands between it and the
// pattern it runs on to the pattern's first point, so that the whole face is
// one bead from the first drop on.
func (w *work) primeOperation(l *Layer) join.Operation {
	points := l.Prime
	if w.leads(l) {
		points = append(append([]plane.Point(nil), points...), l.Strands[0].Points[0])
		l.Prime = points
	}
	s := strand.Strand{Points: points}
	for range points[1:] {
		s.Width = append(s.Width, w.Line.WidthMM)
	}
	slow := w.speeds()
	slow.BeadMMs = slow.StartMMs
	return join.Operation{Role: join.Prime, Points: points, E: l.Feed.AppendE(nil, s, nil), Feed: slow.AppendFeeds(nil, s, nil), Note: "prime line"}
}

var retractions = map[string]join.Retraction{
	machine.AsFile: join.AsFile, machine.ByE: join.ByE, machine.ByCommand: join.ByCommand, machine.Never: join.Never,
}

// byCommand reports whether the sliced file retracts by command.
func (w *work) byCommand() bool {
	return slices.ContainsFunc(w.piece.Reads, func(r piece.Reading) bool {
		return r.Path == "machine.retractBy" && r.Value == machine.ByCommand
	})
}

// settings says how the new block moves.
func (w *work) settings() join.Settings {
	m, b := w.Job.Machine, w.Job.Bead
	s := join.Settings{RetractMM: m.RetractMM, RetractFeed: m.RetractSpeedMMs * 60, LiftMM: m.LiftMM, TravelFeed: b.TravelSpeedMMs * 60,
		WipeMM: w.Job.Prime.WipeMM, ShortTravelMM: 2 * w.Line.WidthMM, Say: w.say(), Arcs: w.Job.Join.Arcs}
	s.Retraction = retractions[m.RetractBy]
	if s.Retraction == join.AsFile && w.byCommand() {
		s.Retraction = join.ByCommand // also where the replaced layer itself never retracts
	}
	if m.RetractMM == 0 && s.Retraction != join.ByCommand {
		s.Retraction = join.Never
	}
	if w.Job.Join.Pause != "none" {
		s.Pause = &join.Pause{Commands: []string{w.Job.Join.Pause}, Park: w.park(), LiftMM: w.Job.Join.ParkLiftMM}
	}
	return s
}

// parkClear (mm) is how far the parked nozzle stays from the piece and from the
// edge of the bed. Reason: a hot nozzle oozes.
const parkClear = 5.0

// park returns the job's parking place if it lies on the bed and off the
// piece, else the corner of the bed that is farthest from the piece.
func (w *work) park() plane.Point {
	m := w.Job.Machine
	want := plane.Point{X: w.Job.Join.ParkXMM, Y: w.Job.Join.ParkYMM}
	laid := w.Layers[0].Footprint.Region.Bounds().Grow(parkClear)
	if m.Contains(want) && !laid.Contains(want) {
		return want
	}
	bed := m.Bed()
	best := want
	for _, corner := range []plane.Point{bed.Min, {X: bed.Max.X, Y: bed.Min.Y}, {X: bed.Min.X, Y: bed.Max.Y}, bed.Max} {
		inward := corner.Lerp(bed.Centre(), 0.5)
		for share := 0.05; share < 0.5; share += 0.05 { // inward until a round bed has it too
			if p := corner.Lerp(bed.Centre(), share); m.Contains(p) && !laid.Contains(p) {
				inward = p
				break
			}
		}
		if best == want || inward.Dist(laid.Centre()) > best.Dist(laid.Centre()) {
			best = inward
		}
	}
	w.Findings.Add(finding.Finding{Code: "making-park-moved", Level: finding.Note,
		Text:  fmt.Sprintf("The parking place would lie off the bed or on the piece; the nozzle parks at X %s, Y %s.", finding.Figure(best.X), finding.Figure(best.Y)),
		Place: &finding.Place{File: "job", Element: "join.parkXMM", At: &[2]float64{best.X, best.Y}}})
	return best
}

// say returns the lines that open the block.
func (w *work) say() []string {
	b := w.Job.Bead
	lines := []string{
		fmt.Sprintf("this first layer replaces that of %s", w.piece.Name),
		fmt.Sprintf("artwork: %s", w.ArtName()),
		fmt.Sprintf("line %s mm wide, %s mm high, %s mm/s, filament %s mm per mm", finding.Figure(w.Line.WidthMM), finding.Figure(w.Line.HeightMM), finding.Figure(b.SpeedMMs), finding.Figure(w.Line.EPerMM)),
		fmt.Sprintf("kept: walls %d, around %v; layers with the pattern: %d", w.Job.Keep.Walls, w.Job.Keep.Around, w.Job.Layers.Count),
	}
	return lines
}

// ArtName names the artwork in a few words.
func (m *Made) ArtName() string {
	a := m.Job.Art
	switch a.Kind {
	case "generator":
		return a.Generator
	case "trial":
		return "trial plate"
	case "lettering":
		return "lettering"
	}
	return a.Kind + " " + a.Name
}
