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
// words is known. A comment with a figure in it is a setting ("wall loops 2"), not
// a type.
func classOf(label string) (class deposit.Class, ok bool) {
	if strings.ContainsFunc(label, unicode.IsDigit) {
		return deposit.Unknown, false
	}
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
	w.labelled = w.labelsTell()
	known := map[string]deposit.Class{}
	for i := range w.Strokes {
		s := &w.Strokes[i]
		s.Class, s.Confidence = deposit.Unknown, 0
		if c, set := corrections[i]; set && c <= deposit.Priming {
			s.Class, s.Confidence = c, byPerson
			continue
		}
		if s.Label == "" || !w.labelled {
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

// labelsTell reports whether the labels of the layer can be types. One label over
// everything is a comment of the file's head that nothing replaced, unless it
// names loops around a piece and all strokes are such loops.
func (w *work) labelsTell() bool {
	first, open := "", false
	for i, s := range w.Strokes {
		if i == 0 {
			first = s.Label
		} else if s.Label != first {
			return true
		}
		n := len(s.Points)
		open = open || n > 0 && s.Points[0].Dist(s.Points[n-1]) > s.Length()/6
	}
	c, _ := classOf(first)
	return (c == deposit.Skirt || c == deposit.Brim) && !open
}
