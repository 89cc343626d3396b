package gcode_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
)

// The checks of this file compare with NISTIR 6556 (Kramer, Proctor, Messina,
// The NIST RS274NGC Interpreter, Version 3, 2000); the section stands beside
// each. "derived" marks values computed from the standard's rule by a second,
// separate calculation.

// run follows a program given as text and returns its moves and interpreter.
func run(t *testing.T, program string) ([]gcode.Move, *gcode.Interp) {
	t.Helper()
	in := gcode.NewInterp(gcode.Options{})
	var moves []gcode.Move
	s := gcode.NewScanner([]byte(program))
	for s.Next() {
		moves = append(moves, in.Step(s.Line()))
	}
	return moves, in
}

func codes(in *gcode.Interp) []string {
	out := []string{}
	for _, f := range in.Findings() {
		out = append(out, f.Code)
	}
	return out
}

func TestNumberGrammar(t *testing.T) {
	for _, c := range []struct {
		name, line string
		letter     byte
		want       float64
		trouble    gcode.Trouble
	}{
		{"blanks mean nothing, §3.3", "g0x +0. 12 34y 7", 'X', 0.1234, gcode.BlankInNumber},
		{"the same without blanks, §3.3", "g0 x+0.1234 y7", 'X', 0.1234, 0},
		{"point at the end, §3.3.2.1", "G1 X5.", 'X', 5, 0},
		{"point in front, §3.3.2.1", "G1 X.5", 'X', 0.5, 0},
		{"sign, §3.3.2.1", "G1 X-.25", 'X', -0.25, 0},
		{"no exponent: e is a letter, §3.3.2.1", "G1 X1e3", 'X', 1, gcode.Exponent},
		{"lower case, no blanks: dialect", "g1x10y5", 'Y', 5, 0},
		{"lower case e among lower case is a word: dialect", "g1x1e5", 'E', 5, 0},
		{"tab for blank, §3.3", "G1\tX2\tY3", 'Y', 3, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := gcode.ParseLine([]byte(c.line))
			got, ok := l.Value(c.letter)
			require.True(t, ok)
			assert.Equal(t, c.want, got)
			assert.Equal(t, c.trouble, l.Trouble)
		})
	}
}

func TestUnreadableNumbers(t *testing.T) {
	for _, c := range []struct {
		line    string
		trouble gcode.Trouble
	}{
		{"G1 X1.2.3", gcode.BadNumber}, // one point, §3.3.2.1
		{"G1 X-", gcode.BadNumber},     // at least one digit, §3.3.2.1
		{"G1 X.", gcode.BadNumber},
		{"G1 X1-2", gcode.BadNumber},
		{"G1 X1e308", gcode.Exponent},
		{"G1 X" + strings.Repeat("9", 400), gcode.BadNumber},
		{"G1 X1 Y2 X3", gcode.RepeatedLetter}, // other letters once, §3.3.5
		{"#3=15", gcode.Expression},           // §3.3.3
		{"#3=6 G1 x#3", gcode.Expression},
		{"g1 x asim[0.5]", gcode.Expression}, // error in Table 10
		{"G1 X1 ?", gcode.StrayByte},         // "any input not explicitly allowed is illegal", §3.3
		{"(one (two) G1", gcode.NestedComment},
		{"G1 X1 (open", gcode.OpenComment}, // closed on the line, §3.3.4
		{"N-5 G1", gcode.BadLineNumber},    // unsigned, §3.3.1
	} {
		l := gcode.ParseLine([]byte(c.line))
		assert.Equal(t, c.trouble, l.Trouble&c.trouble, c.line)
		assert.NotZero(t, l.Column, c.line)
	}
}

func TestCommentsByTheStandard(t *testing.T) {
	l := gcode.ParseLine([]byte("G1 (first) X1 (last)"))
	assert.Equal(t, "last", string(l.Comment), "the last on a line wins, §3.3.5")
	x, _ := l.Value('X')
	assert.Equal(t, 1.0, x)
}

func TestArcsInCentreForm(t *testing.T) {
	// §3.5.3.2: at (7,7), centre (10,11), radius 5. Sweep and length derived.
	moves, _ := run(t, "G1 X7 Y7 F100\nG17 G2 x10 y16 i3 j4 z2\n")
	a := moves[1].Arc
	assert.InDelta(t, 10, a.Centre.X, 1e-12)
	assert.InDelta(t, 11, a.Centre.Y, 1e-12)
	assert.InDelta(t, 5, a.Radius, 1e-12)
	assert.InDelta(t, -143.1301, a.Sweep*180/math.Pi, 1e-4)
	assert.InDelta(t, 12.649567, moves[1].Length(), 1e-6)

	moves, _ = run(t, "G1 X7 Y7 F100\nG2 X10 Y16 I3 J4\n")
	assert.InDelta(t, 12.490458, moves[1].Length(), 1e-6)
	moves, _ = run(t, "G1 X7 Y7 F100\nG3 X10 Y16 I3 J4\n")
	assert.InDelta(t, 216.8699, moves[1].Arc.Sweep*180/math.Pi, 1e-4)
	assert.InDelta(t, 18.925469, moves[1].Length(), 1e-6)
}

func TestArcsInRadiusForm(t *testing.T) {
	// Table 10: from (3,1) to (0,1) with R 7.01, centre (1.5, 7.8476), and a
	// turn of −1. The expression of the printed line is written out.
	moves, _ := run(t, "G1 X3 Y1 F20.0\ng2 x0 r 7.01 z0.5\n")
	a := moves[1].Arc
	assert.InDelta(t, 1.5, a.Centre.X, 1e-9)
	assert.InDelta(t, 7.847635, a.Centre.Y, 1e-6)
	assert.Negative(t, a.Sweep)

	for _, c := range []struct {
		line              string
		x, y, deg, length float64
	}{ // derived; both signs and both senses of §3.5.3.1
		{"G2 x10 y15 r20", 19.855069, -2.403379, -53.576426, 18.701701},
		{"G2 x10 y15 r-20", -9.855069, 17.403380, -306.423574, 106.962005},
		{"G3 x10 y15 r20", -9.855069, 17.403380, 53.576426, 18.701701},
		{"G3 x10 y15 r-20", 19.855069, -2.403379, 306.423574, 106.962005},
	} {
		moves, _ := run(t, c.line)
		a := moves[0].Arc
		assert.InDelta(t, c.x, a.Centre.X, 1e-6, c.line)
		assert.InDelta(t, c.y, a.Centre.Y, 1e-6, c.line)
		assert.InDelta(t, c.deg, a.Sweep*180/math.Pi, 1e-6, c.line)
		assert.InDelta(t, c.length, moves[0].Length(), 1e-6, c.line)
	}
}

func TestFullCircle(t *testing.T) {
	// §3.5.3.2: end equal to start is a full circle. App. C.1, n0320: its
	// length is 15.7080 (radius 2.5, derived).
	moves, _ := run(t, "G1 X10 Y10 F100\nG2 X10 Y10 I2.5 J0\n")
	assert.InDelta(t, -2*math.Pi, moves[1].Arc.Sweep, 1e-12)
	assert.InDelta(t, 15.7080, moves[1].Length(), 1e-4)
	// App. C.1, n0190: 270° about (13.5, 2.5), radius 2.5; length derived.
	moves, _ = run(t, "G1 X16 Y2.5 F100\ng3 x13.5 y0 i-2.5\n")
	assert.InDelta(t, 270, moves[1].Arc.Sweep*180/math.Pi, 1e-9)
	assert.InDelta(t, 11.7810, moves[1].Length(), 1e-4)
}

// sampleC1 are the strokes of the sample program of App. C.1, one a letter or a
// part of one: where the tool goes down, and how it goes on.
var sampleC1 = [][]string{
	{"x0 y0", "y10"}, {"y5", "x 7"}, {"y0", "y10"},
	{"x11 y2.5", "x16", "g3 x13.5 y0 i-2.5", "g1 x16"},
	{"x20 y0", "y9"}, {"x26", "y0"},
	{"x32.5", "g2 x32.5 j2.5"},
	{"x45 y5", "x47 y0", "x48.5 y3", "x50 y0", "x52 y5"},
	{"x57.5 y0", "g2 x57.5 j2.5"},
	{"x64", "y5", "y4", "g2 x69 r4"},
	{"x73 y0", "y9"},
	{"x81", "y0", "x79.5", "g2 j2.5 y5", "g1 x81"},
}

// TestSampleProgram follows the sample of App. C.1 from its first move to its
// end: nearly every line of it moves by the mode in force. The standard prints
// no results; the figures are derived from the printed program by a separate
// calculation. The printed text itself, with its line numbers and comments, is
// not kept here; it was followed once, in two copies that agree, and gave the
// same figures. C.2 and C.3 are of expressions and canned cycles; see
// TestExpressionsAreRefusedNotGuessed and TestCannedCyclesAreSaid.
func TestSampleProgram(t *testing.T) {
	program := "g21 g0 x0 y0 z50 (top)\nt1 m6 m3 f20 s4000\n"
	for i, stroke := range sampleC1 {
		if i == 0 {
			program += "g0 " + stroke[0] + " z2\n"
		} else {
			program += "g0 z2\n" + stroke[0] + "\n"
		}
		program += "g1 z-0.5 (down)\n" + strings.Join(stroke[1:], "\n") + "\n"
	}
	program += "g0 z50\nm2\n"

	in := gcode.NewInterp(gcode.Options{})
	count := map[gcode.Motion]int{}
	var across, along [2]float64 // of feeds and of rapids: in XY, and in space
	reach := plane.EmptyBox()    // of feeds
	s := gcode.NewScanner([]byte(program))
	for s.Next() {
		m := in.Step(s.Line())
		if !m.Moves() || s.Line().Number == 1 {
			continue
		}
		count[in.At().Motion]++
		rapid := 0
		if m.Rapid {
			rapid = 1
		}
		points := append([]plane.Point{{X: m.From.X, Y: m.From.Y}}, gcode.AppendArc(nil, m, 0.0001)...)
		along[rapid] += m.Length()
		if m.Arc.Is() {
			across[rapid] += m.Length()
		} else {
			across[rapid] += points[0].Dist(points[1])
		}
		if !m.Rapid {
			reach = reach.Union(plane.Polyline(points).Bounds())
		}
	}
	assert.Equal(t, map[gcode.Motion]int{gcode.MotionRapid: 24, gcode.MotionLinear: 29, gcode.MotionArcRight: 4, gcode.MotionArcLeft: 1}, count)
	assert.InDelta(t, 153.430466, across[0], 1e-6)
	assert.InDelta(t, 183.430466, along[0], 1e-6)
	assert.InDelta(t, 76.052801, across[1], 1e-6)
	assert.InDelta(t, 202.052801, along[1], 1e-6)
	assert.InDelta(t, 0, reach.Min.Dist(plane.Point{}), 1e-6)
	assert.InDelta(t, 0, reach.Max.Dist(plane.Point{X: 81, Y: 10}), 1e-6)
	assert.True(t, in.Ended())
	assert.Equal(t, []string{"gcode-modal"}, codes(in), "the standard's own sample has nothing else to note")
}

func TestCentreIsAnIncrementInAbsoluteMode(t *testing.T) {
	// §3.5.17: I and J are increments whatever G90 and G91 say.
	for _, mode := range []string{"G90\n", "G91\n"} {
		moves, _ := run(t, "G1 X7 Y7 F100\n"+mode+"G2 X7 Y7 I1 J0\n")
		assert.InDelta(t, 8, moves[2].Arc.Centre.X, 1e-12, mode)
	}
}

func TestArcErrors(t *testing.T) {
	for _, c := range []struct{ name, program, code string }{
		{"radii differ by more than 0.002 mm, §3.5.3.2", "G2 X10.01 Y0 I5 J0", "gcode-arc-radii"},
		{"radius form, end equal to start, §3.5.3.1", "G2 X0 Y0 R5", "gcode-arc"},
		{"neither centre nor radius, §3.5.3.2", "G2 X1 Y1", "gcode-arc"},
		{"radius too small for the chord", "G2 X10 Y0 R1", "gcode-arc"},
		{"no end point, §3.5.3.2", "G2 I5", "gcode-arc-no-end"},
		{"nearly half a circle, §3.5.3.1", "G2 X10 Y0 R5.001", "gcode-arc-half"},
	} {
		_, in := run(t, c.program+"\n")
		assert.Contains(t, codes(in), c.code, c.name)
	}
	_, in := run(t, "G2 X10.003 Y0 I5 J0\n") // derived: radii differ by 0.003
	assert.Contains(t, codes(in), "gcode-arc-radii")
	_, in = run(t, "G2 X10.001 Y0 I5 J0\n")
	assert.NotContains(t, codes(in), "gcode-arc-radii")
}

func TestDeclaredCoordinates(t *testing.T) {
	// §3.5.18: at X4 with offset 0, G92 X7 makes the offset −3 and X read 7;
	// G92 X9 then makes it −5 = [7−9] + (−3). G91 has no effect.
	_, in := run(t, "G1 X4 F100\nG92 x7\n")
	s := in.State()
	assert.Equal(t, -3.0, s.Shift.X)
	assert.Equal(t, 7.0, s.Program().X)
	assert.Equal(t, 4.0, s.Position.X)
	_, in = run(t, "G1 X4 F100\nG92 x7\nG91\nG92 x9\n")
	s = in.State()
	assert.Equal(t, -5.0, s.Shift.X)
	assert.Equal(t, 9.0, s.Program().X)
	// §3.5.18: G92.2 suspends the offsets, G92.3 restores, G92.1 clears them.
	_, in = run(t, "G1 X4 F100\nG92 x7\nG92.2\n")
	assert.Equal(t, 0.0, in.At().Shift.X)
	_, in = run(t, "G1 X4 F100\nG92 x7\nG92.2\nG92.3\n")
	assert.Equal(t, -3.0, in.At().Shift.X)
	_, in = run(t, "G1 X4 F100\nG92 x7\nG92.1\nG92.3\n")
	assert.Equal(t, 0.0, in.At().Shift.X)
}

func TestModalTraps(t *testing.T) {
	// App. C.1: bare axis words after G0 (n0070, n0110, n0150) inherit G0;
	// after G1 (n0170) they inherit G1.
	moves, in := run(t, "G0 X1 Y1\nX2\nG1 X3 F10\nY4\n")
	assert.True(t, moves[1].Rapid)
	assert.False(t, moves[3].Rapid)
	assert.Equal(t, 4.0, moves[3].To.Y)
	assert.Contains(t, codes(in), "gcode-modal")
	// §3.4: a motion mode is suspended for a G92 line: nothing moves.
	moves, _ = run(t, "G1 X3 F10\nG92 X0\n")
	assert.False(t, moves[1].Moves())
	// §3.4: motion together with another axis-using command is an error.
	_, in = run(t, "G1 G92 X3\n")
	assert.Contains(t, codes(in), "gcode-two-axis-commands")
	// Table 4 and §3.4: two words of one modal group.
	_, in = run(t, "G90 G91 X1\n")
	assert.Contains(t, codes(in), "gcode-modal-group")
	// §3.3.5: at most four M words.
	_, in = run(t, "M3 M7 M8 M48 M0\n")
	assert.Contains(t, codes(in), "gcode-many-m")
	// §3.5.20: axis words after G80 are an error.
	_, in = run(t, "G80\nX1\n")
	assert.Contains(t, codes(in), "gcode-no-motion-mode")
}

func TestOrderOnALine(t *testing.T) {
	// Table 8: G91 G20 X1 F5 G1 sets feed, units and distance mode, then moves.
	moves, in := run(t, "G1 X10 F100\nG91 G20 X1 F5 G1\n")
	assert.InDelta(t, 35.4, moves[1].To.X, 1e-12)
	assert.InDelta(t, 5*25.4, moves[1].Feed, 1e-12)
	assert.True(t, in.At().Inches)
	assert.True(t, in.At().Relative)
	// Table 10: feed is set before the straight feed of the same line.
	moves, _ = run(t, "g1 x3 y1 f20.0\n")
	assert.Equal(t, 20.0, moves[0].Feed)
	assert.Equal(t, gcode.Place{X: 3, Y: 1}, moves[0].To)
	// A mode with axis words moves by the mode in force (§3.4).
	moves, _ = run(t, "G1 X5 F10\nG91 X1\n")
	assert.Equal(t, 6.0, moves[1].To.X)
}

func TestUnitsRescaleThePosition(t *testing.T) {
	// §4.3.3.3: the position reads otherwise after G20, and stays where it is.
	_, in := run(t, "G21\nG1 X25.4 F600\nG20\n")
	s := in.State()
	assert.Equal(t, 25.4, s.Position.X)
	assert.InDelta(t, 1, s.Program().X/s.UnitMM(), 1e-12)
	assert.Contains(t, codes(in), "gcode-units-stored")
}

func TestCoordinateSystems(t *testing.T) {
	// §3.5.5 and §3.5.13: G10 L2 sets the origin of system P; G54 to G59.3
	// select one; G53 moves in machine coordinates for one line.
	moves, _ := run(t, "G10 L2 P2 X10 Y20\nG55\nG1 X1 Y1 F100\nG53 G1 X1 Y1\nG54\nG1 X1\n")
	assert.Equal(t, gcode.Place{X: 11, Y: 21}, moves[2].To)
	assert.Equal(t, gcode.Place{X: 1, Y: 1}, moves[3].To)
	assert.Equal(t, 1.0, moves[5].To.X)
	_, in := run(t, "G59.3\n")
	assert.Equal(t, 8, in.At().Work)
}

func TestPlanes(t *testing.T) {
	// §3.5.3.2: in the ZX plane the centre is K, I; in YZ it is J, K.
	moves, _ := run(t, "G18\nG1 Z5 X0 F100\nG3 Z0 X5 K-5 I0\n")
	assert.InDelta(t, 90, moves[2].Arc.Sweep*180/math.Pi, 1e-9)
	moves, _ = run(t, "G19\nG1 Y5 F100\nG3 Y0 Z5 J-5 K0\n")
	assert.InDelta(t, 90, moves[2].Arc.Sweep*180/math.Pi, 1e-9)
	points := gcode.AppendArc(nil, moves[2], 0.01)
	assert.InDelta(t, 0, points[len(points)-1].Y, 1e-12)
}

func TestEndOfProgram(t *testing.T) {
	// §3.1: lines after M2 or M30 never run. Machines of the dialect read on, so
	// the lines are followed all the same, and that is said.
	for _, c := range []struct {
		name, program string
		ended, noted  bool
	}{
		{"nothing behind", "G1 X1 F100\nM2\n", true, false},
		{"comments and a mark behind", "G1 X1 F100\nM30\n; settings\n(end)\n%\n\n", true, false},
		{"a move behind M2", "M83\nM2\nG1 X1.0 Y2.0 E1.0\n", true, true},
		{"a move behind M30", "M83\nM30\nG1 X1.0 Y2.0 E1.0\nG1 X2.0 Y2.0 E1.0\n", true, true},
		{"M30 that deletes a file: dialect", "M30 /tag.g\nG1 X1.0 Y2.0 E1.0\n", false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, in := run(t, c.program+strings.Repeat("\n", 80))
			assert.Equal(t, c.ended, in.Ended())
			assert.Equal(t, c.noted, in.Findings().Has("gcode-after-end"), codes(in))
			assert.Equal(t, strings.Contains(c.program, "X1"), in.At().Position.X > 0, "followed all the same")
		})
	}
	next := gcode.NewInterp(gcode.Options{})
	s := gcode.NewScanner([]byte("M83\nM30\n" + strings.Repeat("G1 X1.0 Y2.0 E1.0\nG1 X2.0 Y2.0 E1.0\n", 50)))
	for next.Next(s) {
	}
	for _, f := range next.Findings() {
		if f.Code == "gcode-after-end" {
			assert.Equal(t, 100.0, f.Value, "lines")
			assert.Equal(t, 3, f.Place.Line)
		}
	}
	assert.Contains(t, codes(next), "gcode-after-end")
}

func TestLinesOfMoreThan256Characters(t *testing.T) {
	// §3.3: a line has at most 256 characters.
	long := strings.Repeat("x", 300)
	for _, c := range []struct {
		name, line string
		noted      bool
	}{
		{"256", "G1 X1 F100 (" + long[:256-13] + ")", false},
		{"257", "G1 X1 F100 (" + long[:257-13] + ")", true},
		{"a comment in parentheses behind a move", "G1 X1 F100 (" + long + ")", true},
		{"a comment after a semicolon behind a move: dialect", "G1 X1 F100 ; " + long, true},
		{"a comment in parentheses alone", "(" + long + ")", false},
		{"a comment after a semicolon alone: dialect", "; " + long, false},
	} {
		moves, in := run(t, c.line+"\n")
		assert.Equal(t, c.noted, in.Findings().Has("gcode-line-256"), c.name)
		if c.line[0] == 'G' {
			assert.Equal(t, 1.0, moves[0].To.X, "%s: the move is followed", c.name)
		}
		l := gcode.ParseLine([]byte(c.line))
		assert.Contains(t, string(l.Comment), "xxx", c.name)
		assert.Zero(t, l.Trouble, c.name)
	}
}

func TestExpressionsAreRefusedNotGuessed(t *testing.T) {
	// App. C.2 exercises expressions and parameters (§3.3.2.2 to §3.3.3), which a
	// sliced file has none of: such a line moves nothing and is a stop. The forms
	// are those of the checks named in §3.3.2.3 and §3.3.3.
	for _, line := range []string{"G1 X[1 + 2]", "G1 X[2.0/3*1.5-5.5/11.0]", "G1 X FIX[-2.8]", "G1 XFUP[-2.8]", "#3=15", "#3=6 G1 X#3", "G1 X#[1+2]"} {
		moves, in := run(t, "G1 X7 F100\n"+line+"\n")
		assert.False(t, moves[1].Moves(), line)
		assert.Equal(t, 7.0, in.At().Position.X, line)
		assert.Contains(t, codes(in), "gcode-expression", line)
	}
}

func TestCannedCyclesAreSaid(t *testing.T) {
	// App. C.3 exercises the cycles G81 to G89 (§3.5.16), which are not followed:
	// the place after them is not known, and that is said.
	for _, cycle := range []string{"G81", "G82", "G83", "G84", "G85", "G86", "G87", "G88", "G89"} {
		_, in := run(t, "G1 X4 Y5 Z3 F100\nG90 G98 "+cycle+" X4 Y5 Z1.5 R2.8\n")
		assert.Contains(t, codes(in), "gcode-cycle", cycle)
		assert.Zero(t, in.At().Known, cycle)
	}
}
