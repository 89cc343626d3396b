package fill

import (
	"cmp"
	"context"
	"slices"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
)

// survey is what a quick scan of an island tells about the pattern on it.
type survey struct {
	touched []int32   // zones that appear on the island, ascending
	above   [][]int32 // per touched zone: later zones that overlap it
	inside  []bool    // per touched zone: no face border nearer than room
	ground  bool      // some of the island is covered by no zone
}

// overlapping counts the stretches of one zone of a pair that lie within one
// of the other.
type overlapping struct{ upperInLower, lowerInUpper int32 }

// surveyTurn turns the survey's lines against anything a drawing is likely to
// hold, so that edges do not hide between two lines.
const surveyTurn = 0.31

// maxPairs bounds the overlaps that a survey follows.
const maxPairs = 4 << 20

// look surveys the island with lines half a spacing apart.
func look(ctx context.Context, island plane.Region, zones []pattern.Zone, spacing, room float64) (*survey, error) {
	box := island.Bounds()
	frame := scan.NewFrame(surveyTurn)
	pitch := spacing / 2
	face := scan.Cut(island, frame, 0, pitch)
	type piece struct {
		scan.Span
		zone int32
	}
	s := &survey{}
	n := face.Len()
	rows := make([]scan.Rows, len(zones))
	count := make([]int32, n+2)
	for i, z := range zones {
		if i%256 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !z.Region.Bounds().Intersects(box) {
			continue
		}
		rows[i] = scan.Cut(clipFar(z.Region, box), frame, 0, pitch)
		for k := range rows[i].Len() {
			if at := rows[i].First + k - face.First; at >= 0 && at < n {
				count[at+2] += int32(len(rows[i].Spans(k)))
			}
		}
	}
	for k := 2; k < len(count); k++ {
		count[k] += count[k-1]
	}
	pieces := make([]piece, count[n+1])
	for i := range zones {
		for k := range rows[i].Len() {
			at := rows[i].First + k - face.First
			if at < 0 || at >= n {
				continue
			}
			for _, span := range rows[i].Spans(k) {
				pieces[count[at+1]] = piece{span, int32(i)}
				count[at+1]++
			}
		}
	}
	touched := make([]bool, len(zones))
	pairs := map[[2]int32]overlapping{}
	number := make([]int32, len(zones)) // of stretches of each zone
	var covered, bare []scan.Span
	for k := range n {
		if k%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		line := pieces[count[k]:count[k+1]]
		sorting.By(line, func(a, b piece) int {
			return cmp.Or(cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.zone, b.zone))
		})
		covered = covered[:0]
		spans := face.Spans(k)
		for i, p := range line {
			number[p.zone]++
			if !touched[p.zone] {
				for _, f := range spans {
					if f.Lo < p.Hi && p.Lo < f.Hi {
						touched[p.zone] = true
						break
					}
				}
			}
			for _, q := range line[i+1:] {
				if q.Lo > p.Hi-overlapRoom {
					break
				}
				if q.zone != p.zone && q.Length() > overlapRoom {
					key := [2]int32{min(p.zone, q.zone), max(p.zone, q.zone)}
					o := pairs[key]
					lower, upper := p.Span, q.Span
					if p.zone > q.zone {
						lower, upper = upper, lower
					}
					if lower.Lo <= upper.Lo+overlapRoom && upper.Hi <= lower.Hi+overlapRoom {
						o.upperInLower++
					}
					if upper.Lo <= lower.Lo+overlapRoom && lower.Hi <= upper.Hi+overlapRoom {
						o.lowerInUpper++
					}
					pairs[key] = o
				}
			}
			if len(pairs) > maxPairs {
				return nil, finding.Finding{
					Code: "fill-overlaps", Level: finding.Stop,
					Text:   "Too many zones of the pattern lie on top of each other.",
					Remedy: "Merge shapes in the drawing, or leave out those that are hidden.",
				}
			}
			if m := len(covered); m > 0 && p.Lo <= covered[m-1].Hi {
				covered[m-1].Hi = max(covered[m-1].Hi, p.Hi)
			} else {
				covered = append(covered, p.Span)
			}
		}
		if !s.ground {
			bare = scan.Subtract(bare[:0], spans, covered)
			for _, b := range bare {
				s.ground = s.ground || b.Length() > groundRoom
			}
		}
	}
	at := make([]int32, len(zones))
	for i, t := range touched {
		if t {
			at[i] = int32(len(s.touched))
			s.touched = append(s.touched, int32(i))
		}
	}
	s.above = make([][]int32, len(s.touched))
	for p := range pairs {
		if touched[p[0]] {
			s.above[at[p[0]]] = append(s.above[at[p[0]]], p[1])
		}
	}
	inside := make([][]int32, len(zones)) // zones that hold all of a zone
	for p, o := range pairs {
		switch {
		case o.upperInLower == number[p[1]]:
			inside[p[1]] = append(inside[p[1]], p[0])
		case o.lowerInUpper == number[p[0]]:
			inside[p[0]] = append(inside[p[0]], p[1])
		}
	}
	in := make([]bool, len(zones))
	for i, list := range s.above {
		slices.Sort(list)
		for _, k := range list {
			in[k] = true
		}
		// What another zone above holds all of takes nothing more away.
		s.above[i] = slices.DeleteFunc(list, func(k int32) bool {
			return slices.ContainsFunc(inside[k], func(j int32) bool { return in[j] })
		})
		clear(in)
	}
	s.inside = clearOfBorder(island, zones, s.touched, room)
	return s, nil
}

// overlapRoom is how far two zones may overlap along a line by rounding alone,
// groundRoom how wide a gap between zones must be to count as ground, mm.
const (
	overlapRoom = 1e-4
	groundRoom  = 0.1
)

// clipFar cuts a region that is far larger than the box down to a rectangle a
// little larger than the box, one axis at a time, so that the number of lines
// stays bounded. The rings may then run along the rectangle, which does not
// matter outside the box.
func clipFar(g plane.Region, box plane.Box) plane.Region {
	big := box.Grow(1 + max(box.Size().X, box.Size().Y))
	b := g.Bounds()
	if big.Contains(b.Min) && big.Contains(b.Max) {
		return g
	}
	out := make(plane.Region, 0, len(g))
	for _, ring := range g {
		for side := range 4 {
			ring = clipSide(ring, big, side)
		}
		if len(ring) >= 3 {
			out = append(out, ring)
		}
	}
	return out
}

// clipSide keeps the part of a ring on the inner side of one side of a box
// (Sutherland & Hodgman 1974; memory).
func clipSide(ring plane.Ring, b plane.Box, side int) plane.Ring {
	depth := func(p plane.Point) float64 {
		switch side {
		case 0:
			return p.X - b.Min.X
		case 1:
			return b.Max.X - p.X
		case 2:
			return p.Y - b.Min.Y
		}
		return b.Max.Y - p.Y
	}
	var out plane.Ring
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		dp, dq := depth(p), depth(q)
		if dp >= 0 {
			out = append(out, p)
		}
		if (dp >= 0) != (dq >= 0) {
			out = append(out, p.Lerp(q, dp/(dp-dq)))
		}
	}
	return out
}
