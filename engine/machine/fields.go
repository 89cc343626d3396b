package machine

// Kind says what a field holds.
type Kind string

// The kinds of fields.
const (
	Number Kind = "number" // a JSON number from Min to Max
	Choice Kind = "choice" // one of Choices
	Text   Kind = "text"   // a string of at most Max characters
	Areas  Kind = "areas"  // a list of at most Max rectangles, see Boxes
)

// Option is one value of a Choice with the words a person reads.
type Option struct {
	Value string `json:"value"`
	Label string `json:"label"`
}

// Field describes one field of a Machine.
type Field struct {
	Name        string   `json:"name"`              // as in JSON
	Label       string   `json:"label"`             // "Nozzle"
	Unit        string   `json:"unit,omitempty"`    // "mm", "mm/s", "mm/s²", "mm³/s", "%", "nozzles", "°C"
	Kind        Kind     `json:"kind"`              //
	Default     float64  `json:"default,omitempty"` // of a Number
	DefaultWord string   `json:"defaultWord,omitempty"`
	Min         float64  `json:"min"`                // of a Number
	Max         float64  `json:"max"`                // of a Number; longest Text; most Areas
	Step        float64  `json:"step,omitempty"`     // one press of an arrow key
	Choices     []Option `json:"choices,omitempty"`  //
	StartsAs    string   `json:"startsAs,omitempty"` // job field that takes this value when the preset is chosen
	Read        bool     `json:"read,omitempty"`     // may be prefilled from a sliced file
	Doc         string   `json:"doc"`                // one sentence

	// Former are words of a Choice that older files hold, with the word of now.
	// They are read and never written.
	Former map[string]string `json:"-"`

	number func(*Machine) *float64
	word   func(*Machine) *string
}

func (f Field) read() Field { f.Read = true; return f }
func (f Field) formerly(old, now string) Field {
	f.Former = map[string]string{old: now}
	return f
}

// Current returns the word of now for a word that older files may hold, and any
// other as it is.
func (f Field) Current(word string) string {
	if now, ok := f.Former[word]; ok {
		return now
	}
	return word
}

func (f Field) startsAs(job string) Field { f.StartsAs = job; return f }

// number describes a field of kind Number.
func number(name, label, unit string, def, low, high, step float64, at func(*Machine) *float64, doc string) Field {
	return Field{Name: name, Label: label, Unit: unit, Kind: Number, Default: def, Min: low, Max: high, Step: step, number: at, Doc: doc}
}

// choice describes a field of kind Choice; the first option is the default.
func choice(name, label string, at func(*Machine) *string, doc string, options ...Option) Field {
	return Field{Name: name, Label: label, Kind: Choice, DefaultWord: options[0].Value, Choices: options, word: at, Doc: doc}
}

const (
	longestName  = 80
	mostKeepOuts = 16
)

// Fields returns the table of all fields in the order in which a preset lists
// them. Ranges are those within which a number is possible on some machine;
// what also depends on another field is checked by Machine.Validate. Defaults
// are common practice, no published source.
func Fields() []Field {
	var all []Field
	all = append(all, bedFields()...)
	all = append(all, lineFields()...)
	all = append(all, motionFields()...)
	return append(all, feedFields()...)
}

func bedFields() []Field {
	return []Field{
		{Name: "name", Label: "Name", Kind: Text, Max: longestName, word: func(m *Machine) *string { return &m.Name },
			Doc: "What you call this machine."},
		choice("bedShape", "Bed", func(m *Machine) *string { return &m.BedShape }, "Shape of the bed.",
			Option{Rect, "Rectangular"}, Option{Round, "Round"}).read(),
		number("bedWidthMM", "Bed width", "mm", 220, 20, 2000, 1, func(m *Machine) *float64 { return &m.BedWidthMM },
			"Size of a rectangular bed along X.").read(),
		number("bedDepthMM", "Bed depth", "mm", 220, 20, 2000, 1, func(m *Machine) *float64 { return &m.BedDepthMM },
			"Size of a rectangular bed along Y.").read(),
		number("bedDiameterMM", "Bed diameter", "mm", 240, 20, 2000, 1, func(m *Machine) *float64 { return &m.BedDiameterMM },
			"Size of a round bed.").read(),
		number("bedHeightMM", "Height", "mm", 250, 10, 2000, 1, func(m *Machine) *float64 { return &m.BedHeightMM },
			"Highest Z the machine reaches.").read(),
		choice("origin", "Origin", func(m *Machine) *string { return &m.Origin }, "Place on the bed where X and Y are zero.",
			Option{Corner, "Front left corner"}, Option{Centre, "Centre"}).read(),
		number("originXMM", "Corner or centre at X", "mm", 0, -500, 500, 1, func(m *Machine) *float64 { return &m.OriginXMM },
			"X of the bed's corner (or centre), where it is not zero.").read(),
		number("originYMM", "Corner or centre at Y", "mm", 0, -500, 500, 1, func(m *Machine) *float64 { return &m.OriginYMM },
			"Y of the bed's corner (or centre), where it is not zero.").read(),
		{Name: "keepOut", Label: "Areas to keep free", Unit: "mm", Kind: Areas, Max: mostKeepOuts,
			Doc: "Rectangles of the bed where nothing may be laid or crossed (clips, a wiper): [xMin, yMin, xMax, yMax]."},
	}
}

func lineFields() []Field {
	return []Field{
		number("nozzleMM", "Nozzle", "mm", 0.4, 0.1, 2, 0.05, func(m *Machine) *float64 { return &m.NozzleMM },
			"Width of the nozzle's opening.").read(),
		number("filamentDiameterMM", "Filament", "mm", 1.75, 1, 4, 0.01, func(m *Machine) *float64 { return &m.FilamentDiameterMM },
			"Diameter of the filament as the sliced file counts it.").read(),
		number("firstHeightMM", "First layer height", "mm", 0.2, 0.04, 1.5, 0.01, func(m *Machine) *float64 { return &m.FirstHeightMM },
			"Usual height of the first layer.").startsAs("bead.heightMM"),
		number("firstWidthMM", "First layer line width", "mm", 0.42, 0.1, 3, 0.01, func(m *Machine) *float64 { return &m.FirstWidthMM },
			"Usual width and distance of the lines of the first layer.").startsAs("bead.widthMM"),
		number("minWidthShare", "Narrowest line", "nozzles", 0.6, 0.5, 1, 0.05, func(m *Machine) *float64 { return &m.MinWidthShare },
			"Narrowest line this nozzle lays well.").startsAs("bead.minWidthShare"),
		number("maxWidthShare", "Widest line", "nozzles", 2, 1, 3, 0.05, func(m *Machine) *float64 { return &m.MaxWidthShare },
			"Widest line this nozzle lays well.").startsAs("bead.maxWidthShare"),
		number("maxHeightShare", "Highest layer", "nozzles", 0.8, 0.3, 0.8, 0.05, func(m *Machine) *float64 { return &m.MaxHeightShare },
			"Highest layer in nozzle widths; above 0.8 a bead no longer sticks."),
		number("flowPercent", "Flow", "%", 100, 50, 200, 1, func(m *Machine) *float64 { return &m.FlowPercent },
			"Usual factor on the amount of material.").startsAs("bead.flowPercent"),
		number("speedMMs", "Speed", "mm/s", 20, 1, 500, 1, func(m *Machine) *float64 { return &m.SpeedMMs },
			"Usual speed of the first layer.").startsAs("bead.speedMMs"),
		number("startSpeedMMs", "Speed of the start", "mm/s", 12, 1, 500, 1, func(m *Machine) *float64 { return &m.StartSpeedMMs },
			"Usual speed at the beginning of the bead, where it must catch the plate.").startsAs("bead.startSpeedMMs"),
		number("startLengthMM", "Length of the slow start", "mm", 300, 0, 20000, 50, func(m *Machine) *float64 { return &m.StartLengthMM },
			"How long the slow start lasts.").startsAs("bead.startLengthMM"),
		number("turnSpeedMMs", "Speed in small turns", "mm/s", 15, 1, 500, 1, func(m *Machine) *float64 { return &m.TurnSpeedMMs },
			"Usual speed where the bead bends tightly.").startsAs("bead.turnSpeedMMs"),
		number("travelSpeedMMs", "Travel speed", "mm/s", 120, 5, 1000, 5, func(m *Machine) *float64 { return &m.TravelSpeedMMs },
			"Speed of moves without material.").startsAs("bead.travelSpeedMMs"),
	}
}

func motionFields() []Field {
	const perAxis = " 0 for no limit of its own."
	return []Field{
		number("accelMMs2", "Acceleration", "mm/s²", 1000, 10, 100000, 50, func(m *Machine) *float64 { return &m.AccelMMs2 },
			"Acceleration of moves that lay material; for the time estimate.").read(),
		number("travelAccelMMs2", "Acceleration of travels", "mm/s²", 1000, 10, 100000, 50, func(m *Machine) *float64 { return &m.TravelAccelMMs2 },
			"Acceleration of moves without material; for the time estimate.").read(),
		number("retractAccelMMs2", "Acceleration of retractions", "mm/s²", 1000, 10, 100000, 50, func(m *Machine) *float64 { return &m.RetractAccelMMs2 },
			"Acceleration of the filament alone; for the time estimate.").read(),
		number("maxSpeedXMMs", "Fastest X", "mm/s", 300, 0, 2000, 5, func(m *Machine) *float64 { return &m.MaxSpeedXMMs }, "Largest speed of X."+perAxis).read(),
		number("maxSpeedYMMs", "Fastest Y", "mm/s", 300, 0, 2000, 5, func(m *Machine) *float64 { return &m.MaxSpeedYMMs }, "Largest speed of Y."+perAxis).read(),
		number("maxSpeedZMMs", "Fastest Z", "mm/s", 10, 0, 2000, 1, func(m *Machine) *float64 { return &m.MaxSpeedZMMs }, "Largest speed of Z."+perAxis).read(),
		number("maxSpeedEMMs", "Fastest filament", "mm/s", 80, 0, 2000, 1, func(m *Machine) *float64 { return &m.MaxSpeedEMMs }, "Largest speed of the filament."+perAxis).read(),
		number("maxAccelXMMs2", "Acceleration of X", "mm/s²", 3000, 0, 100000, 50, func(m *Machine) *float64 { return &m.MaxAccelXMMs2 }, "Largest acceleration of X."+perAxis).read(),
		number("maxAccelYMMs2", "Acceleration of Y", "mm/s²", 3000, 0, 100000, 50, func(m *Machine) *float64 { return &m.MaxAccelYMMs2 }, "Largest acceleration of Y."+perAxis).read(),
		number("maxAccelZMMs2", "Acceleration of Z", "mm/s²", 200, 0, 100000, 10, func(m *Machine) *float64 { return &m.MaxAccelZMMs2 }, "Largest acceleration of Z."+perAxis).read(),
		number("maxAccelEMMs2", "Acceleration of the filament", "mm/s²", 5000, 0, 100000, 50, func(m *Machine) *float64 { return &m.MaxAccelEMMs2 }, "Largest acceleration of the filament."+perAxis).read(),
		choice("cornerModel", "Corners", func(m *Machine) *string { return &m.CornerModel }, "How the machine decides its speed at a corner; for the time estimate.",
			Option{CornerArc, "Arc within a deviation"}, Option{CornerJump, "Jump of speed"}, Option{CornerStop, "Full stop"}),
		number("deviationMM", "Deviation at corners", "mm", 0.05, 0.001, 1, 0.01, func(m *Machine) *float64 { return &m.DeviationMM },
			"How far the arc in thought may cut a corner.").read(),
		number("jumpMMs", "Jump at corners", "mm/s", 8, 0.1, 100, 0.5, func(m *Machine) *float64 { return &m.JumpMMs },
			"Sudden change of velocity the machine permits.").read(),
		number("maxFlowMM3s", "Largest volume flow", "mm³/s", 10, 0.5, 60, 0.5, func(m *Machine) *float64 { return &m.MaxFlowMM3s },
			"Plastic the hot end melts each second."),
		number("smallestStepMM", "Smallest step", "mm", 0.05, 0.005, 0.25, 0.005, func(m *Machine) *float64 { return &m.SmallestStepMM },
			"Shortest line segment written; shorter ones are merged."),
	}
}

func feedFields() []Field {
	return []Field{
		choice("eMode", "Filament positions", func(m *Machine) *string { return &m.EMode }, "Whether E words count from the start or from the move before, where the file does not say.",
			Option{Absolute, "Absolute"}, Option{Relative, "Relative"}).read(),
		// Until there was a word for the file's own way, "e" was the default and
		// stood for it.
		choice("retractBy", "Retraction", func(m *Machine) *string { return &m.RetractBy }, "How the filament is drawn back before a travel.",
			Option{AsFile, "As in the sliced file"}, Option{ByE, "Move of the filament"}, Option{ByCommand, "Command (G10 and G11)"}, Option{Never, "None"}).formerly("e", AsFile),
		number("retractMM", "Length of retraction", "mm", 1, 0, 20, 0.1, func(m *Machine) *float64 { return &m.RetractMM },
			"Filament drawn back before a travel.").read(),
		number("retractSpeedMMs", "Speed of retraction", "mm/s", 35, 1, 200, 1, func(m *Machine) *float64 { return &m.RetractSpeedMMs },
			"Speed at which the filament is drawn back and returned.").read(),
		number("liftMM", "Lift", "mm", 0.2, 0, 10, 0.1, func(m *Machine) *float64 { return &m.LiftMM },
			"How far the nozzle rises for a travel.").read(),
		number("coldLimitC", "Coldest nozzle", "°C", 170, 0, 300, 5, func(m *Machine) *float64 { return &m.ColdLimitC },
			"Below this nozzle temperature nothing may be fed."),
		number("maxNozzleC", "Hottest nozzle", "°C", 300, 150, 350, 5, func(m *Machine) *float64 { return &m.MaxNozzleC },
			"Above this nozzle temperature a file is refused."),
		number("maxBedC", "Hottest bed", "°C", 120, 0, 150, 5, func(m *Machine) *float64 { return &m.MaxBedC },
			"Above this bed temperature a file is refused."),
	}
}

// Default returns the machine of all defaults, without a name.
func Default() Machine {
	var m Machine
	for _, f := range Fields() {
		switch f.Kind {
		case Number:
			*f.number(&m) = f.Default
		case Choice:
			*f.word(&m) = f.DefaultWord
		}
	}
	return m
}

// Presets returns the typical machines, by size and origin.
func Presets() []Machine {
	var out []Machine
	add := func(name string, change func(*Machine)) {
		m := Default()
		m.Name = name
		change(&m)
		out = append(out, m)
	}
	corner := func(w, d, h float64) func(*Machine) {
		return func(m *Machine) { m.BedWidthMM, m.BedDepthMM, m.BedHeightMM = w, d, h }
	}
	round := func(diameter, h float64) func(*Machine) {
		return func(m *Machine) {
			m.BedShape, m.Origin, m.BedDiameterMM, m.BedHeightMM = Round, Centre, diameter, h
			m.BedWidthMM, m.BedDepthMM = diameter, diameter
		}
	}
	add("180 × 180, corner origin", corner(180, 180, 180))
	add("220 × 220, corner origin", corner(220, 220, 250))
	add("235 × 235, corner origin", corner(235, 235, 250))
	add("250 × 210, corner origin", corner(250, 210, 210))
	add("256 × 256, corner origin", corner(256, 256, 256))
	add("300 × 300, corner origin", corner(300, 300, 300))
	add("350 × 350, corner origin", corner(350, 350, 350))
	add("400 × 400, corner origin", corner(400, 400, 400))
	add("220 × 220, centre origin", func(m *Machine) { m.Origin = Centre })
	add("300 × 300, centre origin", func(m *Machine) { corner(300, 300, 300)(m); m.Origin = Centre })
	add("round 180, centre origin", round(180, 250))
	add("round 240, centre origin", round(240, 300))
	add("round 300, centre origin", round(300, 400))
	return out
}
