package machine

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"sheenlay/engine/finding"
)

// Validate refuses, field by field and with the permitted range, every value
// outside the table, and then every pair of values that contradict each other.
// Nothing is clamped. The default machine and all presets pass.
func (m Machine) Validate() finding.List {
	var found finding.List
	for _, f := range Fields() {
		switch f.Kind {
		case Number:
			if p, out := finding.OutOfRange("machine-range", "machine."+f.Name, f.Label, *f.number(&m), f.Min, f.Max, f.Unit); out {
				found.Add(p)
			}
		case Choice:
			if !f.allows(*f.word(&m)) {
				found.Add(badWord(f, *f.word(&m)))
			}
		}
	}
	m.validateName(&found)
	m.validateKeepOut(&found)
	if len(found) == 0 {
		m.validatePairs(&found)
	}
	return found
}

func (f Field) allows(word string) bool {
	for _, c := range f.Choices {
		if c.Value == word {
			return true
		}
	}
	return false
}

func badWord(f Field, word string) finding.Finding {
	var words []string
	for _, c := range f.Choices {
		words = append(words, fmt.Sprintf("%q", c.Value))
	}
	list := strings.Join(words, ", ")
	return finding.Finding{
		Code: "machine-choice", Level: finding.Stop,
		Text:   fmt.Sprintf("%s is %q; permitted is one of %s.", f.Label, shorten(word), list),
		Remedy: "Choose one of " + list + ".",
		Place:  &finding.Place{Element: "machine." + f.Name},
	}
}

// shorten keeps a word of a file readable in a sentence: at most 40
// characters, no control characters.
func shorten(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == utf8.RuneError {
			return '·'
		}
		return r
	}, s)
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

func (m Machine) validateName(found *finding.List) {
	stop := func(text string) {
		found.Add(finding.Finding{Code: "machine-name", Level: finding.Stop, Text: text,
			Remedy: fmt.Sprintf("Give a name of at most %d characters.", longestName),
			Place:  &finding.Place{Element: "machine.name"}})
	}
	switch {
	case !utf8.ValidString(m.Name) || strings.ContainsFunc(m.Name, unicode.IsControl):
		stop("The name has characters that cannot be shown.")
	case utf8.RuneCountInString(m.Name) > longestName:
		stop(fmt.Sprintf("The name has %d characters; permitted are %d.", utf8.RuneCountInString(m.Name), longestName))
	}
}

func (m Machine) validateKeepOut(found *finding.List) {
	place := &finding.Place{Element: "machine.keepOut"}
	if len(m.KeepOut) > mostKeepOuts {
		found.Add(finding.Finding{Code: "machine-keep-out", Level: finding.Stop, Place: place,
			Text:   fmt.Sprintf("There are %d areas to keep free; permitted are %d.", len(m.KeepOut), mostKeepOuts),
			Remedy: "Join areas into larger ones."})
		return
	}
	const farthest = 4000 // mm, farther than any permitted bed reaches
	for i, b := range m.KeepOut {
		usable := true
		for _, v := range []float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y} {
			usable = usable && math.Abs(v) <= farthest
		}
		if !usable || b.Empty() {
			found.Add(finding.Finding{Code: "machine-keep-out", Level: finding.Stop, Place: place,
				Text:   fmt.Sprintf("Area %d to keep free is not a rectangle on any bed.", i+1),
				Remedy: fmt.Sprintf("Give [xMin, yMin, xMax, yMax] with xMin ≤ xMax and yMin ≤ yMax, each from -%d to %d mm.", farthest, farthest)})
		}
	}
}

// validatePairs looks at values that are possible each but not together.
func (m Machine) validatePairs(found *finding.List) {
	within := func(name, what string, value, low, high float64, unit string) {
		if p, out := finding.OutOfRange("machine-pair", "machine."+name, what, value, low, high, unit); out {
			found.Add(p)
		}
	}
	forNozzle := fmt.Sprintf(", for a %s mm nozzle,", finding.Figure(m.NozzleMM))
	within("firstHeightMM", "First layer height"+forNozzle, m.FirstHeightMM, 0.04, m.MaxHeightShare*m.NozzleMM, "mm")
	within("firstWidthMM", "First layer line width"+forNozzle, m.FirstWidthMM, m.MinWidthShare*m.NozzleMM, m.MaxWidthShare*m.NozzleMM, "mm")
	within("coldLimitC", "Coldest nozzle, below the hottest one,", m.ColdLimitC, 0, m.MaxNozzleC-1, "°C")
	flow := m.FirstWidthMM * m.FirstHeightMM * m.FlowPercent / 100 * m.SpeedMMs
	if flow > m.MaxFlowMM3s {
		found.Add(finding.Finding{
			Code: "machine-pair", Level: finding.Stop, Place: &finding.Place{Element: "machine.speedMMs"},
			Text: fmt.Sprintf("First layer width, height, flow and speed together take %s mm³/s; permitted is up to %s mm³/s.",
				finding.Figure(flow), finding.Figure(m.MaxFlowMM3s)),
			Remedy: "Lower the speed, or raise the largest volume flow if your hot end melts that much.",
			Value:  flow, Unit: "mm³/s",
		})
	}
	bed := m.Bed()
	for _, area := range m.KeepOut {
		if area.Contains(bed.Min) && area.Contains(bed.Max) {
			found.Add(finding.Finding{Code: "machine-pair", Level: finding.Stop, Place: &finding.Place{Element: "machine.keepOut"},
				Text: "An area to keep free covers the whole bed.", Remedy: "Remove or shrink it."})
		}
	}
}
