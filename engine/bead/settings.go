package bead

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// Limits bounds a bead by the nozzle and the hot end. The defaults are common
// practice, no published source; each may be adjusted within the range that
// Validate permits.
type Limits struct {
	MinWidthNozzles  float64 // narrowest bead, nozzle widths; 0.5 to 1
	MaxWidthNozzles  float64 // widest bead, nozzle widths; 1 to 3
	MaxHeightNozzles float64 // highest layer, nozzle widths; 0.3 to 0.8
	MaxFlowMM3s      float64 // fastest melting, mm³/s; 0.5 to 60
}

// DefaultLimits are 0.6 to 2 nozzle widths, 80 % of the nozzle in height, and
// 10 mm³/s (common practice, no published source).
func DefaultLimits() Limits {
	return Limits{MinWidthNozzles: 0.6, MaxWidthNozzles: 2, MaxHeightNozzles: 0.8, MaxFlowMM3s: 10}
}

// Validate refuses limits outside the ranges given on the fields.
func (l Limits) Validate() finding.List {
	var found finding.List
	c := checker{&found, "bead-limit"}
	c.within("limits.minWidthNozzles", "The narrowest bead", l.MinWidthNozzles, 0.5, 1, "nozzle widths")
	c.within("limits.maxWidthNozzles", "The widest bead", l.MaxWidthNozzles, 1, 3, "nozzle widths")
	c.within("limits.maxHeightNozzles", "The highest layer", l.MaxHeightNozzles, 0.3, 0.8, "nozzle widths")
	c.within("limits.maxFlowMM3s", "The largest volume flow", l.MaxFlowMM3s, 0.5, 60, "mm³/s")
	return found
}

// Settings is the bead of a job.
type Settings struct {
	NozzleMM           float64
	HeightMM           float64
	SpacingMM          float64 // distance of neighbouring lines = covered width
	FilamentDiameterMM float64
	Flow               float64 // factor, 1 = 100 %
	SpeedMMs           float64
	DensityGCm3        float64
	Limits             Limits
}

// Feed returns the feed of the settings as a solid layer.
func (s Settings) Feed() Feed { return Covering(s.HeightMM, s.FilamentDiameterMM, s.Flow) }

// VolumeFlow returns the plastic (mm³/s) a line of these settings takes at
// their speed.
func (s Settings) VolumeFlow() float64 {
	return VolumeFlow(s.SpacingMM*s.HeightMM*s.Flow, s.SpeedMMs)
}

type checker struct {
	found *finding.List
	code  string
}

func (c checker) within(field, what string, value, low, high float64, unit string) bool {
	f, out := finding.OutOfRange(c.code, field, what, value, low, high, unit)
	if out {
		c.found.Add(f)
	}
	return !out
}

// Validate refuses, by name and with the permitted range, every number that
// cannot make a bead on this nozzle. Nothing is clamped. Ranges that depend on
// the nozzle are checked only once the nozzle itself is permitted.
func (s Settings) Validate() finding.List {
	found := s.Limits.Validate()
	limitsUsable := len(found) == 0
	c := checker{&found, "bead-setting"}
	nozzleUsable := c.within("bead.nozzleMM", "The nozzle width", s.NozzleMM, 0.1, 2, "mm")
	if !c.within("bead.filamentDiameterMM", "The filament diameter", s.FilamentDiameterMM, 1, 4, "mm") {
		nozzleUsable = false
	}
	flowUsable := c.within("bead.flow", "The flow factor", s.Flow, 0.5, 2, "")
	speedUsable := c.within("bead.speedMMs", "The bead's speed", s.SpeedMMs, 1, 500, "mm/s")
	c.within("bead.densityGCm3", "The filament's density", s.DensityGCm3, 0.5, 10, "g/cm³")
	if !limitsUsable || !nozzleUsable {
		return found
	}
	height := c.within("bead.heightMM", fmt.Sprintf("The layer height, for a %s mm nozzle,", finding.Figure(s.NozzleMM)),
		s.HeightMM, 0.02, s.Limits.MaxHeightNozzles*s.NozzleMM, "mm")
	low, high := s.Limits.widthRange(s.NozzleMM)
	width := c.within("bead.spacingMM", fmt.Sprintf("The line spacing, for a %s mm nozzle,", finding.Figure(s.NozzleMM)),
		s.SpacingMM, low, high, "mm")
	if height && width && flowUsable && speedUsable {
		if flow := s.VolumeFlow(); flow > s.Limits.MaxFlowMM3s {
			found.Add(finding.Finding{
				Code: "bead-volume-flow", Level: finding.Stop,
				Text: fmt.Sprintf("Lines of this width, height and flow take %s mm³/s at %s mm/s; permitted is up to %s mm³/s.",
					finding.Figure(flow), finding.Figure(s.SpeedMMs), finding.Figure(s.Limits.MaxFlowMM3s)),
				Remedy: fmt.Sprintf("Lay the bead at %.1f mm/s or slower.",
					math.Floor(10*SpeedAtFlow(s.SpacingMM*s.HeightMM*s.Flow, s.Limits.MaxFlowMM3s))/10),
				Place: &finding.Place{Element: "bead.speedMMs"}, Value: flow, Unit: "mm³/s",
			})
		}
	}
	return found
}

func (l Limits) widthRange(nozzleMM float64) (low, high float64) {
	return l.MinWidthNozzles * nozzleMM, l.MaxWidthNozzles * nozzleMM
}

// CheckWidths looks at the width of every segment of the strands and returns
// one finding for those narrower and one for those wider than the limits
// permit by more than tol.BeadWidthLimit, each with the length concerned, the
// worst width and its place. The widths themselves stay as they are. A width that is not a positive number is
// a Stop.
func CheckWidths(strands []strand.Strand, nozzleMM float64, l Limits) finding.List {
	low, high := l.widthRange(nozzleMM)
	var narrow, wide, broken offence
	total := 0.0
	for _, s := range strands {
		for i := 1; i < len(s.Points); i++ {
			length := s.Points[i].Dist(s.Points[i-1])
			middle := s.Points[i-1].Lerp(s.Points[i], 0.5)
			total += length
			if i > len(s.Width) || !positive(s.Width[i-1]) {
				broken.add(length, 1, 0, middle)
				continue
			}
			switch w := s.Width[i-1]; {
			case w < low-tol.BeadWidthLimit:
				narrow.add(length, low-w, w, middle)
			case w > high+tol.BeadWidthLimit:
				wide.add(length, w-high, w, middle)
			}
		}
	}
	var found finding.List
	if broken.count > 0 {
		found.Add(finding.Finding{
			Code: "bead-width-missing", Level: finding.Stop,
			Text:   fmt.Sprintf("%d segments have no usable width.", broken.count),
			Remedy: "Report this with the job file.", Place: broken.place(),
		})
	}
	report := func(o offence, code, word string) {
		if o.count == 0 {
			return
		}
		found.Add(finding.Finding{
			Code: code, Level: finding.Caution,
			Text: fmt.Sprintf("%s mm of the bead (%.1f %%) is %s than permitted: %s mm at worst; permitted is %s to %s mm.",
				finding.Figure(math.Round(10*o.length)/10), 100*o.length/total, word, finding.Figure(o.width), finding.Figure(low), finding.Figure(high)),
			Remedy: "Change the spacing, choose a pattern whose lines fan out less, or adjust the width limits.",
			Place:  o.place(), Value: o.width, Unit: "mm",
		})
	}
	report(narrow, "bead-too-narrow", "narrower")
	report(wide, "bead-too-wide", "wider")
	return found
}

type offence struct {
	count         int
	length, worst float64
	width         float64
	at            plane.Point
}

func (o *offence) add(length, excess, width float64, at plane.Point) {
	o.count++
	o.length += length
	if o.count == 1 || excess > o.worst {
		o.worst, o.width, o.at = excess, width, at
	}
}

func (o offence) place() *finding.Place { return &finding.Place{At: &[2]float64{o.at.X, o.at.Y}} }
