// Command figures measures the engine and writes site/docs/figures.md: how well
// every built-in pattern covers a set of outlines, and how long the stages of
// a job take natively, in wasm, and beside general libraries. A cell that
// misses its target is marked, never left out.
//
//	go run ./site/figures [-out site/docs/figures.md] [-only cover|speed]
//
// It is run from the top of the repository and needs node and the packages of
// site/test. With -measure it only times the stages and writes the timings as
// JSON: that is how it runs itself in wasm.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"log"
	"os"
	"strings"
	"time"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("figures: ")
	out := flag.String("out", "site/docs/figures.md", "file to write")
	only := flag.String("only", "", "the one part to measure: cover or speed")
	measure := flag.String("measure", "", "write the timings of all stages to standard output, under this name")
	flag.Parse()
	if *measure != "" {
		if err := measureAll(os.Stdout, *measure, stages()); err != nil {
			log.Fatal(err)
		}
		return
	}
	if err := write(*out, *only); err != nil {
		log.Fatal(err)
	}
}

func write(out, only string) error {
	// All scratch files, those of the children too, lie in one folder.
	folder, err := os.MkdirTemp("", "sheenlay-figures-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	if err := os.Setenv("TMPDIR", folder); err != nil {
		return err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "# Figures\n\nWritten by `make figures` on %s: %s. A machine with other work on it gives other times.\n\n",
		time.Now().UTC().Format("2006-01-02"), machine())
	for _, part := range []struct {
		name  string
		write func(*bytes.Buffer) error
	}{{"cover", coverTable}, {"speed", speedTables}} {
		if only != "" && only != part.name {
			continue
		}
		if err := part.write(&b); err != nil {
			return err
		}
	}
	return os.WriteFile(out, b.Bytes(), 0o644)
}

// row writes one line of a table.
func row(b *bytes.Buffer, cells ...string) { fmt.Fprintf(b, "| %s |\n", strings.Join(cells, " | ")) }

func head(b *bytes.Buffer, cells ...string) {
	row(b, cells...)
	row(b, strings.Split(strings.Repeat("---;", len(cells)-1)+"---", ";")...)
}
