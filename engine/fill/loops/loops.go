// Package loops joins closed beads into one.
//
// Where two loops run side by side, a short piece is cut out of each and the
// four ends are linked across: two loops become one, without a travel, a
// crossing, or bead laid twice. Join does this over a shortest tree of such
// bridges (Kruskal), so loops that all have a neighbour become one loop.
//
//	──────────┐ ┌──────────  P        ────╮   ╭────
//	           gap              →         │   │
//	──────────┐ ┌──────────  Q        ────╯   ╰────
//
// It knows nothing of zones or patterns: any set of closed beads that do not
// cross can be given, and at most one open bead, which keeps its two ends.
package loops

import (
	"context"
	"math"

	"sheenlay/engine/plane"
)

// Loop is a bead, closed unless Open.
//
// Width and Zone have one entry for each segment: len(Points) for a closed
// loop, whose last segment runs from the last point to the first, and
// len(Points)−1 for an open one. Zone may be nil (all connector). Border
// marks the segments where a bridge is welcome; nil means everywhere.
type Loop struct {
	Points []plane.Point
	Width  []float64
	Zone   []int32
	Border []bool
	Open   bool
}

// Segments returns the number of segments.
func (l Loop) Segments() int {
	if l.Open {
		return max(0, len(l.Points)-1)
	}
	return len(l.Points)
}

// Segment returns the ends of segment i.
func (l Loop) Segment(i int) (a, b plane.Point) {
	j := i + 1
	if j == len(l.Points) {
		j = 0
	}
	return l.Points[i], l.Points[j]
}

// Length returns the length of the centre line, mm.
func (l Loop) Length() float64 {
	sum := 0.0
	for i := range l.Segments() {
		a, b := l.Segment(i)
		sum += a.Dist(b)
	}
	return sum
}

// Options of Join. Lengths in mm; the zero value of each takes the default
// named with it.
type Options struct {
	Width     float64      // bead width: the unit of the others; default 0.42
	Reach     float64      // longest link; default 2.4 widths
	Gap       float64      // length cut out of each loop; default 1 width
	Clearance float64      // links keep this far from other bead; default 0.6 widths
	Wall      plane.Region // links keep WallRoom from its border; may be nil
	// WallRoom is how near to the border a link may come; default 0.45 widths.
	// Outermost beads may lie a little nearer (fill lets them overhang), so that
	// they are linked inwards and never along the border, where a link would
	// spill. Letting links come as near as those beads changes no number of
	// strands on any built-in pattern and the shares of a face by 0.01 %.
	WallRoom float64
}

// Result of Join.
type Result struct {
	// Loops are what is left, longest first: one when everything could be
	// joined. The open loop, if one was given, is part of an open loop.
	Loops []Loop
	// Bridges counts the bridges made: loops given minus loops left.
	Bridges int
	// LinkLength is the length of all links, mm.
	LinkLength float64
}

// Join joins loops into as few as the clearances allow. The loops must not
// cross each other or themselves; the result then does not either. Loops of
// fewer than three points (open: two) are passed through untouched. An empty
// list gives an empty result. When ctx ends, its error is returned.
func Join(ctx context.Context, loops []Loop, opt Options) (Result, error) {
	opt = opt.withDefaults()
	best, err := joined(ctx, loops, opt, nil)
	// A bridge may take the only place by which a group of loops could be
	// reached. Then all is joined again, those groups first.
	first := make([]bool, len(loops))
	for try := 0; err == nil && best.left > 1 && try < retries; try++ {
		main := best.largest()
		for i := range loops {
			first[i] = first[i] || best.find(int32(i)) != main
		}
		var again *joiner
		if again, err = joined(ctx, loops, opt, first); err == nil && again.left < best.left {
			best = again
		}
	}
	if err != nil {
		return Result{}, err
	}
	return best.result(), nil
}

// retries is how often the loops are joined again.
const retries = 3

// joined joins the loops: with some marked, those to the others before the rest.
func joined(ctx context.Context, loops []Loop, opt Options, first []bool) (*joiner, error) {
	j := newJoiner(loops, opt)
	for round := range 2 {
		if round == 0 && first == nil {
			continue
		}
		// The first pass takes the beads that run side by side as planned; the
		// others look wider, and only for what is still apart.
		for pass := range passes {
			if j.left <= 1 {
				break
			}
			of := first
			if round == 1 {
				of = nil
			}
			candidates, err := j.candidates(ctx, pass, of)
			if err != nil {
				return j, err
			}
			for i, c := range candidates {
				if i%256 == 0 && ctx.Err() != nil {
					return j, ctx.Err()
				}
				if j.left <= 1 {
					break
				}
				j.try(c)
			}
		}
	}
	return j, nil
}

func (o Options) withDefaults() Options {
	set := func(v *float64, d float64) {
		if !(*v > 0) || math.IsInf(*v, 0) {
			*v = d
		}
	}
	set(&o.Width, 0.42)
	set(&o.Reach, 2.4*o.Width)
	set(&o.Gap, o.Width)
	set(&o.Clearance, 0.6*o.Width)
	set(&o.WallRoom, 0.45*o.Width)
	return o
}
