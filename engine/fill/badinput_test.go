package fill

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// tiny zones: n squares of e mm with turning lays.
func squares(n int, e float64) pattern.Pattern {
	side := int(math.Ceil(math.Sqrt(float64(n))))
	var p pattern.Pattern
	for i := range n {
		x, y := float64(i%side)*e-float64(side)*e/2, float64(i/side)*e-float64(side)*e/2
		p.Zones = append(p.Zones, pattern.Zone{
			Region: plane.Region{rect(x, y, x+e, y+e)}, Lay: pattern.Lay{Angle: float64(i%7) * 0.4},
		})
	}
	return p
}

func TestBadInput(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	bow := plane.Region{{{X: -20, Y: -10}, {X: 20, Y: 10}, {X: 20, Y: -10}, {X: -20, Y: 10}}}
	sliver := plane.Region{rect(-30, 0, 30, 0.05)}
	stacked := pattern.Pattern{}
	for i := range 150 {
		r := 30 - 0.18*float64(i)
		stacked.Zones = append(stacked.Zones, pattern.Zone{Region: plane.Region{circle(0, 0, r, 40)}, Lay: pattern.Lay{Angle: float64(i)}})
	}
	mess := pattern.Pattern{Zones: []pattern.Zone{
		{Region: bow}, {Region: plane.Region{}}, {Region: plane.Region{{}}}, {Region: plane.Region{{{X: 1, Y: 1}}}},
		{Region: plane.Region{{{X: nan, Y: 1}, {X: 2, Y: inf}, {X: 3, Y: 3}}}, Lay: pattern.Lay{Angle: nan}},
		{Region: plane.Region{rect(-5, -5, 5, 5), rect(-5, -5, 5, 5)}},
		{Region: plane.Region{rect(-1e12, -1e12, 0, 1e12)}, Spacing: -3, Phase: inf},
	}}
	base := Request{Face: disc(40), Pattern: oneDirection(0.3), WidthMM: 0.42}
	for _, c := range []struct {
		name   string
		change func(r *Request)
		refuse string // code of the error, "" for a result
		code   string // a finding that must be there
	}{
		{"empty face", func(r *Request) { r.Face = nil }, "", "fill-empty-face"},
		{"face of nothing", func(r *Request) { r.Face = plane.Region{{}, {{X: 1}}, {{X: 1}, {X: 2}, {X: 3}}} }, "", "fill-empty-face"},
		{"no number in the face", func(r *Request) { r.Face = plane.Region{{{X: nan}, {X: 1}, {X: 2, Y: 2}}} }, "fill-face", ""},
		{"no width", func(r *Request) { r.WidthMM = 0 }, "fill-width", ""},
		{"width not a number", func(r *Request) { r.WidthMM = nan }, "fill-width", ""},
		{"endless width", func(r *Request) { r.WidthMM = inf }, "fill-width", ""},
		{"negative spacing", func(r *Request) { r.SpacingMM = -1 }, "fill-spacing", ""},
		{"thinnest lines", func(r *Request) { r.Face, r.WidthMM = disc(5), minSpacing }, "", ""},
		{"widest lines", func(r *Request) { r.WidthMM = maxSpacing }, "", ""},
		{"a kilometre of face", func(r *Request) { r.Face = plane.Region{rect(0, 0, 1e6, 1e6)} }, "fill-too-long", ""},
		{"too many zones", func(r *Request) { r.Pattern.Zones = make([]pattern.Zone, maxZones+1) }, "fill-too-many-zones", ""},
		{"start not a number", func(r *Request) { r.Start = &plane.Point{X: nan} }, "", ""},
		{"pattern beside the face", func(r *Request) {
			r.Pattern = blocks(10, 0, plane.Box{Min: plane.Point{X: 500}, Max: plane.Point{X: 520, Y: 20}})
		}, "", ""},
		{"pattern far smaller", func(r *Request) { r.Pattern = blocks(0.5, 0, plane.Box{Max: plane.Point{X: 2, Y: 2}}) }, "", ""},
		{"pattern far larger", func(r *Request) { r.Pattern = blocks(5000, 0.1, disc(40).Bounds()) }, "", ""},
		{"zones thinner than a line", func(r *Request) { r.Pattern = squares(8100, 0.3) }, "", ""},
		{"20,000 zones", func(r *Request) { r.Face, r.Pattern = plate(150, 0, 0), squares(20000, 1.1) }, "", ""},
		{"slivers", func(r *Request) { r.Face = sliver }, "", "fill-island-too-small"},
		{"self-crossing face", func(r *Request) { r.Face = append(bow, rect(-30, 20, 30, 40)) }, "", ""},
		{"stacked zones", func(r *Request) { r.Pattern = stacked }, "", ""},
		{"shapes that are none", func(r *Request) { r.Pattern = mess }, "", ""},
		{"a field without a threader", func(r *Request) { r.Pattern.Ground.Field = slope{} }, "", "fill-no-threader"},
		{"limits the wrong way round", func(r *Request) { r.MinWidthMM, r.MaxWidthMM = 0.6, 0.1 }, "", ""},
		{"a dot", func(r *Request) { r.Face = disc(0.5) }, "", ""},
		{"a small disc", func(r *Request) { r.Face = disc(1.2) }, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			req := base
			c.change(&req)
			begin := time.Now()
			res, err := Fill(context.Background(), req)
			t.Logf("%v, %.0f mm in %d strands, left out %.2f mm²", time.Since(begin).Round(time.Millisecond), res.Stats.LengthMM, len(res.Strands), res.Stats.LeftOutMM2)
			if c.refuse != "" {
				var f finding.Finding
				require.ErrorAs(t, err, &f)
				assert.Equal(t, c.refuse, f.Code)
				assert.NotEmpty(t, f.Remedy)
				return
			}
			require.NoError(t, err)
			if c.code != "" {
				assert.True(t, res.Findings.Has(c.code), "%v", res.Findings)
			}
			assert.Zero(t, Crossings(res.Strands))
			for _, s := range res.Strands {
				for _, p := range s.Points {
					require.True(t, p.Finite())
				}
			}
		})
	}
}

type slope struct{}

func (slope) Level(p plane.Point) float64 { return p.X }

// TestFillStops checks that a cancelled context ends the work at once and that
// one cancelled on the way ends it soon.
func TestFillStops(t *testing.T) {
	face := plate(200, 0, 0)
	req := Request{Face: face, Pattern: blocks(10, 0.2, face.Bounds()), WidthMM: 0.42}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Fill(ctx, req)
	require.ErrorIs(t, err, context.Canceled)

	for _, share := range []float64{0.1, 0.4, 0.7, 0.9} {
		ctx, cancel = context.WithCancel(context.Background())
		var late time.Time
		req.Progress = func(s float64) {
			if s >= share && late.IsZero() {
				late = time.Now()
				cancel()
			}
		}
		_, err = Fill(ctx, req)
		require.ErrorIs(t, err, context.Canceled, "at %g", share)
		t.Logf("stopped %v after the cancel at %g", time.Since(late), share)
	}
}

func TestCoarse(t *testing.T) {
	face := plate(200, 0, 0)
	begin := time.Now()
	res, err := Fill(context.Background(), Request{Face: face, Pattern: blocks(10, 0.2, face.Bounds()), WidthMM: 0.42, Coarse: true})
	require.NoError(t, err)
	t.Logf("%d rows in %v", len(res.Strands), time.Since(begin))
	assert.Greater(t, len(res.Strands), 3000)
}
