package protocol

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/specimen"
)

// walk asks a session as a host does and returns the reply as JSON has it.
func walk(t *testing.T, s *Session, op, args string) (map[string]any, [][]byte) {
	t.Helper()
	reply, buffers := s.Answer(context.Background(), []byte(`{"protocol":1,"op":"`+op+`","args":`+args+`}`), nil)
	raw, err := json.Marshal(reply)
	require.NoError(t, err)
	var tree map[string]any
	require.NoError(t, json.Unmarshal(raw, &tree))
	return tree, buffers
}

func result(t *testing.T, tree map[string]any) map[string]any {
	t.Helper()
	require.Nil(t, tree["error"], "%v", tree["error"])
	return tree["result"].(map[string]any)
}

func openFile(t *testing.T, s *Session, name string, data []byte) map[string]any {
	t.Helper()
	begin, _ := json.Marshal(map[string]any{"name": name, "size": len(data)})
	tree, _ := walk(t, s, "piece.begin", string(begin))
	result(t, tree)
	for from := 0; from < len(data); from += 4096 {
		if !s.Feed(PieceReader, data[from:min(from+4096, len(data))]) {
			break
		}
	}
	tree, _ = walk(t, s, "piece.end", "{}")
	return tree
}

// The page shows the cautions that the sheet prints.
func TestCautionsHaveOneHome(t *testing.T) {
	hello, _ := walk(t, NewSession(), "hello", "{}")
	var told []string
	for _, text := range result(t, hello)["cautions"].([]any) {
		told = append(told, text.(string))
	}
	assert.Equal(t, Cautions, told)
	for _, text := range told {
		assert.Regexp(t, `^[A-Z].*\.$`, text, "a whole sentence")
	}
	s := NewSession()
	result(t, openFile(t, s, "shelf-tag.gcode", sampleBytes("shelf-tag")))
	tree, _ := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	result(t, tree)
	assert.Equal(t, told, s.sheetContent("").Cautions)
}

func TestWholeJobThroughTheDoor(t *testing.T) {
	s := NewSession()
	hello, _ := walk(t, s, "hello", "{}")
	for _, key := range []string{"fields", "generators", "presets", "samples", "surfaces"} {
		assert.NotEmpty(t, result(t, hello)[key], key)
	}
	_, sample := walk(t, s, "sample", `{"id":"shelf-tag"}`)
	require.Len(t, sample, 1)
	report := result(t, openFile(t, s, "shelf-tag.gcode", sample[0]))
	assert.Equal(t, true, report["settled"])

	tree, _ := walk(t, s, "survey.begin", "{}")
	result(t, tree)
	s.Feed(SurveyReader, sample[0])
	tree, _ = walk(t, s, "survey.end", "{}")
	assert.Equal(t, 5.0, result(t, tree)["layers"], "as the sample was made")

	tree, buffers := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	made := result(t, tree)
	assert.Equal(t, true, made["ok"], "%v", made["sentence"])
	require.Len(t, buffers, 1)
	finished := made["finished"].(map[string]any)
	assert.Equal(t, float64(len(buffers[0])), finished["blockBytes"])
	assert.Equal(t, "shelf-tag-sheenlay.gcode", finished["name"])

	for _, args := range []string{
		`{"kind":"lay","maxPx":300}`, `{"kind":"lit","maxPx":200,"lamp":[50,50,300],"eye":[0,0,500],"colour":[1,0.5,0.2]}`,
		`{"kind":"lines","box":[70,90,150,130],"width":200,"height":100,"upTo":0.5}`,
		`{"kind":"both","box":[70,90,150,130],"width":200,"height":100,"show":{"old":true,"new":true,"covered":true}}`,
	} {
		tree, pixels := walk(t, s, "view", args)
		picture := result(t, tree)
		require.Len(t, pixels, 1, args)
		assert.Len(t, pixels[0], int(4*picture["width"].(float64)*picture["height"].(float64)), args)
		inked := 0
		for i := 3; i < len(pixels[0]); i += 4 {
			if pixels[0][i] > 0 {
				inked++
			}
		}
		assert.Positive(t, inked, args)
	}
	tree, _ = walk(t, s, "view", `{"kind":"hit","at":[110,110]}`)
	assert.Contains(t, result(t, tree), "zone")
	for _, format := range []string{"pdf", "svg"} {
		tree, sheet := walk(t, s, "sheet", `{"format":"`+format+`","paper":"a4"}`)
		result(t, tree)
		assert.NotEmpty(t, sheet[0])
	}
	tree, _ = walk(t, s, "link.encode", `{"job":{"sheenlay":1,"bead":{"speedMMs":33}}}`)
	text := result(t, tree)["text"].(string)
	tree, _ = walk(t, s, "link.decode", `{"text":"#`+text+`"}`)
	assert.Len(t, result(t, tree)["changes"], 1)
}

func TestEveryPatternHasAThumbnail(t *testing.T) {
	s := NewSession()
	hello, _ := walk(t, s, "hello", "{}")
	for _, g := range result(t, hello)["generators"].([]any) {
		id := g.(map[string]any)["id"].(string)
		tree, pixels := walk(t, s, "thumb", `{"generator":"`+id+`","width":48,"height":36,"colour":[0.5,0.5,0.5]}`)
		result(t, tree)
		inked := 0
		for i := 3; i < len(pixels[0]); i += 4 {
			if pixels[0][i] > 0 {
				inked++
			}
		}
		assert.Greater(t, inked, len(pixels[0])/4*7/10, id)
	}
}

func TestBadRequestsAreRefusedInWords(t *testing.T) {
	for _, row := range []struct{ name, request, code string }{
		{"not JSON", `{`, "protocol-unreadable"},
		{"other version", `{"protocol":2,"op":"hello"}`, "protocol-version"},
		{"unknown operation", `{"protocol":1,"op":"fly"}`, "protocol-unknown"},
		{"unfit arguments", `{"protocol":1,"op":"sample","args":3}`, "protocol-arguments"},
		{"unknown sample", `{"protocol":1,"op":"sample","args":{"id":"x"}}`, "sample-unknown"},
		{"lay without a piece", `{"protocol":1,"op":"lay","args":{"job":{"sheenlay":1}}}`, "no-piece"},
		{"view of nothing", `{"protocol":1,"op":"view","args":{"kind":"lay"}}`, "view-nothing"},
		{"sheet of nothing", `{"protocol":1,"op":"sheet","args":{}}`, "sheet-nothing"},
		{"piece never begun", `{"protocol":1,"op":"piece.end"}`, "piece-not-begun"},
		{"survey never begun", `{"protocol":1,"op":"survey.end"}`, "survey-not-begun"},
		{"bad link", `{"protocol":1,"op":"link.decode","args":{"text":"<img>"}}`, "link-version"},
	} {
		t.Run(row.name, func(t *testing.T) {
			reply, _ := NewSession().Answer(context.Background(), []byte(row.request), nil)
			require.NotNil(t, reply.Error)
			assert.Equal(t, row.code, reply.Error.Code)
			assert.NotEmpty(t, reply.Error.Text)
		})
	}
}

func TestARefusedFileLeavesThePieceOpen(t *testing.T) {
	s := NewSession()
	var tag []byte
	for _, sample := range specimen.Samples() {
		if sample.ID == "shelf-tag" {
			tag = specimen.Make(sample.Options).Bytes
		}
	}
	result(t, openFile(t, s, "shelf-tag.gcode", tag))
	for _, bad := range []string{"", "dear reader, the library opens at ten", "\x00\x01\x02\x03 binary", "; only\n; comments\n", "G28\nM104 S200\n"} {
		tree := openFile(t, s, "bad.gcode", []byte(bad))
		assert.NotNil(t, tree["error"], "%q", bad)
	}
	tree, _ := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	assert.Equal(t, true, result(t, tree)["ok"])
}

// A seeded fault: a handler that panics must come back as a finding.
func TestAPanicBecomesAFinding(t *testing.T) {
	handlers["fault"] = func(*Session, context.Context, json.RawMessage, Progress) (any, [][]byte, error) { panic("seeded") }
	defer delete(handlers, "fault")
	reply, _ := NewSession().Answer(context.Background(), []byte(`{"protocol":1,"op":"fault"}`), nil)
	require.NotNil(t, reply.Error)
	assert.Equal(t, "engine-fault", reply.Error.Code)
}
