package protocol

import (
	"sheenlay/engine/bead"
	"sheenlay/engine/making"
)

// Figure is one number of a report: its place in "figures", what a person
// calls it, its unit, and what it says. The report is written from this table.
type Figure struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Unit  string `json:"unit,omitempty"` // "mm", "mm²", "share" (0 to 1), …; "" for counts and factors
	Doc   string `json:"doc"`

	proved bool // stands only in the report of a finished file
	of     func(m *making.Made, l *making.Layer) any
}

// Figures returns every figure that a report can hold, in the order in which
// they are read best.
func Figures() []Figure {
	type (
		made  = *making.Made
		layer = *making.Layer
	)
	return []Figure{
		{"lengthMM", "Length of the pattern", "mm", "Length of all beads of the pattern on the first layer.", false, func(_ made, l layer) any { return l.Stats.LengthMM }},
		{"strands", "Unbroken lines", "", "Number of beads laid without a travel; one for each island at best.", false, func(_ made, l layer) any { return len(l.Strands) }},
		{"travels", "Travels within islands", "", "Breaks of the bead within an island.", false, func(_ made, l layer) any { return l.Stats.Travels }},
		{"crossings", "Crossings", "", "Places where bead would be laid over bead.", false, func(_ made, l layer) any { return l.Stats.Crossings }},
		{"zones", "Zones", "", "Zones of the pattern that hold bead.", false, func(_ made, l layer) any { return l.Stats.Zones }},
		{"bridges", "Bridges", "", "Places where two loops of the bead were made one.", false, func(_ made, l layer) any { return l.Stats.Bridges }},
		{"areaMM2", "Area of the face", "mm²", "Area that the pattern has to cover on the first layer.", false, func(_ made, l layer) any { return l.Face.Area() }},
		{"leftOutMM2", "Left out", "mm²", "Area of parts too narrow for a bead.", false, func(_ made, l layer) any { return l.Stats.LeftOutMM2 }},
		{"layWithin1Deg", "Along its lay", "share", "Share of the length that runs within 1° of its zone's lay, links included; fields are left out.", false, func(_ made, l layer) any { return l.Stats.ShareOfLayWithin1Deg }},
		{"widthMM", "Line width", "mm", "Width of one line and distance of neighbouring lines.", false, func(m made, _ layer) any { return m.Line.WidthMM }},
		{"heightMM", "Layer height", "mm", "Height of the first layer, from the sliced file.", false, func(m made, _ layer) any { return m.Line.HeightMM }},
		{"ePerMM", "Filament for each mm", "mm/mm", "Filament fed for each mm of a line of that width, before the balance.", false, func(m made, _ layer) any { return m.Line.EPerMM }},
		{"flowMM3s", "Flow of material", "mm³/s", "Plastic melted each second at the pattern's speed.", false, func(m made, _ layer) any { return m.Line.FlowMM3s }},
		{"layers", "Layers with the pattern", "", "Number of layers that are replaced.", false, func(m made, _ layer) any { return len(m.Layers) }},

		{"coveredShare", "Covered", "share", "Share of the face under bead.", true, func(m made, _ layer) any { return m.Coverage.Covered.Percent / 100 }},
		{"doubleShare", "Laid twice", "share", "Share of the face under two beads or more.", true, func(m made, _ layer) any { return m.Coverage.Double.Percent / 100 }},
		{"spilledShare", "Spilled", "share", "Bead outside the footprint, as a share of the face.", true, func(m made, _ layer) any { return m.Coverage.Spilled.Percent / 100 }},
		{"gapShare", "Open gaps", "share", "Share of the face farther from bead than a squeeze closes.", true, func(m made, _ layer) any { return m.Coverage.Open.Percent / 100 }},
		{"coveredMM2", "Covered area", "mm²", "Area of the face under bead.", true, func(m made, _ layer) any { return m.Coverage.Covered.MM2 }},
		{"doubleMM2", "Area laid twice", "mm²", "Area of the face under two beads or more.", true, func(m made, _ layer) any { return m.Coverage.Double.MM2 }},
		{"spilledMM2", "Area spilled", "mm²", "Area of bead outside the footprint.", true, func(m made, _ layer) any { return m.Coverage.Spilled.MM2 }},
		{"gapMM2", "Area of open gaps", "mm²", "Area farther from bead than a squeeze closes.", true, func(m made, _ layer) any { return m.Coverage.Open.MM2 }},
		{"balance", "Balance", "", "Factor on the filament of the first layer that makes what is laid fill what is covered: where beads meet they share their room. Between 0.9 and 1.1, with a finding beyond 3 %; 1 where single lines do not make a solid layer.", true, func(_ made, l layer) any { return l.Balance }},
		{"eMM", "Filament", "mm", "Filament that the new layers feed, prime line and kept strokes included.", true, func(m made, _ layer) any { return m.Join.Figures.EMM }},
		{"oldEMM", "Filament before", "mm", "Filament that the replaced layers fed.", true, func(m made, _ layer) any { return m.Times.OldFilamentMM }},
		{"massG", "Mass", "g", "Mass of the new layers' filament at the density given.", true, func(m made, _ layer) any {
			return bead.Mass(m.Join.Figures.EMM, m.Line.Feed.FilamentDiameterMM, m.Job.Bead.DensityGCM3)
		}},
		{"timeS", "Time", "s", "Predicted time of the new layers.", true, func(m made, _ layer) any { return m.Times.NewS }},
		{"oldTimeS", "Time before", "s", "Predicted time of the replaced layers.", true, func(m made, _ layer) any { return m.Times.OldS }},
		{"blockLines", "New lines of text", "", "Lines of G-code that are new.", true, func(m made, _ layer) any { return m.Join.Figures.Lines }},
		{"arcs", "Arcs", "", "New lines that are arcs, where the job asks for them; each stands for four straight ones or more.", true, func(m made, _ layer) any { return m.Join.Figures.Arcs }},
		{"joinLine", "Joins at line", "", "Line of the finished file at which the new bytes begin.", true, func(m made, _ layer) any { return m.Join.JoinLine }},
		{"tailLine", "Tail from line", "", "Line of the finished file from which it is the sliced file again.", true, func(m made, _ layer) any { return m.Join.TailLine }},
		{"peakFlowMM3s", "Peak flow", "mm³/s", "Largest flow of material that the proof met in the new bytes.", true, func(m made, _ layer) any { return m.Proof.PeakFlowMM3s }},
		{"pieceEPerMM", "The piece's filament for each mm", "mm/mm", "Mean filament for each mm of the replaced layers, from the file.", true, func(m made, _ layer) any { return m.Proof.PieceEPerMM }},
		{"newEPerMM", "New filament for each mm", "mm/mm", "Mean filament for each mm of the new layers, from the finished file.", true, func(m made, _ layer) any { return m.Proof.NewEPerMM }},
		{"travelMM", "Length of travels", "mm", "Way without material in the new layers.", true, func(m made, _ layer) any { return m.Join.Figures.TravelMM }},
		{"allTravels", "Travels", "", "Moves without material in the new layers, between kept strokes, prime line and islands too.", true, func(m made, _ layer) any { return m.Join.Figures.Travels }},
		{"liftedTravels", "Lifted travels", "", "Those that are retracted and lifted.", true, func(m made, _ layer) any { return m.Join.Figures.Lifted }},
	}
}

// figures writes the numbers of a report.
func figures(m *making.Made) map[string]any {
	out := map[string]any{}
	for _, f := range Figures() {
		if !f.proved || len(m.Block) > 0 {
			out[f.Name] = f.of(m, &m.Layers[0])
		}
	}
	return out
}
