package protocol

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/machine"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// survey has the session follow the file to its end and returns the answer.
func survey(t *testing.T, s *Session, data []byte, args string) map[string]any {
	t.Helper()
	tree, _ := walk(t, s, "survey.begin", args)
	result(t, tree)
	s.Feed(SurveyReader, data)
	tree, _ = walk(t, s, "survey.end", "{}")
	return result(t, tree)
}

func figuresOf(t *testing.T, report map[string]any) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	for name, value := range report["figures"].(map[string]any) {
		out[name] = value.(float64)
	}
	return out
}

// The time and the filament that a report gives for the finished file are those
// that the finished file itself shows when it is followed as a file of
// its own. The plan of the whole goes round two corners, at the ends of the
// new layer, at which a plan of the layer alone stands still: a second is more
// than both can make.
func TestTheWholeIsThatOfTheFinishedFile(t *testing.T) {
	plate, err := os.ReadFile("../../testdata/sliced/absolute-retracted-lifted.gcode")
	require.NoError(t, err)
	limited := append([]byte("M201 X900 Y900 Z100\nM204 P700 T900\n"), sampleBytes("shelf-tag")...)
	for _, row := range []struct {
		name, job string
		data      []byte
	}{
		{"a sample", `{"sheenlay":1}`, sampleBytes("shelf-tag")},
		{"limits in the file", `{"sheenlay":1}`, limited},
		{"a slow machine", `{"sheenlay":1,"machine":{"accelMMs2":100,"travelAccelMMs2":100,"maxSpeedXMMs":40}}`, sampleBytes("shelf-tag")},
		{"two layers, kept walls", `{"sheenlay":1,"layers":{"count":2},"keep":{"walls":1}}`, sampleBytes("shelf-tag")},
		{"absolute filament", `{"sheenlay":1}`, plate},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := NewSession()
			result(t, openFile(t, s, "piece.gcode", row.data))
			before := survey(t, s, row.data, `{"job":`+row.job+`}`)
			assert.Nil(t, before["laid"], "nothing is laid yet")
			tree, buffers := walk(t, s, "lay", `{"job":`+row.job+`}`)
			report := result(t, tree)
			require.Equal(t, true, report["ok"], "%v", report["sentence"])
			figures := figuresOf(t, report)
			ends := report["finished"].(map[string]any)
			finished := append([]byte{}, row.data[:int(ends["headEnd"].(float64))]...)
			finished = append(append(finished, buffers[0]...), row.data[int(ends["tailStart"].(float64)):]...)

			again := piece.NewSurvey(&piece.Piece{Size: int64(len(finished))}, s.made.Job.Machine.MotionLimits())
			again.Feed(finished)
			after := again.Finish()
			assert.Equal(t, before["timeS"], figures["oldWholeTimeS"])
			assert.Equal(t, before["filamentMM"], figures["oldWholeEMM"])
			assert.InDelta(t, after.TimeS, figures["wholeTimeS"], 1)
			assert.InDelta(t, after.FilamentMM, figures["wholeEMM"], 0.01, "written to 0.00001 mm, a thousand lines")
			assert.InDelta(t, figures["timeS"]-figures["oldTimeS"], figures["wholeTimeS"]-figures["oldWholeTimeS"], 1e-9)
			assert.Equal(t, figures["addedTimeS"], figures["timeS"]-figures["oldTimeS"])
			whole := report["whole"].(map[string]any)
			assert.Equal(t, true, whole["known"])
			assert.Equal(t, false, whole["again"])
			assert.Contains(t, whole["text"], "The finished file takes "+duration(figures["wholeTimeS"])+", the sliced one "+duration(figures["oldWholeTimeS"]))
		})
	}
}

// What is not known is not said: the difference stands alone until the file was
// followed to its end, and a survey that ends later completes the report.
func TestTheWholeIsUnknownUntilFollowed(t *testing.T) {
	data := []byte(strings.Replace(string(sampleBytes("shelf-tag")), "\n", "\n;TIME:1234\n", 1))
	s := NewSession()
	result(t, openFile(t, s, "piece.gcode", data))
	unknown := func(when string) map[string]any {
		tree, _ := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
		report := result(t, tree)
		figures := figuresOf(t, report)
		assert.NotContains(t, figures, "wholeTimeS", when)
		assert.Contains(t, figures, "addedTimeS", when)
		whole := report["whole"].(map[string]any)
		assert.Equal(t, false, whole["known"], when)
		assert.Contains(t, whole["text"], "are not known", when)
		assert.Regexp(t, `(longer|shorter) .*filament`, whole["text"], when)
		return whole
	}
	unknown("before the survey")
	survey(t, s, data, `{"skim":true}`)
	unknown("after one that only skims")
	s.piece.Size = piece.DeepBytes + 1
	assert.Contains(t, unknown("too large")["text"], "too large")
	s.piece.Size = int64(len(data))

	laid := survey(t, s, data, `{}`)["laid"].(map[string]any)
	assert.Equal(t, true, laid["whole"].(map[string]any)["known"])
	assert.Contains(t, laid["figures"], "wholeTimeS")
	codes := []string{}
	for _, f := range laid["findings"].([]any) {
		codes = append(codes, f.(map[string]any)["code"].(string))
	}
	assert.Equal(t, []string{"claims-time"}, codes)
	tree, _ := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	report := result(t, tree)
	assert.Equal(t, laid["figures"], report["figures"], "the same as if it had been known at once")
	assert.Equal(t, laid["whole"], report["whole"])

	survey(t, s, data, `{"skim":true}`)
	tree, _ = walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	assert.Contains(t, figuresOf(t, result(t, tree)), "wholeTimeS", "skimming forgets nothing")
}

// A survey is for one machine. With another one the report says so and asks for
// another survey; the change itself is the new machine's.
func TestTheWholeSaysForWhichMachine(t *testing.T) {
	data := sampleBytes("shelf-tag")
	s := NewSession()
	result(t, openFile(t, s, "piece.gcode", data))
	lay := func(accel float64) map[string]any {
		tree, _ := walk(t, s, "lay", fmt.Sprintf(`{"job":{"sheenlay":1,"machine":{"accelMMs2":%g}}}`, accel))
		return result(t, tree)
	}
	lay(300)
	slow := survey(t, s, data, `{}`)
	assert.Equal(t, false, slow["laid"].(map[string]any)["whole"].(map[string]any)["again"], "it is that of the job laid last")
	report := lay(3000)
	whole := report["whole"].(map[string]any)
	assert.Equal(t, true, whole["again"])
	assert.Contains(t, whole["text"], "as it was set before")
	assert.Equal(t, slow["timeS"], figuresOf(t, report)["oldWholeTimeS"])
	fast := survey(t, s, data, `{}`)
	assert.Less(t, fast["timeS"], slow["timeS"])
	whole = fast["laid"].(map[string]any)["whole"].(map[string]any)
	assert.Equal(t, false, whole["again"])
	assert.NotContains(t, whole["text"], "before;")
	s.piece.Size = againBytes + 1
	whole = lay(300)["whole"].(map[string]any)
	assert.Equal(t, false, whole["again"], "too large to be followed for each change")
	assert.Contains(t, whole["text"], "as it was set before")
	tree, _ := walk(t, s, "survey.begin", `{"job":{"sheenlay":1,"machine":{"accelMMs2":-1}}}`)
	assert.NotNil(t, tree["error"])
}

// A host that begins a new engine hands over what the survey found, so that the
// file need not be read again.
func TestAKeptSurveyIsTakenBack(t *testing.T) {
	data := sampleBytes("shelf-tag")
	s := NewSession()
	result(t, openFile(t, s, "piece.gcode", data))
	kept, _ := json.Marshal(survey(t, s, data, `{}`))
	tree, _ := walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
	want := result(t, tree)
	reopen := func(size int) map[string]any {
		s := NewSession()
		tree, _ := walk(t, s, "piece.begin", fmt.Sprintf(`{"name":"shelf-tag.gcode","size":%d,"whole":%s}`, size, kept))
		result(t, tree)
		s.Feed(PieceReader, data)
		tree, _ = walk(t, s, "piece.end", "{}")
		result(t, tree)
		tree, _ = walk(t, s, "lay", `{"job":{"sheenlay":1}}`)
		return result(t, tree)
	}
	got := reopen(len(data))
	assert.Equal(t, want["figures"], got["figures"])
	assert.Equal(t, want["whole"], got["whole"])
	assert.NotContains(t, reopen(len(data) + 1)["figures"], "wholeTimeS", "of a file of another size it says nothing")
}

// A file that heats beyond the machine above its first layer is the maker's own:
// a caution with the line, not a stop. Up to the tail it is a stop.
func TestAHotTailIsSaid(t *testing.T) {
	plain := sampleBytes("shelf-tag")
	heated := func(layer int, line string) []byte {
		before, after, ok := strings.Cut(string(plain), fmt.Sprintf("; LAYER %d,", layer))
		require.True(t, ok)
		return []byte(before + line + "\n; LAYER " + fmt.Sprint(layer) + "," + after)
	}
	for _, row := range []struct {
		name, job string
		data      []byte
		code      string
		level     finding.Level
	}{
		{"as it was", `{}`, plain, "", ""},
		{"the nozzle, above", `{}`, heated(2, "M104 S500"), "tail-nozzle-hot", finding.Caution},
		{"another tool, above", `{}`, heated(3, "M109 T1 R301"), "tail-nozzle-hot", finding.Caution},
		{"the bed, above", `{}`, heated(2, "M140 S180"), "tail-bed-hot", finding.Caution},
		{"a machine that takes it", `{"maxNozzleC":345}`, heated(2, "M104 S340"), "", ""},
		{"a machine that takes less", `{"maxNozzleC":345}`, heated(2, "M104 S346"), "tail-nozzle-hot", finding.Caution},
		{"off again at the end", `{}`, append(heated(2, "M104 S299"), "M104 S0\n"...), "", ""},
		{"before the first layer", `{}`, heated(0, "M104 S500"), "join-too-hot", finding.Stop},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := NewSession()
			result(t, openFile(t, s, "piece.gcode", row.data))
			survey(t, s, row.data, `{}`)
			tree, _ := walk(t, s, "lay", `{"job":{"sheenlay":1,"machine":`+row.job+`}}`)
			hot := map[string]any{}
			for _, f := range result(t, tree)["findings"].([]any) {
				f := f.(map[string]any)
				if strings.Contains(f["code"].(string), "hot") {
					hot = f
				}
			}
			if row.code == "" {
				assert.Empty(t, hot)
				return
			}
			assert.Equal(t, row.code, hot["code"])
			assert.Equal(t, string(row.level), hot["level"])
			if row.level == finding.Caution {
				lines := strings.Split(string(row.data), "\n")
				line := lines[int(hot["place"].(map[string]any)["line"].(float64))-1]
				assert.Regexp(t, `^M1[04]`, line)
				assert.Equal(t, line, hot["quote"])
				assert.Equal(t, row.level, s.made.Findings.Worst())
			}
		})
	}
}

// What the file shows stands in every field that the job leaves out, as the page
// shows it; what the job states wins, and so does a default that means the file.
func TestWhatTheFileShowsStands(t *testing.T) {
	var o specimen.Options
	for _, one := range specimen.Samples() {
		if one.ID == "harbour-tile" {
			o = one.Options
		}
	}
	o.Centred, o.At = true, plane.Point{}
	data := append([]byte("M203 X180 Z8\nM201 Y750\nM204 P640\nM205 X9 Y7\n"), specimen.Make(o).Bytes...)
	s := NewSession()
	opened := result(t, openFile(t, s, "centred.gcode", data))
	read := opened["machine"].(map[string]any)["read"].(map[string]any)
	laid := func(job string) map[string]any {
		tree, _ := walk(t, s, "lay", `{"job":`+job+`}`)
		return result(t, tree)
	}
	assert.Equal(t, true, laid(`{"sheenlay":1}`)["ok"], "a bed with its origin in the middle is taken as it is")
	m := s.made.Job.Machine
	assert.Equal(t, machine.Centre, m.Origin)
	assert.Equal(t, []float64{180, 300, 8, 640, 750, 7}, []float64{m.MaxSpeedXMMs, m.MaxSpeedYMMs, m.MaxSpeedZMMs, m.AccelMMs2, m.MaxAccelYMMs2, m.JumpMMs})
	assert.Equal(t, machine.AsFile, m.RetractBy, "the default means the file")
	assert.Zero(t, s.made.Job.Bead.WidthMM, "so here")
	byPath := map[string]job.Field{}
	for _, f := range job.Fields() {
		byPath[f.Path] = f
	}
	raw, err := json.Marshal(s.made.Job)
	require.NoError(t, err)
	var tree map[string]map[string]any
	var whole map[string]any
	require.NoError(t, json.Unmarshal(raw, &whole))
	delete(whole, "sheenlay")
	raw, _ = json.Marshal(whole)
	require.NoError(t, json.Unmarshal(raw, &tree))
	for path, value := range read {
		section, name, _ := strings.Cut(path, ".")
		if byPath[path].Read && !slices.Contains(asTheFile, path) {
			assert.Equal(t, value, tree[section][name], path)
		}
	}
	assert.Equal(t, false, laid(`{"sheenlay":1,"machine":{"origin":"corner"}}`)["ok"], "the job's word wins")
	assert.True(t, s.made.Findings.Has("machine-origin"))
	laid(`{"sheenlay":1,"machine":{"accelMMs2":900}}`)
	assert.Equal(t, 900.0, s.made.Job.Machine.AccelMMs2)
	none, _, err := NewSession().readJob([]byte(`{"sheenlay":1}`))
	require.NoError(t, err)
	assert.Equal(t, job.Default(), none, "without a piece the defaults stand")
}

// The file's own speed, nozzle and bed stand where the job leaves them out, with
// the reason; what is typed wins, is never changed, and is held against them.
func TestReadAndTyped(t *testing.T) {
	data := append(sampleBytes("shelf-tag"), "; nozzle_diameter = 0.5\n; bed_shape = 0x0,250x0,250x210,0x210\n"...)
	s := NewSession()
	begin, _ := walk(t, s, "piece.begin", fmt.Sprintf(`{"name":"tag.gcode","size":%d}`, len(data)))
	result(t, begin)
	s.Feed(PieceReader, data)
	assert.False(t, s.Feed(EndReader, data[len(data)-2000:]))
	tree, _ := walk(t, s, "piece.end", "{}")
	shown := result(t, tree)["machine"].(map[string]any)
	read, why, missing := shown["read"].(map[string]any), shown["why"].(map[string]any), shown["missing"].([]any)
	assert.Equal(t, 22.0, read["bead.speedMMs"], "the sample's own, which is not the default")
	assert.Equal(t, []any{0.5, "rect", 250.0, 210.0}, []any{read["machine.nozzleMM"], read["machine.bedShape"], read["machine.bedWidthMM"], read["machine.bedDepthMM"]})
	assert.Contains(t, why["machine.nozzleMM"], "; nozzle_diameter = 0.5")
	assert.Contains(t, missing, "machine.bedHeightMM")
	for path := range read {
		assert.NotContains(t, missing, path)
	}
	for _, row := range []struct {
		name, job     string
		speed, nozzle float64
		found         []string
	}{
		{"nothing typed", `{"sheenlay":1}`, 22, 0.5, nil},
		{"typed at the default", `{"sheenlay":1,"bead":{"speedMMs":20},"machine":{"nozzleMM":0.4}}`, 20, 0.4, []string{"machine-nozzle-differs"}},
		{"typed as in the file", `{"sheenlay":1,"bead":{"speedMMs":22},"machine":{"nozzleMM":0.5}}`, 22, 0.5, nil},
		{"another bed", `{"sheenlay":1,"machine":{"bedShape":"round","bedDiameterMM":300}}`, 22, 0.5, []string{"machine-bed-differs"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			tree, _ := walk(t, s, "lay", `{"coarse":true,"job":`+row.job+`}`)
			result(t, tree)
			assert.Equal(t, row.speed, s.made.Job.Bead.SpeedMMs)
			assert.Equal(t, row.nozzle, s.made.Job.Machine.NozzleMM)
			for _, code := range []string{"machine-nozzle-differs", "machine-bed-differs"} {
				assert.Equal(t, slices.Contains(row.found, code), s.made.Findings.Has(code), code)
			}
		})
	}
}

// What was typed at its default goes with a link and comes back typed, so that
// another file does not change it.
func TestALinkCarriesWhatWasTyped(t *testing.T) {
	tree, _ := walk(t, NewSession(), "link.encode", `{"job":{"sheenlay":1,"bead":{"speedMMs":20},"keep":{"walls":2}}}`)
	text := result(t, tree)["text"].(string)
	tree, _ = walk(t, NewSession(), "link.decode", `{"text":"`+text+`"}`)
	set := map[string]any{}
	for _, c := range result(t, tree)["changes"].([]any) {
		change := c.(map[string]any)
		set[change["path"].(string)] = change["to"]
	}
	assert.Equal(t, map[string]any{"bead.speedMMs": 20.0, "keep.walls": 2.0}, set)
}

// Every field that is said to be read from sliced files is read from some.
func TestEveryReadFieldIsRead(t *testing.T) {
	seen := map[string]bool{}
	add := func(data []byte) {
		s := NewSession()
		tree := openFile(t, s, "piece.gcode", data)
		values, _ := readings(s.piece)
		result(t, tree)
		for path := range values {
			seen[path] = true
		}
	}
	plain := sampleBytes("shelf-tag")
	limits := "M201 X900 Y900 Z100 E5000\nM203 X180 Y180 Z8 E60\nM204 P700 T900 R800\nM205 X9 Y7 J0.03\n"
	add(append([]byte("; nozzle_diameter = 0.4\n; bed_shape = 0x0,250x0,250x210,0x210\n; max_print_height = 210\n"+limits), plain...))
	add(append([]byte("; bed shape: circle, diameter 240\n"), plain...))
	lifted, err := os.ReadFile("../../testdata/sliced/absolute-retracted-lifted.gcode")
	require.NoError(t, err)
	add(lifted)
	for _, f := range job.Fields() {
		assert.Equal(t, f.Read, seen[f.Path], f.Path)
	}
}
