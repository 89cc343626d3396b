package making

import (
	"context"
	"math"

	"sheenlay/engine/artwork"
	"sheenlay/engine/fill"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/tour"
)

// fillIslands fills the islands of a layer one after another, in the order of
// a short tour from where the last kept stroke or the prime line ends. Where a
// bead ends is known only when it is filled: then the beads are put into their
// own order.
func (w *work) fillIslands(l *Layer, report func(float64)) error {
	islands := overlay.Islands(l.Face)
	start := w.leadIn(l)
	at := start
	var filled [][]strand.Strand
	for done, k := range islandTour(w.ctx, islands, at) {
		request := fill.Request{
			Face: islands[k], Pattern: l.Artwork.Pattern, WidthMM: w.Line.WidthMM,
			MinWidthMM: math.Min(w.Line.MinMM, w.Line.WidthMM), MaxWidthMM: math.Max(w.Line.MaxMM, w.Line.WidthMM),
			Start: at, Coarse: w.Coarse && !l.Artwork.Pattern.Threaded(), Threader: artwork.Threader,
			Progress: func(share float64) { report((float64(done) + share) / float64(len(islands))) },
		}
		result, err := fill.Fill(w.ctx, request)
		if err != nil {
			return err
		}
		for i := range result.Strands {
			result.Strands[i].Island = k
		}
		if n := len(result.Strands); n > 0 {
			filled = append(filled, result.Strands)
			last := result.Strands[n-1].Points
			at = &last[len(last)-1]
		}
		w.Findings = append(w.Findings, atLayer(result.Findings, l)...)
		addStats(&l.Stats, result.Stats)
	}
	for _, strands := range toured(w.ctx, filled, start) {
		l.Strands = append(l.Strands, strands...)
	}
	return nil
}

// leadIn returns the place from which the first bead is best begun: the end
// of what is laid before it; nil when nothing is.
func (w *work) leadIn(l *Layer) *plane.Point {
	if n := len(l.Kept); n > 0 {
		last := l.Kept[n-1].Points
		return &last[len(last)-1]
	}
	if line := w.primeFor(l); len(line) > 0 {
		return &line[len(line)-1]
	}
	return nil
}

// islandTour orders the islands so that the way between them is short. The
// distance of two islands is that of the nearest points of their borders.
func islandTour(ctx context.Context, islands []plane.Region, start *plane.Point) []int {
	o := tour.Options{}
	if start != nil {
		o.Start = func(i int) float64 { return borderDistance(islands[i], *start) }
	}
	return tour.Order(ctx, len(islands), func(i, j int) float64 {
		a, b := islands[i].Bounds(), islands[j].Bounds()
		p := nearestTo(islands[i], b.Centre())
		q := nearestTo(islands[j], a.Centre())
		return p.Dist(q)
	}, o)
}

func borderDistance(g plane.Region, p plane.Point) float64 { return nearestTo(g, p).Dist(p) }

// nearestTo returns the point of the region's border nearest to p, and p
// itself for a region without any.
func nearestTo(g plane.Region, p plane.Point) plane.Point {
	if q, ok := g.Nearest(p); ok {
		return q
	}
	return p
}

// toured puts the beads of islands, several of one island in their order, so
// that the ways from the end of each to the beginning of the next are short. The
// beads of an island may be laid the other way round. What was given is kept
// where the tour finds nothing shorter.
func toured(ctx context.Context, islands [][]strand.Strand, start *plane.Point) [][]strand.Strand {
	n := len(islands)
	if n < 2 || 2*n > tour.MaxPlaces {
		return islands
	}
	// The places are both ends of every island, 2i where it begins and 2i+1 where
	// it ends. Between the two it costs nothing, and any other way so much that no
	// tour gains by leaving an island out of its turn.
	places := make([]plane.Point, 2*n)
	box := plane.EmptyBox()
	for i, strands := range islands {
		places[2*i], places[2*i+1] = endsOf(strands)
		box = box.Include(places[2*i]).Include(places[2*i+1])
	}
	far := box.Size().Norm() * float64(n)
	o := tour.Options{}
	if start != nil {
		o.Start = func(i int) float64 { return places[i].Dist(*start) }
	}
	order := tour.Order(ctx, len(places), func(i, j int) float64 {
		if i/2 == j/2 {
			return 0
		}
		return far + places[i].Dist(places[j])
	}, o)
	out := make([][]strand.Strand, 0, n)
	for k := 0; k < len(order); k += 2 {
		i := order[k] / 2
		if order[k+1]/2 != i {
			return islands
		}
		strands := islands[i]
		if order[k]%2 == 1 {
			strands = turnedRound(strands)
		}
		out = append(out, strands)
	}
	if wayBetween(out, start) < wayBetween(islands, start) {
		return out
	}
	return islands
}

// endsOf returns where the beads of an island begin and where they end.
func endsOf(strands []strand.Strand) (first, last plane.Point) {
	end := strands[len(strands)-1].Points
	return strands[0].Points[0], end[len(end)-1]
}

// turnedRound returns the beads laid backwards, the last one first.
func turnedRound(strands []strand.Strand) []strand.Strand {
	out := make([]strand.Strand, len(strands))
	for i, s := range strands {
		out[len(out)-1-i] = s.Reversed()
	}
	return out
}

// wayBetween returns the length of the straight ways to and between islands.
func wayBetween(islands [][]strand.Strand, start *plane.Point) float64 {
	sum, at := 0.0, start
	for _, strands := range islands {
		first, last := endsOf(strands)
		if at != nil {
			sum += at.Dist(first)
		}
		at = &last
	}
	return sum
}
