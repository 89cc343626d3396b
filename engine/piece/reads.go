package piece

import (
	"fmt"
	"math"

	"sheenlay/engine/bead"
	"sheenlay/engine/claims"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Reading is a job field whose value the file itself shows.
type Reading struct {
	Path  string `json:"path"`
	Value any    `json:"value"`
	Why   string `json:"why"`
}

func (p *Piece) note(path string, value any, why string) {
	p.Reads = append(p.Reads, Reading{path, value, why})
}

// figure notes a number, to the step in which people write it; what is not
// positive was not shown.
func (p *Piece) figure(path string, value, step float64, why string) {
	if value > 0 && !math.IsInf(value, 0) {
		p.note(path, cleaned(math.Round(value/step)*step), why)
	}
}

// cleaned drops the rounding dust of a decimal step.
func cleaned(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// read notes the job fields that the file shows.
func (p *Piece) read(r *Reader) {
	p.figure("bead.widthMM", p.Footprint.PitchMM, 0.001, "distance of lines at which the file's amount of material makes a solid layer")
	p.figure("bead.heightMM", p.Layers[0].Height, 0.001, "height of the first layer")
	p.readSpeed()
	p.figure("bead.travelSpeedMMs", r.reach.travel.usual(), 0.1, "speed at which the file travels most")
	p.figure("machine.filamentDiameterMM", p.Footprint.FilamentDiameterMM, 0.01, "the usual diameter with which the file's lines have a width that a nozzle can lay")
	p.readNozzle(&r.setup)
	p.readMotion()
	p.readFeeding(&r.reach)
	p.readBed(&r.setup)
	if height, ok := r.setup.HeightMM(); ok && !p.disputed("piece-height-disputed", "how high the machine reaches", height.Quote, height.Against) {
		p.figure("machine.bedHeightMM", height.Value, 0.1, said(height.Quote))
	}
}

// said is the reason of a value that a comment of the file states.
func said(quote string) string { return fmt.Sprintf("the file notes it: “%s”", quote) }

// disputed reports whether a second line of the file says something else, and
// notes it then: of two words neither is taken.
func (p *Piece) disputed(code, what, quote, against string) bool {
	if against == "" {
		return false
	}
	p.Findings.Add(finding.Finding{Code: code, Level: finding.Note, Quote: quote,
		Text:   fmt.Sprintf("The file says in two ways %s (“%s” and “%s”); neither is taken over.", what, quote, against),
		Remedy: "Type the right value into the machine.", Place: &finding.Place{File: "piece"}})
	return true
}

// readSpeed notes the speed of most of the first layer's fill, or of its walls
// where it has none. A speed at which the file melts more than a usual hot end
// does is told and not taken over: the machine's own limit would refuse it.
func (p *Piece) readSpeed() {
	in := p.Bead
	flow := bead.VolumeFlow(bead.AreaFromE(in.EPerMM, in.FilamentDiameterMM), in.SpeedMMs)
	if most := machine.Default().MaxFlowMM3s; flow > most {
		p.Findings.Add(finding.Finding{Code: "piece-speed-fast", Level: finding.Note, Value: in.SpeedMMs, Unit: "mm/s",
			Text: fmt.Sprintf("The file lays its first layer at %s mm/s, which takes %.1f mm³/s, more than the %s mm³/s of a usual hot end; the speed is not taken over.",
				finding.Figure(math.Round(in.SpeedMMs)), flow, finding.Figure(most)),
			Remedy: "Type the speed, and the largest volume flow of your machine, if you want it as fast.", Place: &finding.Place{File: "piece"}})
		return
	}
	lines := map[deposit.Class]string{deposit.Fill: "fill", deposit.Wall: "walls", deposit.Unknown: "lines"}[in.Class]
	p.figure("bead.speedMMs", in.SpeedMMs, 0.1, "speed of most of the first layer's "+lines)
}

// readNozzle notes the nozzle of the tool in force where the first layer begins.
func (p *Piece) readNozzle(s *claims.Setup) {
	nozzle, ok := s.NozzleMM(p.Start.Tool)
	if !ok || p.disputed("piece-nozzle-disputed", "how wide its nozzle is", nozzle.Quote, nozzle.Against) {
		return
	}
	p.Evidence.NozzleMM = nozzle.Value
	p.figure("machine.nozzleMM", nozzle.Value, 0.001, said(nozzle.Quote))
}

// readMotion notes the limits of motion in force where the first layer begins.
func (p *Piece) readMotion() {
	const set = "set in the file"
	p.figure("machine.accelMMs2", p.Start.Acceleration.Print, 1, set)
	p.figure("machine.travelAccelMMs2", p.Start.Acceleration.Travel, 1, set)
	p.figure("machine.retractAccelMMs2", p.Start.Acceleration.Retract, 1, set)
	p.figure("machine.deviationMM", p.Start.Junction, 0.001, set)
	p.figure("machine.jumpMMs", jumpOf(p.Start.Jerk), 0.01, set+", the smaller one of X and Y")
	for i, axis := range []string{"X", "Y", "Z", "E"} {
		p.figure("machine.maxSpeed"+axis+"MMs", p.Start.MaxSpeed[i], 0.1, set)
		p.figure("machine.maxAccel"+axis+"MMs2", p.Start.MaxAcceleration[i], 1, set)
	}
}

// readFeeding notes how the file counts, draws back and lifts.
func (p *Piece) readFeeding(reach *machineReach) {
	mode := machine.Absolute
	if p.Start.RelativeE {
		mode = machine.Relative
	}
	p.note("machine.eMode", mode, "in force where the first layer begins")
	switch {
	case reach.byCommand:
		p.note("machine.retractBy", machine.ByCommand, "the file retracts by command")
	case reach.retractMM > 0:
		p.note("machine.retractBy", machine.ByE, "the file retracts by moving the filament")
		p.figure("machine.retractMM", reach.retractMM, 0.01, "deepest retraction of the bottom layers")
		p.figure("machine.retractSpeedMMs", reach.retractMMs, 0.1, "speed of that retraction")
	}
	p.figure("machine.liftMM", reach.lifts.usual(), 0.01, "how far the file rises for most of its lifted travels")
}

// readBed notes the bed that the file describes; where it describes none that
// can be taken, size and origin of a typical one that suits its moves.
func (p *Piece) readBed(s *claims.Setup) {
	guess := machine.Infer(p.Evidence)
	if noted, ok := s.Bed(); ok && p.takeBed(noted, guess) {
		return
	}
	p.note("machine.origin", guess.Origin, guess.Reason)
	if guess.Sure {
		size := guess.Preset.Bed().Size()
		p.note("machine.bedWidthMM", size.X, guess.Reason)
		p.note("machine.bedDepthMM", size.Y, guess.Reason)
	}
}

// takeBed takes a bed over that the file notes, and reports whether it did. The
// origin of one that is noted without its place is that of the guess.
func (p *Piece) takeBed(noted claims.Noted[claims.Bed], guess machine.Guess) bool {
	bed, why := noted.Value, said(noted.Quote)
	size := bed.Box.Size()
	refuse := func(code string, level finding.Level, text, remedy string) bool {
		p.Findings.Add(finding.Finding{Code: code, Level: level, Quote: noted.Quote, Text: text, Remedy: remedy, Place: &finding.Place{File: "piece"}})
		return false
	}
	if p.disputed("piece-bed-disputed", "what its bed is", noted.Quote, noted.Against) {
		return false
	}
	if bed.Corners > 0 {
		return refuse("piece-bed-shape", finding.Note,
			fmt.Sprintf("The file notes a bed with %d corners, %.0f × %.0f mm in all; here a bed is a rectangle or round, so it is not taken over.", bed.Corners, size.X, size.Y),
			"Give the machine the largest rectangle that lies on your bed.")
	}
	m := machine.Default()
	m.Origin = guess.Origin
	if bed.Placed {
		m.Origin, m.OriginXMM, m.OriginYMM = machine.Corner, cleaned(bed.Box.Min.X), cleaned(bed.Box.Min.Y)
		if bed.Box.Centre().Norm() <= tol.MachineSameBed {
			m.Origin, m.OriginXMM, m.OriginYMM = machine.Centre, 0, 0
		}
	}
	m.BedWidthMM, m.BedDepthMM = cleaned(size.X), cleaned(size.Y)
	if bed.Round {
		m.BedShape, m.BedDiameterMM = machine.Round, cleaned(size.X)
	}
	if len(m.Validate()) > 0 || !m.ContainsBox(p.Evidence.Piece) {
		return refuse("piece-bed-elsewhere", finding.Caution,
			fmt.Sprintf("The piece does not lie on the bed that the file notes (%.0f × %.0f mm); that bed is not taken over.", size.X, size.Y),
			"Check bed and origin of the machine.")
	}
	placed := bed.Box
	if !bed.Placed {
		placed = plane.EmptyBox()
	}
	p.Evidence.Bed = &machine.NotedBed{Shape: m.BedShape, Size: size, Box: placed}
	p.note("machine.bedShape", m.BedShape, why)
	if bed.Round {
		p.note("machine.bedDiameterMM", m.BedDiameterMM, why)
	} else {
		p.note("machine.bedWidthMM", m.BedWidthMM, why)
		p.note("machine.bedDepthMM", m.BedDepthMM, why)
	}
	if !bed.Placed {
		why = guess.Reason
	}
	p.note("machine.origin", m.Origin, why)
	p.note("machine.originXMM", m.OriginXMM, why)
	p.note("machine.originYMM", m.OriginYMM, why)
	return true
}
