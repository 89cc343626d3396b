package making

import (
	"bytes"
	"math/rand/v2"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/join"
	"sheenlay/engine/machine"
)

// anyWay changes how a job is laid, at random, by anything but its flow.
func anyWay(random *rand.Rand) func(*job.Job) {
	pattern := []string{"tumbling-blocks", "herringbone", "rings", "wood-grain"}[random.IntN(4)]
	width, walls, layers := 0.38+0.02*float64(random.IntN(6)), random.IntN(2), 1+random.IntN(2)
	around, arcs, wipe := random.IntN(2) == 0, random.IntN(2) == 0, float64(random.IntN(3))
	retract := []string{machine.AsFile, machine.ByE, machine.ByCommand, machine.Never}[random.IntN(4)]
	lift, slow := 0.1*float64(random.IntN(5)), 100*float64(random.IntN(3))
	return func(j *job.Job) {
		j.Art.Generator, j.Bead.WidthMM, j.Keep.Walls, j.Layers.Count = pattern, width, walls, layers
		j.Keep.Around, j.Join.Arcs, j.Prime.WipeMM, j.Machine.RetractBy = around, arcs, wipe, retract
		j.Machine.LiftMM, j.Bead.StartLengthMM, j.Machine.MaxFlowMM3s = lift, slow, 60
	}
}

var eWord = regexp.MustCompile(` E(-?[\d.]+)`)

// Whatever else a job asks for: twice the flow is twice the filament of every
// bead, to the last digit, and changes neither place, speed, travel, retraction
// nor what is kept.
func TestTwiceTheFlowDoublesEAndNothingElse(t *testing.T) {
	const seed = 3
	random := rand.New(rand.NewPCG(seed, 0))
	samples := []string{"harbour-tile", "shelf-tag", "bookmark"} // relative and absolute E
	draws := 9
	if testing.Short() {
		draws = 3
	}
	for draw := range draws {
		id, way, percent := samples[draw%len(samples)], anyWay(random), 50+50*random.Float64()
		made := func(percent float64) *Made {
			return done(t, sampled(t, id), func(j *job.Job) { way(j); j.Bead.FlowPercent = percent })
		}
		once, twice := made(percent), made(2*percent)
		what := id + ", seed 3, draw " + strconv.Itoa(draw)
		require.Len(t, twice.Layers, len(once.Layers), what)
		for i := range once.Layers {
			doubled(t, once.Layers[i].Order, twice.Layers[i].Order, what)
			assert.Equal(t, once.Layers[i].Balance, twice.Layers[i].Balance, what)
		}
		assert.Equal(t, withoutE(once.Block), withoutE(twice.Block), what)
		assert.InEpsilon(t, 2*once.Line.FlowMM3s, twice.Line.FlowMM3s, 1e-12, what)
		assert.Equal(t, once.Coverage.Covered, twice.Coverage.Covered, what)
	}
}

// doubled checks that the second list lays twice what the first does where it is
// new, and the same where it is kept.
func doubled(t *testing.T, once, twice []join.Operation, what string) {
	t.Helper()
	require.Len(t, twice, len(once), what)
	for k, a := range once {
		b := twice[k]
		require.Equal(t, a.Points, b.Points, what)
		require.Equal(t, a.Feed, b.Feed, what)
		require.Equal(t, a.Wipe, b.Wipe, what)
		require.Equal(t, a.Via, b.Via, what)
		factor := 2.0
		if a.Role == join.Kept {
			factor = 1
		}
		for i := range a.E {
			require.InEpsilon(t, factor*a.E[i], b.E[i], 1e-14, what)
		}
	}
}

// withoutE returns a block without its filament words, and without the comments
// that name the bead.
func withoutE(block []byte) string {
	var out []byte
	for _, line := range bytes.Split(block, []byte("\n")) {
		if bytes.HasPrefix(line, []byte("; sheenlay:")) || bytes.HasPrefix(line, []byte("G92 E")) {
			continue
		}
		out = append(append(out, eWord.ReplaceAll(line, nil)...), '\n')
	}
	return string(out)
}

// The comparison sees one bead that was not doubled.
func TestUndoubledBeadIsSeen(t *testing.T) {
	m := done(t, sampled(t, "shelf-tag"), func(*job.Job) {})
	order := m.Layers[0].Order
	spoiled := append([]join.Operation(nil), order...)
	for k := range spoiled {
		spoiled[k].E = append([]float64(nil), order[k].E...)
		for i := range spoiled[k].E {
			if spoiled[k].Role != join.Kept {
				spoiled[k].E[i] *= 2
			}
		}
	}
	doubled(t, order, spoiled, "sound")
	last := spoiled[len(spoiled)-1].E
	last[len(last)/2] /= 2
	probe := new(testing.T)
	finished := make(chan bool)
	go func() { // FailNow ends the goroutine it is called from
		defer close(finished)
		doubled(probe, order, spoiled, "spoiled")
	}()
	<-finished
	assert.True(t, probe.Failed())
}
