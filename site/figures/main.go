// Command figures measures the engine and writes site/docs/figures.md: how well
// every built-in pattern covers a set of outlines, and how long the stages of
// a job take. A cell that misses its target is marked, never left out.
//
//	go run ./site/figures [-out site/docs/figures.md]
package main

import (
	"bytes"
	"flag"
	"fmt"
	"log"
	"os"
	"runtime"
	"strings"
	"time"
)

func main() {
	log.SetFlags(0)
	out := flag.String("out", "site/docs/figures.md", "file to write")
	flag.Parse()
	var b bytes.Buffer
	fmt.Fprintf(&b, "# Figures\n\nWritten by `make figures` on %s: %s/%s, %d cores, %s. One run each unless said; a machine with other work on it gives other times.\n\n",
		time.Now().UTC().Format("2006-01-02"), runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), runtime.Version())
	for _, part := range []func(*bytes.Buffer) error{coverTable, speedTable} {
		if err := part(&b); err != nil {
			log.Fatal("figures: ", err)
		}
	}
	if err := os.WriteFile(*out, b.Bytes(), 0o644); err != nil {
		log.Fatal("figures: ", err)
	}
}

// row writes one line of a table.
func row(b *bytes.Buffer, cells ...string) { fmt.Fprintf(b, "| %s |\n", strings.Join(cells, " | ")) }

func head(b *bytes.Buffer, cells ...string) {
	row(b, cells...)
	row(b, strings.Split(strings.Repeat("---;", len(cells)-1)+"---", ";")...)
}
