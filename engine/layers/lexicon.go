package layers

import (
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// The words are the trade's, in the languages that sliced files are written
// in; common practice, no published source.
var (
	// layerWords name a layer.
	layerWords = []string{
		"layer", "layers", "schicht", "lage", "ebene", "couche", "capa", "strato", "camada", "warstwa", "vrstva",
		"lag", "laag", "skikt", "kerros", "reteg", "strat", "katman", "sloj", "слой", "слоя", "шар",
		"层", "層", "レイヤー", "레이어",
	}
	// changeWords say that something goes over to the next. They support a
	// layer word and count a little by themselves.
	changeWords = []string{
		"change", "next", "new", "begin", "start", "wechsel", "neue", "changement", "nouvelle", "cambio",
		"nueva", "nuova", "mudanca", "zmiana", "zmena", "ny", "volgende", "z", "height", "hohe", "höhe", "level",
		"смена", "次",
	}
	// endWords say that a layer ends there: the next one starts after the line.
	endWords = []string{
		"end", "ended", "finished", "done", "complete", "ende", "fertig", "fin", "fine", "fim", "final",
		"koniec", "konec", "slut", "einde", "конец", "结束", "結束", "終了",
	}
	// labelWords name what a stroke is for, or measure the print: lines that
	// come once per layer too, but do not bound it.
	labelWords = []string{
		"type", "feature", "wall", "perimeter", "infill", "fill", "skin", "support", "skirt", "brim", "travel",
		"object", "mesh", "printing", "tool", "time", "elapsed", "remaining", "width", "speed", "temperature",
		"part", "fan", "wipe", "retract", "count", "total", "usage", "flow", "bridge", "seam",
	}
	// raftWords name a raft.
	raftWords = []string{"raft", "floss", "radeau", "balsa", "zattera", "jangada", "tratwa", "vlot"}
)

// slack returns how many letters may be wrong in a word of n letters: one from
// four letters on, a fifth of the length for long words. Reason: over 80 % of
// single-word errors are one wrong, missing or added letter, or two swapped
// (Damerau 1964, from memory). Shorter words must match.
func slack(n int) int {
	if n < 4 {
		return 0
	}
	return max(1, n/5)
}

// match returns how well a word fits a list: 1 for a word of the list or a
// compound that opens or closes with one, 0.8 for one with a slip, else 0.
func match(word string, list []string) float64 {
	n := utf8.RuneCountInString(word)
	best := 0.0
	for _, w := range list {
		m := utf8.RuneCountInString(w)
		switch {
		case word == w:
			return 1
		case m >= 5 && n > m && (strings.HasPrefix(word, w) || strings.HasSuffix(word, w)),
			m == 1 && isIdeograph([]rune(w)[0]) && strings.Contains(word, w):
			best = 1
		case best < 0.8 && m >= 4 && n >= 4 && near(word, w, slack(m)):
			best = 0.8
		}
	}
	return best
}

// near reports whether two words differ by at most the given number of edits,
// two swapped neighbours counting as one.
func near(a, b string, edits int) bool {
	d := levenshtein.ComputeDistance(a, b)
	return d <= edits || d == edits+1 && swapped(a, b)
}

// swapped reports whether one exchange of neighbouring letters makes a from b.
func swapped(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) != len(y) {
		return false
	}
	for i := range x {
		if x[i] != y[i] {
			return i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && string(x[i+2:]) == string(y[i+2:])
		}
	}
	return false
}

// meaning is what the words of a text say, each from 0 to 1.
type meaning struct{ layer, change, end, label, raft float64 }

func meaningOf(key string) meaning {
	var m meaning
	for _, word := range strings.Fields(key) {
		if word == "#" {
			continue
		}
		m.layer = max(m.layer, match(word, layerWords))
		m.change = max(m.change, match(word, changeWords))
		m.end = max(m.end, match(word, endWords))
		if match(word, labelWords) == 1 {
			m.label = 1
		}
		m.raft = max(m.raft, match(word, raftWords))
	}
	return m
}
