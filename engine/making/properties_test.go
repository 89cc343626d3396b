package making

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/job"
	"sheenlay/engine/join"
	"sheenlay/engine/layers"
	"sheenlay/engine/machine"
	"sheenlay/engine/overlay"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

func sampled(t testing.TB, id string) *piece.Piece {
	t.Helper()
	p := open(t, id, specimen.Make(sampleOptions(id)).Bytes, 3)
	require.True(t, p.Settled(), "%v", stops(p.Findings))
	return p
}

// done makes a job that must succeed.
func done(t testing.TB, p *piece.Piece, change func(*job.Job)) *Made {
	t.Helper()
	j := job.Default()
	change(&j)
	m, err := Make(context.Background(), p, j, false, nil)
	require.NoError(t, err)
	require.Empty(t, stops(m.Findings))
	require.True(t, m.OK())
	return m
}

// reread returns the first layer of the finished file.
func reread(t *testing.T, p *piece.Piece, r join.Result) deposit.Layer {
	t.Helper()
	finished := append(r.FinishedHead(p.Head), p.Head[r.TailOffset:]...)
	found := p.Found
	found.Layers = append([]layers.Boundary(nil), found.Layers...)
	shift := int64(len(finished)) - int64(len(p.Head))
	for i := 1; i < len(found.Layers); i++ {
		found.Layers[i].Offset += shift
	}
	read, _ := layers.Read(finished, found, 1, gcode.Options{})
	require.NotEmpty(t, read)
	return read[0]
}

// Keeping every stroke gives the deposit that the file had: same points, same
// filament.
func TestKeepingEverythingIsTheOriginal(t *testing.T) {
	for _, s := range append(specimen.Samples(), specimen.TestFiles()...) {
		t.Run(s.ID, func(t *testing.T) {
			p := open(t, s.ID, specimen.Make(s.Options).Bytes, 1)
			if !p.Settled() {
				t.Logf("refused: %v", stops(p.Findings))
				return
			}
			w := &work{Made: &Made{Job: job.Default()}, ctx: context.Background(), piece: p, progress: func(string, float64) {}, maker: new(Maker)}
			require.NoError(t, w.line())
			l := Layer{Source: p.Layers[0], Footprint: p.Footprint}
			w.keep(&l, plane.Region{{{X: -1e4, Y: -1e4}, {X: 1e4, Y: -1e4}, {X: 1e4, Y: 1e4}, {X: -1e4, Y: 1e4}}})
			require.Empty(t, l.Old)
			for _, k := range l.Kept {
				l.Order = append(l.Order, join.FromStroke(k))
			}
			w.Layers = []Layer{l}
			require.NoError(t, w.join())
			require.Empty(t, stops(w.Findings))
			want, got := p.Layers[0].Strokes, reread(t, p, w.Join).Strokes
			assert.InEpsilon(t, filament(want), filament(got), 1e-4)
			assert.Equal(t, len(segments(want)), len(segments(got)))
			assert.Empty(t, missing(segments(want), segments(got)))
		})
	}
}

func filament(strokes []deposit.Stroke) (sum float64) {
	for _, s := range strokes {
		sum += s.Filament()
	}
	return sum
}

// segments returns all segments of the strokes, those too short to be written
// left out.
func segments(strokes []deposit.Stroke) (out [][2]plane.Point) {
	for _, s := range strokes {
		for i := 1; i < len(s.Points); i++ {
			if s.Points[i-1].Dist(s.Points[i]) > 0.002 {
				out = append(out, [2]plane.Point{s.Points[i-1], s.Points[i]})
			}
		}
	}
	return out
}

// missing returns the first segment of want that got has not: ends agree within
// the half thousandth to which they are written.
func missing(want, got [][2]plane.Point) string {
	const written = 0.0005*math.Sqrt2 + 1e-9
	for _, w := range want {
		found := false
		for _, g := range got {
			if found = w[0].Dist(g[0]) <= written && w[1].Dist(g[1]) <= written; found {
				break
			}
		}
		if !found {
			return fmt.Sprint(w)
		}
	}
	return ""
}

// A job's answer never depends on the jobs done before it.
func TestRememberedStagesAnswerLikeFreshOnes(t *testing.T) {
	p := sampled(t, "shelf-tag")
	changes := []func(*job.Job){
		func(j *job.Job) {},
		func(j *job.Job) { j.Bead.SpeedMMs = 25 },
		func(j *job.Job) { j.Bead.FlowPercent = 120 },
		func(j *job.Job) { j.Keep.Walls = 1 },
		func(j *job.Job) { j.Keep.OverlapPercent = 40 },
		func(j *job.Job) { j.Art.Generator = "hexagons" },
		func(j *job.Job) { j.Art.Lays = map[string]float64{"kind:0": 20} },
		func(j *job.Job) { j.Placement.TurnDeg = 12 },
		func(j *job.Job) { j.Layers.Count, j.Layers.TurnDeg = 2, 90 },
		func(j *job.Job) { j.Bead.WidthMM = 0.5 },
		func(j *job.Job) { j.Bead.MinWidthShare = 0.8 },
		func(j *job.Job) { j.Machine.SmallestStepMM = 0.3 },
		func(j *job.Job) { j.Prime.Side = "back" },
		func(j *job.Job) { j.Join.Pause = "M600" },
		func(j *job.Job) { j.Keep.MarginMM = 2 },
	}
	random := rand.New(rand.NewPCG(7, 11))
	maker := new(Maker)
	for round := range 16 {
		pick := random.IntN(len(changes))
		j := job.Default()
		changes[pick](&j)
		coarse := random.IntN(4) == 0
		got, err := maker.Make(context.Background(), p, j, coarse, nil)
		require.NoError(t, err)
		want, err := Make(context.Background(), p, j, coarse, nil)
		require.NoError(t, err)
		require.Equal(t, want.Block, got.Block, "seed 7 11, round %d, change %d", round, pick)
		require.Equal(t, want.Findings, got.Findings, "seed 7 11, round %d, change %d", round, pick)
		require.Equal(t, want.Coverage.Covered, got.Coverage.Covered)
		require.Equal(t, len(want.Layers), len(got.Layers))
	}
}

// Cancelling ends the work soon, wherever it was, and leaves no half result.
func TestCancelAtAnyMoment(t *testing.T) {
	o := sampleOptions("harbour-tile")
	o.Shape = specimen.Rectangle(80, 80)
	p := open(t, "face", specimen.Make(o).Bytes, 1)
	random := rand.New(rand.NewPCG(3, 5))
	maker := new(Maker)
	late := 0
	for range 12 {
		ctx, cancel := context.WithCancel(context.Background())
		var asked time.Time
		timer := time.AfterFunc(time.Duration(random.IntN(80))*time.Millisecond, func() { asked = time.Now(); cancel() })
		m, err := maker.Make(ctx, p, job.Default(), false, nil)
		ended := time.Now()
		if timer.Stop() {
			require.NoError(t, err)
			continue
		}
		<-ctx.Done()
		if err == nil {
			continue // it was done first
		}
		require.ErrorIs(t, err, context.Canceled)
		require.Nil(t, m)
		if ended.Sub(asked) > 100*time.Millisecond {
			late++
		}
	}
	t.Logf("%d of 12 later than 100 ms", late)
	assert.LessOrEqual(t, late, 2, "two are left to a busy machine")
	m, err := maker.Make(context.Background(), p, job.Default(), false, nil)
	require.NoError(t, err)
	fresh, err := Make(context.Background(), p, job.Default(), false, nil)
	require.NoError(t, err)
	assert.Equal(t, fresh.Block, m.Block)
}

func TestWhatIsKept(t *testing.T) {
	p := sampled(t, "harbour-tile")
	area := math.Inf(1)
	for walls := 0; walls <= 3; walls++ {
		m := done(t, p, func(j *job.Job) { j.Keep.Walls = walls })
		count := 0
		for _, s := range m.Layers[0].Kept {
			if s.Class == deposit.Wall {
				count++
			}
		}
		assert.Equal(t, min(walls, 2), count, "the tile has two loops")
		assert.Equal(t, walls == 3, m.Findings.Has("making-few-walls"))
		got := m.Layers[0].Face.Area()
		assert.LessOrEqual(t, got, area)
		area = got
	}
	none := done(t, p, func(j *job.Job) { j.Keep.Around = false })
	assert.Empty(t, none.Layers[0].Kept)
	wide := done(t, p, func(j *job.Job) { j.Keep.MarginMM = 3 })
	assert.True(t, wide.Findings.Has("making-margin"))
	assert.InEpsilon(t, math.Pi*48*48, wide.Layers[0].Face.Area(), 0.003, "a disc of 45 mm grown by 3 mm")
}

func TestChosenIslands(t *testing.T) {
	p := sampled(t, "letter-box")
	require.Greater(t, len(p.Footprint.Islands), 1)
	m := done(t, p, func(j *job.Job) { j.Piece.Islands = []int{0} })
	l := m.Layers[0]
	assert.Empty(t, overlay.Subtract(l.Face, overlay.Offset(p.Footprint.Islands[0].Region, 0.01, overlay.Round(), 0)), "the face lies on the island chosen")
	for i, s := range l.Footprint.Strokes {
		for k, island := range p.Footprint.Islands {
			middle := s.Points[len(s.Points)/2]
			if k > 0 && island.Region.Contains(middle) {
				assert.Contains(t, l.Kept, s, "stroke %d lies on island %d, which keeps its own", i, k)
			}
		}
	}
	j := job.Default()
	j.Piece.Islands = []int{99}
	none, err := Make(context.Background(), p, j, false, nil)
	require.NoError(t, err)
	assert.True(t, none.Findings.Has("making-no-island"))
}

func TestFurtherLayersTurnAndShift(t *testing.T) {
	p := sampled(t, "lamp-panel")
	m := done(t, p, func(j *job.Job) { j.Layers.Count, j.Layers.TurnDeg, j.Layers.ShiftMM = 3, 30, 0.1 })
	require.Len(t, m.Layers, 3)
	require.Len(t, m.Join.Blocks, 3)
	for i := range m.Layers {
		first, this := m.Layers[0].Artwork.Pattern.Zones[0], m.Layers[i].Artwork.Pattern.Zones[0]
		assert.InDelta(t, plane.NormalLay(first.Lay.Angle+float64(i)*math.Pi/6), this.Lay.Angle, 1e-9)
		assert.InDelta(t, first.Phase+0.1*float64(i), this.Phase, 1e-9)
		assert.InDelta(t, 0.1*float64(i), m.Layers[i].Artwork.Pattern.GroundPhase, 1e-9)
		assert.InDelta(t, m.Layers[i].Source.Height, m.Layers[i].Feed.HeightMM, 1e-12)
	}
}

func TestPauseParksOffThePiece(t *testing.T) {
	p := sampled(t, "harbour-tile")
	m := done(t, p, func(j *job.Job) { j.Join.Pause, j.Join.ParkXMM, j.Join.ParkYMM = "M600", 110, 110 })
	assert.True(t, m.Findings.Has("making-park-moved"), "110, 110 is the middle of the tile")
	assert.Equal(t, 1, bytes.Count(m.Block, []byte("\nM600\n")))
	assert.Greater(t, bytes.Index(m.Block, []byte("\nM600\n")), bytes.LastIndex(m.Block, []byte(" E0.")))
}

func TestPrimeLine(t *testing.T) {
	p := sampled(t, "harbour-tile")
	alone := func(side string, more func(*job.Job)) *Made {
		return done(t, p, func(j *job.Job) {
			j.Keep.Around, j.Prime.Side = false, side
			if more != nil {
				more(j)
			}
		})
	}
	tile := p.Footprint.Region.Bounds()
	for side, beside := range map[string]func(b plane.Box) bool{
		"front": func(b plane.Box) bool { return b.Min.Y < tile.Min.Y },
		"back":  func(b plane.Box) bool { return b.Max.Y > tile.Max.Y },
		"left":  func(b plane.Box) bool { return b.Min.X < tile.Min.X },
		"right": func(b plane.Box) bool { return b.Max.X > tile.Max.X },
	} {
		m := alone(side, nil)
		require.NotEmpty(t, m.Layers[0].Prime, side)
		assert.True(t, beside(plane.Polyline(m.Layers[0].Prime).Bounds()), side)
		lifted := alone(side, func(j *job.Job) { j.Prime.Lead = "lift" })
		assert.Len(t, lifted.Layers[0].Prime, 2)
	}
	own := alone("auto", func(j *job.Job) { j.Prime.Source = "file" })
	assert.Empty(t, own.Layers[0].Prime)
	tight := alone("auto", func(j *job.Job) {
		j.Machine.BedWidthMM, j.Machine.BedDepthMM = 100, 100
		j.Machine.OriginXMM, j.Machine.OriginYMM = 60, 60
		j.Prime.GapMM = 20
	})
	assert.Empty(t, tight.Layers[0].Prime)
	assert.True(t, tight.Findings.Has("prime-no-room"))
	o := sampleOptions("harbour-tile")
	o.Centred, o.At = true, plane.Point{}
	centred := open(t, "centred", specimen.Make(o).Bytes, 1)
	m := done(t, centred, func(j *job.Job) { j.Machine.Origin, j.Keep.Around = machine.Centre, false })
	assert.NotEmpty(t, m.Layers[0].Prime)
	wiped := done(t, p, func(j *job.Job) { j.Prime.WipeMM = 5 })
	last := wiped.Layers[0].Order[len(wiped.Layers[0].Order)-1]
	assert.InDelta(t, 5, plane.Polyline(append([]plane.Point{last.Points[len(last.Points)-1]}, last.Wipe...)).Length(), 1e-6)
}

// Lines that lie wholly on the face are laid point by point as drawn.
func TestDrawnLinesStayAsDrawn(t *testing.T) {
	p := sampled(t, "harbour-tile")
	svg := `<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40"><path fill="none" stroke="#000" stroke-width="0.4" d="M5 5L35 5L35 6L5 6L5 7L20 30"/></svg>`
	m := done(t, p, func(j *job.Job) { j.Art.Kind, j.Art.SVG = "lines", svg })
	l := m.Layers[0]
	require.Len(t, l.Artwork.Drawn, 1)
	require.Len(t, l.Strands, 1)
	want := l.Artwork.Drawn[0].Points
	got := l.Strands[0].Points
	if got[0] != want[0] {
		got = plane.Polyline(got).Reversed()
	}
	assert.Equal(t, []plane.Point(want), []plane.Point(got))
	assert.Equal(t, 1.0, l.Balance, "single lines keep their filament")
}

func TestCorrectedClasses(t *testing.T) {
	p := sampled(t, "harbour-tile")
	index := -1
	for i, s := range p.Footprint.Strokes {
		if s.Class == deposit.Skirt {
			index = i
		}
	}
	require.GreaterOrEqual(t, index, 0)
	before := done(t, p, func(*job.Job) {})
	after := done(t, p, func(j *job.Job) { j.Piece.Classes = map[string]string{strconv.Itoa(index): "priming"} })
	assert.Equal(t, deposit.Priming, after.Layers[0].Footprint.Strokes[index].Class)
	assert.Less(t, len(after.Layers[0].Kept), len(before.Layers[0].Kept))
}

// Whatever a job holds, the answer is findings, never a panic.
func TestBadJobsGiveFindings(t *testing.T) {
	p := sampled(t, "shelf-tag")
	for name, change := range map[string]func(*job.Job){
		"class of no number":  func(j *job.Job) { j.Piece.Classes = map[string]string{"x": "wall"} },
		"everything a skirt":  func(j *job.Job) { j.Piece.Classes = allAs(p, "skirt") },
		"too many layers":     func(j *job.Job) { j.Layers.Count = 12 },
		"width of 3 mm":       func(j *job.Job) { j.Bead.WidthMM = 3 },
		"flow beyond the end": func(j *job.Job) { j.Bead.SpeedMMs, j.Machine.MaxFlowMM3s = 500, 1 },
		"no such generator":   func(j *job.Job) { j.Art.Generator = "x" },
		"no such parameter":   func(j *job.Job) { j.Art.Params = map[string]float64{"x": 1} },
		"no drawing":          func(j *job.Job) { j.Art.Kind = "lines" },
		"no shapes":           func(j *job.Job) { j.Art.Kind, j.Art.SVG = "shapes", "<svg/>" },
		"no SVG":              func(j *job.Job) { j.Art.Kind, j.Art.SVG = "shapes", "\x00" },
		"no picture":          func(j *job.Job) { j.Art.Kind, j.Art.Picture = "picture", "!" },
		"pin of nothing":      func(j *job.Job) { j.Art.Lays = map[string]float64{"roof": 3} },
		"kind of artwork":     func(j *job.Job) { j.Art.Kind = "x" },
		"drawing off the face": func(j *job.Job) {
			j.Art.Kind, j.Placement.XMM = "lines", 900
			j.Art.SVG = `<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><path d="M0 0L9 9" stroke="#000"/></svg>`
		},
		"bed too small": func(j *job.Job) { j.Machine.BedWidthMM, j.Machine.BedDepthMM = 60, 60 },
	} {
		t.Run(name, func(t *testing.T) {
			j := job.Default()
			change(&j)
			for _, coarse := range []bool{false, true} {
				m, err := Make(context.Background(), p, j, coarse, nil)
				require.NoError(t, err)
				if !coarse {
					assert.False(t, m.OK())
					assert.Equal(t, finding.Stop, m.Findings.Worst())
				}
			}
		})
	}
	m, err := Make(context.Background(), &piece.Piece{}, job.Default(), false, nil)
	require.NoError(t, err)
	assert.True(t, m.Findings.Has("making-no-piece"))
}

func allAs(p *piece.Piece, class string) map[string]string {
	out := map[string]string{}
	for i := range p.Footprint.Strokes {
		out[strconv.Itoa(i)] = class
	}
	return out
}

// The job's own bead says how it differs from the piece's: 110 % of flow on a
// piece laid solid is 10 % more.
func TestOwnBeadShowsTheDifference(t *testing.T) {
	p := sampled(t, "harbour-tile")
	m := done(t, p, func(j *job.Job) { j.Bead.Source, j.Bead.FlowPercent = "own", 110 })
	for _, f := range m.Findings {
		if f.Code == "bead-differs" {
			assert.InDelta(t, 10, f.Value, 0.2)
			return
		}
	}
	t.Fatal("the difference is not shown")
}

// Turns within a line's width are laid at their own speed, the first metres at
// theirs.
func TestSpeeds(t *testing.T) {
	p := sampled(t, "harbour-tile")
	m := done(t, p, func(j *job.Job) { j.Bead.StartLengthMM, j.Bead.StartSpeedMMs, j.Bead.TurnSpeedMMs = 100, 7, 11 })
	order := m.Layers[0].Order
	op := order[len(order)-1]
	gone := 0.0
	speeds := map[float64]float64{}
	for i, f := range op.Feed {
		length := op.Points[i].Dist(op.Points[i+1])
		if gone += length; gone < 99 {
			require.LessOrEqual(t, f, 7*60.0)
		}
		speeds[math.Round(f/60)] += length
	}
	assert.Positive(t, speeds[11], "turns")
	assert.Greater(t, speeds[20], 0.5*gone, "most of it at the bead's speed")
}

// A machine that says nothing retracts as the file does; one that says how, does
// so on every file.
func TestRetractionAsTheFileOrAsTheMachineSays(t *testing.T) {
	bead := regexp.MustCompile(`\nG1 X[\d.]+ Y[\d.]+ E`)
	drawnBack := func(m *Made) string {
		// Behind the last bead the state is given back that the file has there.
		beads := bead.FindAllIndex(m.Block, -1)
		text := m.Block[:beads[len(beads)-1][0]]
		byCommand, byE := bytes.Contains(text, []byte("\nG10\n")), regexp.MustCompile(`\nG1 E-[\d.]+ F`).Match(text)
		switch {
		case byCommand && !byE:
			return "command"
		case byE && !byCommand:
			return "filament"
		case byE:
			return "both"
		}
		return "none"
	}
	for _, file := range []struct {
		by   specimen.Retraction
		want map[string]string
	}{
		{specimen.RetractByE, map[string]string{machine.AsFile: "filament", machine.ByE: "filament", machine.ByCommand: "command", machine.Never: "none"}},
		{specimen.RetractByCommand, map[string]string{machine.AsFile: "command", machine.ByE: "filament", machine.ByCommand: "command", machine.Never: "none"}},
	} {
		o := sampleOptions("shelf-tag")
		o.Retract, o.RelativeE, o.MarkerAt = file.by, true, specimen.AfterLift
		o.Copies = []plane.Point{{X: 50}}
		p := open(t, "two tags", specimen.Make(o).Bytes, 1)
		for word, want := range file.want {
			m := done(t, p, func(j *job.Job) { j.Machine.RetractBy, j.Machine.LiftMM = word, 0.4 })
			assert.Equal(t, want, drawnBack(m), "the file retracts %s, the machine says %q", file.by, word)
		}
		if file.by == specimen.RetractByE {
			m := done(t, p, func(j *job.Job) { j.Machine.RetractMM = 0 })
			assert.Equal(t, "none", drawnBack(m), "a length of nothing")
		}
	}
}
