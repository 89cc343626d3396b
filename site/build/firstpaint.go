package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"path"
	"regexp"
	"sort"
)

// mostFirstPaint is how many bytes may cross the net before the page is seen
// and answers: the page, its styles and every script that its first script
// imports. Our own choice: over a slow phone line of 1.6 Mbit/s it is a third
// of a second.
const mostFirstPaint = 60_000

// staticImport matches an import that is loaded before the script runs, as the
// bundler writes it; import(…) is fetched when it is first used.
var staticImport = regexp.MustCompile(`(?:\bfrom|\bimport)\s*"(\.[^"]+)"`)

// importsOf returns the files that a script imports before it runs, and those
// that they import, by name. files holds every script of the page.
func importsOf(files map[string][]byte, script string) ([]string, error) {
	seen := map[string]bool{script: true}
	var found []string
	for waiting := []string{script}; len(waiting) > 0; waiting = waiting[1:] {
		data, ok := files[waiting[0]]
		if !ok {
			return nil, fmt.Errorf("%s is imported and was not built", waiting[0])
		}
		for _, match := range staticImport.FindAllSubmatch(data, -1) {
			name := path.Join(path.Dir(waiting[0]), string(match[1]))
			if !seen[name] {
				seen[name] = true
				found = append(found, name)
				waiting = append(waiting, name)
			}
		}
	}
	sort.Strings(found)
	return found, nil
}

// firstPaint returns the bytes of the first paint as they cross the net, each
// file packed with gzip by itself, which is more than the packing of the host.
func firstPaint(parts ...[]byte) (int, error) {
	sum := 0
	for _, part := range parts {
		var packed bytes.Buffer
		w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
		if err != nil {
			return 0, err
		}
		if _, err := w.Write(part); err != nil {
			return 0, err
		}
		if err := w.Close(); err != nil {
			return 0, err
		}
		sum += packed.Len()
	}
	return sum, nil
}
