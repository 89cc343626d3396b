package gcode_test

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
)

// The dialect beyond NISTIR 6556: common practice of sliced files, with no
// published source, unless a test says otherwise.

func TestKindsOfMoves(t *testing.T) {
	for _, c := range []struct {
		name, before, line string
		kind               gcode.Kind
		e, fed             float64
	}{
		{"travel", "", "G0 X5 F6000", gcode.Travel, 0, 0},
		{"lift", "", "G1 Z1", gcode.Lift, 0, 0},
		{"lower", "G1 Z1\n", "G1 Z0.2", gcode.Lower, 0, 0},
		{"extrude", "M83\n", "G1 X5 E0.5", gcode.Extrude, 0.5, 0.5},
		{"extrude, absolute", "M82\nG92 E10\n", "G1 X5 E10.5", gcode.Extrude, 0.5, 0.5},
		{"retract", "M83\n", "G1 E-0.8", gcode.Retract, -0.8, 0},
		{"give back", "M83\nG1 E-0.8\n", "G1 E0.8", gcode.Unretract, 0.8, 0},
		{"give back with more", "M83\nG1 E-0.8\n", "G1 E1", gcode.Unretract, 1, 0.2},
		{"give back while moving", "M83\nG1 E-0.8\n", "G1 X5 E0.8", gcode.Unretract, 0.8, 0},
		{"prime", "M83\n", "G1 E5", gcode.Prime, 5, 5},
		{"wipe", "M83\n", "G1 X5 E-0.3", gcode.Wipe, -0.3, 0},
		{"firmware retraction", "", "G10", gcode.Retract, 0, 0},
		{"long firmware retraction", "", "G10 S1", gcode.Retract, 0, 0},
		{"firmware return", "G10\n", "G11", gcode.Unretract, 0, 0},
		{"tool offsets, not a retraction", "", "G10 P1 X0 Y0", gcode.None, 0, 0},
		{"tool temperatures, not a retraction", "", "G10 P0 S200 R150", gcode.None, 0, 0},
		{"register, not a move", "", "G92 E0", gcode.None, 0, 0},
		{"feed rate alone", "", "G1 F1200", gcode.None, 0, 0},
		{"home", "", "G28", gcode.Home, 0, 0},
		{"wait", "", "G4 P500", gcode.Dwell, 0, 0},
		{"tool", "", "T2", gcode.ToolChange, 0, 0},
		{"same tool", "", "T0", gcode.None, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			moves, _ := run(t, c.before+c.line+"\n")
			m := moves[len(moves)-1]
			assert.Equal(t, c.kind, m.Kind, m.Kind.String())
			assert.InDelta(t, c.e, m.E, 1e-12)
			assert.InDelta(t, c.fed, m.Fed, 1e-12)
		})
	}
}

func TestRetractionDepth(t *testing.T) {
	_, in := run(t, "M83\nG1 E-0.5\nG1 X3 E-0.3\n")
	s := in.State()
	assert.InDelta(t, 0.8, s.RetractionMM(), 1e-12)
	assert.True(t, s.Drawn())
	// A reset of the register changes no depth; each tool has its own.
	_, in = run(t, "M82\nG1 E100\nG1 E99.2\nG92 E0\nT1\n")
	assert.Zero(t, in.At().RetractionMM())
	assert.InDelta(t, 0.8, in.At().Retracted[0], 1e-9)
	// Through a long absolute register the rest is nothing.
	_, in = run(t, "M82\nG1 E12345.67\nG1 E12344.87\nG1 E12345.67\n")
	assert.Equal(t, 0.0, in.At().RetractionMM())
	_, in = run(t, "G10\n")
	assert.True(t, in.At().Drawn())
}

func TestRegisterModes(t *testing.T) {
	_, in := run(t, "G91\nG1 X1 E1\nG1 X1 E1\n")
	assert.Equal(t, 2.0, in.At().E, "E follows G91 until M82 or M83")
	_, in = run(t, "M83\nG90\nG1 X1 E1\nG1 X2 E1\n")
	assert.Equal(t, 2.0, in.At().E, "M83 outlasts G90")
	assert.Contains(t, codes(in), "gcode-e-mode", "machines disagree here")
	_, in = run(t, "M82\nG91\nG1 Z1\nG90\nG1 X1 E1\nG1 X2 E2\n")
	assert.Equal(t, 2.0, in.At().E)
	assert.NotContains(t, codes(in), "gcode-e-mode", "both readings agree")

	last := gcode.NewInterp(gcode.Options{ERule: gcode.EByLast})
	s := gcode.NewScanner([]byte("M83\nG90\nG1 X1 E1\nG1 X2 E1\n"))
	for s.Next() {
		last.Step(s.Line())
	}
	assert.Equal(t, 1.0, last.At().E)
}

func TestEverythingASlicedFileSets(t *testing.T) {
	_, in := run(t, strings.Join([]string{
		"M104 S205", "M109 R210 T1", "M140 S60", "M141 S40", "M106 S128", "M106 P2 S255", "M204 P1000 T2000 R1500",
		"M205 X8 Y9 J0.02", "M201 X500 E5000", "M203 Z12", "M220 S90", "M221 S95 T1", "M900 K0.05", "M572 D1 S0.04",
		"SET_FACTOR VALUE=0.03 NAME=\"wide one\"", "T1", "G21", "G91", "M83", "G18", "G1 F1500",
	}, "\n"))
	s := in.State()
	assert.Equal(t, 205.0, s.Hotend[0])
	assert.Equal(t, 210.0, s.Hotend[1])
	assert.Equal(t, 60.0, s.Bed)
	assert.Equal(t, 40.0, s.Chamber)
	assert.Equal(t, 128.0, s.Fan[0])
	assert.Equal(t, 255.0, s.Fan[2])
	assert.Equal(t, gcode.Accelerations{Print: 1000, Travel: 2000, Retract: 1500}, s.Acceleration)
	assert.Equal(t, [4]float64{8, 9, 0, 0}, s.Jerk)
	assert.Equal(t, 0.02, s.Junction)
	assert.Equal(t, [4]float64{500, 0, 0, 5000}, s.MaxAcceleration)
	assert.Equal(t, 12.0, s.MaxSpeed[2])
	assert.Equal(t, 90.0, s.SpeedPercent)
	assert.Equal(t, 95.0, s.FlowPercent[1])
	assert.Equal(t, 1, s.Tool)
	assert.Equal(t, 1500.0, s.Feed)
	assert.Equal(t, gcode.PlaneZX, s.Plane)
	assert.Equal(t, []gcode.Setting{
		{Command: "M572", Key: "D", Value: 1}, {Command: "M572", Key: "S D1", Value: 0.04},
		{Command: "M900", Key: "K", Value: 0.05},
		{Command: "SET_FACTOR", Key: "NAME", Text: "wide one"}, {Command: "SET_FACTOR", Key: "VALUE", Value: 0.03},
	}, s.Settings)
}

func TestFanWithoutSpeedIsFull(t *testing.T) {
	_, in := run(t, "M106\n")
	assert.Equal(t, 255.0, in.At().Fan[0])
	_, in = run(t, "M106 S99\nM107\n")
	assert.Equal(t, 0.0, in.At().Fan[0])
}

func TestHoming(t *testing.T) {
	_, in := run(t, "G1 X5 Y6 Z7 F100\nG28 X Y\n")
	s := in.State()
	assert.Equal(t, gcode.Place{Z: 7}, s.Position)
	assert.False(t, s.Known.Has(gcode.AxisX))
	assert.True(t, s.Known.Has(gcode.AxisZ))
	_, in = run(t, "G28\nG91\nG1 X5\n")
	assert.False(t, in.At().Known.Has(gcode.AxisX), "a relative move from an unknown place leads to an unknown place")
	_, in = run(t, "G28\nG90\nG1 X5\n")
	assert.True(t, in.At().Known.Has(gcode.AxisX))
}

func TestParametersOfCommandsAreNoMoves(t *testing.T) {
	for _, line := range []string{"M201 X500 Y500", "M204 S800", "M92 X80 E93", "M117 X5 Y5", "M486 S3", "M421 I1 J1 Z0.2"} {
		moves, _ := run(t, line+"\n")
		assert.False(t, moves[0].Moves(), line)
		assert.Equal(t, gcode.None, moves[0].Kind, line)
	}
}

func TestSeveralCommandsOfTheDialect(t *testing.T) {
	moves, in := run(t, "M106 S255 G1 X5 F600\n")
	assert.Equal(t, 5.0, moves[0].To.X)
	assert.Equal(t, 255.0, in.At().Fan[0])
	assert.Contains(t, codes(in), "gcode-several-commands")
}

func TestInches(t *testing.T) {
	moves, in := run(t, "G20\nM83\nG1 X1 Y2 E0.1 F10\n")
	m := moves[2]
	assert.InDelta(t, 25.4, m.To.X, 1e-12)
	assert.InDelta(t, 2.54, m.E, 1e-12)
	assert.InDelta(t, 254, m.Feed, 1e-12)
	assert.Equal(t, 25.4, in.At().UnitMM())
}

func TestWildNumbersLeaveTheStateAlone(t *testing.T) {
	for _, line := range []string{"G1 X99999999", "G1 X1 Y-1000000000000", "G91 G1 Z123456", "G92 X99999999", "G1 E99999999", "G2 X1 Y1 I99999999"} {
		_, in := run(t, line+"\n")
		p := in.State().Position
		assert.LessOrEqual(t, math.Max(math.Abs(p.X), math.Abs(p.Y)), 1e5, line)
		assert.Contains(t, codes(in), "gcode-too-far", line)
	}
	moves, in := run(t, "G1 XNAN YINF\n")
	assert.False(t, moves[0].Moves())
	assert.NotEmpty(t, codes(in))
}

func TestFindingsAreFewAndPlaced(t *testing.T) {
	_, in := run(t, strings.Repeat("G1 X1\n", 3)+strings.Repeat("G1 X1 ?\n", 5000))
	list := in.Findings()
	require.True(t, list.Has("gcode-stray"))
	for _, f := range list {
		if f.Code == "gcode-stray" {
			assert.Equal(t, 4, f.Place.Line)
			assert.Equal(t, 7, f.Place.Column)
			assert.Equal(t, 5000.0, f.Value)
			assert.Equal(t, "G1 X1 ?", f.Quote)
		}
	}
}

// TestDiffSeesEveryField changes one field after another: each must show.
func TestDiffSeesEveryField(t *testing.T) {
	for field, change := range map[string]func(*gcode.State){
		"position X": func(s *gcode.State) { s.Position.X += 0.001 }, "position Z": func(s *gcode.State) { s.Position.Z += 0.001 },
		"position Y known": func(s *gcode.State) { s.Known = 2 }, "axis Z homed": func(s *gcode.State) { s.Homed = 4 },
		"offset Y": func(s *gcode.State) { s.Shift.Y = 1 }, "stored offset Y": func(s *gcode.State) { s.SavedShift.Y = 1 },
		"coordinate system": func(s *gcode.State) { s.Work = 2 }, "origin 3 X": func(s *gcode.State) { s.WorkShift[2].X = 1 },
		"tool length": func(s *gcode.State) { s.ToolLength = 1 }, "units": func(s *gcode.State) { s.Inches = true },
		"distances": func(s *gcode.State) { s.Relative = true }, "E": func(s *gcode.State) { s.RelativeE = true },
		"E mode set": func(s *gcode.State) { s.ESet = true }, "plane": func(s *gcode.State) { s.Plane = gcode.PlaneYZ },
		"arc centres": func(s *gcode.State) { s.Centres = gcode.CentresPlaces },
		"motion":      func(s *gcode.State) { s.Motion = gcode.MotionRapid }, "feed rate": func(s *gcode.State) { s.Feed = 1 },
		"tool": func(s *gcode.State) { s.Tool = 1 }, "E register": func(s *gcode.State) { s.E = 0.0001 },
		"retraction of tool 1":          func(s *gcode.State) { s.Retracted[1] = 0.001 },
		"firmware retraction of tool 0": func(s *gcode.State) { s.FirmwareRetracted[0] = true },
		"temperature of tool 2":         func(s *gcode.State) { s.Hotend[2] = 1 }, "flow of tool 0": func(s *gcode.State) { s.FlowPercent[0] = 99 },
		"fan 3": func(s *gcode.State) { s.Fan[3] = 1 }, "bed temperature": func(s *gcode.State) { s.Bed = 1 },
		"chamber temperature": func(s *gcode.State) { s.Chamber = 1 }, "print acceleration": func(s *gcode.State) { s.Acceleration.Print = 1 },
		"travel acceleration": func(s *gcode.State) { s.Acceleration.Travel = 1 }, "retraction acceleration": func(s *gcode.State) { s.Acceleration.Retract = 1 },
		"jerk X": func(s *gcode.State) { s.Jerk[0] = 1 }, "acceleration limit Y": func(s *gcode.State) { s.MaxAcceleration[1] = 1 },
		"speed limit E": func(s *gcode.State) { s.MaxSpeed[3] = 1 }, "junction deviation": func(s *gcode.State) { s.Junction = 1 },
		"speed override": func(s *gcode.State) { s.SpeedPercent = 1 },
		"M900 K":         func(s *gcode.State) { s.Settings = []gcode.Setting{{Command: "M900", Key: "K", Value: 1}} },
	} {
		one, other := gcode.Start(), gcode.Start()
		assert.Empty(t, one.Diff(&other))
		change(&other)
		d := one.Diff(&other)
		if assert.Len(t, d, 1, field) {
			assert.Equal(t, field, d[0].Field)
			assert.NotEqual(t, d[0].A, d[0].B)
		}
	}
	one, other := gcode.Start(), gcode.Start()
	one.Settings = []gcode.Setting{{Command: "M900", Key: "K", Value: 1}, {Command: "SET", Key: "A", Text: "x"}}
	other.Settings = []gcode.Setting{{Command: "M900", Key: "K", Value: 2}, {Command: "SET", Key: "A", Text: "y"}}
	assert.Equal(t, []gcode.Difference{{Field: "M900 K", A: "1", B: "2"}, {Field: "SET A", A: "x", B: "y"}}, one.Diff(&other))
}

func TestStateIsACopy(t *testing.T) {
	_, in := run(t, "M900 K1\n")
	kept := in.State()
	s := gcode.NewScanner([]byte("M900 K2\n"))
	s.Next()
	in.Step(s.Line())
	assert.Equal(t, 1.0, kept.Settings[0].Value)
	again := gcode.NewInterpAt(kept, gcode.Options{})
	assert.Empty(t, again.At().Diff(&kept))
}

// G90.1 and G91.1 are common practice, no published source. The arc is the
// worked example of NISTIR 6556, §3.5.3.2, whose centre stands there as an
// increment: from (7,7) about (10,11), radius 5, to (10,16). Written as a place
// it must be the same arc to the last bit.
func TestCentresOfArcsAsPlaces(t *testing.T) {
	want, _ := run(t, "G1 X7 Y7 F100\nG17 G2 x10 y16 i3 j4 z2\n")
	for _, c := range []struct{ name, program string }{
		{"on a line of its own", "G90.1\nG1 X7 Y7 F100\nG2 x10 y16 i10 j11 z2\n"},
		{"on the line of the arc", "G1 X7 Y7 F100\nG90.1 G17 G2 x10 y16 i10 j11 z2\n"},
		{"by the mode in force", "G1 X7 Y7 F100\nG2 X7 Y7 I1 J0\nG90.1 x10 y16 i10 j11 z2\n"},
		{"places and relative distances", "G1 X7 Y7 F100\nG91\nG90.1\nG2 x3 y9 i10 j11 z2\n"},
		{"back to increments", "G90.1\nG91.1\nG1 X7 Y7 F100\nG2 x10 y16 i3 j4 z2\n"},
		{"back to increments on the line of the arc", "G90.1\nG1 X7 Y7 F100\nG91.1 G2 x10 y16 i3 j4 z2\n"},
		{"after G92", "G90.1\nG1 X7 Y7 F100\nG92 X100 Y50\nG2 x103 y59 i103 j54 z2\n"},
		{"in a coordinate system", "G90.1\nG10 L2 P2 X5 Y-3\nG55\nG1 X2 Y10 F100\nG2 x5 y19 i5 j14 z2\n"},
		{"in machine coordinates", "G90.1\nG10 L2 P2 X5 Y-3\nG55\nG1 X2 Y10 F100\nG53 G2 x10 y16 i10 j11 z2\n"},
		{"radius form is as it was", "G90.1\nG1 X7 Y7 F100\nG2 x10 y16 r5 z2\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			moves, in := run(t, c.program)
			got, arc := moves[len(moves)-1], want[1]
			assert.InDelta(t, arc.Arc.Centre.X, got.Arc.Centre.X, 1e-12)
			assert.InDelta(t, arc.Arc.Centre.Y, got.Arc.Centre.Y, 1e-12)
			assert.InDelta(t, arc.Arc.Radius, got.Arc.Radius, 1e-12)
			assert.InDelta(t, arc.Arc.Sweep, got.Arc.Sweep, 1e-12)
			assert.Equal(t, arc.To, got.To)
			assert.NotContains(t, codes(in), "gcode-arc-centres")
			assert.NotContains(t, codes(in), "gcode-several-commands", "they go with the commands of the standard")
		})
	}
	// In inches, and in the planes of K (§3.5.3.2: K, I in ZX; J, K in YZ).
	moves, _ := run(t, "G20\nG90.1\nG1 X7 Y7 F100\nG2 x10 y16 i10 j11\n")
	assert.InDelta(t, 5*25.4, moves[3].Arc.Radius, 1e-9)
	assert.InDelta(t, 11*25.4, moves[3].Arc.Centre.Y, 1e-9)
	for plane, program := range map[gcode.Plane]string{
		gcode.PlaneZX: "G18\nG90.1\nG1 Z5 X2 F100\nG3 Z0 X7 K0 I2\n", gcode.PlaneYZ: "G19\nG90.1\nG1 Y5 Z2 F100\nG3 Y0 Z7 J0 K2\n",
	} {
		moves, _ := run(t, program)
		assert.InDelta(t, 90, moves[3].Arc.Sweep*180/math.Pi, 1e-9)
		assert.InDelta(t, 5, moves[3].Arc.Radius, 1e-12)
		assert.Equal(t, plane, moves[3].Arc.Plane)
	}
}

// What machines read in different ways is refused, not guessed.
func TestCentresOfArcsThatCannotBeJudged(t *testing.T) {
	for _, c := range []struct {
		name, program string
		refused       bool
	}{
		{"a place with one coordinate", "G90.1\nG1 X7 Y7 F100\nG2 X17 Y7 I12\n", true},
		{"an increment with one coordinate, §3.5.3.2", "G1 X7 Y7 F100\nG2 X17 Y7 I5\n", false},
		{"places that are not said", "G1 X7 Y7 F100\nG2 X10 Y16 I10 J11\n", true},
		{"increments where places are said", "G90.1\nG1 X7 Y7 F100\nG2 X10 Y16 I3 J4\n", true},
		{"a fault that fits neither way", "G1 X7 Y7 F100\nG2 X10 Y16 I2 J4\n", false},
		{"rounding", "G1 X7 Y7 F100\nG2 X10.002 Y16.002 I3 J4\n", false},
		{"both readings are one", "G2 X10.2 Y0 I5 J0 F100\n", false},
	} {
		_, in := run(t, c.program)
		assert.Equal(t, c.refused, in.Findings().Has("gcode-arc-centres"), c.name)
		if c.refused {
			assert.Equal(t, finding.Stop, in.Findings().Worst(), c.name)
		}
	}
}

func TestFlattenedArcsStayWithinTheirTolerance(t *testing.T) {
	for _, tolerance := range []float64{0.5, 0.05, 0.005} {
		moves, _ := run(t, "G1 X10 F100\nG3 X-10 Y0 I-10 J0\n")
		points := append([]plane.Point{{X: 10}}, gcode.AppendArc(nil, moves[1], tolerance)...)
		for i := 1; i < len(points); i++ {
			assert.LessOrEqual(t, 10-points[i].Lerp(points[i-1], 0.5).Norm(), tolerance*1.000001)
		}
		assert.Equal(t, plane.Point{X: -10}, points[len(points)-1], "the end is exact")
	}
	line := gcode.Move{To: gcode.Place{X: 3}}
	assert.Equal(t, []plane.Point{{X: 3}}, gcode.AppendArc(nil, line, 0.01))
}

// TestShortWayEqualsLongWay follows the same moves written so that the reader
// knows their shape, and so that it does not.
func TestShortWayEqualsLongWay(t *testing.T) {
	random := rand.New(rand.NewSource(21))
	for round := range 40 {
		var plain, padded strings.Builder
		for range 200 {
			line := ""
			switch random.Intn(14) {
			case 0:
				line = "G1 E-0.8"
			case 1:
				line = "G1 E0.8"
			case 2:
				line = []string{"M82", "M83", "G91", "G90", "G20", "G21", "T1", "T0", "T20", "G92 X5", "G92 E0", "G55"}[random.Intn(12)]
			case 3:
				line = fmt.Sprintf("G0 Z%.3f F%d", random.Float64()*5, random.Intn(3000))
			default:
				line = fmt.Sprintf("G1 X%.3f Y%.3f E%.5f", random.Float64()*200-100, random.Float64()*3, random.Float64()*3)
			}
			plain.WriteString(line + "\n")
			padded.WriteString("  " + line + "\n") // an indent leads past the short way
		}
		plain.WriteString(strings.Repeat(" ", 64))
		a, inA := run(t, plain.String())
		b, inB := run(t, padded.String())
		for i := range b {
			require.Equal(t, b[i], a[i], "round %d, line %d", round, i+1)
		}
		one, other := inA.State(), inB.State()
		require.Empty(t, one.Diff(&other))
		require.Equal(t, other.Fed, one.Fed)
		require.Equal(t, codes(inB), codes(inA))
	}
}
