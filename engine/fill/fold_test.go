package fill

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// arms returns two parallelograms that meet at x = 0, reach out by r to both
// sides and are h high; their long sides rise outwards by the two angles
// (degrees), and rows run along them at the two lays.
func arms(r, h, leftRise, rightRise, leftLay, rightLay float64) (plane.Region, pattern.Pattern) {
	rad := math.Pi / 180
	arm := func(side, rise, lay float64) pattern.Zone {
		up := r * math.Tan(rise*rad)
		ring := plane.Ring{{}, {X: side * r, Y: up}, {X: side * r, Y: up + h}, {Y: h}}
		if side < 0 {
			ring = ring.Reversed()
		}
		return pattern.Zone{Region: plane.Region{ring}, Lay: pattern.Lay{Angle: plane.NormalLay(lay * rad)}}
	}
	p := pattern.Pattern{Zones: []pattern.Zone{arm(-1, leftRise, leftLay), arm(1, rightRise, rightLay)}}
	up := func(rise float64) float64 { return r * math.Tan(rise*rad) }
	face := plane.Region{{{}, {X: r, Y: up(rightRise)}, {X: r, Y: up(rightRise) + h}, {Y: h}, {X: -r, Y: up(leftRise) + h}, {X: -r, Y: up(leftRise)}}}
	return face, p
}

// joinsAlong returns the length of connectors within a line of x = 0.
func joinsAlong(s []strand.Strand) float64 {
	sum := 0.0
	for _, s := range s {
		for i, z := range s.Zone {
			a, b := s.Points[i], s.Points[i+1]
			if m := a.Lerp(b, 0.5); z == strand.Connector && math.Abs(m.X) < lineWidth {
				sum += a.Dist(b)
			}
		}
	}
	return sum
}

// Rows that mirror each other at a common border go on over it: nothing is laid
// along the border, and what is left of joins is what the two far sides take,
// half of each. Rows that do not, turn there as everywhere, on half of the
// border from either side.
func TestRowsGoOnOverAMirror(t *testing.T) {
	const r, h = 12.0, 15.0
	for _, c := range []struct {
		name                string
		leftRise, rightRise float64
		leftLay, rightLay   float64
		phase               float64
		goesOn              bool
	}{
		{"mirrored at 60°", 30, 30, -30, 30, 0, true},
		{"mirrored at 30°", 60, 60, -60, 60, 0, true},
		{"straight on", -20, 20, 20, 20, 0, true},
		{"one zone's rows along the border", 30, 30, -30, 90, 0, false},
		{"other angles", 30, 10, -30, 10, 0, false},
		{"too sharp a turn", 80, 80, -80, 80, 0, false},
		{"rows shifted in one zone", 30, 30, -30, 30, 0.1, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			face, p := arms(r, h, c.leftRise, c.rightRise, c.leftLay, c.rightLay)
			p.Zones[1].Phase = c.phase
			res, err := Fill(context.Background(), Request{Face: face, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.24, MaxWidthMM: 0.8})
			require.NoError(t, err)
			assert.Zero(t, Crossings(res.Strands))
			assert.Len(t, res.Strands, 1)
			if joins := joinsAlong(res.Strands); c.goesOn {
				assert.Less(t, joins, 1.5, "only the ends of the zigzag may pass there")
				assert.InDelta(t, 1-h*lineWidth/(2*r*h), res.Stats.ShareOfLayWithin1Deg, 0.03)
			} else {
				assert.Greater(t, joins, h/3)
			}
		})
	}
}

// A zigzag that goes on over borders is left alone where it would come back to
// its own beginning: round a frame with mitred corners one of four stays.
func TestRowsDoNotCloseARing(t *testing.T) {
	outer, inner := plane.Ring{{X: -20, Y: -20}, {X: 20, Y: -20}, {X: 20, Y: 20}, {X: -20, Y: 20}}, plane.Ring{{X: -12, Y: -12}, {X: 12, Y: -12}, {X: 12, Y: 12}, {X: -12, Y: 12}}
	var p pattern.Pattern
	for k := range 4 {
		n := (k + 1) % 4
		p.Zones = append(p.Zones, pattern.Zone{
			Region: plane.Region{{outer[k], outer[n], inner[n], inner[k]}},
			Lay:    pattern.Lay{Angle: float64(k%2) * math.Pi / 2},
		})
	}
	res, err := Fill(context.Background(), Request{Face: plane.Region{outer, inner.Reversed()}, Pattern: p, WidthMM: lineWidth, MinWidthMM: 0.24, MaxWidthMM: 0.8})
	require.NoError(t, err)
	assert.Zero(t, Crossings(res.Strands))
	assert.Len(t, res.Strands, 1)
	assert.Greater(t, res.Stats.ShareOfLayWithin1Deg, 0.985, "three of four mitres take no joins")
}
