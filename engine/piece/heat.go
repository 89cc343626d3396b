package piece

import (
	"slices"
	"strings"

	"sheenlay/engine/gcode"
)

// Heat is the hottest target that a file sets behind its first layer, and the
// line that first does; 0 °C where it sets none there.
type Heat struct {
	C      float64 `json:"c"`    // °C
	Line   int     `json:"line"` // from 1
	Offset int64   `json:"offset"`
	Quote  string  `json:"quote,omitempty"`
}

// longestQuote is how much of a line is shown.
const longestQuote = 80

// heating follows one target and the hottest it becomes.
type heating struct {
	now     float64
	hottest Heat
}

// follow takes the target in force after a line. One that was set before and is
// still in force is not that line's.
func (h *heating) follow(target float64, l *gcode.Line, isBehind bool) {
	if isBehind && target != h.now && target > h.hottest.C {
		raw := l.Raw[:min(len(l.Raw), longestQuote)]
		h.hottest = Heat{target, l.Number, l.Offset, strings.ToValidUTF8(strings.TrimSpace(string(raw)), "·")}
	}
	h.now = target
}

// feel follows the temperatures after a line.
func (s *Survey) feel(l *gcode.Line) {
	state, isBehind := s.interp.At(), l.Number >= s.behind
	s.nozzle.follow(slices.Max(state.Hotend[:]), l, isBehind)
	s.bed.follow(state.Bed, l, isBehind)
}
