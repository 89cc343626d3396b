package making

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// countdown is a context that is cancelled the moment it has been asked often
// enough: an instant of a job that is the same on every machine.
type countdown struct {
	context.Context
	left  int // askings until it is cancelled; negative never cancels
	asked int
	done  chan struct{}

	last    time.Time // of the asking before
	longest time.Duration
	where   int // the asking that ended the longest wait
}

func newCountdown(left int) *countdown {
	return &countdown{Context: context.Background(), left: left, done: make(chan struct{}), last: time.Now()}
}

func (c *countdown) Err() error {
	if wait := time.Since(c.last); wait > c.longest {
		c.longest, c.where = wait, c.asked
	}
	c.last = time.Now()
	c.asked++
	if c.left < 0 || c.asked <= c.left {
		return nil
	}
	if c.asked == c.left+1 {
		close(c.done)
	}
	return context.Canceled
}

func (c *countdown) Done() <-chan struct{} { return c.done }

// cancelCase is a small piece and jobs that together pass through every stage.
func cancelCase(t testing.TB) (*piece.Piece, map[string]job.Job) {
	o := sampleOptions("shelf-tag")
	o.Shape, o.Copies, o.Layers = specimen.Rectangle(17, 16), []plane.Point{{X: 24}}, 5
	p := open(t, "two cards", specimen.Make(o).Bytes, 3)
	require.True(t, p.Settled(), "%v", stops(p.Findings))
	jobs := map[string]job.Job{}
	add := func(name string, change func(*job.Job)) {
		j := job.Default()
		change(&j)
		jobs[name] = j
	}
	add("blocks on two layers", func(j *job.Job) { j.Layers.Count, j.Layers.TurnDeg, j.Keep.Walls = 2, 30, 1 })
	add("rings as arcs", func(j *job.Job) { j.Art.Generator, j.Join.Arcs, j.Prime.WipeMM = "rings", true, 3 })
	add("a field", func(j *job.Job) { j.Art.Generator = "flowing-noise" })
	add("lettering", func(j *job.Job) { j.Art.Kind, j.Art.Text, j.Art.CapHeightMM = "lettering", "TIDE", 6 })
	add("drawn shapes", func(j *job.Job) {
		j.Art.Kind = "shapes"
		j.Art.SVG = `<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 20 10"><circle cx="6" cy="5" r="4"/><path d="M11 1L19 1L15 9Z" fill="#777"/></svg>`
	})
	add("drawn lines", func(j *job.Job) {
		j.Art.Kind, j.Art.JoinGaps = "lines", true
		j.Art.SVG = `<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm" viewBox="0 0 20 10"><path fill="none" stroke="#000" d="M1 1L19 1M1 3L19 3M1 5L19 5M2 8Q9 5 18 8"/></svg>`
	})
	add("trial", func(j *job.Job) {
		j.Art.Kind, j.Art.TrialColumns, j.Art.TrialRows = "trial", 1, 1
		j.Art.TrialAcrossFrom, j.Art.TrialAcrossTo = 0.38, 0.46
	})
	return p, jobs
}

// outcome is all of a job's answer that leaves the engine.
func outcome(t testing.TB, m *Made) string {
	t.Helper()
	figures := []any{m.Findings, m.Line, m.Join.Figures, m.Join.Kept, m.Proof, m.Times.OldS, m.Times.NewS, m.Layers[0].Stats, m.Layers[0].Artwork.Kinds,
		m.Coverage.Covered, m.Coverage.Double, m.Coverage.Open, m.Coverage.Spilled}
	raw, err := json.Marshal(figures)
	require.NoError(t, err)
	return string(raw) + string(m.Block)
}

// A job cancelled at any instant gives nothing, and the maker then does the
// same job as a new one would, to the byte.
func TestCancelledAnywhere(t *testing.T) {
	const seed = 5
	instants := 200
	if testing.Short() {
		instants = 30
	}
	random := rand.New(rand.NewPCG(seed, 1))
	p, jobs := cancelCase(t)
	names := []string{"blocks on two layers", "rings as arcs", "a field", "lettering", "drawn shapes", "drawn lines", "trial"}
	require.Len(t, jobs, len(names))
	want, askings := map[string]string{}, map[string][2]int{} // whole, coarse
	for _, name := range names {
		whole, coarse := newCountdown(-1), newCountdown(-1)
		m, err := Make(whole, p, jobs[name], false, nil)
		require.NoError(t, err)
		require.True(t, m.OK(), "%s: %v", name, stops(m.Findings))
		_, err = Make(coarse, p, jobs[name], true, nil)
		require.NoError(t, err)
		want[name], askings[name] = outcome(t, m), [2]int{whole.asked, coarse.asked}
	}
	t.Logf("askings of a whole job: %v", askings)
	for k := range instants {
		name := names[k%len(names)]
		at := fmt.Sprintf("seed %d, instant %d: %s", seed, k, name)
		maker := new(Maker)
		if k%3 == 1 { // one that has done another job before, so that faces are kept
			_, err := maker.Make(context.Background(), p, jobs[names[(k/3)%len(names)]], k%2 == 0, nil)
			require.NoError(t, err, at)
		}
		coarse, most := k%5 == 4, askings[name][0]
		if coarse {
			most = askings[name][1]
		}
		ctx := newCountdown(random.IntN(most))
		m, err := maker.Make(ctx, p, jobs[name], coarse, nil)
		if ctx.asked > ctx.left { // with stages kept from the job before there may be fewer askings
			require.Truef(t, errors.Is(err, context.Canceled), "%s, asking %d: %v", at, ctx.left, err)
			require.Nil(t, m, "%s, asking %d", at, ctx.left)
		}
		m, err = maker.Make(context.Background(), p, jobs[name], false, nil)
		require.NoError(t, err, at)
		require.True(t, want[name] == outcome(t, m), "%s, asking %d: the answer differs after a cancel", at, ctx.left)
	}
}

// BenchmarkBetweenAskings measures the longest time for which a job does not
// ask whether it is still wanted: what a person waits at most after cancelling.
func BenchmarkBetweenAskings(b *testing.B) {
	for _, side := range []float64{25, 50, 100, 200} {
		b.Run(fmt.Sprintf("side=%gmm", side), func(b *testing.B) {
			o := sampleOptions("harbour-tile")
			o.Shape = specimen.Rectangle(side, side)
			p := open(b, "face", specimen.Make(o).Bytes, 1)
			least, where, asked := time.Hour, 0, 0
			for b.Loop() {
				ctx := newCountdown(-1)
				_, err := Make(ctx, p, job.Default(), false, nil)
				require.NoError(b, err)
				_ = ctx.Err()
				if ctx.longest < least {
					least, where, asked = ctx.longest, ctx.where, ctx.asked
				}
			}
			b.ReportMetric(float64(least.Microseconds())/1000, "ms-between")
			b.ReportMetric(float64(where), "at")
			b.ReportMetric(float64(asked), "askings")
		})
	}
}
