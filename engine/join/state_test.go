package join_test

import (
	"fmt"
	"math"
	"math/rand/v2"
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

// handMade reads a file written with a line "@" where the layer begins and
// another where it ends.
func handMade(text string) ([]byte, join.Cut) {
	parts := strings.Split(text, "@\n")
	if len(parts) != 3 {
		panic("two lines @ are needed")
	}
	from := int64(len(parts[0]))
	return []byte(strings.Join(parts, "")), join.Cut{From: from, To: from + int64(len(parts[1]))}
}

// square returns one bead round a 10 mm square at (50, 50).
func square() join.Operation {
	return priced(join.Operation{Points: []plane.Point{{X: 50, Y: 50}, {X: 60, Y: 50}, {X: 60, Y: 60}, {X: 50, Y: 60}, {X: 50, Y: 50}}}, 0.034, 1200)
}

func handInput(file []byte, cut join.Cut) join.Input {
	return join.Input{
		Head: file, Cuts: []join.Cut{cut}, Settings: join.Settings{LiftMM: 0.3},
		Layers: []join.Layer{{ZMM: 0.2, Operations: []join.Operation{square()}}},
	}
}

const start = "G21\nG90\nG28\nM104 S200\nG1 Z5 F3000\n"

// TestStatesAtTheTail joins files whose state where the tail begins is odd in
// one way each.
func TestStatesAtTheTail(t *testing.T) {
	for _, c := range []struct {
		name, text string
		rule       gcode.ERule
		wants      []string // lines the block must hold
		lacks      []string
	}{
		{name: "no M82 or M83 at all", text: start + "G92 E0\n@\nG1 X5 Y5 Z0.2\nG1 X30 E0.85 F1200\nG1 Y30 E1.7\n@\nG1 Z0.4\n", lacks: []string{"M82", "M83"}},
		{name: "G91 decides E too", text: start + "G1 X0 Y0\nG91\n@\nG1 X5 Y5 Z-4.8\nG1 X25 E0.85 F1200\nG1 Y25 E0.85\n@\nG1 Z0.2\n", wants: []string{"G90", "G91"}, lacks: []string{"M82", "M83"}},
		{name: "relative axes, absolute E", text: start + "G1 X0 Y0\nM82\nG92 E0\nG91\n@\nG1 X5 Y5 Z-4.8\nG1 X25 E0.85 F1200\nG1 Y25 E1.7\n@\nG1 Z0.2\n", wants: []string{"G90", "G91", "M82"}},
		{name: "the last of M83 and G90 decides", rule: gcode.EByLast, text: start + "M83\n@\nG1 X5 Y5 Z0.2\nG1 X30 E0.85 F1200\nG1 Y30 E0.85\n@\nG1 Z0.4\n"},
		{name: "E mode changes within the layer", text: start + "M82\nG92 E0\n@\nG1 X5 Y5 Z0.2\nG1 X30 E0.85 F1200\nM83\nG1 Y30 E0.85\n@\nG1 Z0.4\n", wants: []string{"M83"}},
		{name: "E mode first set within the layer", text: start + "@\nM83\nG1 X5 Y5 Z0.2\nG1 X30 E0.85 F1200\nG1 Y30 E0.85\n@\nG1 Z0.4\n", wants: []string{"M83"}},
		{name: "axes become relative within the layer", text: start + "M83\n@\nG1 X5 Y5 Z0.2\nG1 X30 E0.85 F1200\nG91\nG1 Y30 E0.85\n@\nG1 Z0.2\n", wants: []string{"G91"}},
		{name: "an arc is the motion mode", text: start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG3 X30 Y30 I-5 J0 E0.5\n@\nX50 Y40 I10 J5\n"},
		{name: "an arc is the motion mode, in inches", text: "G20\nG90\nG28\nG1 Z0.2 F100\nM83\n@\nG1 X1 Y1 Z0.00787\nG1 X1.5 E0.017 F50\nG2 X1 Y1 I-.25 J0 E0.02\n@\nG1 Z0.016\n"},
		{name: "inches from within the layer on", text: start + "M83\n@\nM203 X100\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG20\nM203 X3\nG1 X2 F40\n@\nG1 X3 Y2\n", wants: []string{"G20\nM203 X3\nG21\n", "G1 F40"}},
		{name: "millimetres from within the layer on", text: "G20\nG90\nG28\nG1 Z0.2 F100\nM83\n@\nM203 X3\nG1 X1 Y1 Z0.00787\nG1 X1.5 E0.017 F50\nG21\nM203 X80\nG1 X9 F900\n@\nG1 Z0.5\n", wants: []string{"M203 X3\nG21\n", "G1 F900"}},
		{name: "an arc is the motion mode, centres are places", text: start + "M83\nG90.1\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG3 X30 Y30 I35 J30 E0.5\n@\nX50 Y40 I40 J35\n", wants: []string{"I30.1 J30"}, lacks: []string{"G91.1"}},
		{name: "centres become places within the layer", text: start + "M83\n@\nG1 X30 Y30 Z0.2\nG90.1\nG1 X40 E0.34 F1200\nG3 X30 Y30 I35 J30 E0.5\n@\nX50 Y40 I40 J35\n", wants: []string{"I-0.1 J0", "G90.1"}},
		{name: "centres become increments within the layer", text: start + "M83\nG90.1\n@\nG1 X30 Y30 Z0.2\nG91.1\nG1 X40 E0.34 F1200\n@\nG3 X50 Y40 I10 J0\n", wants: []string{"G91.1"}},
		{name: "centres stay places", text: start + "M83\nG90.1\n@\nG90.1\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG3 X50 Y40 I50 J30\n", lacks: []string{"G90.1", "G91.1"}},
		{name: "rapid is the motion mode", text: start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG0 X10\n@\nX50\n"},
		{name: "motion was cancelled", text: start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG80\n@\nG1 X50\n", wants: []string{"G80"}},
		{name: "another plane", text: start + "M83\nG18\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG19\n@\nG17\n", wants: []string{"G19"}},
		{name: "the origin is moved by G92", text: start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG92 X0 Y5\nG1 X2 Y5 E0.07\n@\nG1 X50\n", wants: []string{"G92 X2 Y5 Z0.2"}},
		{name: "moved origin before the layer", text: start + "M83\nG1 X10 Y10\nG92 X0 Y0\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X50\n", wants: []string{"X40 Y40"}},
		{name: "drawn back both ways", text: start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nG1 E-0.7\nG10\n@\nG11\nG1 E0.7\n"},
		{name: "drawn back before, primed after", text: start + "M83\nG1 E-2 F1800\n@\nG1 X30 Y30 Z0.2\nG1 E2\nG1 X40 E0.34 F1200\n@\nG1 X50 E0.34\n"},
		{name: "drawn back by command before, primed after", text: start + "M83\nG10\n@\nG1 X30 Y30 Z0.2\nG11\nG1 X40 E0.34 F1200\n@\nG1 X50 E0.34\n", wants: []string{"G10", "G11"}},
		{name: "register far up", text: start + "M82\nG92 E81234.56789\n@\nG1 X30 Y30 Z0.2\nG1 X40 E81234.90789 F1200\n@\nG1 X50 E81235.2\n", wants: []string{"G92 E81234.90789"}},
		{name: "below the bed's zero", text: start + "M83\n@\nG1 X-30 Y-30 Z0.2\nG1 X-40 E0.34 F1200\n@\nG1 X-50 E0.34\n"},
		{name: "odd feed", text: start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1234.5678\n@\nG1 X50 E0.34\n", wants: []string{"G1 F1234.5678"}},
		{name: "commands in words", text: start + "M83\n@\nPART_BEGIN NAME=tile\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nPART_END NAME=tile\nM117 to the harbour; slowly\n@\nG1 X50 E0.34\n", wants: []string{"PART_BEGIN NAME=tile", "PART_END NAME=tile"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			file, cut := handMade(c.text)
			in := handInput(file, cut)
			in.GCode.ERule = c.rule
			in.Layers[0].ZMM = 0.2
			r, found := join.Build(in)
			require.Empty(t, found)
			block := string(r.Blocks[0].Bytes)
			p := join.Prove(r.FinishedHead(file), file, join.PlanOf(in, r, join.Machine{}))
			require.Empty(t, codesOf(p.Findings), "%v\n%s", p.Findings, block)
			for _, w := range c.wants {
				assert.Contains(t, block, w)
			}
			for _, w := range c.lacks {
				assert.NotContains(t, block, w)
			}
		})
	}
}

// TestRefusals holds what cannot be joined: a sentence, a code, no result.
func TestRefusals(t *testing.T) {
	layer := "G1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n"
	for _, c := range []struct {
		name, text, code string
		change           func(*join.Input)
	}{
		{"nothing laid", start + "@\nG1 X5 Y5 Z0.2 F1200\n@\nG1 X9\n", "join-no-bead", nil},
		{"homing inside", start + "M83\n@\nG28 X\n" + layer + "@\n", "join-homing", nil},
		{"probing inside", start + "M83\n@\nG29\n" + layer + "@\n", "join-homing", nil},
		{"tool change", start + "M83\n@\n" + layer + "T1\n" + layer + "@\n", "join-tool-change", nil},
		{"coordinate system changes", start + "M83\n@\n" + layer + "G10 L2 P1 X5\n@\n", "join-offsets", nil},
		{"moves and commands on one line", start + "M83\n@\n" + layer + "G1 X50 M106 S9\n@\n", "join-mixed-line", nil},
		{"no speed at all", "G90\nM83\nG1 X0 Y0 Z5\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34\n@\nG1 X9\n", "join-feed-unknown", nil},
		{"place never said", "M83\n@\nG1 E0.1 Z0.2 F1200\nG1 X4 E0.3\n@\n", "join-place-unknown", nil},
		{"cut inside a line", start + "M83\n@\n" + layer + "@\nG1 X5\n", "join-cut-inside-line", func(in *join.Input) { in.Cuts[0].From++ }},
		{"cut ends inside a line", start + "M83\n@\n" + layer + "@\nG1 X5\n", "join-cut-inside-line", func(in *join.Input) { in.Cuts[0].To++ }},
		{"cut beyond the bytes", start + "M83\n@\n" + layer + "@\n", "join-cuts-out-of-order", func(in *join.Input) { in.Cuts[0].To += 5 }},
		{"cuts the wrong way", start + "M83\n@\n" + layer + "@\n", "join-cuts-out-of-order", func(in *join.Input) { in.Cuts[0].To = in.Cuts[0].From }},
		{"more cuts than layers", start + "M83\n@\n" + layer + "@\n", "join-cuts-and-layers", func(in *join.Input) { in.Layers = nil }},
		{"no operations", start + "M83\n@\n" + layer + "@\n", "join-nothing-to-lay", func(in *join.Input) { in.Layers[0].Operations = nil }},
		{"no height", start + "M83\n@\n" + layer + "@\n", "join-height", func(in *join.Input) { in.Layers[0].ZMM = math.NaN() }},
		{"a bead without speed", start + "M83\n@\n" + layer + "@\n", "join-operation", func(in *join.Input) { in.Layers[0].Operations[0].Feed[2] = 0 }},
		{"a bead that is no number", start + "M83\n@\n" + layer + "@\n", "join-operation", func(in *join.Input) { in.Layers[0].Operations[0].Points[2].X = math.NaN() }},
		{"a bead of one point", start + "M83\n@\n" + layer + "@\n", "join-operation", func(in *join.Input) {
			in.Layers[0].Operations[0] = join.Operation{Points: []plane.Point{{}}}
		}},
		{"wipe too long", start + "M83\n@\n" + layer + "@\n", "join-operation", func(in *join.Input) {
			in.Layers[0].Operations[0].Wipe = []plane.Point{{X: 60, Y: 60}}
		}},
		{"a lift of nonsense", start + "M83\n@\n" + layer + "@\n", "join-setting", func(in *join.Input) { in.LiftMM = math.Inf(1) }},
		{"a retraction unknown", start + "M83\n@\n" + layer + "@\n", "join-setting", func(in *join.Input) { in.Retraction = "sideways" }},
		{"a pause that moves", start + "M83\n@\n" + layer + "@\n", "join-pause", func(in *join.Input) { in.Pause = &join.Pause{Commands: []string{"G1 X5"}} }},
		{"a pause of two lines", start + "M83\n@\n" + layer + "@\n", "join-pause", func(in *join.Input) { in.Pause = &join.Pause{Commands: []string{"M600\nM112"}} }},
		{"a pause of nothing", start + "M83\n@\n" + layer + "@\n", "join-pause", func(in *join.Input) { in.Pause = &join.Pause{Commands: []string{"; wait"}} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			file, cut := handMade(c.text)
			in := handInput(file, cut)
			if c.change != nil {
				c.change(&in)
			}
			r, found := join.Build(in)
			assert.True(t, found.Has(c.code), "%v", found)
			assert.Equal(t, finding.Stop, found.Worst())
			assert.Empty(t, r.Blocks)
			for _, f := range found {
				assert.NotEmpty(t, f.Remedy, f.Code)
			}
		})
	}
}

// TestKept lists what stays, and where.
func TestKept(t *testing.T) {
	file, cut := handMade(start + "M83\n@\nM106 S0\nM486 S0\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\nM73 P3 R9 ; on its way\nM9000\nG1 X50 E0.34\n m106 s255\n@\nG1 X9\n")
	r, found := join.Build(handInput(file, cut))
	require.Empty(t, found)
	assert.Equal(t, []join.KeptCommand{
		{Text: "M106 S0", Line: 7, Where: "before"}, {Text: "M486 S0", Line: 8, Where: "before"},
		{Text: "M73 P3 R9", Line: 11, Where: "after"}, {Text: "M9000", Line: 12, Where: "after"}, {Text: "m106 s255", Line: 14, Where: "after"},
	}, r.Kept)
	assert.Equal(t, 7, r.JoinLine)
	finished := string(append(r.FinishedHead(file), file[r.TailOffset:]...))
	lines := strings.Split(finished, "\n")
	assert.Equal(t, "G1 X9", lines[r.TailLine-1])
	assert.True(t, strings.HasPrefix(lines[r.JoinLine-1], join.OpeningComment))
}

// TestNumberedTailOutOfSight says so where a file counts its lines and the bytes
// given do not show how the tail goes on.
func TestNumberedTailOutOfSight(t *testing.T) {
	m := specimen.Make(specimen.Options{Name: "numbered", Numbered: true, Walls: 1, At: plane.Point{X: 100, Y: 100}})
	in := inputFor(m, 1, rand.New(rand.NewPCG(1, 1)))
	_, found := join.Build(in)
	require.Empty(t, found)
	in.Head = in.Head[:in.Cuts[0].To]
	_, found = join.Build(in)
	assert.True(t, found.Has("join-tail-unseen"), "%v", found)
}

// TestPause parks off the piece and still hands over the state.
func TestPause(t *testing.T) {
	for seed := range uint64(40) {
		m := specimen.Random(seed)
		if m.Truth.Refuse != "" {
			continue
		}
		in := inputFor(m, 1, rand.New(rand.NewPCG(seed, 6)))
		in.Pause = &join.Pause{Park: m.Truth.Bed.Min.Add(plane.Point{X: 4, Y: 4})}
		if seed%2 == 1 {
			in.Pause.Commands = []string{"M117 new colour", "M0"}
		}
		r, _ := proved(t, fmt.Sprintf("seed %d", seed), m, in)
		block := string(r.Blocks[0].Bytes)
		want := in.Filled().Pause.Commands[0]
		before, after, ok := strings.Cut(block, want)
		require.True(t, ok)
		assert.NotContains(t, after, "kept stroke")
		// The last move before the command is to the park.
		moves := strings.Split(strings.TrimSpace(before), "G0 X")
		x := fmt.Sprintf("%g Y", in.Pause.Park.X)
		assert.True(t, strings.HasPrefix(moves[len(moves)-1], x), "seed %d: %q", seed, moves[len(moves)-1])
	}
}

// TestWipe draws filament back along the last bead.
func TestWipe(t *testing.T) {
	for _, way := range []join.Retraction{join.ByE, join.ByCommand, join.Never} {
		file, cut := handMade(start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X9\n")
		in := handInput(file, cut)
		in.Retraction, in.WipeMM = way, 3
		in.Layers[0].Operations[0].Wipe = []plane.Point{{X: 50, Y: 52}, {X: 50, Y: 53}}
		r, found := join.Build(in)
		require.Empty(t, found)
		p := join.Prove(r.FinishedHead(file), file, join.PlanOf(in, r, join.Machine{}))
		require.True(t, p.OK, "%s %v\n%s", way, p.Findings, r.Blocks[0].Bytes)
		if way == join.ByE {
			assert.Contains(t, string(r.Blocks[0].Bytes), "G1 X50 Y52 E-0.53333")
		}
	}
}

// TestKeptStrokesAreReLaid lays a file's own first layer again: read back, the
// block holds the same segments with the same filament at the same speed.
func TestKeptStrokesAreReLaid(t *testing.T) {
	for _, s := range allFiles() {
		m := specimen.Make(s.Options)
		in := inputFor(m, 1, rand.New(rand.NewPCG(8, 9)))
		in.Layers[0].Operations = nil
		type segment struct {
			from, to plane.Point
			e, feed  float64
		}
		var want, have []segment
		sum := 0.0
		for _, stroke := range m.Truth.Strokes {
			in.Layers[0].Operations = append(in.Layers[0].Operations, join.FromStroke(stroke))
			sum += stroke.Filament()
			for i, e := range stroke.E {
				want = append(want, segment{stroke.Points[i], stroke.Points[i+1], e, stroke.Feed[i]})
			}
		}
		r, _ := proved(t, s.ID, m, in)
		assert.InEpsilon(t, sum, r.Figures.EMM, 1e-9, s.ID)

		interp := gcode.NewInterp(gcode.Options{})
		lines := gcode.NewScanner(r.FinishedHead(m.Bytes))
		for lines.Next() {
			k := interp.Step(lines.Line())
			if k.Kind == gcode.Extrude && lines.Line().Offset >= r.HeadLength {
				have = append(have, segment{plane.Point{X: k.From.X, Y: k.From.Y}, plane.Point{X: k.To.X, Y: k.To.Y}, k.Fed, k.Feed})
			}
		}
		require.Len(t, have, len(want), s.ID)
		for i, w := range want {
			h := have[i]
			require.InDelta(t, 0, w.from.Dist(h.from), 0.00075, "%s segment %d", s.ID, i)
			require.InDelta(t, 0, w.to.Dist(h.to), 0.00075, "%s segment %d", s.ID, i)
			require.InDelta(t, w.e, h.e, 1.1e-5, "%s segment %d", s.ID, i)
			require.InDelta(t, w.feed, h.feed, 0.006, "%s segment %d", s.ID, i)
		}
	}
}

// TestRoundingIsBounded writes 100,000 short moves: neither place nor filament
// drifts by more than the last written digit.
func TestRoundingIsBounded(t *testing.T) {
	for _, mode := range []string{"M82", "M83"} {
		file, cut := handMade(start + mode + "\nG92 E0\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X9\n")
		in := handInput(file, cut)
		r := rand.New(rand.NewPCG(1, 2))
		op := join.Operation{Points: []plane.Point{{X: 100, Y: 100}}}
		p := op.Points[0]
		for range 100_000 {
			p = p.Add(plane.Point{X: (r.Float64() - 0.5) / 3, Y: (r.Float64() - 0.5) / 3})
			op.Points = append(op.Points, p)
		}
		op = priced(op, 1.0/30, 1200)
		in.Layers[0].Operations[0] = op
		sum := 0.0
		for _, e := range op.E {
			sum += e
		}
		built, found := join.Build(in)
		require.Empty(t, found)
		proof := join.Prove(built.FinishedHead(file), file, join.PlanOf(in, built, join.Machine{}))
		require.Empty(t, proof.Findings)
		// Sum the words as a reader would.
		interp := gcode.NewInterp(gcode.Options{})
		s := gcode.NewScanner(built.FinishedHead(file))
		fed, last := 0.0, plane.Point{}
		for s.Next() {
			if m := interp.Step(s.Line()); m.Kind == gcode.Extrude && s.Line().Offset >= cut.From {
				fed += m.Fed
				last = plane.Point{X: m.To.X, Y: m.To.Y}
			}
		}
		assert.InDelta(t, sum, fed, 2e-5, mode)
		assert.InDelta(t, 0, last.Dist(p), 0.00075, mode)
	}
}

// TestShortSegmentsAreMerged writes no segment below the written resolution and
// loses no filament.
func TestShortSegmentsAreMerged(t *testing.T) {
	file, cut := handMade(start + "M83\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X9\n")
	in := handInput(file, cut)
	op := join.Operation{}
	for i := range 10001 {
		op.Points = append(op.Points, plane.Point{X: 50 + float64(i)*0.0001, Y: 50})
	}
	op = priced(op, 0.034, 1200)
	in.Layers[0].Operations[0] = op
	r, found := join.Build(in)
	require.Empty(t, found)
	beads := 0
	for _, l := range strings.Split(string(r.Blocks[0].Bytes), "\n") {
		if isBead(l) {
			beads++
		}
	}
	assert.Equal(t, 1000, beads)
	// Only what belongs to less than one written step may stay behind.
	assert.InDelta(t, 0.034, r.Figures.EMM, 0.0005*0.034+1e-9)
	assert.NotContains(t, string(r.Blocks[0].Bytes), "-0 ")
}

func TestSameInputSameBytes(t *testing.T) {
	m := specimen.Random(5)
	a, _ := join.Build(inputFor(m, 1, rand.New(rand.NewPCG(1, 1))))
	b, _ := join.Build(inputFor(m, 1, rand.New(rand.NewPCG(1, 1))))
	require.NotEmpty(t, a.Blocks)
	assert.Equal(t, a, b)
}
