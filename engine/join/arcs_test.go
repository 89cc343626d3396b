package join_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/gcode"
	"sheenlay/engine/join"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
	"sheenlay/engine/tol"
)

// turned returns points on a circle from one angle on, with a sagitta of each
// chord as curves of patterns have it.
func turned(centre plane.Point, radius, from, sweep float64) []plane.Point {
	step := 2 * math.Acos(1-tol.Flattening/radius)
	n := int(math.Ceil(math.Abs(sweep) / step))
	var out []plane.Point
	for k := 0; k <= n; k++ {
		out = append(out, centre.Add(plane.Point{X: radius}.Turn(from+sweep*float64(k)/float64(n))))
	}
	return out
}

// rings lays circles inside each other as one bead.
func rings(centre plane.Point, outer, inner, pitch float64) []plane.Point {
	var out []plane.Point
	for k, r := 0, outer; r >= inner; k, r = k+1, r-pitch {
		sweep := 2 * math.Pi
		if k%2 == 1 {
			sweep = -sweep
		}
		out = append(out, turned(centre, r, 0.3, sweep)...)
	}
	return out
}

// bentCase is a join with one bead over the specimen of the faults.
func bentCase(points []plane.Point, arcs bool) (specimen.Specimen, join.Input) {
	m, in := faultCase()
	op := priced(join.Operation{Role: join.Pattern, Points: points}, m.Truth.EPerMM, 1200)
	in.Layers = []join.Layer{{ZMM: m.Truth.FirstHeightMM, Operations: []join.Operation{op}}}
	in.Arcs = arcs
	return m, in
}

var middle = plane.Point{X: 110, Y: 110}

// arcMoves returns the moves of a block that lay filament along an arc, and the
// filament that all its beads feed.
func arcMoves(m specimen.Specimen, r join.Result) (arcs []gcode.Move, fed float64) {
	in := gcode.NewInterp(gcode.Options{})
	start, end := r.Blocks[0].Start, r.Blocks[0].Start+int64(len(r.Blocks[0].Bytes))
	for s := gcode.NewScanner(r.FinishedHead(m.Bytes)); s.Next(); {
		move := in.Step(s.Line())
		if move.Kind != gcode.Extrude || s.Line().Offset < start || s.Line().Offset >= end {
			continue
		}
		fed += move.E
		if move.Arc.Is() {
			arcs = append(arcs, move)
		}
	}
	return arcs, fed
}

// offWay returns how far the points on an arc lie from a polyline, at most.
func offWay(m gcode.Move, way []plane.Point) float64 {
	most := 0.0
	start := plane.Point{X: m.From.X, Y: m.From.Y}.Sub(m.Arc.Centre)
	for i := 0; i <= 100; i++ {
		p := m.Arc.Centre.Add(start.Turn(m.Arc.Sweep * float64(i) / 100))
		least := math.Inf(1)
		for k := 1; k < len(way); k++ {
			a, d := way[k-1], way[k].Sub(way[k-1])
			t := math.Min(math.Max(p.Sub(a).Dot(d)/d.Dot(d), 0), 1)
			least = math.Min(least, p.Dist(a.Add(d.Mul(t))))
		}
		most = math.Max(most, least)
	}
	return most
}

func TestRingsAreWrittenAsArcs(t *testing.T) {
	points := rings(middle, 11, 5.2, 0.4)
	m, in := bentCase(points, true)
	r, _ := proved(t, "rings", m, in)
	arcs, fed := arcMoves(m, r)
	// Fifteen circles of two half turns each; where two circles are joined the
	// link is a line.
	assert.Equal(t, r.Figures.Arcs, len(arcs))
	assert.GreaterOrEqual(t, len(arcs), 30)
	assert.LessOrEqual(t, len(arcs), 45)
	asked := 0.0
	for _, e := range in.Layers[0].Operations[0].E {
		asked += e
	}
	assert.InEpsilon(t, asked, fed, 1e-4)
	for _, a := range arcs {
		assert.LessOrEqual(t, math.Abs(a.Arc.Sweep), math.Pi+1e-9)
		assert.GreaterOrEqual(t, a.Arc.Radius, tol.JoinArcSmallest)
		assert.InDelta(t, a.Arc.Radius, plane.Point{X: a.To.X, Y: a.To.Y}.Dist(a.Arc.Centre), 0.002+1e-9, "NISTIR 6556, §3.5.3.2")
		assert.InDelta(t, 0, a.Arc.Centre.Dist(middle), 0.05)
		assert.LessOrEqual(t, offWay(a, points), tol.JoinArcChord+tol.JoinWay)
		// An arc may lie that much outside the points it stands for.
		assert.InEpsilon(t, m.Truth.EPerMM, a.E/(a.Arc.Radius*math.Abs(a.Arc.Sweep)), tol.JoinArc/a.Arc.Radius, "filament of each mm of this arc")
	}
	plain := in
	plain.Arcs = false
	without, _ := proved(t, "rings without", m, plain)
	assert.Zero(t, without.Figures.Arcs)
	assert.Less(t, 4*len(r.Blocks[0].Bytes), len(without.Blocks[0].Bytes), "a circle takes two lines")
	assert.InEpsilon(t, without.Figures.LengthMM, r.Figures.LengthMM, 1e-3)
}

func TestStraightBeadsHaveNoArcs(t *testing.T) {
	for name, points := range map[string][]plane.Point{
		"zigzag":       zigzag(plane.Box{Min: plane.Point{X: 100, Y: 104}, Max: plane.Point{X: 120, Y: 116}}, 0.4, 0.03, 1200).Points,
		"hexagons":     slices.Concat(polygon(6, 9), polygon(6, 8), polygon(6, 7)),
		"small circle": turned(middle, 4.9, 0, 2*math.Pi),
		"two segments": turned(middle, 9, 0, 0.2)[:3],
		"hardly bent":  turned(middle.Add(plane.Point{Y: -490}), 490, math.Pi/2-0.005, 0.01),
	} {
		t.Run(name, func(t *testing.T) {
			m, in := bentCase(points, true)
			with, _ := proved(t, name, m, in)
			in.Arcs = false
			without, _ := proved(t, name, m, in)
			assert.Equal(t, string(without.Blocks[0].Bytes), string(with.Blocks[0].Bytes))
		})
	}
	t.Run("kept stroke", func(t *testing.T) {
		m, in := bentCase(turned(middle, 9, 0, 2*math.Pi), true)
		in.Layers[0].Operations[0].Role = join.Kept
		r, _ := proved(t, "kept", m, in)
		assert.Zero(t, r.Figures.Arcs, "laid as it was")
	})
}

func polygon(n int, radius float64) []plane.Point {
	var out []plane.Point
	for k := range n + 1 {
		out = append(out, middle.Add(plane.Point{X: radius}.Turn(float64(k)*2*math.Pi/float64(n))))
	}
	return out
}

// An arc ends where the width, the flow or the speed changes, and nowhere else.
func TestArcsKeepWidthAndSpeed(t *testing.T) {
	points := turned(middle, 10, 0, math.Pi-0.01)
	cut := len(points) / 3
	ends := func(change func(*join.Operation)) []plane.Point {
		m, in := bentCase(points, true)
		change(&in.Layers[0].Operations[0])
		r, _ := proved(t, "half circle", m, in)
		arcs, _ := arcMoves(m, r)
		var out []plane.Point
		for _, a := range arcs {
			out = append(out, plane.Point{X: a.To.X, Y: a.To.Y})
		}
		return out
	}
	assert.Len(t, ends(func(*join.Operation) {}), 1)
	for name, change := range map[string]func(*join.Operation, int){
		"width one percent more": func(op *join.Operation, k int) { op.E[k] *= 1.01 },
		"speed":                  func(op *join.Operation, k int) { op.Feed[k] = 1100 },
	} {
		got := ends(func(op *join.Operation) {
			for k := cut; k < len(op.E); k++ {
				change(op, k)
			}
		})
		require.Len(t, got, 2, name)
		assert.InDelta(t, 0, got[0].Dist(points[cut]), 0.001, name)
	}
}

// Waves, spirals and noise of all sizes: whatever is written as an arc holds its
// bounds, and the whole way is the one asked.
func TestArcsOfAnyBead(t *testing.T) {
	const seed = 11
	random := rand.New(rand.NewPCG(seed, 1))
	total := 0
	for round := range 60 {
		p, heading := plane.Point{X: 60 + random.Float64()*80, Y: 60 + random.Float64()*80}, random.Float64()*7
		points := []plane.Point{p}
		for len(points) < 120 {
			bend, step := random.NormFloat64()*0.1, 0.05+random.Float64()*1.5
			noise := []float64{0, 0, 0.002, 0.009, 0.05}[random.IntN(5)]
			for range 1 + random.IntN(40) {
				heading += bend * step
				p = p.Add(plane.Point{X: step}.Turn(heading))
				points = append(points, p.Add(plane.Point{X: random.NormFloat64() * noise, Y: random.NormFloat64() * noise}))
			}
		}
		m, in := bentCase(points, true)
		r, found := join.Build(in)
		require.Empty(t, found)
		proof := join.Prove(r.FinishedHead(m.Bytes), m.Bytes, join.PlanOf(in, r, join.Machine{FilamentMM: 1.75}))
		require.True(t, proof.OK, "seed %d round %d: %v", seed, round, proof.Findings)
		arcs, _ := arcMoves(m, r)
		for _, a := range arcs {
			require.LessOrEqual(t, offWay(a, points), tol.JoinArcChord+2*tol.JoinWay, "seed %d round %d", seed, round)
		}
		total += len(arcs)
	}
	assert.Greater(t, total, 100)
}

// All kinds of files take arcs: inches, other planes, numbered lines, several
// layers.
func TestArcsInEveryFile(t *testing.T) {
	for _, s := range allFiles() {
		m := specimen.Make(s.Options)
		in := inputFor(m, 1, rand.New(rand.NewPCG(9, 9)))
		in.Arcs = true
		centre := m.Truth.Footprint.Bounds().Centre()
		ops := in.Layers[0].Operations[:len(in.Layers[0].Operations)-2] // but for the zigzags
		op := join.Operation{Role: join.Pattern, Points: rings(centre, 7, 5.5, 0.4)}
		in.Layers[0].Operations = append(ops, priced(op, m.Truth.EPerMM, 1200))
		r, _ := proved(t, s.ID, m, in)
		assert.GreaterOrEqual(t, r.Figures.Arcs, 8, s.ID)
	}
	file, cut := handMade("G90\nG1 X0 Y0 Z5 F3000\nG92 E0\nG18\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X9\n")
	in := handInput(file, cut)
	in.Arcs = true
	in.Layers[0].Operations = []join.Operation{priced(join.Operation{Points: turned(plane.Point{X: 30, Y: 30}, 10, 0, 3)}, 0.034, 1200)}
	r, _ := proved(t, "another plane", specimen.Specimen{Bytes: file}, in)
	text := string(r.Blocks[0].Bytes)
	assert.Less(t, strings.Index(text, "\nG17\n"), strings.Index(text, "\nG3 X"))
	assert.Greater(t, strings.Index(text, "\nG18\n"), strings.LastIndex(text, "\nG3 X"))
}

// A file that says centres are places gets no arcs: machines differ in whether
// they listen.
func TestNoArcsUnderAbsoluteCentres(t *testing.T) {
	for name, c := range map[string]struct {
		head string
		arcs bool
	}{"absolute": {"G90.1\n", false}, "absolute with other modes": {"G17 G90.1 G21\n", false}, "back again": {"G90.1\nG91.1\n", true}} {
		t.Run(name, func(t *testing.T) {
			file, cut := handMade("G90\n" + c.head + "G1 X0 Y0 Z5 F3000\nG92 E0\n@\nG1 X30 Y30 Z0.2\nG1 X40 E0.34 F1200\n@\nG1 X9\n")
			in := handInput(file, cut)
			in.Arcs = true
			in.Layers[0].Operations = []join.Operation{priced(join.Operation{Points: turned(plane.Point{X: 30, Y: 30}, 10, 0, 3)}, 0.034, 1200)}
			r, found := join.Build(in)
			assert.Equal(t, !c.arcs, found.Has("join-arcs-absolute"))
			assert.Equal(t, c.arcs, r.Figures.Arcs > 0)
			assert.Equal(t, c.arcs, bytes.Contains(r.Blocks[0].Bytes, []byte("\nG3 ")))
		})
	}
}

var centreX = regexp.MustCompile(` I(-?[\d.]+)`)

// arcFaults spoil the first arc of a sound join.
func arcFaults() []fault {
	isArc := func(l string) bool { return strings.HasPrefix(l, "G3 X") || strings.HasPrefix(l, "G2 X") }
	words := func(l string) (x, y, i, j float64) {
		p := gcode.ParseLine([]byte(l))
		for letter, v := range map[byte]*float64{'X': &x, 'Y': &y, 'I': &i, 'J': &j} {
			*v, _ = p.Value(letter)
		}
		return x, y, i, j
	}
	// moved shifts the centre of an arc by mm, along the bisector of its ends
	// or across it.
	moved := func(mm float64, along bool) func([]string) []string {
		return func(lines []string) []string {
			lines = slices.Clone(lines)
			k := indexOf(lines, isArc)
			from := k - 1
			for !strings.Contains(lines[from], " X") {
				from--
			}
			x0, y0, _, _ := words(lines[from])
			x, y, i, j := words(lines[k])
			d := plane.Point{X: x - x0, Y: y - y0}.Unit()
			if along {
				d = d.Left()
			}
			line := regexp.MustCompile(` I-?[\d.]+ J-?[\d.]+`).ReplaceAllString(lines[k], fmt.Sprintf(" I%.3f J%.3f", i+mm*d.X, j+mm*d.Y))
			lines[k] = line
			return lines
		}
	}
	return []fault{
		{name: "centre 0.05 mm off along the bisector", edit: moved(0.05, true), codes: []string{join.CodeWay}},
		{name: "centre 0.05 mm off along the chord", edit: moved(0.05, false), codes: []string{join.CodeArc, join.CodeWay}},
		{name: "centre on the other side", edit: replaced(isArc, func(l string) string { return strings.Replace(centreX.ReplaceAllString(l, " I-$1"), "I--", "I", 1) }),
			codes: []string{join.CodeArc, join.CodeJump, join.CodeWay}},
		{name: "filament of the arc", edit: replaced(isArc, func(l string) string {
			return regexp.MustCompile(` E([\d.]+)`).ReplaceAllString(l, " E0.5")
		}), codes: []string{join.CodeTotal}},
		{name: "arc ends elsewhere", edit: replaced(isArc, func(l string) string {
			return regexp.MustCompile(` Y(\d+)[\d.]*`).ReplaceAllString(l, " Y$1.4")
		}), codes: []string{join.CodeArc, join.CodeWay}},
		{name: "five decimals of a centre", edit: replaced(isArc, func(l string) string { return centreX.ReplaceAllString(l, " I${1}0000") }), codes: []string{join.CodeNumber}},
	}
}

// arcFaultCase is a sound join whose bead is three quarters of a circle.
func arcFaultCase() (specimen.Specimen, join.Input) {
	return bentCase(turned(middle, 12, 0.4, 1.5*math.Pi), true)
}

func TestFaultsOfArcs(t *testing.T) {
	m, in := arcFaultCase()
	r, _ := proved(t, "sound", m, in)
	for _, f := range arcFaults() {
		t.Run(f.name, func(t *testing.T) {
			finished, spoiled := spoil(m, in, r, f.edit)
			p := join.Prove(finished, m.Bytes, join.PlanOf(in, spoiled, machineOf(m)))
			assert.Equal(t, f.codes, codesOf(p.Findings), "%v", p.Findings)
		})
	}
	t.Run("turned the other way", func(t *testing.T) {
		finished, spoiled := spoil(m, in, r, replaced(func(l string) bool { return strings.HasPrefix(l, "G3 ") }, func(l string) string { return "G2" + l[2:] }))
		p := join.Prove(finished, m.Bytes, join.PlanOf(in, spoiled, machineOf(m)))
		assert.Contains(t, codesOf(p.Findings), join.CodeWay, "%v", p.Findings)
	})
	t.Run("faster than the machine melts", func(t *testing.T) {
		bytes, asBuilt := spoil(m, in, r, func(l []string) []string { return l })
		flow := m.Truth.EPerMM * math.Pi / 4 * m.Truth.FilamentMM * m.Truth.FilamentMM * 1200 / 60
		for most, codes := range map[float64][]string{1.01 * flow: {}, 0.99 * flow: {join.CodeFlow}} {
			k := machineOf(m)
			k.MaxFlowMM3s = most
			p := join.Prove(bytes, m.Bytes, join.PlanOf(in, asBuilt, k))
			assert.InEpsilon(t, flow, p.PeakFlowMM3s, 1e-3)
			assert.Equal(t, codes, append([]string{}, codesOf(p.Findings)...), "%g mm³/s permitted", most)
		}
	})
	t.Run("bulges off the bed", func(t *testing.T) {
		k := machineOf(m)
		k.Bed = join.Bed{Box: plane.Box{Min: plane.Point{X: 0, Y: 0}, Max: plane.Point{X: 220, Y: 121.5}}} // the top of the circle is at 122
		bytes, asBuilt := spoil(m, in, r, func(l []string) []string { return l })
		assert.Equal(t, []string{join.CodeBed}, codesOf(join.Prove(bytes, m.Bytes, join.PlanOf(in, asBuilt, k)).Findings))
		k = machineOf(m)
		k.Bed.KeepOut = []plane.Box{{Min: plane.Point{X: 108, Y: 121.5}, Max: plane.Point{X: 112, Y: 130}}}
		assert.Equal(t, []string{join.CodeKeepOut}, codesOf(join.Prove(bytes, m.Bytes, join.PlanOf(in, asBuilt, k)).Findings))
	})
}
