package job

import "sheenlay/engine/machine"

// Job is a job file after reading: every field holds a value within its
// limits, defaults filled in. Lengths mm, speeds mm/s, angles degrees, as the
// names say.
type Job struct {
	Sheenlay  int             `json:"sheenlay"`
	Piece     Piece           `json:"piece"`
	Art       Art             `json:"art"`
	Placement Placement       `json:"placement"`
	Keep      Keep            `json:"keep"`
	Layers    Layers          `json:"layers"`
	Bead      Bead            `json:"bead"`
	Prime     Prime           `json:"prime"`
	Join      Join            `json:"join"`
	Machine   machine.Machine `json:"machine"`
}

// Piece names the sliced file and what the person said about it.
type Piece struct {
	File      string            `json:"file"`
	SHA256    string            `json:"sha256"`
	FirstLine int               `json:"firstLine"`
	NextLine  int               `json:"nextLine"`
	Islands   []int             `json:"islands"`
	Classes   map[string]string `json:"classes"`
}

// Art is the picture: one of several sources, see Kind.
type Art struct {
	Kind            string             `json:"kind"`
	Generator       string             `json:"generator"`
	Params          map[string]float64 `json:"params"`
	Seed            uint64             `json:"seed"`
	Lays            map[string]float64 `json:"lays"`
	TurnLaysDeg     float64            `json:"turnLaysDeg"`
	Assign          string             `json:"assign"`
	SVG             string             `json:"svg"`
	Name            string             `json:"name"`
	MMPerUnit       float64            `json:"mmPerUnit"`
	JoinGaps        bool               `json:"joinGaps"`
	Strokes         bool               `json:"strokes"`
	Picture         string             `json:"picture"`
	PictureWidthMM  float64            `json:"pictureWidthMM"`
	Levels          int                `json:"levels"`
	LevelsBy        string             `json:"levelsBy"`
	FromDeg         float64            `json:"fromDeg"`
	ToDeg           float64            `json:"toDeg"`
	SmoothMM        float64            `json:"smoothMM"`
	Text            string             `json:"text"`
	CapHeightMM     float64            `json:"capHeightMM"`
	Font            string             `json:"font"`
	Align           string             `json:"align"`
	TextDeg         float64            `json:"textDeg"`
	GroundDeg       float64            `json:"groundDeg"`
	TrialAcross     string             `json:"trialAcross"`
	TrialAcrossFrom float64            `json:"trialAcrossFrom"`
	TrialAcrossTo   float64            `json:"trialAcrossTo"`
	TrialColumns    int                `json:"trialColumns"`
	TrialDown       string             `json:"trialDown"`
	TrialDownFrom   float64            `json:"trialDownFrom"`
	TrialDownTo     float64            `json:"trialDownTo"`
	TrialRows       int                `json:"trialRows"`
	TrialMarks      string             `json:"trialMarks"`
}

// Placement puts the pattern on the face; lengths from the footprint's centre.
type Placement struct {
	XMM           float64 `json:"xMM"`
	YMM           float64 `json:"yMM"`
	TurnDeg       float64 `json:"turnDeg"`
	Scale         float64 `json:"scale"`
	Mirror        bool    `json:"mirror"`
	ReadFromBelow bool    `json:"readFromBelow"`
}

// Keep says what of the sliced first layer stays.
type Keep struct {
	Around         bool    `json:"around"`
	Walls          int     `json:"walls"`
	OverlapPercent float64 `json:"overlapPercent"`
	MarginMM       float64 `json:"marginMM"`
}

// Layers says how many layers carry the pattern and how they differ.
type Layers struct {
	Count   int     `json:"count"`
	TurnDeg float64 `json:"turnDeg"`
	ShiftMM float64 `json:"shiftMM"`
}

// Bead is the line itself and its speeds.
type Bead struct {
	Source         string  `json:"source"`
	WidthMM        float64 `json:"widthMM"`
	HeightMM       float64 `json:"heightMM"`
	FlowPercent    float64 `json:"flowPercent"`
	MinWidthShare  float64 `json:"minWidthShare"`
	MaxWidthShare  float64 `json:"maxWidthShare"`
	SpeedMMs       float64 `json:"speedMMs"`
	StartSpeedMMs  float64 `json:"startSpeedMMs"`
	StartLengthMM  float64 `json:"startLengthMM"`
	TurnSpeedMMs   float64 `json:"turnSpeedMMs"`
	TravelSpeedMMs float64 `json:"travelSpeedMMs"`
	DensityGCM3    float64 `json:"densityGCM3"`
}

// Prime says how the nozzle is filled first.
type Prime struct {
	Source   string  `json:"source"`
	LengthMM float64 `json:"lengthMM"`
	GapMM    float64 `json:"gapMM"`
	Side     string  `json:"side"`
	Lead     string  `json:"lead"`
	WipeMM   float64 `json:"wipeMM"`
}

// Join says what stands between the pattern and the unchanged rest.
type Join struct {
	Pause      string  `json:"pause"`
	ParkXMM    float64 `json:"parkXMM"`
	ParkYMM    float64 `json:"parkYMM"`
	ParkLiftMM float64 `json:"parkLiftMM"`
	Arcs       bool    `json:"arcs"`
}
