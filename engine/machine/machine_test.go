package machine_test

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
)

func box(x0, y0, x1, y1 float64) plane.Box {
	return plane.Box{Min: plane.Point{X: x0, Y: y0}, Max: plane.Point{X: x1, Y: y1}}
}

func preset(t *testing.T, name string) machine.Machine {
	t.Helper()
	for _, m := range machine.Presets() {
		if m.Name == name {
			return m
		}
	}
	require.Fail(t, "no preset "+name)
	return machine.Machine{}
}

// Every member of the record stands in the table under its JSON name, in the
// same order, and the other way round.
func TestTableAndRecordAgree(t *testing.T) {
	var names []string
	record := reflect.TypeOf(machine.Machine{})
	for i := range record.NumField() {
		names = append(names, record.Field(i).Tag.Get("json"))
	}
	var table []string
	for _, f := range machine.Fields() {
		table = append(table, f.Name)
		assert.NotEmpty(t, f.Label, f.Name)
		assert.True(t, strings.HasSuffix(f.Doc, "."), "%s: %q", f.Name, f.Doc)
		if f.Kind == machine.Number {
			assert.LessOrEqual(t, f.Min, f.Default, f.Name)
			assert.LessOrEqual(t, f.Default, f.Max, f.Name)
			assert.Positive(t, f.Step, f.Name)
		}
	}
	assert.Equal(t, names, table)
}

func TestDefaultAndPresetsAreValid(t *testing.T) {
	require.Empty(t, machine.Default().Validate())
	names := map[string]bool{}
	for _, m := range machine.Presets() {
		assert.Empty(t, m.Validate(), m.Name)
		assert.False(t, names[m.Name], "%s stands twice", m.Name)
		names[m.Name] = true
		assert.True(t, m.Contains(m.Bed().Centre()), m.Name)
		assert.Empty(t, m.BeadLimits().Validate(), m.Name)
		assert.Empty(t, m.MotionLimits().Validate(), m.Name)
	}
	assert.Len(t, names, 13)
	assert.NotEmpty(t, machine.Machine{}.Validate(), "the zero record is no machine")
}

func TestEveryNumberIsRefusedOutsideItsRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, f := range machine.Fields() {
		if f.Kind != machine.Number {
			continue
		}
		for _, bad := range []float64{nan, inf, -inf, 1e308, -1e308, math.Nextafter(f.Min, -inf), math.Nextafter(f.Max, inf)} {
			m := machine.Default()
			setNumber(t, &m, f.Name, bad)
			found := m.Validate()
			require.Len(t, found, 1, "%s = %v", f.Name, bad)
			assert.Equal(t, "machine."+f.Name, found[0].Place.Element)
			assert.Equal(t, finding.Stop, found[0].Level)
			assert.Contains(t, found[0].Text, finding.Figure(f.Min)+" to "+finding.Figure(f.Max))
		}
	}
}

func setNumber(t *testing.T, m *machine.Machine, name string, v float64) {
	t.Helper()
	record := reflect.ValueOf(m).Elem()
	for i := range record.NumField() {
		if record.Type().Field(i).Tag.Get("json") == name {
			record.Field(i).SetFloat(v)
			return
		}
	}
	require.Fail(t, "no member "+name)
}

func TestContradictionsAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*machine.Machine)
		field  string
		text   string
	}{
		"layer too high for nozzle": {func(m *machine.Machine) { m.FirstHeightMM = 0.4 }, "machine.firstHeightMM",
			"First layer height, for a 0.4 mm nozzle, is 0.4 mm; permitted is 0.04 to 0.32 mm."},
		"line under half a nozzle": {func(m *machine.Machine) { m.FirstWidthMM = 0.19 }, "machine.firstWidthMM",
			"First layer line width, for a 0.4 mm nozzle, is 0.19 mm; permitted is 0.24 to 0.8 mm."},
		"cold above hot": {func(m *machine.Machine) { m.ColdLimitC, m.MaxNozzleC = 250, 240 }, "machine.coldLimitC",
			"Coldest nozzle, below the hottest one, is 250 °C; permitted is 0 to 239 °C."},
		"faster than it melts": {func(m *machine.Machine) { m.SpeedMMs = 300 }, "machine.speedMMs",
			"First layer width, height, flow and speed together take 25.2 mm³/s; permitted is up to 10 mm³/s."},
		"no bed left": {func(m *machine.Machine) { m.KeepOut = machine.Boxes{box(-1, -1, 300, 300)} }, "machine.keepOut",
			"An area to keep free covers the whole bed."},
		"upside-down area": {func(m *machine.Machine) { m.KeepOut = machine.Boxes{box(10, 0, 5, 5)} }, "machine.keepOut",
			"Area 1 to keep free is not a rectangle on any bed."},
		"NaN area": {func(m *machine.Machine) { m.KeepOut = machine.Boxes{box(0, math.NaN(), 5, 5)} }, "machine.keepOut",
			"Area 1 to keep free is not a rectangle on any bed."},
		"too many areas": {func(m *machine.Machine) { m.KeepOut = make(machine.Boxes, 17) }, "machine.keepOut",
			"There are 17 areas to keep free; permitted are 16."},
		"unknown shape": {func(m *machine.Machine) { m.BedShape = "oval" }, "machine.bedShape",
			`Bed is "oval"; permitted is one of "rect", "round".`},
		"long name": {func(m *machine.Machine) { m.Name = strings.Repeat("x", 81) }, "machine.name",
			"The name has 81 characters; permitted are 80."},
		"bell in the name": {func(m *machine.Machine) { m.Name = "a\a" }, "machine.name",
			"The name has characters that cannot be shown."},
	} {
		t.Run(name, func(t *testing.T) {
			m := machine.Default()
			c.change(&m)
			found := m.Validate()
			require.Len(t, found, 1)
			assert.Equal(t, c.field, found[0].Place.Element)
			assert.Equal(t, c.text, found[0].Text)
			assert.NotEmpty(t, found[0].Remedy)
		})
	}
}

func TestContains(t *testing.T) {
	corner, round := preset(t, "220 × 220, corner origin"), preset(t, "round 240, centre origin")
	centre := preset(t, "220 × 220, centre origin")
	shifted := corner
	shifted.OriginXMM = -10
	clipped := corner
	clipped.KeepOut = machine.Boxes{box(0, 0, 20, 20)}
	nan := math.NaN()
	for name, c := range map[string]struct {
		m    machine.Machine
		x, y float64
		want bool
	}{
		"corner itself":        {corner, 0, 0, true},
		"far corner":           {corner, 220, 220, true},
		"left of it":           {corner, -0.001, 10, false},
		"centre origin":        {centre, -110, 110, true},
		"beyond centre origin": {centre, 111, 0, false},
		"round, at its edge":   {round, 120, 0, true},
		"round, in the corner": {round, 100, 100, false},
		"round, 3-4-5 edge":    {round, 72, 96, true},
		"shifted":              {shifted, -10, 0, true},
		"shifted, beyond":      {shifted, 211, 0, false},
		"in a clip":            {clipped, 10, 10, false},
		"beside the clip":      {clipped, 21, 10, true},
		"not a number":         {corner, nan, 10, false},
	} {
		assert.Equal(t, c.want, c.m.Contains(plane.Point{X: c.x, Y: c.y}), name)
	}
	assert.True(t, corner.ContainsBox(plane.EmptyBox()))
	assert.True(t, corner.ContainsBox(box(0, 0, 220, 220)))
	assert.False(t, clipped.ContainsBox(box(15, 15, 50, 50)))
	assert.False(t, clipped.ContainsBox(box(-0, -0, 219, 219)), "the clip lies inside the box")
	assert.False(t, round.ContainsBox(box(-100, -100, 100, 100)), "corners stand over")
	assert.True(t, round.ContainsBox(box(-84, -84, 84, 84)))
}

func TestInfer(t *testing.T) {
	for name, c := range map[string]struct {
		e      machine.Evidence
		preset string
		sure   bool
	}{
		"coaster in the middle of 220":       {machine.Evidence{Piece: box(65, 65, 155, 155)}, "220 × 220, corner origin", true},
		"bookmark in the middle of 256":      {machine.Evidence{Piece: box(108, 58, 148, 198)}, "256 × 256, corner origin", true},
		"panel that only fits 300":           {machine.Evidence{Piece: box(10, 10, 290, 290)}, "300 × 300, corner origin", true},
		"about zero":                         {machine.Evidence{Piece: box(-45, -45, 45, 45)}, "round 180, centre origin", true},
		"about zero, high":                   {machine.Evidence{Piece: box(-45, -45, 45, 45), MaxZ: 260}, "round 240, centre origin", true},
		"about zero, corners of a rectangle": {machine.Evidence{Piece: box(-105, -105, 105, 105)}, "220 × 220, centre origin", true},
		"over the corner":                    {machine.Evidence{Piece: box(-3, 0, 60, 60)}, "", false},
		"over zero, hardly negative":         {machine.Evidence{Piece: box(-4, -4, 4, 4)}, "round 180, centre origin", false},
		"larger than all":                    {machine.Evidence{Piece: box(0, 0, 900, 900)}, "", false},
		"nothing laid":                       {machine.Evidence{Piece: plane.EmptyBox()}, "", false},
		"not numbers":                        {machine.Evidence{Piece: box(math.NaN(), 0, 1, 1)}, "", false},
	} {
		t.Run(name, func(t *testing.T) {
			g := machine.Infer(c.e)
			assert.Equal(t, c.preset, g.Preset.Name)
			assert.Equal(t, c.sure, g.Sure)
			assert.NotEmpty(t, g.Reason)
			assert.Empty(t, g.Preset.Validate())
			assert.Equal(t, g.Origin, g.Preset.Origin)
		})
	}
}

func TestDisagree(t *testing.T) {
	corner, centre := preset(t, "220 × 220, corner origin"), preset(t, "220 × 220, centre origin")
	around := machine.Evidence{Piece: box(-45, -45, 45, 45), Moves: box(-60, -60, 60, 60)}
	assert.Empty(t, centre.Disagree(around))
	found := corner.Disagree(around)
	require.Len(t, found, 2)
	assert.Equal(t, "machine-origin", found[0].Code)
	assert.Equal(t, "With the origin in the centre it would: change the origin of the machine.", found[0].Remedy)
	assert.Equal(t, "machine-moves-outside", found[1].Code)
	found = corner.Disagree(machine.Evidence{Piece: box(0, 0, 500, 10), Moves: plane.EmptyBox()})
	require.Len(t, found, 1)
	assert.Equal(t, "machine-piece-outside", found[0].Code)
	clipped := corner
	clipped.KeepOut = machine.Boxes{box(0, 0, 20, 20)}
	found = clipped.Disagree(machine.Evidence{Piece: box(10, 10, 50, 50), Moves: plane.EmptyBox(), MaxZ: 400})
	require.Len(t, found, 2)
	assert.Equal(t, "machine-piece-in-keep-out", found[0].Code)
	assert.Equal(t, "machine-too-high", found[1].Code)
	assert.Empty(t, corner.Disagree(machine.Evidence{Piece: plane.EmptyBox(), Moves: plane.EmptyBox()}))
}

func TestPlacePrime(t *testing.T) {
	m := preset(t, "220 × 220, corner origin")
	line, side, problem := m.PlacePrime(box(65, 65, 155, 155), 40, 4, 0.4, machine.Auto)
	require.Nil(t, problem)
	assert.Equal(t, machine.Front, side)
	assert.Equal(t, plane.Polyline{{X: 90, Y: 60.8}, {X: 130, Y: 60.8}}, line)
	line, side, problem = m.PlacePrime(box(65, 2, 155, 155), 40, 4, 0.4, machine.Auto)
	require.Nil(t, problem, "no room at the front: the next side")
	assert.Equal(t, machine.Left, side)
	assert.InDelta(t, 60.8, line[0].X, 1e-9)
	line, _, problem = m.PlacePrime(box(0, 65, 20, 155), 40, 4, 0.4, machine.Back)
	require.Nil(t, problem)
	assert.InDelta(t, 1, line[0].X, 0.3, "shifted onto the bed by whole millimetres")
	m.KeepOut = machine.Boxes{box(100, 50, 120, 63)}
	line, _, problem = m.PlacePrime(box(65, 65, 155, 155), 40, 4, 0.4, machine.Front)
	require.Nil(t, problem)
	assert.True(t, line[1].X < 100 || line[0].X > 120, "beside the clip: %v", line)
	for name, c := range map[string]struct {
		piece            plane.Box
		length, gap, wid float64
		side             string
	}{
		"piece fills the bed": {box(0, 0, 220, 220), 40, 4, 0.4, machine.Auto},
		"longer than the bed": {box(65, 65, 155, 155), 400, 4, 0.4, machine.Auto},
		"unknown side":        {box(65, 65, 155, 155), 40, 4, 0.4, "above"},
		"NaN length":          {box(65, 65, 155, 155), math.NaN(), 4, 0.4, machine.Auto},
		"negative gap":        {box(65, 65, 155, 155), 40, -4, 0.4, machine.Auto},
		"endless width":       {box(65, 65, 155, 155), 40, 4, math.Inf(1), machine.Auto},
		"no piece":            {plane.EmptyBox(), 40, 4, 0.4, machine.Auto},
	} {
		line, _, problem := m.PlacePrime(c.piece, c.length, c.gap, c.wid, c.side)
		require.NotNil(t, problem, name)
		assert.Equal(t, finding.Stop, problem.Level, name)
		assert.Nil(t, line, name)
	}
	round := preset(t, "round 180, centre origin")
	line, _, problem = round.PlacePrime(box(-60, -60, 60, 60), 40, 4, 0.4, machine.Auto)
	require.Nil(t, problem)
	assert.True(t, round.Contains(line[0]) && round.Contains(line[1]))
}

func TestBoxesAsJSON(t *testing.T) {
	data, err := json.Marshal(machine.Boxes{box(1, 2, 3, 4)})
	require.NoError(t, err)
	assert.Equal(t, "[[1,2,3,4]]", string(data))
	var back machine.Boxes
	require.NoError(t, json.Unmarshal(data, &back))
	assert.Equal(t, machine.Boxes{box(1, 2, 3, 4)}, back)
	assert.Error(t, json.Unmarshal([]byte(`[[1,2,3]]`), &back))
	assert.Error(t, json.Unmarshal([]byte(`{"a":1}`), &back))
	data, err = json.Marshal(machine.Boxes(nil))
	require.NoError(t, err)
	assert.Equal(t, "[]", string(data))
}
