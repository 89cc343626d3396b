package gcode_test

import (
	"bytes"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/gcode"
	"sheenlay/engine/internal/limits"
)

// followed is what three ways of following the same bytes are compared by.
type followed struct {
	lines []string
	moves []gcode.Move
	state gcode.State
	codes []string
}

// followSlowly takes the slow reader, by a Lazy scanner, and with it the long
// way for every line: the oracle.
func followSlowly(data []byte) followed {
	out, in := followed{}, gcode.NewInterp(gcode.Options{})
	s := gcode.NewScanner(data).Lazy()
	for s.Next() {
		out.moves = append(out.moves, in.Step(s.Line()))
		out.lines = append(out.lines, dump(s.Line()))
	}
	out.state, out.codes = in.State(), codes(in)
	return out
}

// followNext takes Interp.Next, in chunks of the sizes given, and asks for the
// line of every n-th move only.
func followNext(data []byte, size func() int, ask int) followed {
	out, in := followed{}, gcode.NewInterp(gcode.Options{})
	var s gcode.Scanner
	n := 0
	for rest := data; ; {
		k := min(len(rest), max(0, size()))
		s.Push(rest[:k], k == len(rest))
		rest = rest[k:]
		for in.Next(&s) {
			out.moves = append(out.moves, *in.Move())
			line := ""
			if n++; n%ask == 0 {
				line = dump(s.Line())
			}
			out.lines = append(out.lines, line)
		}
		if len(rest) == 0 {
			out.state, out.codes = in.State(), codes(in)
			return out
		}
	}
}

func followStep(data []byte) followed {
	out, in := followed{}, gcode.NewInterp(gcode.Options{})
	s := gcode.NewScanner(data)
	for s.Next() {
		out.moves = append(out.moves, in.Step(s.Line()))
		out.lines = append(out.lines, dump(s.Line()))
	}
	out.state, out.codes = in.State(), codes(in)
	return out
}

// require3 compares the three ways, bit for bit: −0 is told from 0 by %v.
func require3(t *testing.T, data []byte, seed int64) {
	t.Helper()
	want := followSlowly(data)
	random := rand.New(rand.NewSource(seed))
	ask := 1 + random.Intn(3)
	for name, got := range map[string]followed{
		"Step": followStep(data),
		"Next": followNext(data, func() int { return len(data) }, ask),
		"Next in chunks": followNext(data, func() int {
			return 1 + random.Intn(1<<(1+random.Intn(12)))
		}, ask),
	} {
		require.Len(t, got.moves, len(want.moves), "%s, seed %d", name, seed)
		for i := range want.moves {
			if fmt.Sprintf("%v", want.moves[i]) != fmt.Sprintf("%v", got.moves[i]) || got.lines[i] != "" && want.lines[i] != got.lines[i] {
				require.Equal(t, want.lines[i], got.lines[i], "%s, seed %d", name, seed)
				require.Equal(t, want.moves[i], got.moves[i], "%s, seed %d, %s", name, seed, want.lines[i])
				t.Fatalf("%s, seed %d, %s:\n%v\n%v", name, seed, want.lines[i], want.moves[i], got.moves[i])
			}
		}
		require.Equal(t, fmt.Sprintf("%v", want.state), fmt.Sprintf("%v", got.state), "%s, seed %d", name, seed)
		require.Equal(t, want.codes, got.codes, "%s, seed %d", name, seed)
	}
}

// withReturns ends every line with CR LF.
func withReturns(data []byte) []byte {
	return bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n"))
}

// wild writes lines about the shapes that are read straight on: numbers of all
// lengths, with and without sign, point, digits before and after it, and now and
// then a byte that does not belong.
func wild(random *rand.Rand, lines int) []byte {
	number := func() string {
		var b strings.Builder
		switch random.Intn(8) {
		case 0, 1:
			b.WriteByte('-')
		case 2:
			b.WriteString([]string{"", "+", "--", " ", "."}[random.Intn(5)])
		}
		whole, fraction := random.Intn(5), random.Intn(7)
		if random.Intn(12) == 0 {
			whole, fraction = random.Intn(12), random.Intn(12)
		}
		for range whole {
			b.WriteByte(byte('0' + random.Intn(10)))
		}
		if random.Intn(10) > 0 {
			b.WriteByte('.')
		}
		for range fraction {
			b.WriteByte(byte('0' + random.Intn(10)))
		}
		return b.String()
	}
	modes := []string{"M82", "M83", "G90", "G91", "G20", "G21", "T1", "T0", "T20", "G92 E0", "G92 X5", "G92 X-0.0", "G55", "G54",
		"G1 E-0.8 F2100", "G1 E0.8", "G10", "G11", "M106 S255", ";TYPE:wall", "G28", "M204 S800", "G2 X5 Y5 I1 J1 E.1", ""}
	var out []byte
	for range lines {
		begin := len(out)
		switch random.Intn(20) {
		case 0, 1:
			out = append(out, modes[random.Intn(len(modes))]...)
		case 2:
			out = fmt.Appendf(out, "G0 F%s X%s Y%s", number(), number(), number())
		case 3:
			out = fmt.Appendf(out, "G1 X%s Y%s F%s", number(), number(), number())
		case 4:
			out = fmt.Appendf(out, "G1 X%s Y%s Z%s E%s", number(), number(), number(), number())
		case 5:
			out = fmt.Appendf(out, "G1 X%s Y%s E%s ; note", number(), number(), number())
		case 6:
			out = fmt.Appendf(out, "G1 X%.3f Y%.3f E%.5f", random.Float64()*200, random.Float64()*200, random.Float64()*5000)
		case 16:
			out = fmt.Appendf(out, "G1 F%d X%.3f Y%.3f E%.5f", random.Intn(20000), random.Float64()*200, random.Float64()*200, random.Float64())
		case 17:
			out = fmt.Appendf(out, "G%d F%d X%.3f Y%.3f", random.Intn(2), random.Intn(1<<uint(random.Intn(30))), random.Float64()*200, random.Float64()*200)
		case 18:
			out = fmt.Appendf(out, "G%d X%.3f Y%.3f", random.Intn(3), random.Float64()*200-100, random.Float64()*200)
		case 19:
			out = fmt.Appendf(out, "G1 X%.3f Y%.3f E%.5f%s;%s", random.Float64()*200, random.Float64()*200, random.Float64(),
				strings.Repeat(" ", random.Intn(3)), strings.Repeat("note ", random.Intn(4)*random.Intn(30)))
		case 7, 8, 9:
			out = fmt.Appendf(out, "G1 X%.3f Y%.3f E%.5f", random.Float64()*200-100, random.Float64()*200-100, random.Float64())
		default:
			out = fmt.Appendf(out, "G1 X%s Y%s E%s", number(), number(), number())
		}
		if len(out) > begin && random.Intn(40) == 0 {
			out[begin+random.Intn(len(out)-begin)] = " \t\r;(*#%:/xy\x80\xff0"[random.Intn(15)]
		}
		if random.Intn(30) == 0 {
			out = append(out, '\r')
		}
		out = append(out, '\n')
	}
	return out
}

func TestNextEqualsStepEqualsTheSlowWay(t *testing.T) {
	rounds := 60
	if testing.Short() {
		rounds = 10
	}
	for seed := range int64(rounds) {
		data := wild(rand.New(rand.NewSource(seed)), 400)
		require3(t, data, seed)
		require3(t, withReturns(data), seed)
	}
	require3(t, []byte(awkward), 1)
	require3(t, nil, 2)
}

// The edges of the shape that is read straight on, one by one.
func TestEdgesOfTheStraightShape(t *testing.T) {
	for _, line := range []string{ // numbers, then ends, feed rates, travels
		"G1 X1.5 Y2.5 E0.5", "G1 X-1.5 Y-2.5 E0.5", "G1 X-0.000 Y-0.0 E1.0", "G1 X5. Y2.5 E.5", "G1 X-.5 Y.5 E.5", "G1 X-. Y1.0 E1.0",
		"G1 X123456.7 Y1.0 E1.0", "G1 X1234567.8 Y1.0 E1.0", "G1 X1.234567 Y1.0 E1.0", "G1 X12.345678 Y1.0 E1.0",
		"G1 X1.0 Y1.0 E1234.56789", "G1 X1.0 Y1.0 E123456.7", "G1 X1.0 Y1.0 E1234567.8", "G1 X1.0 Y1.0 E12345678.9", "G1 X1.0 Y1.0 E1.2345678",
		"G1 X1.0 Y1.0 E1.23456789", "G1 X1.0 Y1.0 E-1.5", "G1 X1.0 Y1.0 E0.0", "G1 X1.0 Y1.0 E00000001.5", "G1 X1.0 Y1.0 E1.5.5",
		"G1 X1.0  Y1.0 E1.0", "G1 X1.0 Y1.0 E1.0 ", "G1 X1.0 Y1.0 E1.0\r", "G1 X1.0Y1.0 E1.0", "G1 X1.0 Y1.0E1.0", "G1 X1.0 Y1.0 E1.0;",
		"G1 X1.0 Y1.0 Z1.0", "G1 X1.0 E1.0 Y1.0", "G1 X1 Y1 E1", "G1 X1.0 Y1.0 E1.0*7", "G1 X1.0 Y1.0 E1e5", "G1 X99999.9 Y1.0 E1.0", "G1 X100000.1 Y1.0 E1.0",
		"G1 X1.0 Y1.0 E1234.56789;", "G1 X1.5 Y1.5 E1.5 ;", "G1 X1.5 Y1.5 E1.5  ; a ;b ", "G1 X1.5 Y1.5 E1.5 (c)", "G1 X1.5 Y1.5 E1.5;\r",
		"G1 X1.5 Y1.5 E1.5 ;" + strings.Repeat("c", 237), "G1 X1.5 Y1.5 E1.5 ;" + strings.Repeat("c", 238), "G1 Z1.5 ; lift", "G1 ; nothing", "G0 X1.5 Y1.5 ; go",
		"G1 F1800 X1.5 Y1.5 E1.5", "G0 F1800 X1.5 Y1.5 E1.5", "G0 F1800 X1.5 Y1.5", "G1 F0 X1.5 Y1.5 E1.5", "G1 F9999999 X1.5 Y1.5", "G1 F12345678 X1.5 Y1.5 E1.5",
		"G1 F X1.5 Y1.5", "G1 F1800.5 X1.5 Y1.5 E1.5", "G1 F-5 X1.5 Y1.5", "G1 F1800X1.5 Y1.5", "G1 F1800  X1.5 Y1.5", "G1 F6000001 X1.5 Y1.5", "G1 F6000000 X1.5 Y1.5 E2.5",
		"G0 X1.5 Y1.5", "G0 X0.0 Y0.0", "G1 X1.5 Y1.5", "G2 X1.5 Y1.5", "G0 X1.5 Y1.5 Z1", "G0 X1.5 Y1.5\r", "G0 X1.5 Y1.5 ", "G0 X100001.5 Y1.5", "G0 F5 X0.00001 Y0.0",
		"G1 X1.0 Y1.0 E1234567", "G1 X1.0 Y1.0 E12345678", "G1 X1.0 Y1.0 E.123456789", "G1 X: Y1.0 E1.0", "G1 X/.0 Y1.0 E1.0",
	} {
		for _, mode := range []string{"M83\n", "M82\n", "M83\nG92 X50000\n", "M82\nG92 E9999999\n", "G91\nM83\n", "G20\nM83\n", "M83\nG1 E-1\n", "M83\nM2\n"} {
			for _, tail := range []string{"", "\nG1 X7.5 Y7.5 E0.5\nG1 X8.5 Y7.5 E1.5\n"} {
				t.Run(strings.ReplaceAll(mode+line+tail, "\n", "|"), func(t *testing.T) {
					require3(t, []byte(mode+line+tail+strings.Repeat("\n", 99)), 3)
				})
			}
		}
	}
}

// A line is only set when it is asked for, and says then what it always says,
// its words included.
func TestLineAfterNext(t *testing.T) {
	s := gcode.NewScannerAt([]byte("M83\nG1 X1.5 Y-2.5 E0.25\nG1 X3.5 Y-2.5 E0.25\n"+strings.Repeat(" ", 99)), 1000, 51, true)
	in := gcode.NewInterp(gcode.Options{})
	require.True(t, in.Next(s))
	require.True(t, in.Next(s))
	l := s.Line()
	assert.Equal(t, 52, l.Number)
	assert.Equal(t, int64(1004), l.Offset)
	assert.Equal(t, "G1 X1.5 Y-2.5 E0.25", string(l.Raw))
	assert.Equal(t, gcode.G(10), l.Code)
	y, ok := l.Value('Y')
	assert.True(t, ok)
	assert.Equal(t, -2.5, y)
	require.True(t, in.Next(s))
	assert.Equal(t, int64(1044), s.Offset())
	assert.Equal(t, gcode.Move{Kind: gcode.Extrude, From: gcode.Place{X: 1.5, Y: -2.5}, To: gcode.Place{X: 3.5, Y: -2.5}, E: 0.25, Fed: 0.25}, *in.Move())
	require.True(t, in.Next(s), "blanks are a line")
	require.False(t, in.Next(s))
}

// What a comment says is not passed over; a carriage return is nothing to say.
func TestPassedLinesSayNothingButTheirMove(t *testing.T) {
	for line, passed := range map[string]bool{
		"G1 X1.5 Y2.5 E0.5": true, "G1 X1.5 Y2.5 E0.5\r": true, "G0 F900 X1.5 Y2.5": true, "G1 Z2": true, "G1 Z2\r": true,
		"G1 X1.5 Y2.5 E0.5 ; wall": false, "G1 X1.5 Y2.5 E0.5;wall\r": false, "G1 Z2 ; layer 4": false, "; layer 4": false, "G2 X1 Y1 R9": false,
	} {
		s := gcode.NewScanner([]byte("M83\n" + line + "\n" + strings.Repeat(" ", 99)))
		in := gcode.NewInterp(gcode.Options{})
		require.True(t, in.Next(s))
		require.True(t, in.Next(s))
		assert.Equal(t, passed, s.Passed(), line)
		want, got := gcode.ParseLine([]byte(strings.TrimSuffix(line, "\r"))), s.Line()
		assert.Equal(t, string(want.Raw), string(got.Raw))
		assert.Equal(t, string(want.Comment), string(got.Comment), line)
		assert.Equal(t, want.Words(), got.Words(), line)
		assert.Equal(t, strings.HasSuffix(line, "\r"), got.Is(gcode.CarriageReturn), line)
	}
}

func TestNothingPushedIsNoLine(t *testing.T) {
	var s gcode.Scanner
	assert.False(t, s.Next())
	assert.False(t, gcode.NewInterp(gcode.Options{}).Next(&s))
}

func TestNextAllocatesNothingPerLine(t *testing.T) {
	for name, data := range map[string][]byte{"relative": synthetic(200_000), "absolute": absolute(200_000)} {
		in := gcode.NewInterp(gcode.Options{})
		allocs := testing.AllocsPerRun(5, func() {
			s := gcode.NewScanner(data)
			for in.Next(s) {
			}
		})
		assert.LessOrEqual(t, allocs, 12.0, "%s: findings and tables, not lines", name)
	}
}

func FuzzNext(f *testing.F) {
	f.Add([]byte(awkward), int64(1))
	f.Add(wild(rand.New(rand.NewSource(4)), 40), int64(2))
	f.Fuzz(func(t *testing.T, data []byte, seed int64) {
		limits.Reader(t, func() { require3(t, data, seed) })
	})
}
