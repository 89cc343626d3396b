package bead

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// FilamentArea returns the cross-section (mm²) of a filament.
func FilamentArea(diameterMM float64) float64 {
	if !positive(diameterMM) {
		return math.NaN()
	}
	return math.Pi / 4 * diameterMM * diameterMM
}

// EPerMM returns the filament (mm) fed for each mm of a bead of the given
// area; flow is a factor, 1 = as derived.
func EPerMM(areaMM2, diameterMM, flow float64) float64 {
	if !positive(areaMM2, flow) {
		return math.NaN()
	}
	return areaMM2 / FilamentArea(diameterMM) * flow
}

// AreaFromE is the inverse of EPerMM at flow 1: the area (mm²) of a bead that
// takes ePerMM of filament for each mm.
func AreaFromE(ePerMM, diameterMM float64) float64 {
	if !positive(ePerMM) {
		return math.NaN()
	}
	return ePerMM * FilamentArea(diameterMM)
}

// VolumeFlow returns the plastic melted each second (mm³/s).
func VolumeFlow(areaMM2, speedMMs float64) float64 {
	if !positive(areaMM2, speedMMs) {
		return math.NaN()
	}
	return areaMM2 * speedMMs
}

// SpeedAtFlow returns the speed (mm/s) at which a bead of this area uses the
// given volume flow.
func SpeedAtFlow(areaMM2, flowMM3s float64) float64 {
	if !positive(areaMM2, flowMM3s) {
		return math.NaN()
	}
	return flowMM3s / areaMM2
}

// Mass returns the mass (g) of a length of filament; density in g/cm³. Zero
// filament weighs nothing.
func Mass(filamentMM, diameterMM, densityGCm3 float64) float64 {
	if !positive(densityGCm3) || !(filamentMM >= 0) {
		return math.NaN()
	}
	const mm3PerCm3 = 1000
	return filamentMM * FilamentArea(diameterMM) / mm3PerCm3 * densityGCm3
}

// Feed says how much filament a covering bead takes.
//
// A bead that covers a strip of width w on a gapless layer of height h fills
// that strip and nothing else, whatever the shape of its section: it needs
// w·h mm³ for each mm. Summed over a layer this is the model-free invariant
//
//	ΣE · filament area = covered area · height · Fill · Flow
//
// with Fill = 1 for a solid layer. A piece whose maker has tuned it to lay a
// little more or less keeps that as Fill, see FromPiece.
type Feed struct {
	HeightMM           float64
	FilamentDiameterMM float64
	Fill               float64 // volume laid ÷ (covered width × height × length), before Flow
	Flow               float64 // factor the person sets, 1 = 100 %
}

// Covering returns the feed of a solid gapless layer.
func Covering(heightMM, diameterMM, flow float64) Feed {
	return Feed{HeightMM: heightMM, FilamentDiameterMM: diameterMM, Fill: 1, Flow: flow}
}

// EPerMM returns the filament (mm) for each mm of a bead that covers a strip
// of the given width, which for parallel lines is their spacing. NaN when a
// number of the feed or the width is not positive.
func (f Feed) EPerMM(coveredWidthMM float64) float64 {
	if !positive(coveredWidthMM, f.HeightMM, f.Fill, f.Flow) {
		return math.NaN()
	}
	return coveredWidthMM * f.HeightMM * f.Fill / FilamentArea(f.FilamentDiameterMM) * f.Flow
}

// AppendE appends the filament (mm) of every segment of s to dst, following
// the width of each, and returns it. zoneFlow is asked for the factor of each
// segment's zone (pattern.Zone.Flow); nil means 1 everywhere, and so does a
// factor of 0, the zone's word for "as the job". A strand of fewer than two
// points appends nothing; a segment without a width gives NaN.
func (f Feed) AppendE(dst []float64, s strand.Strand, zoneFlow func(zone int32) float64) []float64 {
	for i := 1; i < len(s.Points); i++ {
		if i > len(s.Width) {
			dst = append(dst, math.NaN())
			continue
		}
		e := s.Points[i].Dist(s.Points[i-1]) * f.EPerMM(s.Width[i-1])
		if zoneFlow != nil && len(s.Zone) >= i {
			if factor := zoneFlow(s.Zone[i-1]); factor != 0 {
				e *= factor
			}
		}
		dst = append(dst, e)
	}
	return dst
}

// FromPiece returns the feed with which a pattern extrudes exactly as the
// piece's own first layer does: a bead of the piece's own spacing takes the
// piece's own E per mm, and wider or narrower ones in proportion. A spacing of
// 0 means "not measured": the piece is then taken to be gapless (Fill 1).
//
// Numbers that cannot be are refused (Stop); a Fill outside 0.8 to 1.2 is
// plausible for a tuned file but worth a look (Caution).
func FromPiece(ePerMM, spacingMM, heightMM, diameterMM float64) (Feed, finding.List) {
	var found finding.List
	refuse := func(field, what string, value, low, high float64, unit string) {
		if f, out := finding.OutOfRange("bead-piece-unusable", field, what, value, low, high, unit); out {
			f.Remedy = "Use the job's own bead instead of the piece's."
			found.Add(f)
		}
	}
	refuse("piece.ePerMM", "Filament per mm in the piece's first layer", ePerMM, 1e-4, 2, "mm/mm")
	refuse("piece.spacingMM", "The piece's line spacing", spacingMM, 0, 4, "mm")
	refuse("piece.heightMM", "The piece's first layer height", heightMM, 0.02, 2, "mm")
	refuse("piece.filamentDiameterMM", "The piece's filament diameter", diameterMM, 1, 4, "mm")
	if len(found) > 0 {
		return Feed{}, found
	}
	feed := Covering(heightMM, diameterMM, 1)
	if spacingMM > 0 {
		feed.Fill = AreaFromE(ePerMM, diameterMM) / (spacingMM * heightMM)
	}
	if feed.Fill < 0.8 || feed.Fill > 1.2 {
		found.Add(finding.Finding{
			Code:  "bead-piece-fill",
			Level: finding.Caution,
			Text: fmt.Sprintf("The piece's first layer lays %s %% of the volume its lines cover (%s mm³ for each mm of line, spacing %s mm, height %s mm).",
				finding.Figure(100*feed.Fill), finding.Figure(AreaFromE(ePerMM, diameterMM)), finding.Figure(spacingMM), finding.Figure(heightMM)),
			Remedy: "Check the filament diameter and the layer height, or use the job's own bead.",
			Value:  100 * feed.Fill,
			Unit:   "%",
		})
	}
	return feed, found
}

// Compare tells how far the job's own bead would differ from the piece's: the
// difference of filament fed for the same covered strip. It is a Note while
// the two are the same setting, else a Caution.
func Compare(piece, own Feed, coveredWidthMM float64) finding.Finding {
	p, o := piece.EPerMM(coveredWidthMM), own.EPerMM(coveredWidthMM)
	if math.IsNaN(p) || math.IsNaN(o) {
		return finding.Finding{
			Code: "bead-not-comparable", Level: finding.Caution,
			Text:   "The piece's bead and the job's own cannot be compared: one of them has an unusable number.",
			Remedy: "Check height, filament diameter, flow and width.",
		}
	}
	percent := 100 * (o/p - 1)
	f := finding.Finding{
		Code:  "bead-as-piece",
		Level: finding.Note,
		Text: fmt.Sprintf("For each mm of a line %s mm wide the sliced file feeds %.5f mm of filament; the values of the job would feed %.5f mm (%+.1f %%).",
			finding.Figure(coveredWidthMM), p, o, percent),
		Value: percent,
		Unit:  "%",
	}
	if math.Abs(o/p-1) > tol.BeadSame {
		f.Code, f.Level = "bead-differs", finding.Caution
		f.Remedy = "Take the bead over from the piece unless you mean to change it."
	}
	return f
}

// CheckTotal compares the filament fed on a layer with what its covered area
// needs and returns laid/needed. The finding is nil while the two agree within
// tol.BeadTotal. An empty layer (both zero) agrees, ratio 1.
func CheckTotal(sumE, coveredMM2 float64, f Feed) (ratio float64, problem *finding.Finding) {
	if sumE == 0 && coveredMM2 == 0 {
		return 1, nil
	}
	laid := sumE * FilamentArea(f.FilamentDiameterMM)
	needed := coveredMM2 * f.HeightMM * f.Fill * f.Flow
	ratio = laid / needed
	if math.Abs(ratio-1) <= tol.BeadTotal {
		return ratio, nil
	}
	text := fmt.Sprintf("The layer lays %s mm³ where its covered area of %s mm² needs %s mm³.",
		finding.Figure(laid), finding.Figure(coveredMM2), finding.Figure(needed))
	problem = &finding.Finding{
		Code: "bead-total", Level: finding.Stop, Text: text,
		Remedy: "Report this with the job file: the path and its extrusion disagree.",
		Unit:   "%",
	}
	if percent := 100 * ratio; !math.IsNaN(percent) && !math.IsInf(percent, 0) {
		problem.Value = percent
	}
	return ratio, problem
}
