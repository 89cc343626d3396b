package protocol

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/generators"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/job"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// anyValue draws a permitted value of a number field: its ends as often as what
// lies between.
func anyValue(r *rand.Rand, low, high float64, whole bool) float64 {
	v := low
	switch r.IntN(4) {
	case 0:
	case 1:
		v = high
	default:
		v = low + (high-low)*math.Pow(r.Float64(), 3)
	}
	if whole {
		v = math.Trunc(v)
	}
	return v
}

// anyJob draws a job within the limits of its fields.
func anyJob(r *rand.Rand) map[string]any {
	tree := map[string]any{"sheenlay": 1}
	put := func(path string, v any) {
		section, key, _ := strings.Cut(path, ".")
		entries, ok := tree[section].(map[string]any)
		if !ok {
			entries = map[string]any{}
			tree[section] = entries
		}
		entries[key] = v
	}
	all := job.Fields()
	for range r.IntN(10) {
		f := all[r.IntN(len(all))]
		switch f.Kind {
		case job.Number, job.Whole:
			v := anyValue(r, f.Min, f.Max, f.Kind == job.Whole)
			if f.Path == "placement.xMM" || f.Path == "placement.yMM" {
				v /= 5 // a pattern is made about its middle: what lies a metre off the face costs seconds under wasm
			}
			put(f.Path, v)
		case job.Bool:
			put(f.Path, r.IntN(2) == 0)
		case job.Choice:
			put(f.Path, f.Choices[r.IntN(len(f.Choices))].Value)
		}
	}
	if r.IntN(3) > 0 {
		g := generators.All()[r.IntN(len(generators.All()))]
		params := map[string]any{}
		for _, p := range g.Params {
			if r.IntN(2) == 0 {
				params[p.Key] = anyValue(r, p.Min, p.Max, false)
			}
		}
		put("art.kind", "generator")
		put("art.generator", g.ID)
		put("art.params", params)
	}
	return tree
}

// Any job whose fields lie within their limits is laid or refused in words,
// within the time and memory of a reader, and what is laid is proved. In long
// mode 400 jobs, in short mode 60.
func TestAnyJobIsAnswered(t *testing.T) {
	const seed = 3
	jobs := 400
	if testing.Short() {
		jobs = 60
	}
	random := rand.New(rand.NewPCG(seed, 1))
	card := specimen.Make(specimen.Options{Name: "card", Shape: specimen.Rectangle(16, 12), At: plane.Point{X: 110, Y: 110}, Walls: 1, FillDegree: 45, Heated: true, Layers: 4})
	s := NewSession()
	result(t, openFile(t, s, "card.gcode", card.Bytes))
	laid, stopped := 0, map[string]int{}
	var slowest time.Duration
	var slow string
	for k := range jobs {
		raw, err := json.Marshal(map[string]any{"job": anyJob(random), "coarse": random.IntN(8) == 0})
		require.NoError(t, err)
		var reply Reply
		began := time.Now()
		limits.Reader(t, func() {
			reply, _ = s.Answer(context.Background(), []byte(`{"protocol":1,"op":"lay","args":`+string(raw)+`}`), nil)
		})
		if took := time.Since(began); took > slowest {
			slowest, slow = took, string(raw)
		}
		require.Falsef(t, t.Failed(), "seed %d job %d: %s", seed, k, raw)
		if reply.Error != nil {
			require.NotEqual(t, "engine-fault", reply.Error.Code, "seed %d job %d: %s\n%s\n%s", seed, k, raw, reply.Error.Text, reply.Error.Quote)
			stopped[reply.Error.Code]++
			continue
		}
		answer := reply.Result.(map[string]any)
		_, err = json.Marshal(answer)
		require.NoError(t, err, "seed %d job %d: %s", seed, k, raw)
		if answer["ok"].(bool) {
			laid++
			continue
		}
		for _, f := range answer["findings"].(finding.List) {
			if f.Level == finding.Stop {
				stopped[f.Code]++
				require.NotContains(t, []string{"join-operation", "join-way", "join-arc", "join-e-total", "join-e-jump", "join-low-travel", "bead-total", "bead-width-missing", "making-failed"}, f.Code,
					"seed %d job %d: %s\n%v", seed, k, raw, f)
			}
		}
	}
	t.Logf("%d of %d laid; stops: %v; the slowest took %v: %s", laid, jobs, stopped, slowest.Round(time.Millisecond), slow)
	require.Greater(t, laid, jobs/4)
}
