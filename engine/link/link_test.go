package link

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/generators"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/job"
)

func packed(t testing.TB, plain string) string {
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, 9)
	require.NoError(t, err)
	_, err = w.Write([]byte(plain))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return form + base64.RawURLEncoding.EncodeToString(b.Bytes())
}

func full() job.Job {
	j := job.Default()
	j.Bead.WidthMM, j.Bead.SpeedMMs = 0.45, 25
	j.Art.Generator = "hemp-leaf"
	j.Art.Params = map[string]float64{"sizeMM": 12.5, "turnDeg": 15, "gapMM": 0.5}
	j.Art.Lays = map[string]float64{"kind:0": 0, "kind:1": 60, "kind:2": 120}
	j.Placement.TurnDeg, j.Placement.Scale = 33.3, 1.7
	j.Keep.Walls, j.Layers.Count = 2, 3
	j.Machine.Name = "Reading room"
	j.Machine.BedWidthMM, j.Machine.NozzleMM = 300, 0.6
	return j
}

func TestRoundTrip(t *testing.T) {
	j := full()
	text, err := Encode(j, nil)
	require.NoError(t, err)
	assert.Less(t, len(text), 600)
	got, found := Decode("prefix#"+text, job.Default())
	require.Empty(t, found)
	assert.Equal(t, j, got)
}

func TestNothingPrivateTravels(t *testing.T) {
	j := full()
	j.Piece.File, j.Piece.FirstLine = "harbour-tile.gcode", 77
	j.Art.SVG, j.Art.Name, j.Art.Picture = "<svg/>", "lighthouse.svg", "AAAA"
	with, err := Encode(j, nil)
	require.NoError(t, err)
	without, err := Encode(full(), nil)
	require.NoError(t, err)
	assert.Equal(t, without, with)

	now := job.Default()
	now.Piece.File = "my-own.gcode"
	got, found := Decode(with, now)
	require.Empty(t, found)
	assert.Equal(t, "my-own.gcode", got.Piece.File, "what a link may not carry stays as it is")
}

// A speed that was typed at its default stays typed; what nobody stated is left
// to the file of whoever opens the link.
func TestStatedFieldsTravelAtTheirDefaults(t *testing.T) {
	stated := func(path string) bool { return path == "bead.speedMMs" || path == "keep.walls" }
	text, err := Encode(job.Default(), stated)
	require.NoError(t, err)
	assert.Equal(t, []string{"bead.speedMMs"}, Stated(text), "keep.walls is never read from a file")
	got, found := Decode(text, full())
	require.Empty(t, found)
	assert.Equal(t, job.Default().Bead.SpeedMMs, got.Bead.SpeedMMs)
	assert.Empty(t, Stated("no link"))
}

func TestHostileLinks(t *testing.T) {
	now := full()
	for _, row := range []struct{ name, text, code string }{
		{"empty", "", "link-version"},
		{"a megabyte", "1." + strings.Repeat("A", 1<<20), "link-too-long"},
		{"unknown version", "2.qq4FBAAA__8", "link-version"},
		{"markup", "<img src=x onerror=alert(1)>", "link-version"},
		{"bad base64", "1.!!!", "link-damaged"},
		{"bad stream", "1.AAAA_w", "link-damaged"},
		{"bomb", packed(t, `{"a":"`+strings.Repeat("a", 10<<20)+`"}`), "link-bomb"},
		{"not an object", packed(t, `[1]`), "link-damaged"},
		{"NaN", packed(t, `{"bead.widthMM": NaN}`), "link-damaged"},
		{"huge", packed(t, `{"bead.widthMM": 1e308}`), "job-out-of-range"},
		{"a file's name", packed(t, `{"piece.file": "x"}`), "link-unknown-field"},
		{"artwork", packed(t, `{"art.svg": "<svg onload=x>"}`), "link-unknown-field"},
		{"unknown field", packed(t, `{"bead.colour": 1}`), "link-unknown-field"},
		{"unknown section", packed(t, `{"__proto__.x": 1}`), "link-unknown-field"},
		{"no section", packed(t, `{"x": 1}`), "link-unknown-field"},
		{"markup as choice", packed(t, `{"prime.side": "<b>"}`), "job-unfit-field"},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, found := Decode(row.text, now)
			require.NotEmpty(t, found)
			assert.Equal(t, row.code, found[0].Code)
			assert.Equal(t, finding.Stop, found.Worst())
			assert.Equal(t, now, got, "nothing changed")
		})
	}
}

func FuzzDecode(f *testing.F) {
	f.Add("1.qq4FBAAA__8")
	text, _ := Encode(full(), nil)
	f.Add(text)
	f.Fuzz(func(t *testing.T, text string) {
		var j job.Job
		var found finding.List
		limits.Reader(t, func() { j, found = Decode(text, job.Default()) })
		if found.Worst() == finding.Stop {
			assert.Equal(t, job.Default(), j)
			return
		}
		again, err := Encode(j, nil)
		require.NoError(t, err)
		back, _ := Decode(again, job.Default())
		assert.Equal(t, j, back)
	})
}

// Settings of any built-in pattern, every parameter changed and every machine
// number too, fit into an address that chats and mail leave whole.
func TestEveryPatternFitsIntoALink(t *testing.T) {
	for _, g := range generators.All() {
		j := full()
		j.Art.Generator, j.Art.Params = g.ID, map[string]float64{}
		for _, p := range g.Params {
			j.Art.Params[p.Key] = p.Min + (p.Max-p.Min)/3
		}
		tree := j.Tree()
		for _, f := range job.Fields() {
			if f.Section == "machine" && f.Kind == job.Number && f.Max > f.Min {
				tree["machine"].(map[string]any)[strings.TrimPrefix(f.Path, "machine.")] = f.Min + (f.Max-f.Min)/7
			}
		}
		raw, err := json.Marshal(tree)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(raw, &j))
		text, err := Encode(j, nil)
		require.NoError(t, err)
		assert.LessOrEqual(t, len(text), 2000, g.ID)
	}
}
