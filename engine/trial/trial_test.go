package trial_test

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/bead"
	"sheenlay/engine/finding"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
	"sheenlay/engine/trial"
)

func usual() trial.Spec {
	return trial.Spec{
		Across:    trial.Axis{Quantity: trial.Spacing, From: 0.36, To: 0.48, Steps: 5},
		Down:      trial.Axis{Quantity: trial.Flow, From: 0.94, To: 1.06, Steps: 4},
		SpacingMM: 0.42, FlowPercent: 100, SpeedMMs: 20, LayDegrees: 30, HeightMM: 0.2,
		NozzleMM: 0.4, Limits: bead.DefaultLimits(), Marks: trial.Cut, FromBelow: true,
	}
}

func rectangle(x0, y0, x1, y1 float64) plane.Region {
	return plane.Region{{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
}

func disc(cx, cy, r float64, n int) plane.Ring {
	var ring plane.Ring
	for i := range n {
		ring = append(ring, plane.Point{X: r}.Turn(2*math.Pi*float64(i)/float64(n)).Add(plane.Point{X: cx, Y: cy}))
	}
	return ring
}

func patch(t *testing.T, p trial.Plate, name string) trial.Patch {
	t.Helper()
	for _, q := range p.Patches {
		if q.Name == name {
			return q
		}
	}
	require.Fail(t, "no patch "+name)
	return trial.Patch{}
}

func TestPlateHasEveryCombination(t *testing.T) {
	plate, found := trial.Layout(rectangle(50, 60, 140, 150), usual())
	require.Empty(t, found)
	require.Len(t, plate.Patches, 20)
	require.Len(t, plate.Pattern.Zones, 20, "cut marks are no zones")
	for i, p := range plate.Patches {
		z := plate.Pattern.Zones[i]
		assert.Equal(t, p.Name, z.Name)
		assert.Equal(t, p.Box, z.Region.Bounds())
		assert.InDelta(t, 0.36+0.03*float64(p.Column), z.Spacing, 1e-9)
		assert.InDelta(t, 0.94+0.04*float64(p.Row), z.Flow, 1e-9)
		assert.Zero(t, z.Speed, "not varied: the job's")
		assert.InDelta(t, math.Pi/6, z.Lay.Angle, 1e-12)
		assert.Positive(t, z.Region.Area(), "normal form")
	}
	assert.Equal(t, "A1", plate.Patches[0].Name)
	assert.Equal(t, "D5", plate.Patches[19].Name)
	assert.InDelta(t, 2*math.Pi/3, plate.Pattern.Ground.Angle, 1e-12, "the ground lies across the patches")
}

// Reading: seen from below, bed X runs to the left. A1 must be at the upper
// left of what the eye sees, in both views.
func TestMirroredReading(t *testing.T) {
	for _, below := range []bool{true, false} {
		spec := usual()
		spec.FromBelow = below
		plate, found := trial.Layout(rectangle(50, 60, 140, 150), spec)
		require.Empty(t, found)
		look := func(p plane.Point) plane.Point { // as seen: X right, Y up
			if below {
				return plane.Point{X: -p.X, Y: p.Y}
			}
			return p
		}
		a1, a2, b1 := look(patch(t, plate, "A1").Box.Centre()), look(patch(t, plate, "A2").Box.Centre()), look(patch(t, plate, "B1").Box.Centre())
		assert.Greater(t, a2.X, a1.X, "columns run to the right, below=%v", below)
		assert.InDelta(t, a1.Y, a2.Y, 1e-9)
		assert.Less(t, b1.Y, a1.Y, "rows run down")
		assert.InDelta(t, a1.X, b1.X, 1e-9)
		// Ticks beside row B: one more than beside row A; above column 5: one
		// long tick only. The corner mark is the first ring.
		corner := look(plate.Without[0].Bounds().Centre())
		for _, p := range plate.Patches {
			assert.Less(t, corner.X, look(p.Box.Centre()).X)
			assert.Greater(t, corner.Y, look(p.Box.Centre()).Y)
		}
		count := func(name string, row bool) (n int, longest float64) {
			box := patch(t, plate, name).Box
			for _, r := range plate.Without[1:] {
				c, size := r.Bounds().Centre(), r.Bounds().Size()
				leftOf := look(c).X < look(box.Centre()).X-box.Size().X/2
				above := look(c).Y > look(box.Centre()).Y+box.Size().Y/2
				if row && leftOf && math.Abs(c.Y-box.Centre().Y) < box.Size().Y/2 {
					n, longest = n+1, math.Max(longest, size.X)
				}
				if !row && above && math.Abs(c.X-box.Centre().X) < box.Size().X/2 {
					n, longest = n+1, math.Max(longest, size.Y)
				}
			}
			return n, longest
		}
		for i, name := range []string{"A1", "B1", "C1", "D1"} {
			n, _ := count(name, true)
			assert.Equal(t, i+1, n, "ticks beside %s", name)
		}
		_, short := count("A1", false)
		for i, name := range []string{"A1", "A2", "A3", "A4"} {
			n, _ := count(name, false)
			assert.Equal(t, i+1, n, "ticks above %s", name)
		}
		n, long := count("A5", false)
		assert.Equal(t, 1, n, "five is one long tick")
		assert.InDelta(t, 2, long/short, 1e-9)
	}
}

func disjoint(t *testing.T, boxes []plane.Box) {
	t.Helper()
	for i, a := range boxes {
		for _, b := range boxes[i+1:] {
			require.False(t, a.Grow(-1e-9).Intersects(b.Grow(-1e-9)), "%v and %v overlap", a, b)
		}
	}
}

// On any face: patches and marks lie inside it, none overlaps another, all
// have one size, and that size is at least the permitted one.
func TestLayoutOnManyFaces(t *testing.T) {
	holed := rectangle(0, 0, 200, 120)
	holed = append(holed, plane.Ring{{X: 20, Y: 20}, {X: 20, Y: 40}, {X: 40, Y: 40}, {X: 40, Y: 20}})
	turned := plane.Rotate(0.5).ApplyRegion(rectangle(-80, -80, 80, 80))
	star := plane.Ring{}
	for i := range 24 {
		r := 130.0
		if i%2 == 1 {
			r = 100
		}
		star = append(star, plane.Point{X: r}.Turn(float64(i)*math.Pi/12))
	}
	for name, face := range map[string]plane.Region{
		"rectangle":   rectangle(50, 60, 140, 150),
		"coaster":     {disc(110, 110, 60, 180)},
		"with a hole": holed,
		"turned":      turned,
		"star":        {star},
		"two islands": append(rectangle(0, 0, 20, 20), rectangle(30, 0, 130, 90)...),
		"L":           {{{}, {X: 120}, {X: 120, Y: 100}, {X: 80, Y: 100}, {X: 80, Y: 95}, {Y: 95}}},
	} {
		for _, marks := range []trial.Marks{trial.Turned, trial.Cut, trial.Raised} {
			t.Run(name+"/"+string(marks), func(t *testing.T) {
				spec := usual()
				spec.Marks = marks
				plate, found := trial.Layout(face, spec)
				require.Empty(t, found)
				var boxes []plane.Box
				for _, p := range plate.Patches {
					boxes = append(boxes, p.Box)
					size := p.Box.Size()
					require.InDelta(t, plate.Patches[0].Box.Size().X, size.X, 1e-9)
					require.GreaterOrEqual(t, math.Min(size.X, size.Y), 8.0)
				}
				rings := plate.Without
				switch marks {
				case trial.Turned:
					rings = plate.Pattern.Zones[20].Region
					assert.Empty(t, plate.Without)
				case trial.Raised:
					outline := rings[0]
					rings = rings[1:]
					assert.Positive(t, outline.Area())
					for _, r := range rings {
						require.True(t, plate.Area.Grow(-0.5).Contains(outline.Bounds().Min) && plate.Area.Grow(-0.5).Contains(outline.Bounds().Max), "a rim is left")
						assert.Negative(t, r.Area(), "what stands is a hole in what is left out")
						for _, c := range r {
							assert.True(t, plane.Region{outline}.Contains(c.Lerp(r.Bounds().Centre(), 1e-6)))
						}
					}
					for _, p := range plate.Patches {
						assert.False(t, plane.Region{outline}.Contains(p.Box.Centre()))
					}
				}
				for _, r := range rings {
					boxes = append(boxes, r.Bounds())
				}
				disjoint(t, boxes)
				for _, b := range boxes {
					require.True(t, plate.Area.Grow(1e-9).Contains(b.Min) && plate.Area.Grow(1e-9).Contains(b.Max))
				}
				const seed = 3
				random := rand.New(rand.NewSource(seed))
				for range 2000 {
					p := plate.Area.Grow(-1e-6)
					q := plane.Point{X: p.Min.X + random.Float64()*p.Size().X, Y: p.Min.Y + random.Float64()*p.Size().Y}
					require.True(t, face.Contains(q), "%v of the plate lies off the face, seed %d", q, seed)
				}
			})
		}
	}
}

// The largest square in a disc of radius r has the side r√2 (elementary); the
// search may lose two of its cells, about one percent.
func TestLargestRectangleInADisc(t *testing.T) {
	spec := usual()
	spec.Across.Steps, spec.Down.Steps = 3, 3
	plate, found := trial.Layout(plane.Region{disc(0, 0, 60, 720)}, spec)
	require.Empty(t, found)
	size := plate.Area.Size()
	assert.InDelta(t, 60*math.Sqrt2, size.X, 0.02*85)
	assert.InDelta(t, 60*math.Sqrt2, size.Y, 0.02*85)
}

func TestTooSmallOrNoFace(t *testing.T) {
	_, found := trial.Layout(rectangle(0, 0, 40, 40), usual())
	require.Len(t, found, 1)
	assert.Equal(t, "trial-too-small", found[0].Code)
	assert.Equal(t, "5 × 4 patches of at least 8.0 mm need a rectangle of 52.5 × 43.5 mm; the face has a rectangle of 40.0 × 40.0 mm.", found[0].Text)
	fits, found := trial.Layout(rectangle(0, 0, 52.5, 43.6), usual())
	require.Empty(t, found, "the size asked for is enough")
	assert.Len(t, fits.Patches, 20)
	for name, face := range map[string]plane.Region{
		"no face": nil, "no area": rectangle(0, 0, 10, 0), "empty ring": {{}},
		"not numbers": {{{X: math.NaN()}, {X: 1}, {Y: 1}}},
		"infinite":    {{{X: math.Inf(1)}, {X: 1}, {Y: 1}}},
		"sliver":      {{{}, {X: 100}, {X: 100, Y: 1e-9}}},
	} {
		plate, found := trial.Layout(face, usual())
		require.True(t, found.Has("trial-too-small"), name)
		assert.Empty(t, plate.Patches, name)
	}
}

func TestSpecsAreRefusedByName(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*trial.Spec)
		field  string
		code   string
	}{
		"unknown quantity":   {func(s *trial.Spec) { s.Across.Quantity = "heat" }, "trial.across", "trial-quantity"},
		"nothing across":     {func(s *trial.Spec) { s.Across.Quantity = trial.Nothing }, "trial.across", "trial-quantity"},
		"no steps":           {func(s *trial.Spec) { s.Across.Steps = 0 }, "trial.across.steps", "trial-range"},
		"too many steps":     {func(s *trial.Spec) { s.Down.Steps = 13 }, "trial.down.steps", "trial-range"},
		"narrow line":        {func(s *trial.Spec) { s.Across.From = 0.1 }, "trial.across.from", "trial-range"},
		"NaN":                {func(s *trial.Spec) { s.Across.To = math.NaN() }, "trial.across.to", "trial-range"},
		"no range":           {func(s *trial.Spec) { s.Down.From, s.Down.To = 1, 1 }, "trial.down.to", "trial-no-range"},
		"same quantity":      {func(s *trial.Spec) { s.Down = s.Across }, "trial.down", "trial-same"},
		"odd marks":          {func(s *trial.Spec) { s.Marks = "painted" }, "trial.marks", "trial-marks"},
		"tiny patch":         {func(s *trial.Spec) { s.SmallestPatchMM = 0.1 }, "trial.smallestPatchMM", "trial-range"},
		"lay not a number":   {func(s *trial.Spec) { s.LayDegrees = math.NaN() }, "trial.lay", "trial-range"},
		"height over nozzle": {func(s *trial.Spec) { s.HeightMM = 0.5 }, "bead.heightMM", "bead-setting"},
		"too fast": {func(s *trial.Spec) { s.Down = trial.Axis{Quantity: trial.Speed, From: 20, To: 200, Steps: 4} },
			"trial.D5", "trial-volume-flow"},
	} {
		t.Run(name, func(t *testing.T) {
			s := usual()
			c.change(&s)
			plate, found := trial.Layout(rectangle(0, 0, 200, 200), s)
			require.Len(t, found, 1)
			assert.Equal(t, finding.Stop, found[0].Level)
			assert.Equal(t, c.code, found[0].Code)
			assert.Equal(t, c.field, found[0].Place.Element)
			assert.Empty(t, plate.Patches)
		})
	}
	assert.NotEmpty(t, trial.Spec{}.Validate())

	s := usual()
	s.Across = trial.Axis{Quantity: trial.Lay, From: 0, To: 180, Steps: 5}
	plate, found := trial.Layout(rectangle(0, 0, 200, 200), s)
	require.Len(t, found, 1, "0 and 180 degrees are one direction: said, not refused")
	assert.Equal(t, "trial-lay-repeats", found[0].Code)
	assert.Equal(t, finding.Caution, found[0].Level)
	assert.Len(t, plate.Patches, 20)
}

func TestUseAPatch(t *testing.T) {
	spec := usual()
	spec.FlowPercent = 98
	plate, found := trial.Layout(rectangle(50, 60, 140, 150), spec)
	require.Empty(t, found)
	values, problem := plate.Use(" b3 ")
	require.Nil(t, problem)
	require.Len(t, values, 2)
	assert.Equal(t, "bead.widthMM", values[0].JobField)
	assert.Equal(t, 0.42, values[0].Value)
	assert.Equal(t, "bead.flowPercent", values[1].JobField)
	assert.InDelta(t, 98*0.98, values[1].Value, 1e-9)
	zone := plate.Pattern.Zones[7]
	assert.Equal(t, "B3", zone.Name)
	assert.InDelta(t, 0.98, zone.Flow, 1e-6, "the zone carries a factor on the job's flow")
	_, problem = plate.Use("Z9")
	require.NotNil(t, problem)
	assert.Equal(t, "Choose one from A1 to D5.", problem.Remedy)
	_, problem = trial.Plate{}.Use("A1")
	require.NotNil(t, problem)

	preset, found := trial.IntoPreset(machine.Default(), values)
	require.Empty(t, found)
	assert.Equal(t, 0.42, preset.FirstWidthMM)
	assert.InDelta(t, 96.04, preset.FlowPercent, 1e-9)
	values[0].Value = 3
	same, found := trial.IntoPreset(machine.Default(), values)
	assert.Equal(t, finding.Stop, found.Worst())
	assert.Equal(t, machine.Default(), same)
}

// A job field named here must exist in the preset's table as the field that
// starts with it, so that "use patch" and presets cannot drift apart.
func TestFieldsOfValuesExist(t *testing.T) {
	spec := usual()
	for _, q := range []trial.Quantity{trial.Spacing, trial.Flow, trial.Speed} {
		spec.Across = trial.Axis{Quantity: q, From: 1, Steps: 1}
		spec.Down = trial.Axis{Quantity: trial.Nothing}
		if q == trial.Spacing {
			spec.Across.From = 0.4
		}
		plate, found := trial.Layout(rectangle(0, 0, 60, 60), spec)
		require.Empty(t, found)
		v := plate.Patches[0].Values[0]
		known := false
		for _, f := range machine.Fields() {
			known = known || (f.Name == v.PresetField && f.StartsAs == v.JobField)
		}
		assert.True(t, known, "%v", v)
	}
}

func TestKey(t *testing.T) {
	spec := usual()
	spec.Across = trial.Axis{Quantity: trial.Lay, From: 0, To: 135, Steps: 4}
	spec.Down = trial.Axis{Quantity: trial.Speed, From: 10, To: 20, Steps: 2}
	plate, found := trial.Layout(rectangle(0, 0, 100, 60), spec)
	require.Empty(t, found)
	key := plate.Key()
	assert.Equal(t, []string{"Patch", "Lay angle (deg)", "Speed (mm/s)", "Seen on the face (deg)"}, key.Header)
	assert.Equal(t, [][]string{
		{"A1", "0", "10", "0"}, {"A2", "45", "10", "135"}, {"A3", "90", "10", "90"}, {"A4", "135", "10", "45"},
		{"B1", "0", "20", "0"}, {"B2", "45", "20", "135"}, {"B3", "90", "20", "90"}, {"B4", "135", "20", "45"},
	}, key.Rows)
	assert.Equal(t, "Trial plate, 2 rows × 4 columns", key.Title)
	assert.Equal(t, "Look at the plate from below, on the finished face, the square mark at the upper left.", key.How[0])
	spec.FromBelow = false
	plate, _ = trial.Layout(rectangle(0, 0, 100, 60), spec)
	assert.Equal(t, []string{"Patch", "Lay angle (deg)", "Speed (mm/s)"}, plate.Key().Header)
	assert.Empty(t, trial.Plate{}.Key().Rows)
}

func BenchmarkLayout(b *testing.B) {
	for name, n := range map[string]int{"n=100": 100, "n=1000": 1000, "n=10000": 10000} {
		face := plane.Region{disc(110, 110, 80, n)}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			total := 0
			for range b.N {
				plate, _ := trial.Layout(face, usual())
				total += len(plate.Patches)
			}
			if total != 20*b.N {
				b.Fatal("a plate is missing")
			}
		})
	}
}
