package coverage_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/coverage"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

const line = 0.4

// bar is the rectangle from corner to corner.
func bar(x0, y0, x1, y1 float64) plane.Region {
	return plane.Region{{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
}

func bead(width float64, points ...plane.Point) strand.Strand {
	s := strand.Strand{Points: points}
	for range len(points) - 1 {
		s.Width = append(s.Width, width)
	}
	return s
}

// zigzag covers a w × h rectangle with one strand: rows of the given pitch whose
// ends turn half a line inside it.
func zigzag(w, h, pitch float64) strand.Strand {
	var points []plane.Point
	n := int(math.Round(h / pitch))
	for k := range n {
		y := (float64(k) + 0.5) * pitch
		a, b := plane.Point{X: line / 2, Y: y}, plane.Point{X: w - line/2, Y: y}
		if k%2 == 1 {
			a, b = b, a
		}
		points = append(points, a, b)
	}
	return bead(line, points...)
}

func turned(s strand.Strand, m plane.Affine) strand.Strand {
	s.Points = m.ApplyLine(s.Points)
	return s
}

func measure(job coverage.Job) coverage.Result { return coverage.Measure(context.Background(), job) }

func good() coverage.Job {
	return coverage.Job{Face: bar(0, 0, 30, 20), Strands: []strand.Strand{zigzag(30, 20, line)}, LineMM: line}
}

// TestClosedForms measures beads within a large face; the closed forms are
// elementary geometry, the figures computed independently (derived).
func TestClosedForms(t *testing.T) {
	flat := bead(line, plane.Point{X: -5}, plane.Point{X: 5})
	up := func(degrees float64) strand.Strand { return turned(flat, plane.Rotate(degrees*math.Pi/180)) }
	for _, c := range []struct {
		name            string
		strands         []strand.Strand
		covered, double float64
	}{
		{"nothing", nil, 0, 0},
		{"capsule", []strand.Strand{flat}, 4.1256637, 0},
		{"crossing at 90", []strand.Strand{flat, up(90)}, 8.0913274, 0.16},
		{"crossing at 60", []strand.Strand{flat, up(60)}, 8.0665753, 2*4.1256637 - 8.0665753},
		{"parallel at 0.36", []strand.Strand{flat, turned(flat, plane.Translate(0, 0.36))}, 7.8466293, 0.4046981},
		{"parallel at one width", []strand.Strand{flat, turned(flat, plane.Translate(0, 0.4))}, 2 * 4.1256637, 0},
		{"unit discs", []strand.Strand{bead(2, plane.Point{}, plane.Point{}), bead(2, plane.Point{X: 1}, plane.Point{X: 1})}, 5.0548156, 1.2283697},
	} {
		for _, degrees := range []float64{0, 30, 45, 71.3} {
			t.Run(fmt.Sprintf("%s/%g", c.name, degrees), func(t *testing.T) {
				m := plane.Rotate(degrees * math.Pi / 180).Then(plane.Translate(110, 90))
				job := coverage.Job{Face: m.ApplyRegion(bar(-8, -8, 8, 8)), LineMM: line, PixelMM: 0.02}
				for _, s := range c.strands {
					job.Strands = append(job.Strands, turned(s, m))
				}
				r := measure(job)
				assert.InDelta(t, c.covered, r.Covered.MM2, 0.005*c.covered)
				assert.InDelta(t, c.double, r.Double.MM2, 0.003*c.covered+1e-9)
				assert.Zero(t, r.Spilled.MM2)
				assert.InDelta(t, 100*r.Covered.MM2/256, r.Covered.Percent, 1e-9)
			})
		}
	}
}

func TestAdjacentBeadsAreExactlyOneLayer(t *testing.T) {
	for _, degrees := range []float64{0, 17, 45, 90, 123} {
		m := plane.Rotate(degrees * math.Pi / 180).Then(plane.Translate(100, 100))
		job := good()
		job.Face = m.ApplyRegion(job.Face)
		job.Strands[0] = turned(job.Strands[0], m)
		r := measure(job)
		// At every turn the zigzag leaves its outer corners open: (1 − π/4) of a
		// quarter square each.
		corners := 100 * 0.2 * 0.2 * (1 - math.Pi/4)
		assert.InDelta(t, 600-corners, r.Covered.MM2, 0.2, "turned %g", degrees)
		assert.Less(t, r.Double.MM2, 0.02, "turned %g", degrees)
		assert.Less(t, r.Spilled.MM2, 0.02, "turned %g", degrees)
		assert.Empty(t, r.Findings, "turned %g", degrees)
	}
}

func TestUnionAreaOfManyBeads(t *testing.T) {
	// Against the exact area of a comb of beads: 500 capsules 0.1 mm apart.
	job := coverage.Job{Face: bar(-5, -5, 205, 255), LineMM: line, PixelMM: 0.05}
	for k := range 500 {
		y := 0.5 * float64(k)
		job.Strands = append(job.Strands, bead(line, plane.Point{Y: y}, plane.Point{X: 200, Y: y}))
	}
	want := 500 * (200*line + math.Pi*line*line/4)
	assert.InDelta(t, 1, measure(job).Covered.MM2/want, 0.0002)
}

// TestFaults seeds one fault for each check: the sound job stays clean, the
// fault turns exactly its own code on.
func TestFaults(t *testing.T) {
	assert.Empty(t, measure(good()).Findings)
	shifted := func(s strand.Strand, y float64) strand.Strand { return turned(s, plane.Translate(0, y)) }
	rows := func(pitch float64, n int) (out []strand.Strand) {
		for k := range n {
			out = append(out, bead(line, plane.Point{X: 0.2, Y: 0.2 + pitch*float64(k)}, plane.Point{X: 29.8, Y: 0.2 + pitch*float64(k)}))
		}
		return out
	}
	above := func(degrees float64) *deposit.Layer {
		layer := &deposit.Layer{Index: 1, Height: 0.2}
		m := plane.Translate(-15, -10).Then(plane.Rotate(degrees * math.Pi / 180)).Then(plane.Translate(15, 10))
		for k := range 50 {
			y := 0.2 + line*float64(k)
			layer.Strokes = append(layer.Strokes, deposit.Stroke{Class: deposit.Fill, Points: m.ApplyLine(plane.Polyline{{Y: y}, {X: 30, Y: y}})})
		}
		return layer
	}
	for _, c := range []struct {
		name  string
		fault func(*coverage.Job)
		code  string // "" = stays clean; with others that follow from it, after a blank
	}{
		{"a row left out", func(j *coverage.Job) {
			// The zigzag in two halves, two rows apart.
			j.Face = bar(0, 0, 30, 40.8)
			j.Strands = append(j.Strands, shifted(zigzag(30, 20, line), 20.8))
			j.Strands[1] = j.Strands[1].Reversed()
		}, "coverage-open-spot"},
		{"beyond the footprint", func(j *coverage.Job) { j.Face = bar(0, 0, 30, 18) }, "coverage-excess"},
		{"margin wanted", func(j *coverage.Job) { j.Face, j.Footprint = bar(0, 0, 30, 18), bar(0, 0, 30, 20) }, ""},
		{"lines at 60 %", func(j *coverage.Job) {
			j.Strands = rows(0.6*line, 83)
		}, "coverage-lines-close"},
		{"lines at 75 %", func(j *coverage.Job) {
			j.Strands = rows(0.75*line, 66)
		}, ""},
		{"the same line twice", func(j *coverage.Job) {
			j.Strands = append(j.Strands, bead(line, plane.Point{X: 0.2, Y: 0.2}, plane.Point{X: 29.8, Y: 0.2}))
		}, "coverage-lines-close"},
		{"lines at 125 %", func(j *coverage.Job) { j.Strands = rows(1.25*line, 40) }, "coverage-lines-far"},
		{"lines at 110 %", func(j *coverage.Job) { j.Strands = rows(1.1*line, 45) }, ""},
		{"a thin bead", func(j *coverage.Job) { j.Strands[0].Width[10] = 0.2 }, "coverage-lines-far coverage-line-width"},
		{"a wide bead", func(j *coverage.Job) { j.Strands[0].Width[10] = 0.6 }, "coverage-line-width"},
		{"starts elsewhere", func(j *coverage.Job) { j.PrimeEnd = &plane.Point{X: -10} }, "coverage-start"},
		{"starts at the prime line", func(j *coverage.Job) { j.PrimeEnd = &plane.Point{X: -0.5} }, ""},
		{"travel over the face", func(j *coverage.Job) {
			s := j.Strands[0]
			j.Strands = []strand.Strand{
				{Points: s.Points[50:], Width: s.Width[50:]},
				{Points: s.Points[:50], Width: s.Width[:49]},
			}
		}, "coverage-travel"},
		{"short pieces", func(j *coverage.Job) {
			s := &j.Strands[0]
			s.Points = append([]plane.Point{s.Points[0], s.Points[0].Add(plane.Point{X: 0.01})}, s.Points[1:]...)
			s.Width = append([]float64{line}, s.Width...)
		}, "coverage-short-pieces"},
		{"thin part", func(j *coverage.Job) {
			j.Face = plane.Region{{{}, {X: 30}, {X: 30, Y: 19.6}, {X: 45, Y: 19.6}, {X: 45, Y: 20}, {Y: 20}}}
			// Mirrored, the zigzag ends where the arm begins.
			j.Strands[0] = turned(j.Strands[0], plane.Scale(-1, 1).Then(plane.Translate(30, 0)))
			j.Strands[0].Points[99] = plane.Point{X: 44.8, Y: 19.8}
		}, "coverage-thin-part"},
		{"same way above", func(j *coverage.Job) { j.Next = above(3) }, "coverage-same-way-above"},
		{"across above", func(j *coverage.Job) { j.Next = above(90) }, ""},
		{"aslant above", func(j *coverage.Job) { j.Next = above(20) }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			job := good()
			c.fault(&job)
			r := measure(job)
			var codes []string
			for _, f := range r.Findings {
				if f.Code != "coverage-travel" || c.code == "coverage-travel" {
					codes = append(codes, f.Code)
				}
				assert.NotEmpty(t, f.Text)
				assert.NotEmpty(t, f.Remedy)
				assert.NotNil(t, f.Place)
				assert.Equal(t, finding.Caution, f.Level)
			}
			if c.code == "" {
				assert.Empty(t, codes)
			} else {
				assert.Equal(t, strings.Fields(c.code), codes)
			}
		})
	}
}

func TestKeptStrokesCoverButAreNotDouble(t *testing.T) {
	job := good()
	// The lowest row is a kept wall; the pattern overlaps it by 15 %.
	job.Strands[0].Points = job.Strands[0].Points[2:]
	job.Strands[0].Width = job.Strands[0].Width[2:]
	wall := deposit.Stroke{Points: []plane.Point{{X: -0.2, Y: 0.2}, {X: 30.2, Y: 0.2}}}
	bare := measure(job)
	assert.InDelta(t, 12, bare.Open.MM2, 0.3*30)
	job.Kept, job.KeptMM = []deposit.Stroke{wall}, []float64{1.15 * line}
	r := measure(job)
	assert.InDelta(t, bare.Covered.MM2+12, r.Covered.MM2, 0.1)
	assert.Less(t, r.Double.MM2, 0.02)
	assert.Zero(t, r.Spilled.MM2)
	job.KeptMM = nil
	assert.InDelta(t, r.Covered.MM2, measure(job).Covered.MM2, 0.1)
}

func TestMapAndWorstPlacesAgreeWithTheFigures(t *testing.T) {
	job := good()
	job.Strands = append(job.Strands, bead(line, plane.Point{X: 5, Y: -3}, plane.Point{X: 5, Y: 10}))
	r := measure(job)
	var tally [8]int
	for j := range r.Map.Rows {
		for _, v := range r.Map.Row(j) {
			tally[v]++
		}
	}
	area := r.Map.PixelArea()
	assert.InDelta(t, r.Double.MM2, float64(tally[coverage.Double])*area, 1e-9)
	assert.InDelta(t, r.Spilled.MM2, float64(tally[coverage.Spilled])*area, 1e-9)
	assert.InDelta(t, 600, float64(tally[coverage.Once]+tally[coverage.Double]+tally[coverage.Narrow]+tally[coverage.Open])*area, 0.1)
	assert.InDelta(t, line*10+math.Pi*line*line/8, r.Double.MM2, 0.05)
	assert.InDelta(t, line*3+math.Pi*line*line/8, r.Spilled.MM2, 0.05)
	require.NotEmpty(t, r.Worst)
	for _, w := range r.Worst {
		x, y := r.Map.FromBed(w.At)
		assert.Equal(t, w.Kind, coverage.Kind(r.Map.Row(int(math.Round(y)))[int(math.Round(x))]))
	}
}

func TestTurningAndMovingTheJobMovesTheResultOnly(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	base := measure(good())
	for range 6 {
		m := plane.Rotate(2 * math.Pi * rng.Float64()).Then(plane.Translate(200*rng.Float64(), 200*rng.Float64()))
		job := good()
		job.Face = m.ApplyRegion(job.Face)
		job.Strands[0] = turned(job.Strands[0], m)
		r := measure(job)
		assert.InDelta(t, base.FaceMM2, r.FaceMM2, 1e-6)
		assert.InDelta(t, base.Covered.Percent, r.Covered.Percent, 0.02)
		assert.InDelta(t, base.Open.Percent, r.Open.Percent, 0.02)
		assert.Equal(t, len(base.Findings), len(r.Findings))
	}
}

func TestRefusals(t *testing.T) {
	assert.True(t, measure(coverage.Job{}).Findings.Has("coverage-no-face"))
	assert.True(t, measure(coverage.Job{Face: bar(0, 0, 1, 1)}).Findings.Has("coverage-no-face"))
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	assert.True(t, coverage.Measure(stopped, good()).Findings.Has("coverage-cancelled"))
	odd := good()
	odd.Strands = append(odd.Strands, strand.Strand{}, bead(line, plane.Point{X: math.NaN()}, plane.Point{}), bead(line, plane.Point{X: 1}))
	assert.InDelta(t, measure(good()).Covered.MM2, measure(odd).Covered.MM2, 1)
}

func BenchmarkMeasure(b *testing.B) {
	for _, side := range []float64{20, 63, 200} {
		b.Run(fmt.Sprintf("meters=%g", math.Round(side*side/line/1000)), func(b *testing.B) {
			// Rows in moves of 1.6 mm, about 60,000 of them for 100 m.
			s := zigzag(side, side, line)
			var points []plane.Point
			for i := 1; i < len(s.Points); i++ {
				n := math.Ceil(s.Points[i].Dist(s.Points[i-1]) / 1.6)
				for k := 0.0; k < n; k++ {
					points = append(points, s.Points[i-1].Lerp(s.Points[i], k/n))
				}
			}
			job := coverage.Job{Face: bar(0, 0, side, side), Strands: []strand.Strand{bead(line, points...)}, LineMM: line, PixelMM: 0.05}
			b.ReportAllocs()
			for b.Loop() {
				measure(job)
			}
		})
	}
}

// TestAnythingIsAnswered measures random strands on random faces: no panic, and
// figures that add up.
func TestAnythingIsAnswered(t *testing.T) {
	for k := range 60 {
		rng := rand.New(rand.NewPCG(71, uint64(k)))
		job := coverage.Job{Face: bar(0, 0, 5+20*rng.Float64(), 5+20*rng.Float64()), LineMM: 0.2 + rng.Float64()}
		for range rng.IntN(20) {
			s := strand.Strand{}
			at := plane.Point{X: 30 * rng.Float64(), Y: 30 * rng.Float64()}
			for range rng.IntN(12) {
				s.Points = append(s.Points, at)
				s.Width = append(s.Width, rng.Float64()-0.1)
				at = at.Add(plane.Point{X: 10*rng.Float64() - 5, Y: 10*rng.Float64() - 5}.Mul(float64(rng.IntN(3))))
			}
			if len(s.Width) > 0 {
				s.Width = s.Width[1:]
			}
			job.Strands = append(job.Strands, s)
		}
		r := measure(job)
		require.GreaterOrEqual(t, r.Covered.Percent, 0.0)
		require.LessOrEqual(t, r.Covered.Percent+r.Open.Percent, 100.5, "case %d", k)
		require.LessOrEqual(t, r.Double.MM2, r.Covered.MM2)
	}
}
