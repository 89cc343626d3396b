package finding

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSome(t *testing.T) {
	for n, want := range map[int]string{0: "0 travels cross", 1: "1 travel crosses", 2: "2 travels cross", 1200: "1200 travels cross"} {
		assert.Equal(t, want, Some(n, "travel crosses", "travels cross"))
	}
}

func TestQuoted(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "g rect:nth-child(2)": "g rect:nth-child(2)", "a\tb\xffc\x00": "a·b·c·",
		strings.Repeat("ü", 60): strings.Repeat("ü", 60), strings.Repeat("ü", 61): strings.Repeat("ü", 60) + "…",
	} {
		assert.Equal(t, want, Quoted(text))
	}
}
