package main

import (
	"path"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestImportsOfFollowsEveryStaticImport(t *testing.T) {
	files := map[string][]byte{
		"js/main.js":    []byte(`import{a as b}from"./one.js";import"./ui/two.js";x=()=>import("./later.js");`),
		"js/one.js":     []byte(`export{c}from"./three.js";`),
		"js/ui/two.js":  []byte(`import{c}from"../three.js";import{m}from"../main.js";`),
		"js/three.js":   []byte(`let c=1;export{c};`),
		"js/later.js":   []byte(`import"./only-later.js";`),
		"js/nothing.js": nil,
	}
	for _, c := range []struct {
		script string
		want   []string
	}{
		{"js/nothing.js", nil},
		{"js/main.js", []string{"js/one.js", "js/three.js", "js/ui/two.js"}},
		{"js/one.js", []string{"js/three.js"}},
	} {
		got, err := importsOf(files, c.script)
		require.NoError(t, err)
		assert.Equal(t, c.want, got, c.script)
	}
	_, err := importsOf(files, "js/later.js")
	assert.ErrorContains(t, err, "js/only-later.js")
}

// mostFirstFiles is how many files the first paint may take: the page, its
// style, its script and what that shares with what comes later. Each one more
// may cost another round trip; our own choice.
const mostFirstFiles = 4

// judgeFirstPaint adds up a built site as a browser comes upon its parts.
func judgeFirstPaint(t *testing.T, read func(name string) string) {
	page := read("index.html")
	first := regexp.MustCompile(`<script type="module" src="/([^"]+)"`).FindStringSubmatch(page)[1]
	// The way of a browser: each import by its own address, from the file that holds it.
	parts, waiting, seen := [][]byte{[]byte(page)}, []string{first}, map[string]bool{first: true}
	for ; len(waiting) > 0; waiting = waiting[1:] {
		text := read(waiting[0])
		parts = append(parts, []byte(text))
		for _, found := range regexp.MustCompile(`(?:^|[;}])(?:import|export)[^;("]*"([^"]+)"`).FindAllStringSubmatch(text, -1) {
			name := path.Join(path.Dir(waiting[0]), found[1])
			if !seen[name] {
				seen[name] = true
				waiting = append(waiting, name)
				assert.Contains(t, page, `<link rel="modulepreload" href="/`+name+`">`, "asked for beside the script that needs it")
			}
		}
	}
	for _, style := range regexp.MustCompile(`<link rel="stylesheet" href="/([^"]+)"`).FindAllStringSubmatch(page, -1) {
		parts = append(parts, []byte(read(style[1])))
	}
	assert.Greater(t, len(seen), 1, "shared chunks are counted")
	assert.LessOrEqual(t, len(parts), mostFirstFiles)
	size, err := firstPaint(parts...)
	require.NoError(t, err)
	t.Logf("first paint: %d bytes in %d scripts and %d styles", size, len(seen), len(parts)-1-len(seen))
	assert.LessOrEqual(t, size, mostFirstPaint)
}
