package pattern

import (
	"cmp"
	"math"

	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
)

// Kind sums up the zones of one kind, as a person sees and drags them.
type Kind struct {
	Kind  int
	Name  string  // of its first zone
	Zones int     // how many
	Angle float64 // lay of its first zone, radians
	Field bool    // its first zone follows a field; dragging gives it a fixed angle
	Mixed bool    // its zones do not all have the same fixed angle
	Area  float64 // of its regions, mm², overlaps not taken off
}

// Kinds returns the kinds of p in rising order of their number.
func Kinds(p Pattern) []Kind {
	at := map[int]int{}
	var out []Kind
	for _, z := range p.Zones {
		k, ok := at[z.Kind]
		if !ok {
			k = len(out)
			at[z.Kind] = k
			out = append(out, Kind{Kind: z.Kind, Name: z.Name, Angle: z.Lay.Angle, Field: z.Lay.Field != nil})
		}
		out[k].Zones++
		out[k].Area += math.Abs(z.Region.Area())
		if (z.Lay.Field != nil) != out[k].Field || z.Lay.Angle != out[k].Angle {
			out[k].Mixed = true
		}
	}
	sorting.By(out, func(a, b Kind) int { return cmp.Compare(a.Kind, b.Kind) })
	return out
}

// WithKindLay returns p with all zones of a kind laid at a fixed angle
// (radians, brought into [0, π)). p is not changed; a kind that is not there
// changes nothing.
func WithKindLay(p Pattern, kind int, angle float64) Pattern {
	out := p
	out.Zones = make([]Zone, len(p.Zones))
	copy(out.Zones, p.Zones)
	for i := range out.Zones {
		if out.Zones[i].Kind == kind {
			out.Zones[i].Lay = Lay{Angle: plane.NormalLay(angle)}
		}
	}
	return out
}
