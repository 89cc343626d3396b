//go:build !js

package join_test

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/join"
	"sheenlay/engine/layers"
	"sheenlay/engine/specimen"
)

// This file runs node, which a test under js/wasm cannot start.

var (
	files     = flag.Int("join.n", 300, "specimens drawn by TestAdversarial")
	firstSeed = flag.Uint64("join.seed", 0, "seed of the first of them")
)

// reader is the second interpreter (testdata/secondreader), which shares no
// code with the engine.
type reader struct {
	in  io.WriteCloser
	out *bufio.Reader
	cmd *exec.Cmd
}

func startReader(t *testing.T) *reader {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("node is not installed; the second reader cannot run")
		}
		t.Skip("node is not installed: the second reader cannot run, and no join is judged by it")
	}
	r := &reader{cmd: exec.Command(node, "../../testdata/secondreader/reader.js")}
	r.cmd.Stderr = os.Stderr
	r.in, err = r.cmd.StdinPipe()
	require.NoError(t, err)
	out, err := r.cmd.StdoutPipe()
	require.NoError(t, err)
	r.out = bufio.NewReader(out)
	require.NoError(t, r.cmd.Start())
	t.Cleanup(func() {
		_ = r.in.Close()
		_ = r.cmd.Wait()
	})
	return r
}

type readerBlock struct {
	From  int64   `json:"from"`
	To    int64   `json:"to"`
	Start int64   `json:"start"`
	End   int64   `json:"end"`
	Z     float64 `json:"z"`
	EMM   float64 `json:"eMM"`

	Beads [][]float64 `json:"beads"` // the points asked, x, y, x, y …
}

// readerArcs is how far an arc may leave the points and the segments that it
// stands for, mm.
type readerArcs struct {
	Point float64 `json:"point"`
	Chord float64 `json:"chord"`
}

type readerJob struct {
	Blocks []readerBlock `json:"blocks"`
	Bed    [4]float64    `json:"bed"`
	PerMM  float64       `json:"perMM"`
	Short  float64       `json:"short"`
	Lift   float64       `json:"lift"`
	Added  []string      `json:"added"`
	Arcs   readerArcs    `json:"arcs"`
}

// jobOf describes a join to the second reader.
func jobOf(m specimen.Specimen, in join.Input, r join.Result) readerJob {
	bed := m.Truth.Bed
	s := in.Settings.Filled()
	j := readerJob{
		Bed: [4]float64{bed.Min.X, bed.Min.Y, bed.Max.X, bed.Max.Y}, PerMM: m.Truth.EPerMM,
		Short: s.ShortTravelMM + s.WipeMM, Lift: s.LiftMM,
		Arcs: readerArcs{Point: 0.01 + 0.001, Chord: 0.03 + 0.001},
	}
	plan := join.PlanOf(in, r, join.Machine{})
	for i, b := range r.Blocks {
		block := readerBlock{From: b.Cut.From, To: b.Cut.To, Start: b.Start, End: b.Start + int64(len(b.Bytes)), Z: plan.ZMM[i], EMM: plan.EMM[i]}
		for _, op := range in.Layers[i].Operations {
			var flat []float64
			for _, p := range op.Points {
				flat = append(flat, p.X, p.Y)
			}
			block.Beads = append(block.Beads, flat)
		}
		j.Blocks = append(j.Blocks, block)
	}
	if s.Pause != nil {
		j.Added = s.Pause.Commands
	}
	return j
}

// judge returns the clauses that fail.
func (r *reader) judge(t *testing.T, original, finished []byte, job readerJob) []string {
	t.Helper()
	head, err := json.Marshal(struct {
		Original int       `json:"original"`
		Finished int       `json:"finished"`
		Job      readerJob `json:"job"`
	}{len(original), len(finished), job})
	require.NoError(t, err)
	_, err = r.in.Write(append(head, '\n'))
	require.NoError(t, err)
	for _, b := range [][]byte{original, finished} {
		_, err = r.in.Write(b)
		require.NoError(t, err)
	}
	line, err := r.out.ReadBytes('\n')
	require.NoError(t, err)
	var wrong []string
	require.NoError(t, json.Unmarshal(line, &wrong))
	return wrong
}

// TestSecondReaderAgrees judges the kept files by the second reader, with one
// to three layers replaced.
func TestSecondReaderAgrees(t *testing.T) {
	second := startReader(t)
	for _, s := range allFiles() {
		m := specimen.Make(s.Options)
		for layers := 1; layers <= 3 && layers < len(m.Truth.Layers); layers++ {
			in := inputFor(m, layers, rand.New(rand.NewPCG(3, 4)))
			r, _ := proved(t, s.ID, m, in)
			assert.Empty(t, second.judge(t, m.Bytes, finishedFile(m, r), jobOf(m, in, r)), "%s, %d layers", s.ID, layers)
		}
	}
}

// TestAdversarial draws specimens, has engine/layers find their layers, joins
// them there, and has every join judged by the second reader. No boundary and
// no join may be wrong; what cannot be judged is asked about, never guessed, and
// at most 2 % of the files are asked about. Files on which no pattern can go (a
// raft, objects one after another, a tool change) must be refused.
//
// go test ./engine/join -run Adversarial -join.n=10000 is the full run.
func TestAdversarial(t *testing.T) {
	second := startReader(t)
	joined, asked, refused, wrong := 0, 0, 0, 0
	for seed := *firstSeed; seed < *firstSeed+uint64(*files); seed++ {
		m := specimen.Random(seed)
		fail := func(format string, values ...any) {
			wrong++
			if wrong <= 20 {
				t.Errorf("seed %d (marker %q): %s", seed, m.Options.Marker.Text, fmt.Sprintf(format, values...))
			}
		}
		r := layers.Find(m.Bytes, layers.Options{})
		stopped := r.Findings.Worst() == finding.Stop
		switch {
		case m.Truth.Refuse != "":
			if !stopped && !r.NeedsChoice {
				fail("not refused: %s", m.Truth.Refuse)
			}
			refused++
			continue
		case stopped && !r.NeedsChoice:
			fail("refused without need: %v", r.Findings)
			continue
		case r.NeedsChoice || len(r.Layers) < 2:
			asked++
			continue
		case !m.Truth.Accepts(0, r.Layers[0].Offset):
			fail("first layer found at line %d, is at %d to %d", r.Layers[0].Line, m.Truth.Layers[0].FromLine, m.Truth.Layers[0].ToLine)
			continue
		case !m.Truth.Accepts(1, r.Layers[1].Offset):
			fail("second layer found at line %d, is at %d to %d", r.Layers[1].Line, m.Truth.Layers[1].FromLine, m.Truth.Layers[1].ToLine)
			continue
		}
		in := inputFor(m, 1, rand.New(rand.NewPCG(seed, 5)))
		in.Cuts[0] = join.Cut{From: r.Layers[0].Offset, To: r.Layers[1].Offset}
		in.Layers[0].ZMM = r.Layers[0].Z
		built, found := join.Build(in)
		if len(found) > 0 {
			fail("not joined: %v", found)
			continue
		}
		joined++
		if p := join.Prove(built.FinishedHead(m.Bytes), m.Bytes, join.PlanOf(in, built, machineOf(m))); !p.OK {
			fail("not proved: %v", p.Findings)
		}
		if list := second.judge(t, m.Bytes, finishedFile(m, built), jobOf(m, in, built)); len(list) > 0 {
			fail("second reader: %q", list)
		}
	}
	t.Logf("seeds %d to %d: %d joined, %d asked about, %d rightly refused, %d wrong", *firstSeed, *firstSeed+uint64(*files)-1, joined, asked, refused, wrong)
	assert.LessOrEqual(t, float64(asked), 0.02*float64(*files), "files asked about")
}

// TestSecondReaderSeesFaults spoils a sound join: the second reader must object
// to every fault it is made to judge.
func TestSecondReaderSeesFaults(t *testing.T) {
	second := startReader(t)
	m, in := faultCase()
	r, _ := proved(t, "sound", m, in)
	require.Empty(t, second.judge(t, m.Bytes, finishedFile(m, r), jobOf(m, in, r)))
	for _, f := range allFaults(m) {
		if f.silent {
			continue
		}
		head, spoiled := spoil(m, in, r, f.edit)
		finished := append(head, m.Bytes[r.TailOffset:]...)
		assert.NotEmpty(t, second.judge(t, m.Bytes, finished, jobOf(m, in, spoiled)), f.name)
	}
}

// TestSecondReaderJudgesArcs has beads that are written as arcs judged by the
// second reader, sound ones and spoiled ones.
func TestSecondReaderJudgesArcs(t *testing.T) {
	second := startReader(t)
	random := rand.New(rand.NewPCG(21, 1))
	for _, s := range allFiles() {
		m := specimen.Make(s.Options)
		in := inputFor(m, 1, random)
		in.Arcs = true
		centre := m.Truth.Footprint.Bounds().Centre()
		op := join.Operation{Role: join.Pattern, Points: rings(centre, 7, 5.5, 0.4)}
		ops := in.Layers[0].Operations[:len(in.Layers[0].Operations)-2]
		in.Layers[0].Operations = append(ops, priced(op, m.Truth.EPerMM, 1200))
		r, _ := proved(t, s.ID, m, in)
		require.Positive(t, r.Figures.Arcs)
		assert.Empty(t, second.judge(t, m.Bytes, finishedFile(m, r), jobOf(m, in, r)), s.ID)
	}
	m, in := arcFaultCase()
	r, _ := proved(t, "sound", m, in)
	require.Empty(t, second.judge(t, m.Bytes, finishedFile(m, r), jobOf(m, in, r)))
	for _, f := range arcFaults() {
		if f.silent {
			continue
		}
		head, spoiled := spoil(m, in, r, f.edit)
		finished := append(head, m.Bytes[r.TailOffset:]...)
		assert.NotEmpty(t, second.judge(t, m.Bytes, finished, jobOf(m, in, spoiled)), f.name)
	}
}
