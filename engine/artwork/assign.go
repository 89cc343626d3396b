package artwork

import (
	"fmt"
	"math"
	"strconv"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/lay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// assignLays gives every kind of zone whose lay nothing states one that is as
// far as possible from its neighbours'. Kinds, not zones, are coloured: shapes
// of one colour share their lay.
func assignLays(src *source, in Input, out *Artwork) {
	zones := src.pattern.Zones
	frame := plane.Region{}
	if !src.box.Empty() {
		c := corners(src.box)
		frame = plane.Region{plane.Ring(c[:])}
	}
	graph, err := lay.Adjacency(zones, frame, 0)
	if err != nil {
		out.Findings.Add(finding.Finding{Code: "artwork-lays", Level: finding.Caution,
			Text:   "Which shapes border on each other could not be found, so their lays are not chosen: " + err.Error(),
			Remedy: "Set the lays by hand.", Place: &finding.Place{File: "artwork"}})
		return
	}
	of, pinned := kindsOf(zones, src.pinned)
	byKind := lay.Graph{N: len(pinned)}
	for _, e := range graph.Edges {
		if a, b := of[e.A], of[e.B]; a != b {
			byKind.Edges = append(byKind.Edges, lay.Edge{A: a, B: b, Length: e.Length})
		}
	}
	fixed := map[int]float64{}
	for k, p := range pinned {
		if p != nil {
			fixed[k] = *p
		}
	}
	result := lay.Assign(byKind, fixed, lay.Options{})
	for i := range zones {
		if !src.pinned[i] {
			zones[i].Lay = pattern.Lay{Angle: result.Angles[of[i]]}
		}
	}
	out.Findings = append(out.Findings, result.Findings...)
	out.Bound, out.Reached = degrees(result.Bound), degrees(result.SmallestDifference)
	if len(byKind.Edges) > 0 {
		out.Findings.Add(finding.Finding{Code: "artwork-lays-chosen", Level: finding.Note, Value: out.Reached, Unit: "°",
			Text: fmt.Sprintf("Neighbouring shapes differ by at least %s° in their lay; no choice could make it more than %s°.",
				finding.Figure(math.Round(out.Reached*10)/10), finding.Figure(math.Round(out.Bound*10)/10))})
	}
}

// kindsOf numbers the kinds in the order met and returns, per kind, the lay
// that is stated for it, if one is.
func kindsOf(zones []pattern.Zone, stated []bool) (of []int, pinned []*float64) {
	index := map[int]int{}
	of = make([]int, len(zones))
	for i, z := range zones {
		k, ok := index[z.Kind]
		if !ok {
			k = len(pinned)
			index[z.Kind] = k
			pinned = append(pinned, nil)
		}
		of[i] = k
		if stated[i] && z.Lay.Field == nil {
			angle := z.Lay.Angle
			pinned[k] = &angle
		}
	}
	return of, pinned
}

// laysByColour spreads the lays of kinds by the lightness of their colour, from
// the darkest to the lightest.
func laysByColour(src *source, colours []string, art job.Art) {
	for i := range src.pattern.Zones {
		z := &src.pattern.Zones[i]
		if src.pinned[i] || z.Kind >= len(colours) {
			continue
		}
		share := lightness(colours[z.Kind])
		z.Lay = pattern.Lay{Angle: radians(art.FromDeg + (art.ToDeg-art.FromDeg)*share)}
	}
}

// lightness returns the relative luminance (IEC 61966-2-1 weights, without
// linearising: an order of tones is all that is needed) of "#rrggbb", 0..1.
func lightness(colour string) float64 {
	if len(colour) != 7 {
		return 0.5
	}
	v, err := strconv.ParseUint(colour[1:], 16, 32)
	if err != nil {
		return 0.5
	}
	return (0.2126*float64(v>>16) + 0.7152*float64(v>>8&255) + 0.0722*float64(v&255)) / 255
}
