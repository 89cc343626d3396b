package specimen

import (
	"fmt"
	"math"
	"strings"
)

// Shape of a layer marker's text. %w stands for the word, %n for the number,
// %m for the count of layers, %z for the height.
const (
	MarkColon   = ";%w:%n"
	MarkPlain   = "; %w %n"
	MarkOf      = "; %w %n/%m"
	MarkHeight  = "; %w %n, Z = %z"
	MarkBracket = "(%w %n)"
	MarkDashes  = ";--- %w %n ---"
	MarkEquals  = ";%w=%n"
	MarkHash    = "; %w #%n"
	MarkZ       = ";%w Z:%z"
	MarkChange  = ";%w_CHANGE"
	MarkCommand = "M117 %w %n"
	MarkDone    = "M73 P%p L%n"
	MarkPair    = ";BEFORE_%w_CHANGE|;AFTER_%w_CHANGE"
	MarkEnds    = "; begin %w %n|; end %w %n"
	MarkNone    = ""
)

// Marker says how layers are announced. A Text with "|" holds a pair: the
// first part stands where MarkerAt says; the second, for MarkPair, right
// before the layer's first bead, and for MarkEnds right after its last.
type Marker struct {
	Text string
	Word string // default LAYER
	Base int    // number of the first layer
	Z    bool   // a second comment with the height follows
	// Count: a comment with the number of layers stands before the first.
	Count bool
}

func (k Marker) split() (first, second string) {
	first, second, _ = strings.Cut(k.Text, "|")
	return first, second
}

func (k Marker) fill(text string, layer, layers int, z float64) string {
	zs, _ := shown(z, 3)
	return strings.NewReplacer(
		"%w", k.Word, "%n", fmt.Sprint(layer+k.Base), "%m", fmt.Sprint(layers+k.Base-min(k.Base, 1)),
		"%z", zs, "%p", fmt.Sprint(int(math.Round(100*float64(layer)/float64(max(layers, 1))))),
	).Replace(text)
}

// markerWords are words for a layer: of several languages, mistyped, and
// invented.
var markerWords = []string{
	"LAYER", "LAYER", "layer", "Layer", "SCHICHT", "Schicht", "COUCHE", "couche", "CAPA", "capa",
	"STRATO", "strato", "LAAG", "LAGER", "LAG", "KERROS", "WARSTWA", "VRSTVA", "CAMADA", "слой", "層",
	"LAYR", "LAEYR", "LYAER", "LAYRE", "layeer", "SCHCHIT", "COUCE",
	"SLICE", "LEVEL", "TIER", "PLY", "STOREY", "SHEET", "DECK", "blorp", "zindle", "Quemmet",
}

// Types says how strokes are named by comments.
type Types struct {
	Text  string    // "%t" stands for the name; "" = no type comments
	Names [7]string // by deposit.Class
}

// The sets of type comments: English, German, and one that means nothing to a
// reader.
var typeSets = []Types{
	{},
	{";TYPE:%t", [7]string{"Other", "Outer wall", "Bottom surface", "Skirt", "Brim", "Support", "Priming"}},
	{"; kind = %t", [7]string{"other", "wall", "solid fill", "skirt", "brim", "support material", "prime"}},
	{";Art: %t", [7]string{"Sonstiges", "Wand", "Boden", "Schürze", "Rand", "Stütze", "Anspülen"}},
	{"; %t", [7]string{"u", "w", "f", "s", "b", "t", "p"}},
}

// TypeSet returns set i of the type comments; 0 is none.
func TypeSet(i int) Types { return typeSets[i%len(typeSets)] }

// TypeSets returns how many sets there are.
func TypeSets() int { return len(typeSets) }
