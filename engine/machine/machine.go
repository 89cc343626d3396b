// Package machine describes a printer once: bed, nozzle, filament, speeds,
// limits, retraction. The record is flat, every field stands in one table
// (Fields) with unit, default and permitted range, and validation, presets as
// JSON, the job file and the page all take it from there.
package machine

import (
	"encoding/json"
	"fmt"

	"sheenlay/engine/bead"
	"sheenlay/engine/motion"
	"sheenlay/engine/plane"
)

// The words of the choice fields.
const (
	Rect  = "rect"
	Round = "round"

	Corner = "corner" // origin at the front left corner of the bed
	Centre = "centre" // origin in the middle of the bed

	Absolute = "absolute"
	Relative = "relative"

	AsFile    = "file"     // retraction as the sliced file does it
	ByE       = "filament" // retraction written as moves of the filament
	ByCommand = "command"  // retraction by G10 and G11
	Never     = "none"

	CornerArc  = "arc"  // motion.ArcOfDeviation
	CornerJump = "jump" // motion.JumpLimit
	CornerStop = "stop" // motion.FullStop
)

// Boxes is a list of rectangles, in JSON [[xMin, yMin, xMax, yMax], …], mm.
type Boxes []plane.Box

// MarshalJSON writes the list; none is [].
func (b Boxes) MarshalJSON() ([]byte, error) {
	out := make([][4]float64, len(b))
	for i, box := range b {
		out[i] = [4]float64{box.Min.X, box.Min.Y, box.Max.X, box.Max.Y}
	}
	return json.Marshal(out)
}

// UnmarshalJSON reads the list; it refuses rectangles that have not exactly
// four numbers.
func (b *Boxes) UnmarshalJSON(data []byte) error {
	var rows [][]float64
	if err := json.Unmarshal(data, &rows); err != nil {
		return fmt.Errorf("want [[xMin, yMin, xMax, yMax], …]")
	}
	*b = make(Boxes, len(rows))
	for i, r := range rows {
		if len(r) != 4 {
			return fmt.Errorf("area %d has %d numbers; want [xMin, yMin, xMax, yMax]", i+1, len(r))
		}
		(*b)[i] = plane.Box{Min: plane.Point{X: r[0], Y: r[1]}, Max: plane.Point{X: r[2], Y: r[3]}}
	}
	return nil
}

// Machine is one printer as it is set up. Every field but Name and KeepOut is
// described in Fields; the zero value is not a machine, use Default.
type Machine struct {
	Name string `json:"name"`

	BedShape      string  `json:"bedShape"`
	BedWidthMM    float64 `json:"bedWidthMM"`
	BedDepthMM    float64 `json:"bedDepthMM"`
	BedDiameterMM float64 `json:"bedDiameterMM"`
	BedHeightMM   float64 `json:"bedHeightMM"`
	Origin        string  `json:"origin"`
	OriginXMM     float64 `json:"originXMM"`
	OriginYMM     float64 `json:"originYMM"`
	KeepOut       Boxes   `json:"keepOut"`

	NozzleMM           float64 `json:"nozzleMM"`
	FilamentDiameterMM float64 `json:"filamentDiameterMM"`

	FirstHeightMM  float64 `json:"firstHeightMM"`
	FirstWidthMM   float64 `json:"firstWidthMM"`
	MinWidthShare  float64 `json:"minWidthShare"`
	MaxWidthShare  float64 `json:"maxWidthShare"`
	MaxHeightShare float64 `json:"maxHeightShare"`
	FlowPercent    float64 `json:"flowPercent"`

	SpeedMMs       float64 `json:"speedMMs"`
	StartSpeedMMs  float64 `json:"startSpeedMMs"`
	StartLengthMM  float64 `json:"startLengthMM"`
	TurnSpeedMMs   float64 `json:"turnSpeedMMs"`
	TravelSpeedMMs float64 `json:"travelSpeedMMs"`

	AccelMMs2        float64 `json:"accelMMs2"`
	TravelAccelMMs2  float64 `json:"travelAccelMMs2"`
	RetractAccelMMs2 float64 `json:"retractAccelMMs2"`
	MaxSpeedXMMs     float64 `json:"maxSpeedXMMs"`
	MaxSpeedYMMs     float64 `json:"maxSpeedYMMs"`
	MaxSpeedZMMs     float64 `json:"maxSpeedZMMs"`
	MaxSpeedEMMs     float64 `json:"maxSpeedEMMs"`
	MaxAccelXMMs2    float64 `json:"maxAccelXMMs2"`
	MaxAccelYMMs2    float64 `json:"maxAccelYMMs2"`
	MaxAccelZMMs2    float64 `json:"maxAccelZMMs2"`
	MaxAccelEMMs2    float64 `json:"maxAccelEMMs2"`
	CornerModel      string  `json:"cornerModel"`
	DeviationMM      float64 `json:"deviationMM"`
	JumpMMs          float64 `json:"jumpMMs"`
	MaxFlowMM3s      float64 `json:"maxFlowMM3s"`
	SmallestStepMM   float64 `json:"smallestStepMM"`

	EMode           string  `json:"eMode"`
	RetractBy       string  `json:"retractBy"`
	RetractMM       float64 `json:"retractMM"`
	RetractSpeedMMs float64 `json:"retractSpeedMMs"`
	LiftMM          float64 `json:"liftMM"`

	ColdLimitC float64 `json:"coldLimitC"`
	MaxNozzleC float64 `json:"maxNozzleC"`
	MaxBedC    float64 `json:"maxBedC"`
}

// Bed returns the box of the bed in the machine's coordinates. For a round bed
// it is the square around the disc.
func (m Machine) Bed() plane.Box {
	w, d := m.BedWidthMM, m.BedDepthMM
	if m.BedShape == Round {
		w, d = m.BedDiameterMM, m.BedDiameterMM
	}
	corner := plane.Point{X: m.OriginXMM, Y: m.OriginYMM}
	if m.Origin == Centre {
		corner = corner.Sub(plane.Point{X: w / 2, Y: d / 2})
	}
	return plane.Box{Min: corner, Max: corner.Add(plane.Point{X: w, Y: d})}
}

// Contains reports whether p lies on the bed, its edge included, and in no
// area that is to be kept free. A point that is not a number lies nowhere.
func (m Machine) Contains(p plane.Point) bool {
	bed := m.Bed()
	if !bed.Contains(p) {
		return false
	}
	if m.BedShape == Round && p.Sub(bed.Centre()).Norm() > m.BedDiameterMM/2 {
		return false
	}
	for _, area := range m.KeepOut {
		if area.Contains(p) {
			return false
		}
	}
	return true
}

// ContainsBox reports whether the whole box lies on the bed and touches no
// area that is to be kept free. An empty box does.
func (m Machine) ContainsBox(b plane.Box) bool {
	if b.Empty() {
		return true
	}
	for _, corner := range []plane.Point{b.Min, b.Max, {X: b.Min.X, Y: b.Max.Y}, {X: b.Max.X, Y: b.Min.Y}} {
		if !m.Contains(corner) {
			return false
		}
	}
	for _, area := range m.KeepOut {
		if area.Intersects(b) {
			return false
		}
	}
	return true
}

// BeadLimits returns the machine's limits of a bead.
func (m Machine) BeadLimits() bead.Limits {
	return bead.Limits{MinWidthNozzles: m.MinWidthShare, MaxWidthNozzles: m.MaxWidthShare,
		MaxHeightNozzles: m.MaxHeightShare, MaxFlowMM3s: m.MaxFlowMM3s}
}

// MotionLimits returns the machine's limits of motion.
func (m Machine) MotionLimits() motion.Limits {
	l := motion.Limits{
		AccelMMs2: m.AccelMMs2, TravelAccelMMs2: m.TravelAccelMMs2, RetractAccelMMs2: m.RetractAccelMMs2,
		MaxSpeedMMs:  [4]float64{m.MaxSpeedXMMs, m.MaxSpeedYMMs, m.MaxSpeedZMMs, m.MaxSpeedEMMs},
		MaxAccelMMs2: [4]float64{m.MaxAccelXMMs2, m.MaxAccelYMMs2, m.MaxAccelZMMs2, m.MaxAccelEMMs2},
		Corner:       motion.ArcOfDeviation, DeviationMM: m.DeviationMM, JumpMMs: m.JumpMMs,
		CurveLimited: true,
	}
	switch m.CornerModel {
	case CornerJump:
		l.Corner = motion.JumpLimit
	case CornerStop:
		l.Corner = motion.FullStop
	}
	return l
}
