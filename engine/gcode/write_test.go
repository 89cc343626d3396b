package gcode_test

import (
	"bytes"
	"compress/gzip"
	"math"
	"math/rand"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/gcode"
)

func TestWrittenNumbers(t *testing.T) {
	for _, c := range []struct {
		v     float64
		coord string
		e     string
	}{
		{0, "0", "0"}, {math.Copysign(0, -1), "0", "0"}, {-0.0001, "0", "-0.0001"}, {0.0005, "0.001", "0.0005"},
		{1, "1", "1"}, {-1.5, "-1.5", "-1.5"}, {123.4567, "123.457", "123.4567"}, {1e-9, "0", "0"},
		{99999.9999, "100000", "99999.9999"}, {0.1, "0.1", "0.1"}, {10, "10", "10"}, {-0.05, "-0.05", "-0.05"},
		{math.NaN(), "0", "0"}, {math.Inf(1), "0", "0"}, {1e300, "0", "0"},
	} {
		assert.Equal(t, c.coord, string(gcode.AppendCoord(nil, c.v)))
		assert.Equal(t, c.e, string(gcode.AppendE(nil, c.v)))
	}
}

func TestWrittenNumbersReadBack(t *testing.T) {
	// Reference: strconv.FormatFloat and ParseFloat (Go standard library).
	random := rand.New(rand.NewSource(3))
	for range 20000 {
		v := (random.Float64() - 0.5) * math.Pow(10, float64(random.Intn(7)))
		text := string(gcode.AppendE(nil, v))
		got, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		require.InDelta(t, v, got, 0.5000001e-5)
		require.NotContains(t, text, "e")
		require.False(t, strings.HasSuffix(text, "."), text)
		require.NotEqual(t, "-0", text)
	}
}

func TestRoundingDoesNotAddUp(t *testing.T) {
	random := rand.New(rand.NewSource(9))
	q := gcode.Quantiser{Decimals: gcode.FilamentDecimals}
	exact, written := 0.0, 0.0
	for range 100_000 {
		v := random.Float64() * 0.01
		exact += v
		text := gcode.AppendE(nil, q.Next(v))
		back, err := strconv.ParseFloat(string(text), 64)
		require.NoError(t, err)
		written += back
	}
	assert.InDelta(t, exact, written, 0.5e-5+1e-8, "half of the last decimal after 100,000 moves")
	assert.InDelta(t, 0, q.Rest(), 0.5e-5+1e-12)
	assert.InDelta(t, written, q.Written(), 1e-6)
}

func TestWriterLines(t *testing.T) {
	w := gcode.Writer{}
	w.Begin("G1").Coord('X', 1.2345).Coord('Y', -0.0001).E(0.123456).Feed(1200).End()
	w.Comment("laid anew\nhere")
	w.Line("M83")
	assert.Equal(t, "G1 X1.235 Y0 E0.12346 F1200\n; laid anew here\nM83\n", string(w.Bytes))

	w = gcode.Writer{CarriageReturn: true, Numbered: true, Number: 7, Inches: true}
	w.Begin("G1").Coord('X', 25.4).E(2.54).Feed(254).End()
	w.Line("T0")
	assert.True(t, strings.HasSuffix(string(w.Bytes), "\r\n"))
	s := gcode.NewScanner(w.Bytes)
	in := gcode.NewInterp(gcode.Options{})
	in.Step(ptr(gcode.ParseLine([]byte("G20"))))
	for number := int64(7); s.Next(); number++ {
		l := s.Line()
		assert.True(t, l.Is(gcode.HasNumber|gcode.HasChecksum|gcode.CarriageReturn))
		assert.Zero(t, l.Trouble, "the checksum fits")
		assert.Equal(t, number, l.LineNumber)
		in.Step(l)
	}
	assert.InDelta(t, 25.4, in.At().Position.X, 1e-9)
	assert.InDelta(t, 2.54, in.At().E, 1e-9)
	assert.InDelta(t, 254, in.At().Feed, 1e-9)
	assert.Equal(t, int64(9), w.Number)
}

func ptr[T any](v T) *T { return &v }

func TestSniff(t *testing.T) {
	for _, c := range []struct{ name, head, code string }{
		{"nothing", "", "gcode-empty"}, {"blanks", " \n\t\n", "gcode-empty"},
		{"gzip", "\x1f\x8b\x08\x00", "gcode-compressed"}, {"archive", "PK\x03\x04rest", "gcode-archive"},
		{"binary", "\x7fELF\x00\x01\x02\x00\x00\x00", "gcode-binary"},
		{"two bytes a character", "\xff\xfeG\x002\x008\x00\n\x00", "gcode-wide-text"},
		{"carriage returns alone", "; one\rG28\rG1 X1 Y1 E1\r", "gcode-returns"},
		{"one line without an end, and a return in it", "G28\rM104", ""},
		{"comments", "; one\n; two\n", "gcode-no-commands"},
		{"markup", "<html><body class='x'>?</body>\n</html>\n", "gcode-not"},
		{"a sliced file", "; one\nG28\nG1 X1 Y1 E1\n", ""},
		{"word commands", "START_ALL BED=60\nG1 X1\n", ""},
		{"one bad byte", "; caf\xe9\nG28\nG1 X1\n", ""},
	} {
		f := gcode.Sniff([]byte(c.head), true)
		if c.code == "" {
			assert.Nil(t, f, c.name)
			continue
		}
		require.NotNil(t, f, c.name)
		assert.Equal(t, c.code, f.Code, c.name)
		assert.NotEmpty(t, f.Remedy)
	}
	assert.Nil(t, gcode.Sniff([]byte(strings.Repeat("; settings and more settings\n", 1000)), false), "commands may follow")
}

func TestInflate(t *testing.T) {
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, err := z.Write([]byte("G28\nG1 X1\n"))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	assert.True(t, gcode.IsGzip(packed.Bytes()))
	assert.False(t, gcode.IsGzip([]byte("G28")))
	got, err := gcode.Inflate(bytes.NewReader(packed.Bytes()), 100)
	require.NoError(t, err)
	assert.Equal(t, "G28\nG1 X1\n", string(got))
	_, err = gcode.Inflate(bytes.NewReader(packed.Bytes()), 5)
	assert.ErrorContains(t, err, "more than can be read")
	_, err = gcode.Inflate(bytes.NewReader(packed.Bytes()[:packed.Len()-9]), 100)
	assert.ErrorContains(t, err, "ends in the middle")
	_, err = gcode.Inflate(strings.NewReader("G28"), 100)
	assert.ErrorContains(t, err, "does not open")
}
