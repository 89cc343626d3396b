package making

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/job"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
)

// TestTravelsKeepOffBareFace: from island to island the nozzle goes over what is
// laid or outside; straight ways would not, and the finished block goes as planned.
func TestTravelsKeepOffBareFace(t *testing.T) {
	straight, turns := 0.0, 0
	for _, shape := range []specimen.Shape{specimen.Parts(3, 4, 9, 7, 12), specimen.Letter(40), specimen.Annulus(15, 6)} {
		s := specimen.Make(specimen.Options{Shape: shape, At: plane.Point{X: 100, Y: 100}, Walls: 2, Layers: 3, FillDegree: 45})
		p := open(t, shape.Name, s.Bytes, 1)
		require.True(t, p.Settled(), "%v", stops(p.Findings))
		j := job.Default()
		j.Keep.Walls = 1
		m, err := Make(context.Background(), p, j, false, nil)
		require.NoError(t, err)
		require.Empty(t, stops(m.Findings))
		l := &m.Layers[0]
		require.Len(t, l.Travels, len(l.Order))
		for k, way := range l.Travels {
			across := l.Face.LengthWithin(way.From, way.To)
			straight += across
			if k > len(l.Kept) || len(l.Footprint.Islands) == len(l.Footprint.Region) {
				// A bead begins half a width within its face, which a way that comes
				// in slantwise crosses on a longer line.
				assert.Less(t, way.BareMM, 1.5*m.Line.WidthMM, "%s, travel %d", shape.Name, k)
			} else { // to the wall of a hole and back there is no other way
				assert.LessOrEqual(t, way.BareMM, across+1e-9, "%s, travel %d", shape.Name, k)
			}
			for _, q := range way.Via {
				turns++
				assert.Contains(t, string(m.Block), fmt.Sprintf("G0 X%s Y%s", plain(q.X), plain(q.Y)), shape.Name)
			}
		}
		assert.InDelta(t, l.BareTravelMM(), sumBare(l), 1e-9)
	}
	assert.Greater(t, straight, 20.0, "straight ways would cross the face")
	assert.Positive(t, turns)
}

func sumBare(l *Layer) (sum float64) {
	for _, way := range l.Travels {
		sum += way.BareMM
	}
	return sum
}

// plain writes a coordinate as the block does.
func plain(v float64) string {
	text := fmt.Sprintf("%.3f", v)
	for text[len(text)-1] == '0' {
		text = text[:len(text)-1]
	}
	if text[len(text)-1] == '.' {
		text = text[:len(text)-1]
	}
	return text
}
