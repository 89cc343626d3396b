package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
)

// module is what the go command says of a module that the engine links.
type module struct {
	Path, Version, Dir string
}

// linkedModules lists the modules whose packages are linked into the engine.
func linkedModules() ([]module, error) {
	cmd := exec.Command("go", "list", "-deps", "-json=Module", "./wasm")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("list the engine's modules: %w", err)
	}
	found := map[string]module{}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var pkg struct{ Module *module }
		if err := dec.Decode(&pkg); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if pkg.Module != nil && pkg.Module.Version != "" {
			found[pkg.Module.Path] = *pkg.Module
		}
	}
	var all []module
	for _, m := range found {
		all = append(all, m)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Path < all[j].Path })
	return all, nil
}

// licencesPage lists every linked module with the text of its licence. A
// module without one is an error: it may not be published.
func licencesPage() (string, error) {
	modules, err := linkedModules()
	if err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, docHead, "Licences")
	b.WriteString("<h1>Licences</h1>\n<p>Sheenlay's own code is under the MIT licence. The engine holds parts of these libraries, and the Go programming language's own library (BSD, 3 clauses).</p>\n")
	own, err := os.ReadFile("LICENSE")
	if err != nil {
		return "", err
	}
	fmt.Fprintf(&b, "<details><summary>Sheenlay</summary><pre>%s</pre></details>\n", html.EscapeString(string(own)))
	for _, m := range modules {
		text, err := licenceOf(m.Dir)
		if err != nil {
			return "", fmt.Errorf("%s: %w", m.Path, err)
		}
		fmt.Fprintf(&b, "<details><summary>%s %s</summary><pre>%s</pre></details>\n", html.EscapeString(m.Path), html.EscapeString(m.Version), html.EscapeString(text))
	}
	b.WriteString(docTail)
	return b.String(), nil
}

func licenceOf(dir string) (string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return "", err
	}
	for _, entry := range entries {
		name := strings.ToUpper(entry.Name())
		if strings.HasPrefix(name, "LICEN") || strings.HasPrefix(name, "COPYING") || strings.HasPrefix(name, "UNLICENSE") {
			text, err := os.ReadFile(filepath.Join(dir, entry.Name()))
			return string(text), err
		}
	}
	return "", errors.New("no licence found")
}
