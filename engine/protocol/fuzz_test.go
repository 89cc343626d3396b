package protocol

import (
	"context"
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/generators"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// FuzzAnswer asks a session that holds a small piece anything: every answer is
// a result or a finding in words, never a fault of the engine, within the time
// and memory of a reader, and can be written as JSON.
func FuzzAnswer(f *testing.F) {
	ops := slices.Sorted(maps.Keys(handlers))
	card := specimen.Make(specimen.Options{Name: "card", Shape: specimen.Rectangle(12, 10), At: plane.Point{X: 110, Y: 110}, Walls: 1, FillDegree: 45, Heated: true, Layers: 3})
	add := func(op, args string) { f.Add(uint8(slices.Index(ops, op)), args) }
	for _, op := range ops {
		add(op, "{}")
		add(op, "[1e308]")
	}
	for _, g := range generators.All() {
		add("lay", `{"job":{"sheenlay":1,"art":{"generator":"`+g.ID+`"},"join":{"arcs":true}}}`)
		add("thumb", `{"generator":"`+g.ID+`","width":30,"height":20}`)
	}
	for _, args := range []string{
		`{"job":{"sheenlay":1,"art":{"kind":"lettering","text":"A","capHeightMM":5},"layers":{"count":2},"keep":{"walls":1}}}`,
		`{"job":{"sheenlay":1,"art":{"kind":"shapes","svg":"<svg viewBox='0 0 9 9' width='9mm' height='9mm'><circle cx='4' cy='4' r='3'/></svg>"}}}`,
		`{"job":{"sheenlay":1,"art":{"kind":"lines","svg":"<svg viewBox='0 0 9 9'><path d='M0 0L9 9'/></svg>","joinGaps":true}},"coarse":true}`,
		`{"job":{"sheenlay":1,"art":{"params":{"sizeMM":0.1}},"machine":{"retractBy":"none","keepOut":[[0,0,5,5]]},"join":{"pause":"M0"}}}`,
		`{"job":{"sheenlay":1,"bead":{"source":"own","widthMM":0.3,"flowPercent":150},"placement":{"scale":0.01,"turnDeg":37}}}`,
	} {
		add("lay", args)
		add("job.check", args)
		add("link.encode", args)
	}
	for _, kind := range []string{"lay", "lit", "lines", "both", "hit"} {
		add("view", `{"kind":"`+kind+`","maxPx":40,"box":[100,100,120,120],"width":30,"height":20,"upTo":0.5,"at":[110,110],"lamp":[1,2,30],"eye":[0,0,9],"show":{"old":true,"new":true,"covered":true}}`)
	}
	add("link.decode", `{"text":"1.qq4FBAAA__8"}`)
	add("preset.read", `{"text":"{\"schema\":\"sheenlay-machines/1\",\"presets\":[{\"name\":\"a\"}]}"}`)
	add("drawing.read", `{"svg":"<svg><rect width='3' height='4'/></svg>","mmPerUnit":2}`)
	add("sheet", `{"format":"svg","paper":"a4","link":"x"}`)
	add("piece.begin", `{"name":"x","size":100,"choice":{"firstLine":1,"nextLine":2,"layers":5}}`)
	f.Fuzz(func(t *testing.T, op uint8, args string) {
		if len(args) > 2000 {
			return // long artwork has fuzz targets of its own
		}
		raw, err := json.Marshal(map[string]any{"protocol": Version, "op": ops[int(op)%len(ops)], "args": json.RawMessage(args)})
		if err != nil {
			return // no JSON
		}
		s := NewSession()
		begin, _ := json.Marshal(map[string]any{"name": "card.gcode", "size": len(card.Bytes)})
		s.Answer(context.Background(), []byte(`{"protocol":1,"op":"piece.begin","args":`+string(begin)+`}`), nil)
		s.Feed(PieceReader, card.Bytes)
		s.Answer(context.Background(), []byte(`{"protocol":1,"op":"piece.end"}`), nil)
		s.Answer(context.Background(), []byte(`{"protocol":1,"op":"lay","args":{"job":{"sheenlay":1}}}`), nil)
		require.NotNil(t, s.made)
		var reply Reply
		limits.Reader(t, func() { reply, _ = s.Answer(context.Background(), raw, nil) })
		if reply.Error != nil {
			require.NotEqual(t, "engine-fault", reply.Error.Code, "%s\n%s", reply.Error.Text, reply.Error.Quote)
			require.NotEmpty(t, reply.Error.Text)
		}
		_, err = json.Marshal(reply)
		require.NoError(t, err)
	})
}
