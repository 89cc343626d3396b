package trial

import (
	"fmt"
	"math"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/machine"
)

// KeyTable is the printable key of a plate: what the page sets as a table.
type KeyTable struct {
	Title  string
	How    []string   // sentences: how to hold and read the plate
	Header []string   // "Patch", then the varied quantities
	Rows   [][]string // one for each patch, in reading order
}

// Key returns the key of the plate.
func (p Plate) Key() KeyTable {
	side := "from above"
	if p.FromBelow {
		side = "from below, on the finished face"
	}
	marks := map[Marks]string{Turned: "marks that shine differently", Cut: "marks cut into the face", Raised: "marks standing in the cut strip"}[p.Marks]
	k := KeyTable{
		Title: fmt.Sprintf("Trial plate, %d rows × %d columns", p.Rows, p.Columns),
		How: []string{
			"Look at the plate " + side + ", the square mark at the upper left.",
			"Rows A, B, C … run downwards and columns 1, 2, 3 … to the right; their numbers stand as " + marks + ", a long one counting five.",
		},
		Header: []string{"Patch"},
	}
	if len(p.Patches) == 0 {
		return k
	}
	seen := false
	for _, v := range p.Patches[0].Values {
		k.Header = append(k.Header, fmt.Sprintf("%s (%s)", v.Label, v.Unit))
		seen = seen || v.Quantity == Lay
	}
	if seen && p.FromBelow {
		k.Header = append(k.Header, "Seen on the face (deg)")
	}
	for _, patch := range p.Patches {
		row := []string{patch.Name}
		angle := 0.0
		for _, v := range patch.Values {
			row = append(row, finding.Figure(v.Value))
			if v.Quantity == Lay {
				angle = v.Value
			}
		}
		if seen && p.FromBelow {
			row = append(row, finding.Figure(seenFromBelow(angle)))
		}
		k.Rows = append(k.Rows, row)
	}
	return k
}

// seenFromBelow returns the lay angle (degrees, 0 ≤ a < 180) under which a lay
// of the bed frame appears when the face is turned over left to right.
func seenFromBelow(degrees float64) float64 {
	a := math.Mod(180-degrees, 180)
	if a < 0 {
		a += 180
	}
	return tidy(a)
}

// Use returns the values of the patch of this name ("B3", also "b3"), to be
// written into the job. An unknown name is refused with those there are.
func (p Plate) Use(name string) ([]Value, *finding.Finding) {
	for _, patch := range p.Patches {
		if strings.EqualFold(patch.Name, strings.TrimSpace(name)) {
			return append([]Value(nil), patch.Values...), nil
		}
	}
	f := finding.Finding{Code: "trial-no-patch", Level: finding.Stop,
		Text:   fmt.Sprintf("The plate has no patch %q.", name),
		Remedy: "Lay out a trial plate first.", Place: &finding.Place{Element: "trial.use"}}
	if n := len(p.Patches); n > 0 {
		f.Remedy = fmt.Sprintf("Choose one from %s to %s.", p.Patches[0].Name, p.Patches[n-1].Name)
	}
	return nil, &f
}

// IntoPreset returns the preset with the values written into it. What a
// machine has no field for (a lay angle) is left to the job. The result is
// validated; with a Stop the preset comes back as it was.
func IntoPreset(m machine.Machine, values []Value) (machine.Machine, finding.List) {
	changed := m
	for _, v := range values {
		switch v.PresetField {
		case "firstWidthMM":
			changed.FirstWidthMM = v.Value
		case "flowPercent":
			changed.FlowPercent = v.Value
		case "speedMMs":
			changed.SpeedMMs = v.Value
		}
	}
	found := changed.Validate()
	if found.Worst() == finding.Stop {
		return m, found
	}
	return changed, found
}
