package protocol

import (
	"context"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/specimen"
)

func sampleBytes(id string) []byte {
	for _, s := range specimen.Samples() {
		if s.ID == id {
			return specimen.Make(s.Options).Bytes
		}
	}
	panic("no sample " + id)
}

// The table that the page labels figures from names exactly those of a report.
func TestFigureTableIsTheReports(t *testing.T) {
	s := NewSession()
	hello, _ := walk(t, s, "hello", "{}")
	var names []string
	for _, f := range result(t, hello)["figures"].([]any) {
		f := f.(map[string]any)
		names = append(names, f["name"].(string))
		assert.NotEmpty(t, f["label"], f["name"])
		assert.True(t, strings.HasSuffix(f["doc"].(string), "."), f["name"])
	}
	slices.Sort(names)
	assert.Equal(t, len(names), len(slices.Compact(slices.Clone(names))), "a name stands twice")
	result(t, openFile(t, s, "shelf-tag.gcode", sampleBytes("shelf-tag")))
	survey(t, s, sampleBytes("shelf-tag"), "{}")
	tree, _ := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	figures := result(t, tree)["figures"].(map[string]any)
	assert.Equal(t, names, slices.Sorted(maps.Keys(figures)))
	tree, _ = walk(t, s, "lay", `{"job":{"sheenlay":1},"coarse":true}`)
	for name := range result(t, tree)["figures"].(map[string]any) {
		assert.Contains(t, names, name)
	}
}

// A request that was cancelled, or refused, leaves the job done before.
func TestACancelledJobLeavesTheOneBefore(t *testing.T) {
	s := NewSession()
	result(t, openFile(t, s, "shelf-tag.gcode", sampleBytes("shelf-tag")))
	tree, before := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	result(t, tree)
	made := s.made
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	reply, _ := s.Answer(ctx, []byte(`{"protocol":1,"op":"lay","args":{"job":{"sheenlay":1,"art":{"generator":"rings"}}}}`), nil)
	require.NotNil(t, reply.Error)
	assert.Same(t, made, s.made)
	tree, _ = walk(t, s, "lay", `{"job":{"sheenlay":1,"bead":{"speedMMs":-1}}}`)
	assert.NotNil(t, tree["error"])
	assert.Same(t, made, s.made)
	tree, after := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	result(t, tree)
	assert.Equal(t, before, after)
}

// Every operation answers nonsense with a finding.
func TestEveryOperationRefusesNonsense(t *testing.T) {
	for name := range handlers {
		for _, args := range []string{`[]`, `3`, `"x"`, `{"job":3}`, `{"job":{"sheenlay":9}}`} {
			s := NewSession()
			reply, _ := s.Answer(context.Background(), []byte(`{"protocol":1,"op":"`+name+`","args":`+args+`}`), nil)
			if reply.Error != nil {
				assert.NotEqual(t, "engine-fault", reply.Error.Code, "%s %s: %s", name, args, reply.Error.Text)
				assert.NotEmpty(t, reply.Error.Text)
			}
			_, err := json.Marshal(reply)
			assert.NoError(t, err)
		}
	}
}
