package join

import (
	"fmt"
	"math"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Build writes the blocks that replace the cuts. Its cost follows Head and the
// new layers, not the file. When a finding stops the job the Result is empty.
// No cuts give an empty Result with the head unchanged.
func Build(in Input) (Result, finding.List) {
	var none Result
	found := check(in)
	if found.Worst() == finding.Stop {
		return none, found
	}
	in.Settings = in.Settings.Filled()
	list, carriageReturn, more := survey(in.Head, in.Cuts, in.GCode, in.Stop)
	if stopped(in.Stop) {
		return none, nil
	}
	found = append(found, more...)
	for i := range list {
		found = append(found, list[i].check(i)...)
	}
	if found.Worst() == finding.Stop {
		return none, found
	}
	result := Result{HeadLength: int64(len(in.Head)), TailOffset: int64(len(in.Head)), JoinLine: 1, TailLine: 1}
	grown, moreLines := int64(0), 0
	for i, r := range list {
		if stopped(in.Stop) {
			return none, nil
		}
		b := newBlock(in.Settings, r, carriageReturn)
		if b.Arcs && r.at.Centres == gcode.CentresPlaces {
			b.Arcs = false
			found.Add(absoluteCentres(r.firstLine))
		}
		b.layer(in.Layers[i], i == len(list)-1)
		for k := range b.begins {
			b.begins[k] += r.firstLine + moreLines
		}
		result.Begins = append(result.Begins, b.begins)
		block := Block{Cut: in.Cuts[i], Start: in.Cuts[i].From + grown, Bytes: b.Bytes}
		grown += int64(len(b.Bytes)) - (block.Cut.To - block.Cut.From)
		if i == 0 {
			result.HeadLength, result.JoinLine = block.Cut.From, r.firstLine
		}
		moreLines += b.lines - (r.lastLine - r.firstLine)
		result.TailOffset, result.TailLine = block.Cut.To, r.lastLine+moreLines
		result.Blocks = append(result.Blocks, block)
		result.keep(r, i)
		result.Figures.add(b.figures, b.lines)
	}
	return result, found
}

func (f *Figures) add(g Figures, lines int) {
	f.Lines += lines
	f.Beads += g.Beads
	f.Travels += g.Travels
	f.Lifted += g.Lifted
	f.Arcs += g.Arcs
	f.LengthMM += g.LengthMM
	f.TravelMM += g.TravelMM
	f.EMM += g.EMM
}

func (r *Result) keep(from removed, layer int) {
	for _, c := range from.before {
		r.Kept = append(r.Kept, KeptCommand{c.text, c.line, "before", layer})
	}
	for _, c := range from.after {
		r.Kept = append(r.Kept, KeptCommand{c.text, c.line, "after", layer})
	}
}

// check refuses input that cannot be joined, before anything is read.
func check(in Input) finding.List {
	var found finding.List
	stop := func(code, element, text, remedy string) {
		found.Add(finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy, Place: &finding.Place{Element: element}})
	}
	if len(in.Cuts) != len(in.Layers) {
		stop("join-cuts-and-layers", "cuts", fmt.Sprintf("There are %d cuts and %d new layers.", len(in.Cuts), len(in.Layers)), "Give one new layer for each cut.")
	}
	last := int64(0)
	for i, c := range in.Cuts {
		if c.From < last || c.To <= c.From || c.To > int64(len(in.Head)) {
			stop("join-cuts-out-of-order", fmt.Sprintf("cuts[%d]", i), fmt.Sprintf("Cut %d runs from byte %d to byte %d, which does not fit the file or the cut before.", i+1, c.From, c.To), "Choose the layers again.")
			break
		}
		last = c.To
	}
	s := in.Settings.Filled()
	for _, v := range []struct {
		name      string
		value     float64
		low, high float64
	}{
		{"retractMM", s.RetractMM, 0, 20}, {"retractFeed", s.RetractFeed, 1, 60000}, {"liftMM", s.LiftMM, 0, 50},
		{"travelFeed", s.TravelFeed, 1, 120000}, {"liftFeed", s.LiftFeed, 1, 60000}, {"shortTravelMM", s.ShortTravelMM, 0, 100},
	} {
		if f, bad := finding.OutOfRange("join-setting", v.name, v.name, v.value, v.low, v.high, ""); bad {
			found.Add(f)
		}
	}
	switch s.Retraction {
	case AsFile, ByE, ByCommand, Never:
	default:
		stop("join-setting", "retraction", fmt.Sprintf("The retraction %q is not known.", s.Retraction), `Use "", "by-e", "by-command" or "none".`)
	}
	if s.Pause != nil {
		for _, c := range s.Pause.Commands {
			if !singleCommand(c) {
				stop("join-pause", "pause.commands", fmt.Sprintf("The pause command %q is not one plain command that leaves the nozzle where it is.", c), "Use a command such as M600 or M0, one for each line.")
			}
		}
		if !s.Pause.Park.Finite() || math.IsNaN(s.Pause.LiftMM) || s.Pause.LiftMM < 0 || s.Pause.LiftMM > 300 {
			stop("join-pause", "pause.park", "The place where the nozzle waits is not a number within reach.", "Give X and Y on the bed and a lift from 0 to 300 mm.")
		}
	}
	for i, l := range in.Layers {
		if !(l.ZMM > 0 && l.ZMM < 1000) {
			stop("join-height", fmt.Sprintf("layers[%d].z", i), "The height of the new layer is not a positive number of mm.", "Give the height of the nozzle above the bed.")
		}
		if len(l.Operations) == 0 {
			stop("join-nothing-to-lay", fmt.Sprintf("layers[%d]", i), "The new layer holds no bead.", "Choose a pattern that reaches the piece, or keep more of the file's own layer.")
		}
		for k, op := range l.Operations {
			text := op.wrong()
			if text == "" && op.wipeLength() > s.WipeMM+tol.Coincident {
				text = "has a longer wipe than the settings allow"
			}
			if text != "" {
				stop("join-operation", fmt.Sprintf("layers[%d].operations[%d]", i, k), "A bead of the new layer "+text+".", "This is a fault of the program that made the bead; please report the job.")
				return found
			}
		}
	}
	return found
}

// singleCommand reports whether text is one line that holds a command and no
// motion.
func singleCommand(text string) bool {
	for i := range len(text) {
		if text[i] < ' ' || text[i] > '~' {
			return false
		}
	}
	l := gcode.ParseLine([]byte(text))
	return commands(&l) && !l.Is(gcode.HasComment) && l.Trouble == 0 && judge(&l) == kept
}

// wrong says what is wrong with an operation, "" where nothing is.
func (op Operation) wrong() string {
	n := len(op.Points)
	if n < 2 || len(op.E) != n-1 || len(op.Feed) != n-1 {
		return "has not one amount and one speed for each of its segments"
	}
	const far = 1e4
	for _, list := range [][]plane.Point{op.Points, op.Via, op.Wipe} {
		for _, p := range list {
			if !(math.Abs(p.X) < far && math.Abs(p.Y) < far) {
				return "has a point that is not on any bed"
			}
		}
	}
	for i, e := range op.E {
		if !(e >= 0 && e < far) {
			return "feeds an amount that is no length"
		}
		if !(op.Feed[i] > 0 && op.Feed[i] < 1e6) {
			return "has a speed that is not positive"
		}
	}
	return ""
}

func (op Operation) wipeLength() float64 {
	if len(op.Wipe) == 0 {
		return 0
	}
	return op.Points[len(op.Points)-1].Dist(op.Wipe[0]) + plane.Polyline(op.Wipe).Length()
}

// check refuses a removed layer whose state a block could not restore.
func (r *removed) check(i int) finding.List {
	var found finding.List
	stop := func(code, text, remedy string) {
		found.Add(finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy, Place: &finding.Place{File: "piece", Line: r.firstLine, Layer: i + 1}})
	}
	if r.beads == 0 {
		stop("join-no-bead", "The layer that is to be replaced lays nothing.", "Choose the lines at which the first layer begins and ends again.")
	}
	if r.to.Known&gcode.AllAxes != gcode.AllAxes {
		stop("join-place-unknown", "Where the layer ends the file has not yet said where the nozzle is.", "Choose the lines at which the first layer begins and ends again.")
	}
	if r.numbered && r.nextNumber < 0 {
		found.Add(finding.Finding{
			Code: "join-tail-unseen", Level: finding.Caution,
			Text:   "The file numbers its lines, and no line number was seen behind the layer; a machine that counts lines may stop there.",
			Remedy: "Slice again without line numbers, or stay by the machine until the second layer has begun.",
			Place:  &finding.Place{File: "piece", Line: r.lastLine},
		})
	}
	if r.to.Feed <= 0 {
		stop("join-feed-unknown", "The layer is laid without any speed having been set, so it cannot be given back to what follows.", "Slice again with a speed for the first layer.")
	}
	if r.at.Work != r.to.Work || r.at.WorkShift != r.to.WorkShift || r.at.ToolLength != r.to.ToolLength ||
		r.at.SavedShift != r.to.SavedShift && r.to.SavedShift != r.to.Shift {
		stop("join-offsets", "The layer that is to be replaced changes the coordinate system.", "Choose a later line for the beginning of the first layer, in the card of the piece.")
	}
	return found
}

// block writes one block.
type block struct {
	writer
	Settings
	old    removed
	inches bool        // the unit in force where the block has come to
	plane  gcode.Plane // likewise
	begins []int       // lines of the block, from 0, at which its operations begin
}

func newBlock(s Settings, r removed, carriageReturn bool) *block {
	b := &block{Settings: s, old: r}
	b.CarriageReturn, b.Numbered, b.Number = carriageReturn, r.numbered, r.lastNumber+1
	b.feed = -1
	b.relativeE, b.inches, b.plane = r.at.RelativeE, r.at.Inches, r.at.Plane
	o := r.at.Offset()
	b.shift, b.shiftZ = plane.Point{X: o.X, Y: o.Y}, o.Z
	p := r.at.Program()
	b.placed = r.at.Known.Has(gcode.AxisX) && r.at.Known.Has(gcode.AxisY)
	b.x, b.y, b.z = thousandths(p.X), thousandths(p.Y), thousandths(p.Z)
	if !r.at.Known.Has(gcode.AxisZ) {
		b.z = math.MinInt64
	}
	b.drawn, b.byCommand = r.at.RetractionMM(), r.at.FirmwareRetracted[toolIndex(r.at.Tool)]
	b.travelFeed = s.TravelFeed
	if s.Retraction == AsFile {
		b.Retraction = ByE
		if r.firmware {
			b.Retraction = ByCommand
		}
	}
	return b
}

// height returns the nozzle's height in the bed frame, mm; −Inf until known.
func (b *block) height() float64 {
	if b.z == math.MinInt64 {
		return math.Inf(-1)
	}
	return float64(b.z)/1000 + b.shiftZ
}

func (b *block) here() plane.Point {
	return plane.Point{X: float64(b.x) / 1000, Y: float64(b.y) / 1000}.Add(b.shift)
}

// bytesPerMove is the room set aside for one line of the block: "G1 X123.456
// Y123.456 E0.12345" with its newline, and a little for what stands between.
const bytesPerMove = 34

func (b *block) layer(l Layer, last bool) {
	moves, bends := 0, 0
	arcs := make([][]arc, len(l.Operations))
	for i, op := range l.Operations {
		moves += len(op.E)
		if b.Arcs {
			arcs[i] = arcsOf(op, b.shift)
			bends += len(arcs[i])
		}
	}
	b.Bytes = make([]byte, 0, 2048+bytesPerMove*moves)
	b.opens(l, bends)
	for i, op := range l.Operations {
		b.begins = append(b.begins, b.lines)
		b.operation(op, l.ZMM, arcs[i])
	}
	b.retract()
	b.zTo(math.Max(b.height(), l.ZMM+b.LiftMM), b.LiftFeed)
	if last && b.Pause != nil {
		b.pause(l)
	}
	b.keeps(b.old.after)
	for _, c := range b.old.closing {
		b.raw(c)
	}
	b.closes()
}

func (b *block) opens(l Layer, arcs int) {
	counts := [3]int{}
	for _, op := range l.Operations {
		counts[op.Role]++
	}
	b.comment(fmt.Sprintf(OpeningComment[2:]+"; beads %d, kept strokes %d, prime lines %d, Z %s mm",
		counts[Pattern], counts[Kept], counts[Prime], plainNumber(l.ZMM, 3)))
	for _, s := range b.Say {
		b.comment("sheenlay: " + s)
	}
	b.comment(fmt.Sprintf("sheenlay: retraction %s, lift %s mm, travel %s mm/min", b.retractionWords(), plainNumber(b.LiftMM, 3), plainNumber(b.TravelFeed, 2)))
	if arcs > 0 {
		b.comment(fmt.Sprintf("sheenlay: %d arcs (G2, G3), within %s mm of the bead's points", arcs, plainNumber(tol.JoinArc, 3)))
	}
	if b.inches || b.old.to.Inches {
		b.comment("sheenlay: the file counts in inches; these lines count in mm, and the file's unit is given back at their end")
	}
	for _, c := range b.old.opening {
		b.raw(c)
	}
	b.keeps(b.old.before)
	if arcs > 0 {
		b.inPlane(gcode.PlaneXY)
	}
	s := &b.old.at
	if s.Relative {
		b.command("G90")
		if s.ESet && s.RelativeE {
			b.command("M83") // some machines let G90 speak for the extruder as well
		}
		b.relativeE = s.ESet && s.RelativeE
	}
	if !b.relativeE {
		b.setRegister(0)
	}
}

func (b *block) retractionWords() string {
	if b.Retraction == ByE {
		return plainNumber(b.RetractMM, 3) + " mm by E"
	}
	return strings.ReplaceAll(string(b.Retraction), "-", " ")
}

// keeps writes commands of the removed layer, each under the unit it stood
// under, and leaves millimetres in force.
func (b *block) keeps(list []command) {
	for _, c := range list {
		b.units(c.inches)
		b.command(c.text)
	}
	b.units(false)
	b.feed = -1 // a command may have left another speed
}

// units brings inches or millimetres into force.
func (b *block) units(inches bool) {
	if b.inches == inches {
		return
	}
	b.inches = inches
	if inches {
		b.command("G20")
	} else {
		b.command("G21")
	}
}

// inPlane brings a plane of arcs into force.
func (b *block) inPlane(p gcode.Plane) {
	if b.plane != p {
		b.plane = p
		b.command(planeCodes[p])
	}
}

// retract draws filament back, unless it is drawn back already.
func (b *block) retract() {
	if b.drawn > tol.JoinRetraction || b.byCommand {
		return
	}
	switch b.Retraction {
	case ByE:
		b.depth(b.RetractMM, b.RetractFeed)
	case ByCommand:
		b.firmware(true)
	}
}

// reach goes to the start of an operation, over the places of via where the
// nozzle is lifted, and primes there.
func (b *block) reach(p plane.Point, via []plane.Point, z float64) {
	level := b.z == thousandths(z-b.shiftZ)
	gap := b.here().Dist(p)
	if !b.placed || !level || gap > b.ShortTravelMM {
		b.retract()
		b.zTo(math.Max(b.height(), z+b.LiftMM), b.LiftFeed)
		b.figures.Lifted++
		for _, q := range via {
			b.travelTo(q)
		}
	}
	if gap > tol.Coincident || !b.placed {
		b.figures.Travels++
	}
	b.travelTo(p)
	b.zTo(z, b.LiftFeed)
	b.firmware(false)
	b.depth(0, b.RetractFeed)
}

func (b *block) operation(op Operation, z float64, arcs []arc) {
	if op.Note != "" {
		b.comment("sheenlay: " + op.Note)
	}
	b.reach(op.Points[0], op.Via, z)
	b.figures.Beads++
	for i := 0; i < len(op.E); i++ {
		if len(arcs) == 0 || arcs[0].from != i {
			b.lay(op.Points[i+1], op.E[i], op.Feed[i])
			continue
		}
		for _, e := range op.E[i:arcs[0].to] {
			b.pending += e
		}
		b.layArc(arcs[0], op.Points[arcs[0].to], op.Feed[i])
		i, arcs = arcs[0].to-1, arcs[1:]
	}
	if len(op.Wipe) > 0 {
		b.wipe(op.Wipe)
	}
}

// wipe follows a way while filament is drawn back: by E in proportion to the
// length, by command before the first step. Without retraction there is nothing
// to wipe for.
func (b *block) wipe(way []plane.Point) {
	total, from := 0.0, b.here()
	for _, p := range way {
		total += p.Dist(from)
		from = p
	}
	if total < tol.Coincident || b.Retraction == Never {
		return
	}
	if b.Retraction == ByCommand {
		b.firmware(true)
	}
	begin := b.drawn
	done, from := 0.0, b.here()
	for _, p := range way {
		done += p.Dist(from)
		from = p
		x, y := thousandths(p.X-b.shift.X), thousandths(p.Y-b.shift.Y)
		if x == b.x && y == b.y {
			continue
		}
		b.Begin("G1")
		b.axis('X', x)
		b.axis('Y', y)
		if b.Retraction == ByE {
			to := begin + b.RetractMM*done/total
			b.e(b.drawn - to)
			b.drawn = to
		}
		b.rate(b.travelFeed / 2)
		b.end()
		b.x, b.y = x, y
	}
}

// pause parks the nozzle off the piece and waits.
func (b *block) pause(l Layer) {
	b.comment("sheenlay: pause for a change of filament")
	b.zTo(math.Max(b.height(), l.ZMM+b.Pause.LiftMM), b.LiftFeed)
	b.travelTo(b.Pause.Park)
	for _, c := range b.Pause.Commands {
		b.command(c)
	}
	b.comment("sheenlay: pause ends")
	b.feed = -1 // the machine's own moves may have left another speed
}
