//go:build !js

package join_test

import (
	"fmt"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/specimen"
)

var knownShapes = map[string]bool{
	specimen.MarkColon: true, specimen.MarkPlain: true, specimen.MarkOf: true, specimen.MarkHeight: true, specimen.MarkBracket: true,
	specimen.MarkDashes: true, specimen.MarkEquals: true, specimen.MarkHash: true, specimen.MarkZ: true, specimen.MarkChange: true,
	specimen.MarkCommand: true, specimen.MarkDone: true, specimen.MarkPair: true, specimen.MarkEnds: true,
}

// choicesOf names what a specimen drew, "what: which".
func choicesOf(o specimen.Options) []string {
	yes := func(b bool) string { return map[bool]string{true: "yes", false: "no"}[b] }
	state := func(b bool, on, off string) string { return map[bool]string{true: on, false: off}[b] }
	written := func(b bool, how string) string { return fmt.Sprintf("%s: %s", how, yes(b)) }
	marker, word := o.Marker.Text, "no word"
	switch {
	case marker == specimen.MarkNone:
		marker = "none"
	case !knownShapes[marker]:
		marker = "invented"
	}
	if strings.Contains(o.Marker.Text, "%w") {
		word = wordKind(o.Marker.Word)
	}
	list := []string{
		"marker shape: " + marker, "marker word: " + word, "marker place: " + string(o.MarkerAt),
		fmt.Sprintf("marker counts from: %d", o.Marker.Base),
		"E: " + state(o.RelativeE, "relative", state(o.ResetE, "absolute, set to 0 at every layer", "absolute")),
		"retraction: " + string(o.Retract), written(o.Wipe, "wipe"), written(o.RunOn, "no retraction between layers"),
		"lift: " + state(o.LiftMM > 0, "lifted", "low"), "Z: " + state(o.ZLate, "after the travel", "before the travel"),
		"units: " + state(o.Inch, "inches", "mm"),
		"arcs: " + state(o.Arcs, state(o.FullCircles, "full circles", "parts of circles"), "no"),
		written(o.Numbered, "line numbers and checksums"), "line ends: " + state(o.CRLF, "CR LF", "LF"),
		"object labels: " + string(o.Labels), fmt.Sprintf("objects: %d", 1+len(o.Copies)),
		written(o.Sequential, "one object after another"), written(o.Support, "supports"),
		"tool command: " + state(o.ToolInLayer, "in the first layer", state(o.ToolCommand, "in the start code", "no")),
		written(o.Skirt, "skirt"), written(o.Brim > 0, "brim"), written(o.Decoys, "comments that mislead"),
		written(o.LowerCase, "lower case"), written(o.NoBlanks, "no blanks"), written(o.BOM, "byte order mark"),
		written(o.NoFinalEnd, "no last line end"), written(o.RawBytes, "bytes that are not UTF-8"),
		written(o.RelativeHead, "relative moves in the start code"), written(o.PrimeLine, "prime line"),
		written(o.FanInLayer, "fan in the layer"), written(o.HeatInLayer, "temperature in the layer"),
		written(o.AccelInLayer, "limits in the layer"), written(o.ProgressInLayer, "progress in the layer"),
		written(o.UnknownInLayer, "unknown commands in the layer"),
	}
	return list
}

// wordKind says what sort of word a marker uses.
func wordKind(word string) string {
	kinds := []struct{ name, words string }{
		{"English", "LAYER layer Layer"},
		{"another language", "SCHICHT Schicht COUCHE couche CAPA capa STRATO strato LAAG LAGER LAG KERROS WARSTWA VRSTVA CAMADA слой 層"},
		{"often mistyped", "LAYR LAEYR LYAER LAYRE layeer SCHCHIT COUCE"},
		{"another English word", "SLICE LEVEL TIER PLY STOREY SHEET DECK"},
		{"invented", "blorp zindle Quemmet"},
	}
	for _, k := range kinds {
		for _, w := range strings.Fields(k.words) {
			if w == word {
				return k.name
			}
		}
	}
	return "a slip of the keys"
}

// choicesDrawn are what the specimens must differ in; each is drawn both ways.
var choicesDrawn = []string{
	"marker shape", "marker word", "marker place", "marker counts from", "E", "retraction", "wipe", "lift", "Z", "units", "arcs",
	"line numbers and checksums", "line ends", "object labels", "objects", "one object after another", "supports", "tool command",
}

// TestAdversarialChoices counts what the specimens of TestAdversarial draw.
func TestAdversarialChoices(t *testing.T) {
	count, ways := map[string]int{}, map[string]int{}
	for seed := *firstSeed; seed < *firstSeed+uint64(*files); seed++ {
		for _, c := range choicesOf(specimen.RandomOptions(seed)) {
			if count[c]++; count[c] == 1 {
				what, _, _ := strings.Cut(c, ": ")
				ways[what]++
			}
		}
	}
	var lines []string
	for c, n := range count {
		lines = append(lines, fmt.Sprintf("%s: %d", c, n))
	}
	sort.Strings(lines)
	t.Logf("drawn by %d files:\n%s", *files, strings.Join(lines, "\n"))
	if *files < 300 {
		return
	}
	for _, what := range choicesDrawn {
		assert.GreaterOrEqual(t, ways[what], 2, what)
	}
	assert.Equal(t, len(knownShapes)+2, ways["marker shape"]) // and "none", "invented"
	assert.Equal(t, 7, ways["marker word"])
}
