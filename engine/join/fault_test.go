package join_test

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/join"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// fault is one way to spoil a finished block, and what the proof must say.
type fault struct {
	name   string
	edit   func(lines []string) []string
	codes  []string // all findings of level stop, sorted
	silent bool     // the second reader does not judge this
}

// closing is how the last comment line of a block begins.
const closing = join.ClosingComment

// atEnd inserts lines where all is restored, just before the last comment.
func atEnd(more ...string) func([]string) []string {
	return func(lines []string) []string {
		for i, l := range lines {
			if strings.HasPrefix(l, closing) {
				return slices.Insert(slices.Clone(lines), i, more...)
			}
		}
		panic("no last comment")
	}
}

func indexOf(lines []string, is func(string) bool) int {
	i := slices.IndexFunc(lines, is)
	if i < 0 {
		panic("the block holds no such line")
	}
	return i
}

func isBead(l string) bool {
	return strings.HasPrefix(l, "G1 X") && strings.Contains(l, " E") && !strings.Contains(l, "E-")
}

func isTravel(l string) bool { return strings.HasPrefix(l, "G0 X") }

// aroundFirstBead inserts lines before and after the first bead.
func aroundFirstBead(before, after []string) func([]string) []string {
	return func(lines []string) []string {
		i := indexOf(lines, isBead)
		return slices.Concat(lines[:i], before, lines[i:i+1], after, lines[i+1:])
	}
}

// beforeTravel inserts lines before the first travel, where the nozzle is
// lifted and filament drawn back.
func beforeTravel(more ...string) func([]string) []string {
	return func(lines []string) []string {
		return slices.Insert(slices.Clone(lines), indexOf(lines, isTravel), more...)
	}
}

// replaced edits the first line that is.
func replaced(is func(string) bool, with func(string) string) func([]string) []string {
	return func(lines []string) []string {
		lines = slices.Clone(lines)
		i := indexOf(lines, is)
		lines[i] = with(lines[i])
		return lines
	}
}

func starts(prefix string) func(string) bool {
	return func(l string) bool { return strings.HasPrefix(l, prefix) }
}

func codesOf(found finding.List) []string {
	var codes []string
	for _, f := range found {
		if f.Level == finding.Stop && !slices.Contains(codes, f.Code) {
			codes = append(codes, f.Code)
		}
	}
	slices.Sort(codes)
	return codes
}

// faultCase is the sound join that the faults spoil: relative E, drawn back and
// lifted at its tail, with commands before and after the beads.
func faultCase() (specimen.Specimen, join.Input) {
	m := specimen.Make(specimen.Options{
		Name: "fault", Shape: specimen.Rectangle(24, 16), At: plane.Point{X: 110, Y: 110}, Walls: 2, FillDegree: 45, Heated: true,
		PrimeLine: true, RelativeE: true, Retract: specimen.RetractByE, LiftMM: 0.4, MarkerAt: specimen.AfterLift, Layers: 3,
		Marker: specimen.Marker{Text: specimen.MarkColon, Word: "LAYER"}, Labels: specimen.LabelsNumber,
		FanInLayer: true, ProgressInLayer: true, UnknownInLayer: true, HeatInLayer: true, AccelInLayer: true,
	})
	c := m.Truth.Layers
	in := join.Input{
		Head: m.Bytes, Cuts: []join.Cut{{From: c[0].FromOffset, To: c[1].FromOffset}},
		Layers:   []join.Layer{newLayer(m, m.Truth.FirstHeightMM)},
		Settings: join.Settings{LiftMM: 0.4},
	}
	return m, in
}

// stateFaults spoil one part of the state each; see the table of gcode.Diff.
// A command that changes a part of the state is itself a command too many.
func stateFaults(x, y, z float64) []fault {
	one := func(name, field string, more ...string) fault {
		return fault{name: name, edit: atEnd(more...), codes: []string{join.StateCode(field)}}
	}
	both := func(name, field string, more ...string) fault {
		f := one(name, field, more...)
		f.codes = []string{join.CodeCommands, join.StateCode(field)}
		return f
	}
	silent := func(f fault) fault { f.silent = true; return f }
	return []fault{
		one("X", "position X", fmt.Sprintf("G1 X%.3f", x+0.01)),
		one("Y", "position Y", fmt.Sprintf("G1 Y%.3f", y-0.01)),
		one("Z", "position Z", fmt.Sprintf("G1 Z%.3f", z+0.01)),
		one("feed", "feed rate", "G1 F123"),
		one("register", "E register", "G92 E7"),
		one("depth", "retraction of tool 0", "G1 E-0.01", "G92 E%REGISTER%"),
		one("retraction by command", "firmware retraction of tool 0", "G10"),
		one("units", "units", "G20"),
		one("relative axes", "distances", "G91", "M83"),
		one("E mode", "E", "M82"),
		one("plane", "plane", "G18"),
		one("arc centres", "arc centres", "G90.1"),
		one("motion mode", "motion", "G0"),
		{name: "offset", edit: atEnd("G92 X3"), codes: []string{join.StateCode("offset X"), join.StateCode("stored offset X")}},
		both("tool", "tool", "T1"),
		both("nozzle", "temperature of tool 0", "M104 S231"),
		both("bed", "bed temperature", "M140 S31"),
		silent(both("chamber", "chamber temperature", "M141 S31")),
		both("fan", "fan 0", "M106 S7"),
		both("print acceleration", "print acceleration", "M204 P123"),
		both("travel acceleration", "travel acceleration", "M204 T123"),
		both("retraction acceleration", "retraction acceleration", "M204 R123"),
		both("jerk", "jerk X", "M205 X3"),
		both("junction", "junction deviation", "M205 J0.02"),
		both("acceleration limit", "acceleration limit Y", "M201 Y77"),
		both("speed limit", "speed limit Z", "M203 Z7"),
		both("speed override", "speed override", "M220 S80"),
		both("flow override", "flow of tool 0", "M221 S80"),
		both("unknown setting", "M900 K", "M900 K0.1"),
		silent(fault{name: "place lost", edit: atEnd("M84"), codes: []string{
			join.CodeCommands, join.StateCode("position X known"), join.StateCode("position Y known"), join.StateCode("position Z known"),
		}}),
		both("nozzle of another tool", "temperature of tool 1", "M104 T1 S90"),
		silent(both("second fan", "fan 1", "M106 P1 S90")),
		silent(both("coordinate system", "coordinate system", "G55")),
		silent(fault{name: "tool length", edit: atEnd("G43 Z1"), codes: []string{join.CodeCommands, join.StateCode("tool length")}}),
		silent(fault{name: "origin", edit: atEnd("G10 L2 P3 X4"), codes: []string{join.CodeCommands, join.StateCode("origin 3 X")}}),
	}
}

func otherFaults() []fault {
	return []fault{
		{name: "command lost", edit: func(l []string) []string {
			i := indexOf(l, starts("M9123"))
			return slices.Delete(slices.Clone(l), i, i+1)
		}, codes: []string{join.CodeCommands, join.StateCode("M9123 P"), join.StateCode("M9123 S")}},
		{name: "progress lost", edit: func(l []string) []string {
			i := indexOf(l, starts("M73"))
			return slices.Delete(slices.Clone(l), i, i+1)
		}, codes: []string{join.CodeCommands}},
		{name: "command changed", edit: replaced(starts("M73"), func(string) string { return "M73 P99 R0" }), codes: []string{join.CodeCommands}},
		{name: "order", edit: func(l []string) []string {
			l = slices.Clone(l)
			i, j := indexOf(l, starts("M73")), indexOf(l, starts("BELL"))
			l[i], l[j] = l[j], l[i]
			return l
		}, codes: []string{join.CodeCommands}},
		{name: "side", edit: func(l []string) []string {
			i := indexOf(l, starts("M73"))
			text := l[i]
			l = slices.Delete(slices.Clone(l), i, i+1)
			return slices.Insert(l, indexOf(l, isBead), text)
		}, codes: []string{join.CodeSide}, silent: true},
		{name: "off the bed", edit: beforeTravel("G0 X-20 Y100"), codes: []string{join.CodeBed}},
		{name: "too low", edit: beforeTravel("G1 Z0.05", "G1 Z3"), codes: []string{join.CodeBelow}, silent: true},
		{name: "bead while drawn back", edit: aroundFirstBead([]string{"G10"}, []string{"G11"}), codes: []string{join.CodeRetracted}},
		{name: "bead while drawn back by E", edit: aroundFirstBead([]string{"G1 E-0.3"}, nil), codes: []string{join.CodeRetracted}},
		{name: "blob", edit: aroundFirstBead([]string{"G1 E0.5"}, nil), codes: []string{join.CodeJump}},
		{name: "drawn too far", edit: beforeTravel("G1 E-9", "G1 E9"), codes: []string{join.CodeJump}, silent: true},
		{name: "low travel", edit: aroundFirstBead([]string{"G91", "G0 X4", "G0 X-4", "G90"}, nil), codes: []string{join.CodeLowTravel}},
		{name: "bead too high", edit: aroundFirstBead([]string{"G1 Z0.3"}, []string{"G1 Z0.2"}), codes: []string{join.CodeHeight}},
		{name: "too little", edit: replaced(isBead, func(l string) string {
			return l[:strings.Index(l, " E")] + " E0.1" + strings.TrimLeft(l[strings.Index(l, " E")+2:], "0123456789.")
		}), codes: []string{join.CodeTotal}},
		{name: "too much", edit: replaced(isBead, func(l string) string {
			return l[:strings.Index(l, " E")] + " E9" + strings.TrimLeft(l[strings.Index(l, " E")+2:], "0123456789.")
		}), codes: []string{join.CodeJump, join.CodeTotal}},
		{name: "too fast", edit: replaced(isBead, func(l string) string { return regexp.MustCompile(` F\d+`).ReplaceAllString(l, "") + " F30000" }),
			codes: []string{join.CodeFlow}, silent: true},
		{name: "cold", edit: aroundFirstBead([]string{"M104 S120"}, nil), codes: []string{join.CodeCommands, join.CodeCold}},
		{name: "too hot", edit: aroundFirstBead([]string{"M104 S500"}, []string{"M104 S210"}), codes: []string{join.CodeCommands, join.CodeHot}, silent: true},
		{name: "bed too hot", edit: aroundFirstBead([]string{"M140 S200", "M140 S60"}, nil), codes: []string{join.CodeCommands, join.CodeHot}, silent: true},
		{name: "bead below the layer", edit: aroundFirstBead([]string{"G1 Z0.1"}, []string{"G1 Z0.2"}), codes: []string{join.CodeBelow, join.CodeHeight}},
		{name: "bead elsewhere", edit: replaced(isBead, func(l string) string {
			return regexp.MustCompile(`Y(\d+)\.?\d*`).ReplaceAllString(l, "Y$1.987")
		}), codes: []string{join.CodeWay}},
		{name: "bead left out", edit: func(l []string) []string {
			i := len(l) - 1
			for !isBead(l[i]) {
				i--
			}
			return slices.Delete(slices.Clone(l), i, i+1)
		}, codes: []string{join.CodeTotal, join.CodeWay}},
		{name: "bead cuts a corner", edit: func(l []string) []string {
			i := indexOf(l, isBead)
			for !isBead(l[i]) || !isBead(l[i+1]) || !isBead(l[i+2]) {
				i++
			}
			return slices.Delete(slices.Clone(l), i+1, i+2)
		}, codes: []string{join.CodeTotal, join.CodeWay}},
		{name: "four decimals", edit: beforeTravel("G0 X100.1234 Y100"), codes: []string{join.CodeNumber}},
		{name: "six decimals of filament", edit: replaced(isBead, func(l string) string {
			p := gcode.ParseLine([]byte(l))
			e, _ := p.Value('E')
			return regexp.MustCompile(` E[\d.]+`).ReplaceAllString(l, fmt.Sprintf(" E%.6f", e))
		}), codes: []string{join.CodeNumber}},
		{name: "minus nought", edit: beforeTravel("G1 E-0"), codes: []string{join.CodeNumber}},
		{name: "unreadable", edit: beforeTravel("G0 X100..1 Y100"), codes: []string{join.CodeLine}, silent: true},
		{name: "homing", edit: beforeTravel("G28 X"), codes: []string{join.CodeLine}, silent: true},
		{name: "moves and commands", edit: beforeTravel("G0 X100 M73 P1"), codes: []string{join.CodeLine}, silent: true},
		{name: "no first comment", edit: func(l []string) []string { return l[1:] }, codes: []string{join.CodeCommentLines}, silent: true},
		{name: "no last comment", edit: func(l []string) []string {
			i := indexOf(l, starts(closing))
			return slices.Delete(slices.Clone(l), i, i+1)
		}, codes: []string{join.CodeCommentLines}, silent: true},
	}
}

// spoil returns the finished head with the block edited, and the plan that says
// where the edited block lies.
func spoil(m specimen.Specimen, in join.Input, r join.Result, edit func([]string) []string) ([]byte, join.Result) {
	text := strings.TrimSuffix(string(r.Blocks[0].Bytes), "\n")
	register := "0"
	lines := strings.Split(text, "\n")
	for _, l := range lines {
		if strings.HasPrefix(l, "G92 E") {
			register = l[5:]
		}
	}
	lines = edit(lines)
	text = strings.ReplaceAll(strings.Join(lines, "\n")+"\n", "%REGISTER%", register)
	r.Blocks = slices.Clone(r.Blocks)
	r.Blocks[0].Bytes = []byte(text)
	return r.FinishedHead(m.Bytes), r
}

func allFaults(m specimen.Specimen) []fault {
	at := m.Truth.Layers[1].AtFrom
	return append(stateFaults(at.X, at.Y, at.Z), otherFaults()...)
}

// TestFaults spoils a sound join in one way at a time: the proof must turn
// exactly the clauses red that the fault breaks.
func TestFaults(t *testing.T) {
	m, in := faultCase()
	r, p := proved(t, "sound", m, in)
	require.Empty(t, p.Findings)
	for _, f := range allFaults(m) {
		t.Run(f.name, func(t *testing.T) {
			bytes, spoiled := spoil(m, in, r, f.edit)
			p := join.Prove(bytes, m.Bytes, join.PlanOf(in, spoiled, machineOf(m)))
			assert.Equal(t, f.codes, codesOf(p.Findings), "%v", p.Findings)
			assert.False(t, p.OK)
		})
	}
}

// kind names a part of the state without saying which axis, tool or fan.
func kind(code string) string {
	code = regexp.MustCompile(`-[xyze](-|$)`).ReplaceAllString(code, "-axis$1")
	return regexp.MustCompile(`[0-9]+`).ReplaceAllString(code, "#")
}

// TestEveryPartOfTheStateHasItsFault holds the table of faults against the parts
// that gcode.Diff compares, so that a part added there needs a fault here.
func TestEveryPartOfTheStateHasItsFault(t *testing.T) {
	four := [4]float64{1, 2, 3, 4}
	place := gcode.Place{X: 1, Y: 2, Z: 3}
	odd := gcode.State{
		Position: place, Known: gcode.AllAxes, Homed: gcode.AllAxes, Shift: place, SavedShift: place, Work: 2, ToolLength: 4,
		Inches: true, Relative: true, RelativeE: true, ESet: true, Plane: gcode.PlaneYZ, Centres: gcode.CentresPlaces, Motion: gcode.MotionArcLeft, Feed: 5, Tool: 1, E: 6,
		Bed: 7, Chamber: 8, Acceleration: gcode.Accelerations{Print: 1, Travel: 2, Retract: 3}, Jerk: four, Junction: 9,
		MaxAcceleration: four, MaxSpeed: four, SpeedPercent: 1, Settings: []gcode.Setting{{Command: "M900", Key: "K", Value: 1}},
	}
	odd.WorkShift[2], odd.Retracted[0], odd.FirmwareRetracted[0], odd.Hotend[0], odd.Fan[0], odd.FlowPercent[0] = place, 1, true, 1, 1, 1
	plain := gcode.Start()

	covered := map[string]bool{
		// Only a file that never homes shows these; see the tests below.
		kind(join.StateCode("axis X homed")): true, kind(join.StateCode("E mode set")): true,
	}
	m, _ := faultCase()
	for _, f := range allFaults(m) {
		for _, c := range f.codes {
			covered[kind(c)] = true
		}
	}
	parts := odd.Diff(&plain)
	require.Greater(t, len(parts), 30)
	for _, d := range parts {
		assert.True(t, covered[kind(join.StateCode(d.Field))], "no fault spoils %q", d.Field)
	}
}

// TestFaultsOfBareFiles spoils joins of files that neither home nor set how E is
// to be read.
func TestFaultsOfBareFiles(t *testing.T) {
	file, cut := handMade("G90\nG1 X0 Y0 Z5 F3000\nG92 E0\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X9\n")
	in := handInput(file, cut)
	r, found := join.Build(in)
	require.Empty(t, found)
	m := specimen.Specimen{Bytes: file}
	for line, code := range map[string]string{"G28 X": join.StateCode("axis X homed"), "M82": join.StateCode("E mode set")} {
		bytes, spoiled := spoil(m, in, r, atEnd(line))
		p := join.Prove(bytes, file, join.PlanOf(in, spoiled, join.Machine{}))
		assert.Contains(t, codesOf(p.Findings), code, line)
	}
}

// TestFaultsOfTheBytes spoils what lies around the block.
func TestFaultsOfTheBytes(t *testing.T) {
	m, in := faultCase()
	r, _ := proved(t, "sound", m, in)
	machine := machineOf(m)
	prove := func(finished []byte, plan join.Plan) []string {
		return codesOf(join.Prove(finished, m.Bytes, plan).Findings)
	}
	t.Run("head", func(t *testing.T) {
		finished := r.FinishedHead(m.Bytes)
		finished[3] ^= 1 // inside the first comment
		assert.Equal(t, []string{join.CodeHead}, prove(finished, join.PlanOf(in, r, machine)))
	})
	t.Run("byte behind the block", func(t *testing.T) {
		finished := append(r.FinishedHead(m.Bytes), '\n')
		assert.Equal(t, []string{join.CodeTail}, prove(finished, join.PlanOf(in, r, machine)))
	})
	t.Run("tail begins inside a line", func(t *testing.T) {
		plan := join.PlanOf(in, r, machine)
		plan.Blocks = slices.Clone(plan.Blocks)
		plan.Blocks[0].Cut.To += 3
		assert.Contains(t, prove(r.FinishedHead(m.Bytes), plan), join.CodeTail)
	})
	t.Run("keep-out", func(t *testing.T) {
		k := machine
		k.Bed.KeepOut = []plane.Box{{Min: plane.Point{X: 100, Y: 108}, Max: plane.Point{X: 104, Y: 112}}}
		assert.Equal(t, []string{join.CodeKeepOut}, prove(r.FinishedHead(m.Bytes), join.PlanOf(in, r, k)))
	})
	t.Run("round bed", func(t *testing.T) {
		k := machine
		k.Bed = join.Bed{Box: plane.Box{Min: plane.Point{X: 96, Y: 96}, Max: plane.Point{X: 124, Y: 124}}, Round: true}
		assert.Equal(t, []string{join.CodeBed}, prove(r.FinishedHead(m.Bytes), join.PlanOf(in, r, k)))
	})
	t.Run("cold", func(t *testing.T) {
		k := machine
		k.ColdC = 210
		assert.Equal(t, []string{join.CodeCold}, prove(r.FinishedHead(m.Bytes), join.PlanOf(in, r, k)))
	})
	t.Run("flow", func(t *testing.T) {
		k := machine
		k.MaxFlowMM3s = 1.5
		assert.Equal(t, []string{join.CodeFlow}, prove(r.FinishedHead(m.Bytes), join.PlanOf(in, r, k)))
	})
	t.Run("height asked is not the piece's", func(t *testing.T) {
		other := in
		other.Layers = []join.Layer{newLayer(m, 0.3)}
		built, found := join.Build(other)
		require.Empty(t, found)
		assert.Equal(t, []string{join.CodeHeight}, prove(built.FinishedHead(m.Bytes), join.PlanOf(other, built, machine)))
	})
	t.Run("filament per mm is shown", func(t *testing.T) {
		other := in
		l := newLayer(m, m.Truth.FirstHeightMM)
		for k := range l.Operations {
			l.Operations[k] = priced(l.Operations[k], m.Truth.EPerMM*1.4, 1200)
		}
		other.Layers = []join.Layer{l}
		built, found := join.Build(other)
		require.Empty(t, found)
		p := join.Prove(built.FinishedHead(m.Bytes), m.Bytes, join.PlanOf(other, built, machine))
		assert.True(t, p.OK)
		assert.True(t, p.Findings.Has(join.CodePerMM))
	})
}

// TestInches joins a file in inches: the block is in mm, says so, and gives
// inches back; without either command the proof is red.
func TestInches(t *testing.T) {
	m := specimen.Make(specimen.Options{Name: "inches", Inch: true, RelativeE: true, Walls: 1, Shape: specimen.Rectangle(20, 12), At: plane.Point{X: 100, Y: 100}, Heated: true})
	in := inputFor(m, 1, rand.New(rand.NewPCG(1, 1)))
	r, _ := proved(t, "sound", m, in)
	text := string(r.Blocks[0].Bytes)
	assert.Contains(t, text, "; sheenlay: the file counts in inches;")
	assert.Less(t, strings.Index(text, "\nG21\n"), strings.Index(text, "\nG0 X"))
	assert.Greater(t, strings.LastIndex(text, "\nG20\n"), strings.LastIndex(text, "\nG0 X"))
	without := func(command string) []string {
		bytes, spoiled := spoil(m, in, r, func(l []string) []string {
			return slices.DeleteFunc(slices.Clone(l), func(line string) bool { return line == command })
		})
		return codesOf(join.Prove(bytes, m.Bytes, join.PlanOf(in, spoiled, machineOf(m))).Findings)
	}
	assert.Contains(t, without("G20"), join.StateCode("units"))
	assert.Subset(t, without("G21"), []string{join.CodeBed, join.CodeWay, join.CodeTotal}, "mm read as inches")

	plain := specimen.Make(specimen.Options{Name: "mm", RelativeE: true, Walls: 1, Shape: specimen.Rectangle(20, 12), At: plane.Point{X: 100, Y: 100}, Heated: true})
	r, _ = proved(t, "in mm", plain, inputFor(plain, 1, rand.New(rand.NewPCG(1, 1))))
	assert.NotContains(t, string(r.Blocks[0].Bytes), "inches")
}

// TestBetweenBlocks leaves the second layer as it is between two new ones: its
// bytes belong to the proof like those of the head.
func TestBetweenBlocks(t *testing.T) {
	m := specimen.Make(specimen.Options{Name: "panel", Shape: specimen.Rectangle(20, 14), At: plane.Point{X: 100, Y: 100}, Walls: 1, FillDegree: 45, Heated: true, Layers: 5})
	c := m.Truth.Layers
	in := join.Input{
		Head: m.Bytes, Cuts: []join.Cut{{From: c[0].FromOffset, To: c[1].FromOffset}, {From: c[2].FromOffset, To: c[3].FromOffset}},
		Layers:   []join.Layer{newLayer(m, c[0].Z), newLayer(m, c[2].Z)},
		Settings: join.Settings{LiftMM: 0.4},
	}
	r, _ := proved(t, "panel", m, in)
	require.Len(t, r.Blocks, 2)
	finished := r.FinishedHead(m.Bytes)
	between := finished[r.Blocks[0].Start+int64(len(r.Blocks[0].Bytes)) : r.Blocks[1].Start]
	assert.Equal(t, m.Bytes[c[1].FromOffset:c[2].FromOffset], between)
	assert.Equal(t, string(m.Bytes[c[3].FromOffset:c[3].FromOffset+20]), strings.Join(strings.SplitAfter(string(finishedFile(m, r)), "\n")[r.TailLine-1:], "")[:20])

	between[5] ^= 1
	codes := codesOf(join.Prove(finished, m.Bytes, join.PlanOf(in, r, machineOf(m))).Findings)
	assert.Contains(t, codes, join.CodeHead)
}

// TestFaultsOfNumberedLines spoils a file with line numbers and checksums.
func TestFaultsOfNumberedLines(t *testing.T) {
	m := specimen.Make(specimen.Options{Name: "numbered", Numbered: true, Walls: 1, Shape: specimen.Rectangle(20, 12), At: plane.Point{X: 100, Y: 100}, Heated: true})
	in := inputFor(m, 1, rand.New(rand.NewPCG(1, 1)))
	r, _ := proved(t, "sound", m, in)
	for _, f := range []fault{
		{name: "checksum", edit: replaced(func(l string) bool { return strings.Contains(l, "*") }, func(l string) string {
			return l[:strings.LastIndex(l, "*")] + "*256"
		}), codes: []string{join.CodeLine}},
		{name: "a number skipped", edit: replaced(func(l string) bool { return strings.Contains(l, " G0 X") }, func(l string) string {
			l = "N9999" + l[strings.Index(l, " "):strings.LastIndex(l, "*")]
			sum := byte(0)
			for i := range len(l) {
				sum ^= l[i]
			}
			return fmt.Sprintf("%s*%d", l, sum)
		}), codes: []string{join.CodeLineNumbers}},
		{name: "a line without number", edit: atEnd("G4 P0"), codes: []string{join.CodeCommands, join.CodeLineNumbers}},
	} {
		t.Run(f.name, func(t *testing.T) {
			bytes, spoiled := spoil(m, in, r, f.edit)
			p := join.Prove(bytes, m.Bytes, join.PlanOf(in, spoiled, machineOf(m)))
			assert.Equal(t, f.codes, codesOf(p.Findings), "%v", p.Findings)
		})
	}
}
