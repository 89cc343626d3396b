// Package specimen makes sliced files whose truth is known: where each layer
// begins, what lies on the first one, which state the machine is in. Tests of
// the reader, the boundary finder, the footprint and the join draw their input
// from here, and so do the samples of the page.
//
// A specimen is a plausible file, not a copy of any program's output: comment
// texts have common shapes ("numbered from zero", "a pair before and after")
// with words of our own. The same Options always give the same bytes.
package specimen

import (
	"math"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// Retraction says how filament is pulled back before a travel.
type Retraction string

// The three ways of retracting.
const (
	RetractNone      Retraction = "none"
	RetractByE       Retraction = "by-e"       // G1 with a negative feed of E
	RetractByCommand Retraction = "by-command" // G10 and G11
)

// Place says where in the moves between two layers the layer marker stands.
type Place string

// The places of a marker, in file order.
const (
	BeforeRetract Place = "before-retract" // right after the last bead
	AfterRetract  Place = "after-retract"  // retracted, not lifted
	AfterLift     Place = "after-lift"     // lifted, still at the old place
	AfterTravel   Place = "after-travel"   // over the first bead, still retracted
	AfterPrime    Place = "after-prime"    // right before the first bead
)

// Labels says how objects are named within a layer.
type Labels string

// The ways of naming objects.
const (
	LabelsNone    Labels = "none"
	LabelsNumber  Labels = "number"  // M486 S…
	LabelsMacro   Labels = "macro"   // a command of words, unknown to most readers
	LabelsComment Labels = "comment" // a comment line
)

// Options says what to make. The zero value of a field means its default,
// which Filled names.
type Options struct {
	Name       string
	Shape      Shape         `json:"-"`
	At         plane.Point   // middle of the shape on the bed, mm
	Centred    bool          // the bed's origin is its middle, not a corner; it is 220 × 220 mm
	TurnDegree float64       // turn of the shape about its middle, degrees
	Layers     int           // layers of material, default 4
	Identical  int           // so many bottom layers are alike in height and path, default 1
	FirstMM    float64       // height of the first layer, default 0.2
	HeightMM   float64       // height of the others, default 0.2
	WidthMM    float64       // bead width, default 0.45
	FilamentMM float64       // filament diameter, default 1.75
	Walls      int           // wall loops, 0..3
	FillDegree float64       // direction of the solid fill, degrees
	NoFill     bool          // walls only
	Copies     []plane.Point // further objects: displacements from At, mm

	RelativeE    bool
	ResetE       bool // G92 E0 at every layer (absolute E only)
	Retract      Retraction
	RetractMM    float64 // default 0.8
	Wipe         bool    // the retraction is spread over a short move
	LiftMM       float64 // 0 = not lifted
	RunOn        bool    // layers do not end with a retraction
	Inch         bool
	Arcs         bool
	Numbered     bool // N words and checksums
	CRLF         bool
	LowerCase    bool
	NoBlanks     bool
	BOM          bool
	NoFinalEnd   bool // no newline after the last line
	RawBytes     bool // a comment that is not UTF-8
	PrimeLine    bool
	RelativeHead bool // relative moves in the start code
	Heated       bool // temperatures are set in the start code
	ToolCommand  bool

	Marker   Marker
	MarkerAt Place
	ZLate    bool // the layer's Z is reached after the travel, not before
	Types    Types
	Labels   Labels
	Skirt    bool
	Brim     int // loops
	Support  bool

	FanInLayer      bool
	HeatInLayer     bool
	AccelInLayer    bool
	ProgressInLayer bool
	UnknownInLayer  bool

	Decoys      bool // comments that speak of layers, or count, without marking any
	Sequential  bool // one object after another (with Copies)
	ToolInLayer bool // the tool changes within the first layer
	FullCircles bool // with Arcs: a circle is one arc instead of two

	PrintMMs  float64 // speed of the first layer, default 22
	TravelMMs float64 // default 120
	LinesOver int     // pad: so many comment lines before the start code
}

// Filled returns o with every default filled in.
func (o Options) Filled() Options {
	set := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	set(&o.FirstMM, 0.2)
	set(&o.HeightMM, 0.2)
	set(&o.WidthMM, 0.45)
	set(&o.FilamentMM, 1.75)
	set(&o.RetractMM, 0.8)
	set(&o.PrintMMs, 22)
	set(&o.TravelMMs, 120)
	if o.Layers == 0 {
		o.Layers = 4
	}
	if o.Identical == 0 {
		o.Identical = 1
	}
	if o.Retract == "" {
		o.Retract = RetractNone
	}
	if o.MarkerAt == "" {
		o.MarkerAt = BeforeRetract
	}
	if o.Labels == "" {
		o.Labels = LabelsNone
	}
	if len(o.Shape.Contours) == 0 {
		o.Shape = Rectangle(30, 20)
	}
	return o
}

// PitchMM returns the distance of neighbouring beads for which stadium-shaped
// sections leave no void: w − h(1 − π/4) (derived: area of a stadium over its
// height).
//
// Products are rounded one by one (float64 conversion) here and where points are
// made, so that the same options give the same bytes on every machine.
func PitchMM(widthMM, heightMM float64) float64 { return widthMM - float64(heightMM*(1-math.Pi/4)) }

// EPerMM returns the filament (mm) per mm of bead of stadium section:
// (h(w − h) + πh²/4) / (πd²/4) (derived).
func EPerMM(widthMM, heightMM, filamentMM float64) float64 {
	return (float64(heightMM*(widthMM-heightMM)) + math.Pi*heightMM*heightMM/4) / (math.Pi * filamentMM * filamentMM / 4)
}

// State is the machine as the file has left it.
type State struct {
	X, Y, Z       float64 // mm
	E             float64 // extruder register, mm
	FeedMMPerMin  float64
	RetractedMM   float64 // filament pulled back by E moves
	ByCommand     bool    // pulled back by G10
	RelativeE     bool
	Inch          bool
	Tool          int
	FanShare      float64 // 0..1
	NozzleC, BedC float64 // °C
}

// Cut is an interval of lines at which a layer may be said to begin: From is
// the first line after the last bead of what lies before (for the first layer
// also after the last command of the start code that is more than a move, a
// mode, or a reset of E), To the line that lays the layer's first bead. Any line start in
// [From, To] is right.
type Cut struct {
	FromLine, ToLine     int   // from 1
	FromOffset, ToOffset int64 // bytes, from 0, starts of those lines
	AtFrom, AtTo         State // before the line is carried out
	Z                    float64
}

// Truth is what is known of a specimen.
type Truth struct {
	Name          string
	Seed          uint64  `json:",omitempty"`
	Layers        []Cut   // in file order, the first layer first
	End           Cut     // From: after the last bead; To: end of the file
	FirstHeightMM float64 // Z at which the first layer is laid
	HeightMM      float64
	WidthMM       float64
	PitchMM       float64
	FilamentMM    float64
	EPerMM        float64
	Footprint     plane.Region     // of the piece (objects, no skirt, brim or support), exact
	Strokes       []deposit.Stroke `json:"-"` // first layer, file order, class certain
	ByClass       []ClassSum
	Commands      []string // non-motion commands of the first layer, in order, as written
	Refuse        string   `json:",omitempty"` // why no pattern can go on the first layer: "raft", "sequential", "tool change"
	NoMarkers     bool     // only Z tells the layers apart
	Bed           plane.Box
}

// ClassSum sums the strokes of one class on the first layer.
type ClassSum struct {
	Class      string
	Strokes    int
	LengthMM   float64
	FilamentMM float64
}

// Specimen is a sliced file and the truth about it.
type Specimen struct {
	Bytes   []byte
	Truth   Truth
	Options Options
}

// FirstFrom returns the offset of the earliest right cut of layer i, counted
// from 0.
func (t Truth) FirstFrom(i int) int64 { return t.Layers[i].FromOffset }

// Accepts reports whether offset is a right place to say that layer i begins.
// The offset must be the start of a line; that is the caller's matter.
func (t Truth) Accepts(i int, offset int64) bool {
	return i < len(t.Layers) && offset >= t.Layers[i].FromOffset && offset <= t.Layers[i].ToOffset
}
