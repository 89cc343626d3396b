package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write site/docs/dependencies.md anew")

// unlicensed are modules without a licence file. None of them may be linked into
// what is published; licencesPage refuses to build then.
var unlicensed = map[string]string{
	"github.com/srwiley/scanx": "no licence file; a test's drawing library reaches it",
}

// licenceKind names a licence by its own words.
func licenceKind(text string) string {
	text = strings.ToLower(strings.Join(strings.Fields(text), " "))
	has := func(phrases ...string) bool {
		for _, p := range phrases {
			if !strings.Contains(text, p) {
				return false
			}
		}
		return true
	}
	switch {
	case has("apache license", "version 2.0"):
		return "Apache-2.0"
	case has("gnu lesser general public license"):
		return "LGPL"
	case has("gnu general public license"):
		return "GPL"
	case has("mozilla public license"):
		return "MPL-2.0"
	case has("boost software license"):
		return "BSL-1.0"
	case has("permission is hereby granted, free of charge", "without restriction"):
		return "MIT"
	case has("permission to use, copy, modify, and/or distribute"), has("permission to use, copy, modify, and distribute this software for any purpose"):
		return "ISC"
	case has("redistribution and use in source and binary forms", "neither the name"):
		return "BSD-3-Clause"
	case has("redistribution and use in source and binary forms"):
		return "BSD-2-Clause"
	case has("do what the fuck you want to"):
		return "WTFPL"
	case has("freetype license"), has("freetype project license"):
		return "FTL"
	case has("this is free and unencumbered software"):
		return "Unlicense"
	}
	return ""
}

// allModules lists the modules that packages and tests of this repository use.
func allModules(t *testing.T) []module {
	t.Helper()
	found := map[string]module{}
	for _, system := range []string{"GOOS=linux", "GOOS=js"} {
		cmd := exec.Command("go", "list", "-deps", "-test", "-json=Module", "./...")
		cmd.Env = append(os.Environ(), system, "GOARCH="+map[string]string{"GOOS=linux": "amd64", "GOOS=js": "wasm"}[system])
		out, err := cmd.Output()
		require.NoError(t, err)
		for dec := json.NewDecoder(bytes.NewReader(out)); ; {
			var pkg struct{ Module *module }
			err := dec.Decode(&pkg)
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			if pkg.Module != nil && pkg.Module.Version != "" {
				found[pkg.Module.Path] = *pkg.Module
			}
		}
	}
	var all []module
	for _, m := range found {
		all = append(all, m)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Path < all[j].Path })
	return all
}

// npmPackages lists the packages of a lock file as "name version" by licence.
func npmPackages(t *testing.T, lock string) map[string][]string {
	t.Helper()
	data, err := os.ReadFile(lock)
	require.NoError(t, err)
	var file struct {
		Packages map[string]struct{ Version, License string }
	}
	require.NoError(t, json.Unmarshal(data, &file))
	by := map[string][]string{}
	for path, p := range file.Packages {
		if path == "" {
			continue
		}
		name := path[strings.LastIndex(path, "node_modules/")+len("node_modules/"):]
		assert.NotEmpty(t, p.License, "%s in %s has no licence", name, lock)
		by[p.License] = append(by[p.License], name+" "+p.Version)
	}
	return by
}

// TestEveryDependencyIsListed: every Go module and npm package that is used,
// for the site or for its tests, has a known licence and stands in
// site/docs/dependencies.md. Run with -update to write that file anew.
func TestEveryDependencyIsListed(t *testing.T) {
	t.Chdir("../..")
	linked, err := linkedModules()
	require.NoError(t, err)
	published := map[string]bool{}
	for _, m := range linked {
		published[m.Path] = true
	}
	var b strings.Builder
	b.WriteString("# Dependencies and their licences\n\nWritten by `go test ./site/build -run Dependency -update`. What is published with the site stands in full in `licences.html`; the rest is used to build and test only.\n\n## Go modules\n\n| module | version | licence | used for |\n| --- | --- | --- | --- |\n")
	for _, m := range allModules(t) {
		use, kind := "tests and tools", ""
		if published[m.Path] {
			use = "published"
		}
		if text, err := licenceOf(m.Dir); err == nil {
			kind = licenceKind(text)
			assert.False(t, published[m.Path] && strings.HasSuffix(kind, "GPL"), "%s: what is published must stay free of conditions on the whole", m.Path)
			assert.NotEmpty(t, kind, "%s: the kind of its licence is not known to this test", m.Path)
			assert.NotContains(t, unlicensed, m.Path, "it has a licence now")
		} else if kind = unlicensed[m.Path]; assert.NotEmpty(t, kind, "%s: %v", m.Path, err) {
			assert.False(t, published[m.Path], "%s", m.Path)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", m.Path, m.Version, kind, use)
	}
	locks, err := filepath.Glob("site/test/package-lock.json")
	require.NoError(t, err)
	b.WriteString("\n## npm packages\n\nUsed by the tests of the page and by the comparisons with outside libraries; none is published. `make test-long` besides installs the audit of web pages in `site/test/audit` (Apache-2.0) with whatever that needs on the day.\n\n| licence | packages |\n| --- | --- |\n")
	for _, lock := range locks {
		by := npmPackages(t, lock)
		var kinds []string
		for kind := range by {
			kinds = append(kinds, kind)
			sort.Strings(by[kind])
		}
		sort.Strings(kinds)
		for _, kind := range kinds {
			fmt.Fprintf(&b, "| %s | %s |\n", kind, strings.Join(by[kind], ", "))
		}
	}
	const name = "site/docs/dependencies.md"
	if *update {
		require.NoError(t, os.WriteFile(name, []byte(b.String()), 0o644))
	}
	have, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, b.String(), string(have), "%s is stale: run go test ./site/build -run Dependency -update", name)
}

func TestLicenceKinds(t *testing.T) {
	for want, text := range map[string]string{
		"":             "All rights reserved.",
		"MIT":          "Permission is hereby granted, free of\n charge, to any person … to deal in the Software without restriction",
		"BSD-3-Clause": "Redistribution and use in source and binary forms … Neither the name of",
		"BSD-2-Clause": "Redistribution and use in source and binary forms, with or without modification",
		"Apache-2.0":   "Apache License\n Version 2.0, January 2004",
	} {
		assert.Equal(t, want, licenceKind(text))
	}
}
