//go:build !js

package outside_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/gcode"
	"sheenlay/engine/specimen"
)

// leg is a move as both readers tell it: the end, and an arc's centre.
type leg struct {
	to     gcode.Place
	centre [2]float64
	arc    bool
}

const still = 1e-9 // mm: a move that goes nowhere is told by one reader only

func ourLegs(data []byte) (legs []leg) {
	s, in := gcode.NewScanner(data), gcode.NewInterp(gcode.Options{})
	for s.Next() {
		m := in.Step(s.Line())
		if m.Kind == gcode.Home || !m.Moves() {
			continue
		}
		l := leg{to: m.To, arc: m.Arc.Is()}
		if !l.arc && distance(m.From, m.To) < still {
			continue
		}
		if l.arc {
			l.centre = [2]float64{m.Arc.Centre.X, m.Arc.Centre.Y}
		}
		legs = append(legs, l)
	}
	return legs
}

func distance(from, to gcode.Place) float64 {
	return math.Max(math.Hypot(from.X-to.X, from.Y-to.Y), math.Abs(from.Z-to.Z))
}

func (p *peer) legs(t testing.TB, text string) (legs []leg) {
	t.Helper()
	var moves [][8]*float64
	require.NoError(t, p.ask(t, map[string]any{"kind": "gcode", "text": text}, &moves))
	for _, m := range moves {
		l := leg{to: gcode.Place{X: *m[3], Y: *m[4], Z: *m[5]}, arc: m[6] != nil}
		if !l.arc && distance(gcode.Place{X: *m[0], Y: *m[1], Z: *m[2]}, l.to) < still {
			continue
		}
		if l.arc {
			l.centre = [2]float64{*m[6], *m[7]}
		}
		legs = append(legs, l)
	}
	return legs
}

// compareLegs returns the largest difference of ends and centres, mm.
func compareLegs(t testing.TB, name string, want, got []leg) float64 {
	t.Helper()
	worst := 0.0
	for i := range min(len(want), len(got)) {
		off := distance(want[i].to, got[i].to)
		require.LessOrEqual(t, off, 1e-3, "%s: move %d ends at %v, the other reader says %v", name, i, got[i].to, want[i].to)
		require.Equal(t, want[i].arc, got[i].arc, "%s: move %d", name, i)
		off = math.Max(off, math.Hypot(want[i].centre[0]-got[i].centre[0], want[i].centre[1]-got[i].centre[1]))
		require.LessOrEqual(t, off, 1e-3, "%s: centre of move %d", name, i)
		worst = math.Max(worst, off)
	}
	require.Len(t, got, len(want), name)
	return worst
}

// withoutText takes away what the other reader mistakes for words: the names and
// values of commands that are words (it picks letters followed by digits out of
// any text). Nothing that moves is taken away.
func withoutText(data []byte) string {
	var out strings.Builder
	for line := range strings.Lines(string(data)) {
		bare := strings.TrimLeft(strings.TrimPrefix(line, "\ufeff"), " \t")
		if len(bare) > 1 && strings.IndexByte("GMTNXYZEFgmtnxyzef;(", bare[0]) < 0 || strings.HasPrefix(bare, "EX") || strings.HasPrefix(bare, "M117") {
			out.WriteByte('\n')
			continue
		}
		out.WriteString(bare)
	}
	return out.String()
}

// TestToolpathsOfWholeFiles reads kept and drawn sliced files with both readers.
func TestToolpathsOfWholeFiles(t *testing.T) {
	p := startPeer(t)
	worst, moves, files := 0.0, 0, 0
	one := func(name string, data []byte) {
		want := p.legs(t, withoutText(data))
		require.NotEmpty(t, want, name)
		worst = math.Max(worst, compareLegs(t, name, want, ourLegs(data)))
		moves, files = moves+len(want), files+1
	}
	for _, s := range append(specimen.Samples(), specimen.TestFiles()...) {
		one(s.ID, specimen.Make(s.Options).Bytes)
	}
	for seed := range uint64(40 * *scale) {
		one(fmt.Sprintf("seed %d", seed), specimen.Random(seed).Bytes)
	}
	record(t, fmt.Sprintf("toolpath of whole sliced files, %d moves", moves), "gcode-toolpath 3.0.0", files, worst, "mm")
}

// TestToolpathsOfDrawnPrograms draws programs from what both readers know:
// modes, units, offsets, arcs by centre in every plane, bare axis words, blanks,
// both kinds of comments, line numbers. G92 of E alone is left out: the other
// reader takes it for a G92 without words and drops every offset.
func TestToolpathsOfDrawnPrograms(t *testing.T) {
	p := startPeer(t)
	worst, cases := 0.0, 500**scale
	for k := range cases {
		program := drawnProgram(rand.New(rand.NewPCG(41, uint64(k))))
		worst = math.Max(worst, compareLegs(t, fmt.Sprintf("case %d\n%s", k, program), p.legs(t, program), ourLegs([]byte(program))))
	}
	record(t, "drawn programs: units, modes, G92, arcs, modal words, blanks", "gcode-toolpath 3.0.0", cases, worst, "mm")
}

func drawnProgram(rng *rand.Rand) string {
	var b strings.Builder
	var x, y, radius float64 // program coordinates, tracked for arcs; G90 and G21 only
	number := func(v float64) string {
		switch rng.IntN(4) {
		case 0:
			return fmt.Sprintf("%.4f", v)
		case 1:
			return fmt.Sprintf("%+.5f", v)
		case 2:
			return strings.Replace(fmt.Sprintf("%.6f", v), "0.", ".", 1)
		}
		return fmt.Sprintf(" %.5f ", v)
	}
	for n := range 60 {
		if rng.IntN(8) == 0 {
			fmt.Fprintf(&b, "N%d ", n)
		}
		switch rng.IntN(9) {
		case 0:
			b.WriteString([]string{"G91\nG1 X.5\nG1 Y-2. Z.25\nG90", "G20\nG1 X1.25 Y-.5\nG91\nG0 Z.125\nG90\nG21", "M106 S128", "G1 F1200", "T0"}[rng.IntN(5)])
			b.WriteByte('\n')
			x, y = float64(rng.IntN(20)), float64(rng.IntN(20))
			fmt.Fprintf(&b, "G1 X%g Y%g", x, y)
		case 1:
			x, y = rng.Float64()*9, rng.Float64()*9
			fmt.Fprintf(&b, "G92 X%.6f Y%.6f", x, y)
			x, y = math.Round(x*1e6)/1e6, math.Round(y*1e6)/1e6
		case 2, 3: // an arc about a centre, sometimes the whole circle
			radius = 0.01 + rng.Float64()*20
			from, sweep := rng.Float64()*7, rng.Float64()*6.2+0.01
			if rng.IntN(4) == 0 {
				sweep = 0
			}
			cx, cy := x-radius*math.Cos(from), y-radius*math.Sin(from)
			i, j := cx-x, cy-y
			x, y = cx+radius*math.Cos(from+sweep), cy+radius*math.Sin(from+sweep)
			fmt.Fprintf(&b, "G%d X%.9f Y%.9f I%.9f J%.9f", 2+rng.IntN(2), x, y, i, j)
		case 4:
			x = rng.Float64() * 100
			fmt.Fprintf(&b, "G1\nX%s ; bare", number(x))
		case 5:
			fmt.Fprintf(&b, "g0 z%s (lifted ; still a comment)", number(rng.Float64()))
		default:
			x, y = rng.Float64()*200-100, rng.Float64()*200-100
			fmt.Fprintf(&b, "G1 X%s Y%s E%s", number(x), number(y), number(rng.Float64()))
		}
		b.WriteString([]string{"\n", "\r\n"}[rng.IntN(2)])
	}
	return b.String()
}
