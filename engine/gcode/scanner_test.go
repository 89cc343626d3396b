package gcode_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/gcode"
	"sheenlay/engine/internal/limits"
)

// dump writes everything a line says, so that two readings can be compared.
func dump(l *gcode.Line) string {
	l.Decode()
	var b strings.Builder
	fmt.Fprintf(&b, "%d %d-%d %q flags=%b trouble=%b@%d %v", l.Number, l.Offset, l.End, l.Raw[:min(len(l.Raw), 80)], l.Flags, l.Trouble, l.Column, l.Code)
	for _, w := range l.Words() {
		fmt.Fprintf(&b, " %c=%x,%v,%d-%d", w.Letter, w.Value, w.Bare, w.Span.Start, w.Span.End)
	}
	fmt.Fprintf(&b, " n=%q t=%q c=%q N%d *%d", l.Name, l.Text[:min(len(l.Text), 80)], l.Comment[:min(len(l.Comment), 80)], l.LineNumber*int64(b2i(l.Is(gcode.HasNumber))), l.Checksum*b2i(l.Is(gcode.HasChecksum)))
	return b.String()
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func scanWhole(data []byte) []string {
	var out []string
	s := gcode.NewScanner(data)
	for s.Next() {
		out = append(out, dump(s.Line()))
	}
	return out
}

func scanChunks(data []byte, size func() int) []string {
	var out []string
	var s gcode.Scanner
	for rest := data; ; {
		n := min(len(rest), max(0, size()))
		chunk := bytes.Clone(rest[:n])
		rest = rest[n:]
		s.Push(chunk, len(rest) == 0)
		for s.Next() {
			out = append(out, dump(s.Line()))
		}
		for i := range chunk {
			chunk[i] = 'X' // nothing of a used chunk may be held
		}
		if len(rest) == 0 {
			return out
		}
	}
}

// slow reads a line with the slow path alone, the oracle of the fast one.
func slow(data []byte) []string {
	var out []string
	s := gcode.NewScanner(data).Lazy()
	for s.Next() {
		out = append(out, dump(s.Line()))
	}
	return out
}

var awkward = "\xef\xbb\xbf; opened with a mark\r\n" +
	"G1 X10 Y5 E0.4\n\n   \n; comment\n;\n(comment)\nG28\r\nG1X10Y5\nn5 g1 x1*99\nN3 T0*57\n" +
	"M117 Lay 3/120; note\nM117\nM118 E1 hello\nG1 X1 ; here\nG1 X-0.5 Y-.5 E-1.25\r\nG1 X123456789.12345 Y1\n" +
	"SET_SPEED NAME=\"wide wall\" VALUE=3\nM486 AHarbour tag 3\nM486 S1\n/G1 X1\n%\nG92 E0\nG1 F1800\nT1\n" +
	"G1 X1.123456 Y12345.1234567 E.00001 F1\nG1 X1 Y2 Z3 E4 F5 ; all\nG1 X1.5 Y2.5 E1e-5\n\x80\xff\x00\nlast without newline"

func TestChunkedEqualsWhole(t *testing.T) {
	whole := scanWhole([]byte(awkward))
	require.NotEmpty(t, whole)
	assert.Equal(t, slow([]byte(awkward)), whole)
	for size := 1; size < 90; size++ {
		require.Equal(t, whole, scanChunks([]byte(awkward), func() int { return size }), "chunks of %d", size)
	}
}

func TestLongLines(t *testing.T) {
	long := "G1 X1\n;" + strings.Repeat("a", 10_000_000) + "\r\nG1 X" + strings.Repeat(" ", 100_000) + "1\nG1 X2"
	whole := scanWhole([]byte(long))
	require.Len(t, whole, 4)
	assert.Equal(t, whole, scanChunks([]byte(long), func() int { return 65537 }))
	s := gcode.NewScanner([]byte(long))
	s.Next()
	s.Next()
	assert.NotZero(t, s.Line().Trouble&gcode.TooLong)
	assert.Len(t, s.Line().Raw, gcode.MaxLineBytes)

	in := gcode.NewInterp(gcode.Options{})
	for all := gcode.NewScanner([]byte(long)); in.Next(all); {
	}
	found := in.Findings()
	require.Equal(t, []string{"gcode-long-line"}, codes(in))
	assert.Equal(t, 3, found[0].Place.Line, "a long comment is none")
}

func TestFastPathEqualsSlowPath(t *testing.T) {
	const seed = 7
	random := rand.New(rand.NewSource(seed))
	number := func() string {
		v := (random.Float64() - 0.4) * math.Pow(10, float64(random.Intn(9)))
		return strconv.FormatFloat(v, 'f', random.Intn(9), 64)
	}
	n := 60000
	if testing.Short() {
		n = 5000
	}
	var b strings.Builder
	for range n {
		switch random.Intn(8) {
		case 0:
			fmt.Fprintf(&b, "G0 X%s Z%s F%s\n", number(), number(), number())
		case 1:
			fmt.Fprintf(&b, "G1 X%s Y%s E%s F%s\r\n", number(), number(), number(), number())
		case 2:
			fmt.Fprintf(&b, "G92 E%s ; %s\n", number(), number())
		case 3:
			fmt.Fprintf(&b, "G1  X%sY%s E%s\n", number(), number(), number())
		default:
			fmt.Fprintf(&b, "G1 X%s Y%s E%s\n", number(), number(), number())
		}
	}
	data := []byte(b.String())
	whole, oracle := scanWhole(data), slow(data)
	require.Len(t, whole, len(oracle))
	for i := range whole {
		require.Equal(t, oracle[i], whole[i], "seed %d", seed)
	}
}

func TestNumbersAreReadAsTheLibraryReadsThem(t *testing.T) {
	// Reference: strconv.ParseFloat, correctly rounded (Go standard library).
	const seed = 11
	random := rand.New(rand.NewSource(seed))
	for range 20000 {
		text := strconv.FormatFloat((random.Float64()-0.5)*math.Pow(10, float64(random.Intn(16))), 'f', random.Intn(14), 64)
		want, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		s := gcode.NewScanner([]byte("G1 X" + text + " Y1.000 E1.0000000\n" + strings.Repeat(" ", 64)))
		require.True(t, s.Next())
		got, ok := s.Line().Value('X')
		require.True(t, ok, text)
		require.Equal(t, want, got, "%s, seed %d", text, seed)
	}
}

func TestScannerKeepsPlaces(t *testing.T) {
	data := []byte("G1 X1\r\nG1 X2\n\nG1 X3")
	s := gcode.NewScanner(data)
	for s.Next() {
		l := s.Line()
		assert.Equal(t, strings.TrimRight(string(data[l.Offset:l.End]), "\r\n"), string(l.Raw))
	}
	assert.Equal(t, int64(len(data)), s.Offset())
	s = gcode.NewScannerAt([]byte("G1 X9\n"), 1000, 51, true)
	require.True(t, s.Next())
	assert.Equal(t, 51, s.Line().Number)
	assert.Equal(t, int64(1000), s.Line().Offset)
}

func TestDialect(t *testing.T) {
	// Common practice of sliced files, no published source.
	l := gcode.ParseLine([]byte("M117 G1 X5 Lay 3/120 ; note"))
	assert.Equal(t, gcode.M(117), l.Code)
	assert.Equal(t, "G1 X5 Lay 3/120", string(l.Text))
	assert.Equal(t, "note", string(l.Comment))
	assert.Len(t, l.Words(), 1, "free text holds no words")

	l = gcode.ParseLine([]byte("N3 T0*57"))
	assert.Equal(t, int64(3), l.LineNumber)
	assert.Zero(t, l.Trouble, "N3 T0 has the exclusive or 57")
	l = gcode.ParseLine([]byte("N3 T1*57"))
	assert.Equal(t, gcode.BadChecksum, l.Trouble)

	l = gcode.ParseLine([]byte("N5 M117 hi*33"))
	assert.Equal(t, "hi", string(l.Text), "a numbered line's checksum is no part of its text")
	assert.True(t, l.Is(gcode.HasChecksum))
	assert.Equal(t, 33, l.Checksum)
	sum := byte(0)
	for _, c := range []byte("N5 M117 hi") {
		sum ^= c
	}
	l = gcode.ParseLine([]byte(fmt.Sprintf("N5 M117 hi*%d ; note", sum)))
	assert.Zero(t, l.Trouble)
	assert.Equal(t, "hi", string(l.Text))
	assert.Equal(t, "note", string(l.Comment))
	l = gcode.ParseLine([]byte("N5 LABEL_START NAME=tag*1"))
	assert.Equal(t, "tag", string(l.Argument("name")))
	assert.Equal(t, gcode.BadChecksum, l.Trouble)
	l = gcode.ParseLine([]byte("M117 hi*33"))
	assert.Equal(t, "hi*33", string(l.Text), "without a line number an asterisk is text")

	l = gcode.ParseLine([]byte(`LABEL_START NAME="tag 3" Id=4 plain`))
	assert.Equal(t, "LABEL_START", string(l.Name))
	assert.Equal(t, "tag 3", string(l.Argument("name")))
	assert.Equal(t, "4", string(l.Argument("ID")))
	assert.Nil(t, l.Argument("OTHER"))

	l = gcode.ParseLine([]byte("M0 Take the tag off"))
	assert.Equal(t, "Take the tag off", string(l.Text))
	l = gcode.ParseLine([]byte("M0 P500"))
	p, _ := l.Value('P')
	assert.Equal(t, 500.0, p)
	l = gcode.ParseLine([]byte(";"))
	assert.True(t, l.Is(gcode.HasComment))
	assert.Empty(t, l.Words())
	l = gcode.ParseLine(nil)
	assert.Empty(t, l.Words())
}

func TestScanningAllocatesNothingPerLine(t *testing.T) {
	data := synthetic(200_000)
	allocs := testing.AllocsPerRun(5, func() {
		s := gcode.NewScanner(data)
		for s.Next() {
		}
	})
	assert.LessOrEqual(t, allocs, 2.0)
	in := gcode.NewInterp(gcode.Options{})
	allocs = testing.AllocsPerRun(5, func() {
		s := gcode.NewScanner(data)
		for s.Next() {
			in.Step(s.Line())
		}
	})
	assert.LessOrEqual(t, allocs, 12.0, "findings and tables, not lines")
}

// keptFiles are the smaller files of testdata.
func keptFiles() (out [][]byte) {
	names, _ := filepath.Glob("../../testdata/sliced/*.gcode")
	for _, name := range names {
		if data, err := os.ReadFile(name); err == nil && len(data) < 40_000 {
			out = append(out, data)
		}
	}
	return out
}

func FuzzScannerChunks(f *testing.F) {
	f.Add([]byte(awkward), 3, 5)
	for _, data := range keptFiles() {
		f.Add(data, 7, 60)
	}
	f.Add([]byte("G1 X1\n"), 1, 1)
	f.Add([]byte("0000000000000000A0000\n00e"), 3, 5) // E behind digits on a line without words
	f.Fuzz(func(t *testing.T, data []byte, a, b int) {
		limits.Reader(t, func() {
			sizes := []int{a&63 + 1, b&63 + 1}
			i := 0
			chunked := scanChunks(data, func() int { i++; return sizes[i&1] })
			whole := scanWhole(data)
			require.Equal(t, whole, chunked)
			require.Equal(t, slow(data), whole)
		})
	})
}

func FuzzInterp(f *testing.F) {
	f.Add([]byte(awkward))
	for _, data := range keptFiles() {
		f.Add(data)
	}
	f.Add([]byte("G91\nG1 X1e308 E99999999999\nG2 X1 Y1 R1\nG10 L20 P3 X5\nT99\nM104 S1e9 T77\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		limits.Reader(t, func() {
			in := gcode.NewInterp(gcode.Options{})
			s := gcode.NewScanner(data)
			for s.Next() {
				m := in.Step(s.Line())
				for _, v := range []float64{m.From.X, m.To.X, m.To.Y, m.To.Z, m.E, m.Fed, m.Feed, m.Arc.Radius, m.Arc.Sweep, m.Length()} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("not finite on line %d", s.Line().Number)
					}
				}
				if m.Fed < 0 {
					t.Fatal("negative feed")
				}
				_ = m.Kind.String()
			}
			a, b := in.State(), in.State()
			if d := a.Diff(&b); d != nil {
				t.Fatalf("state differs from itself: %v", d)
			}
		})
	})
}
