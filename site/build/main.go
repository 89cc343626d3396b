// Command build makes the complete static site in dist/ from site/ and wasm/:
// the hosted page with its scripts under a folder named by their hash, the
// worker with the engine under another, the service worker with its list of
// files, and the saved copy, one HTML file that carries all of it.
//
//	go run ./site/build [-out dist]
package main

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"flag"
	"fmt"
	"io/fs"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

func main() {
	log.SetFlags(0)
	out := flag.String("out", "dist", "folder to write")
	flag.Parse()
	if err := build(*out); err != nil {
		log.Fatal("build: ", err)
	}
}

func build(out string) error {
	if err := os.RemoveAll(out); err != nil {
		return err
	}
	engine, err := compileEngine(out)
	if err != nil {
		return err
	}
	worker, err := workerSource()
	if err != nil {
		return err
	}
	version := shortHash(engine, worker)
	if err := write(filepath.Join(out, "engine", version, "engine.wasm"), engine); err != nil {
		return err
	}
	if err := write(filepath.Join(out, "engine", version, "worker.js"), worker); err != nil {
		return err
	}
	files, err := pageFiles()
	if err != nil {
		return err
	}
	var all [][]byte
	byName := map[string][]byte{}
	for _, file := range files {
		all = append(all, []byte(file.name), file.data)
		byName[file.name] = file.data
	}
	pageVersion := shortHash(all...)
	for _, file := range files {
		if err := write(filepath.Join(out, "v", pageVersion, file.name), file.data); err != nil {
			return err
		}
	}
	page := hostedPage{
		Version: pageVersion,
		Worker:  "/engine/" + version + "/worker.js",
		Wasm:    "/engine/" + version + "/engine.wasm",
		// An integrity value ties the page to exactly this engine.
		Integrity: "sha256-" + base64.StdEncoding.EncodeToString(hash(engine)),
		Files:     byName,
	}
	if err := writeHosted(out, page); err != nil {
		return err
	}
	if err := writeSavedCopy(out, engine, worker); err != nil {
		return err
	}
	if err := copyPlain(out); err != nil {
		return err
	}
	if err := writeDocs(out); err != nil {
		return err
	}
	return writeServiceWorker(out)
}

// compileEngine builds the engine for js/wasm, reproducibly.
func compileEngine(out string) ([]byte, error) {
	path := filepath.Join(out, "engine.wasm")
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w -buildid=", "-o", path, "./wasm")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	cmd.Stdout, cmd.Stderr = os.Stderr, os.Stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("compile the engine: %w", err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return data, os.Remove(path)
}

// workerSource joins Go's loader and our worker to one classic script, without
// comments and blanks.
func workerSource() ([]byte, error) {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env GOROOT: %w", err)
	}
	loader, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, err
	}
	own, err := os.ReadFile("site/worker.js")
	if err != nil {
		return nil, err
	}
	result := api.Transform(string(append(append(loader, '\n'), own...)), api.TransformOptions{
		MinifyWhitespace: true, MinifySyntax: true, MinifyIdentifiers: true, Charset: api.CharsetUTF8,
		Target: api.ES2022, LegalComments: api.LegalCommentsNone,
	})
	for _, message := range result.Errors {
		return nil, fmt.Errorf("join the worker: %s", message.Text)
	}
	return result.Code, nil
}

// copyPlain copies what is published as it is: documentation, icons, manifest.
func copyPlain(out string) error {
	for _, folder := range []string{"docs", "icons"} {
		source := filepath.Join("site", folder)
		if _, err := os.Stat(source); err != nil {
			continue
		}
		if err := os.CopyFS(filepath.Join(out, folder), os.DirFS(source)); err != nil {
			return err
		}
	}
	data, err := os.ReadFile("site/manifest.webmanifest")
	if err != nil {
		return err
	}
	return write(filepath.Join(out, "manifest.webmanifest"), data)
}

// writeDocs writes the pages that are made from the program itself.
func writeDocs(out string) error {
	licences, err := licencesPage()
	if err != nil {
		return err
	}
	if err := write(filepath.Join(out, "docs", "licences.html"), []byte(licences)); err != nil {
		return err
	}
	return write(filepath.Join(out, "docs", "job.html"), []byte(jobPage()))
}

func write(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, data, 0o644)
}

func hash(data []byte) []byte { sum := sha256.Sum256(data); return sum[:] }

func shortHash(parts ...[]byte) string {
	h := sha256.New()
	for _, part := range parts {
		fmt.Fprintf(h, "%d:", len(part))
		h.Write(part)
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}

// writeServiceWorker fills in the list of files that work offline: all of them,
// the saved copy too, so that it can be taken along where there is no net, and
// in the version that is at work.
func writeServiceWorker(out string) error {
	var files []string
	var parts [][]byte
	err := filepath.WalkDir(out, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, _ := filepath.Rel(out, path)
		name = "/" + filepath.ToSlash(name)
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		parts = append(parts, []byte(name), data)
		if name == "/index.html" {
			name = "/"
		}
		files = append(files, name)
		return nil
	})
	if err != nil {
		return err
	}
	sort.Strings(files)
	source, err := os.ReadFile("site/sw.js")
	if err != nil {
		return err
	}
	list := "\"" + strings.Join(files, "\",\n  \"") + "\","
	text := strings.NewReplacer("\"@files\",", list, "@version", shortHash(parts...)).Replace(string(source))
	return write(filepath.Join(out, "sw.js"), []byte(text))
}
