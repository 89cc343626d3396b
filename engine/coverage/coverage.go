// Package coverage measures how well strands cover a face, and checks what would
// show or not hold: open spots, places laid twice, bead beyond the outline,
// lines too near or too far, travels over the face.
//
// # Figures
//
// Beads are counted on a raster (see package raster): pixels of at most a tenth
// of a line, on a grid turned away from all lines. A pixel of the face is
//
//   - covered: at least one strand, or a kept stroke, lies over it;
//   - double: two strands do, or one strand with two stretches more than
//     tol.RasterStretch apart along its path. Kept strokes do not count here: the
//     face already contains the overlap with them that is wanted;
//   - an open gap: nothing covers it, and no bead lies within tol.CoverageOpen;
//     thinner gaps close by squeeze;
//
// and a pixel outside the face under a strand is spilled. Beads side by side at
// a spacing of one width count as exactly one layer.
package coverage

import (
	"context"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// Job is what is measured. Face and LineMM are needed; the rest may be zero.
type Job struct {
	Face    plane.Region    // where the pattern is to lie, mm
	Strands []strand.Strand // the pattern, in the order laid
	LineMM  float64         // intended line width = distance of neighbours, mm

	// Footprint is the outline of the piece; bead beyond it is excess. Empty: the
	// face.
	Footprint plane.Region
	// Kept strokes are laid as well; KeptMM is the width each covers (area of its
	// section / height), a shorter list repeats its last entry, none means LineMM.
	Kept   []deposit.Stroke
	KeptMM []float64
	// PrimeEnd is where the prime line ends, nil without one.
	PrimeEnd *plane.Point
	// Travels are the ways from strand to strand, nil where they are straight.
	Travels []Travel
	// ShortestMM is the shortest piece of line the machine can follow; 0 means
	// tol.CoverageShortest.
	ShortestMM float64
	// Next is the layer above, nil when there is none to compare with.
	Next *deposit.Layer
	// PixelMM is the side of a pixel; 0 means tol.CoveragePixelShare of LineMM.
	PixelMM float64
}

// Travel is one way between strands.
type Travel struct {
	At     plane.Point // where the page shows it
	BareMM float64     // length over face that is still bare, mm
}

// Kind is what a pixel of the map shows.
type Kind uint8

// The kinds of pixels.
const (
	Outside Kind = iota // beyond the face, nothing laid
	Once                // face, one bead
	Double              // face, two beads or more
	Kept                // face, covered by a kept stroke only
	Narrow              // face, uncovered but near a bead: closes by squeeze
	Open                // face, open gap
	Spilled             // beyond the face, under a strand
	kinds
)

// Amount is an area and its share of the face.
type Amount struct{ MM2, Percent float64 }

// Result holds the figures, the map and what was found.
type Result struct {
	FaceMM2 float64
	Covered Amount // Once, Double and Kept
	Double  Amount
	Spilled Amount
	Open    Amount
	// Map has a Kind per pixel; its Grid says where it lies and how it is turned.
	Map *raster.Bitmap
	// Worst are the largest patches of Open, Double and Spilled pixels, at most
	// worstListed of each.
	Worst    []Place
	Findings finding.List
}

// Place is a patch of one kind.
type Place struct {
	Kind    Kind
	At      plane.Point // in the patch, at its thickest
	AreaMM2 float64
	ThickMM float64
}

// worstListed is how many patches of a kind are listed.
const worstListed = 20

// Measure counts and checks. Without a face or a line width, or when ctx is done,
// the result has a finding of level Stop and no map.
func Measure(ctx context.Context, job Job) Result {
	var r Result
	if len(job.Face) == 0 || !(job.LineMM > 0) {
		r.Findings.Add(finding.Finding{Code: "coverage-no-face", Level: finding.Stop,
			Text: "There is no face to cover.", Remedy: "Choose a piece whose first layer has room inside the kept walls."})
		return r
	}
	if len(job.Footprint) == 0 {
		job.Footprint = job.Face
	}
	if !(job.PixelMM > 0) {
		job.PixelMM = job.LineMM * tol.CoveragePixelShare
	}
	if !(job.ShortestMM > 0) {
		job.ShortestMM = tol.CoverageShortest
	}
	r.FaceMM2 = job.Face.Area()
	if !r.count(ctx, &job) {
		r.Findings.Add(finding.Finding{Code: "coverage-cancelled", Level: finding.Stop,
			Text: "Measuring the coverage was stopped.", Remedy: "Start again."})
		return r
	}
	r.checkPatches(&job)
	checks := []func(*Job) []finding.Finding{
		checkSpacing, checkWidths, checkStart, checkTravels, checkShort, checkThin, checkAbove,
	}
	for _, check := range checks {
		if ctx.Err() != nil {
			break
		}
		r.Findings = append(r.Findings, check(&job)...)
	}
	return r
}

// counts draws the strands. What lies farther than strayMM from the piece is not
// drawn: it would only make the pixels larger.
func counts(job *Job) *raster.Counts {
	limits := job.Face.Bounds().Union(job.Footprint.Bounds()).Grow(strayMM)
	box := job.Face.Bounds()
	var lines [][]plane.Point
	for _, s := range job.Strands {
		lines = append(lines, s.Points)
		for _, p := range s.Points {
			if limits.Contains(p) {
				box = box.Include(p)
			}
		}
	}
	grid := raster.NewGrid(box.Grow(2*job.LineMM), job.PixelMM, raster.QuietAngle(lines...))
	c := raster.NewCounts(grid)
	for _, s := range job.Strands {
		c.AddPath(s.Points, s.Width)
	}
	return c
}

// strayMM is how far beyond the piece spilled bead is still measured.
const strayMM = 50

// count fills figures and map; it reports false when cancelled.
func (r *Result) count(ctx context.Context, job *Job) bool {
	c := counts(job)
	if ctx.Err() != nil {
		return false
	}
	for _, s := range job.Strands {
		c.AddReach(s.Points, s.Width, tol.CoverageOpen)
	}
	var kept *raster.Counts
	if len(job.Kept) > 0 {
		widths := job.KeptMM
		if len(widths) == 0 {
			widths = []float64{job.LineMM}
		}
		kept = raster.NewCounts(c.Grid)
		for i, s := range job.Kept {
			k := min(i, len(widths)-1)
			kept.AddPath(s.Points, widths[k:k+1])
			kept.AddReach(s.Points, widths[k:k+1], tol.CoverageOpen)
		}
	}
	if ctx.Err() != nil {
		return false
	}
	tally := classify(c, kept, raster.NewMask(c.Grid, job.Face))
	r.Map = c.Bitmap()
	amount := func(pixels int) Amount {
		mm2 := float64(pixels) * c.PixelArea()
		return Amount{mm2, 100 * mm2 / r.FaceMM2}
	}
	r.Covered = amount(tally[Once] + tally[Double] + tally[Kept])
	r.Double = amount(tally[Double])
	r.Spilled = amount(tally[Spilled])
	r.Open = amount(tally[Open])
	return true
}
