package footprint

import (
	"strings"
	"unicode"

	"sheenlay/engine/deposit"
)

// This file contains the words by which type comments name strokes. They are
// plain words of the trade in a few languages; a comment is understood when one
// of its words begins with one of these.

// lexicon is asked from top to bottom, so "support wall" is a support.
var lexicon = []struct {
	class deposit.Class
	stems []string
}{
	{deposit.Support, []string{"support", "stütz", "soport", "steun", "podpor", "raft"}},
	{deposit.Brim, []string{"brim", "rand", "bordure", "borde", "falda ancha", "tesa"}},
	{deposit.Skirt, []string{"skirt", "schürze", "jupe", "falda", "gonna", "saia"}},
	{deposit.Priming, []string{"prime", "priming", "purge", "wipe", "anspül", "purga", "amorçage"}},
	{deposit.Wall, []string{"wall", "perimeter", "outer", "inner", "contour", "outline", "shell", "wand", "kontur",
		"umriss", "paroi", "périmètre", "perímetro", "pared", "perimetro", "parete", "obrys"}},
	{deposit.Fill, []string{"fill", "infill", "solid", "bottom", "surface", "skin", "boden", "füll", "remplissage",
		"relleno", "fondo", "riempimento", "vulling", "výplň"}},
}

// classOf returns the class a type comment names; ok is false where none of its
// words is known.
func classOf(label string) (class deposit.Class, ok bool) {
	words := strings.FieldsFunc(strings.ToLower(label), func(r rune) bool { return !unicode.IsLetter(r) })
	for _, entry := range lexicon {
		for _, word := range words {
			for _, stem := range entry.stems {
				if strings.HasPrefix(word, stem) {
					return entry.class, true
				}
			}
		}
	}
	return deposit.Unknown, false
}

// Confidences of a class, by where it comes from.
const (
	byPerson  = 1.0
	byComment = 0.95
)

// readLabels classes the strokes that a person or a comment names.
func (w *work) readLabels(corrections map[int]deposit.Class) {
	known := map[string]deposit.Class{}
	for i := range w.Strokes {
		s := &w.Strokes[i]
		s.Class, s.Confidence = deposit.Unknown, 0
		if c, set := corrections[i]; set && c <= deposit.Priming {
			s.Class, s.Confidence = c, byPerson
			continue
		}
		if s.Label == "" {
			continue
		}
		c, seen := known[s.Label]
		if !seen {
			c, _ = classOf(s.Label)
			known[s.Label] = c
		}
		if c != deposit.Unknown {
			s.Class, s.Confidence = c, byComment
		}
	}
}
