package main

import (
	"encoding/json"
	"fmt"
	"io"
	"time"
)

// A stage is one thing measured over several sizes. The same table of stages
// runs natively, in wasm, and beside its peers.
type stage struct {
	name  string // short, the key of its timings
	title string
	about string    // what is timed, in a sentence or two
	sizes []float64 // five, rising
	size  string    // name of the size with its unit, "lines"
	work  string    // unit of the work in a size, "MB"
	each  string    // unit of what is worked through in a second, "MB/s"

	// prepare makes the input of one size. What it returns is run is timed.
	prepare func(size float64) (input, error)
	peers   []peer
}

// An input is one size made ready.
type input struct {
	work float64 // in the stage's unit
	// run does the work once and returns a figure of the result (a length, an
	// area, a count) by which runs on other machines and by peers are held
	// against this one.
	run func() (float64, error)
}

// A peer is another way to the same figure, or to a part of the work.
type peer struct {
	name string
	most float64 // largest size it is asked for; beyond it takes minutes or fails
	// part says what the peer leaves out; empty where it does the same work.
	part string
	// agrees is the share by which its figure may differ from ours; 0 where
	// its figure means something else.
	agrees float64
	// prepare makes the input of a size ready for a peer in Go.
	prepare func(size float64) (input, error)
	// request is the same for one that runs in node: what peers.js is asked.
	request func(size float64) (map[string]any, error)
}

// A timing is the best of several runs.
type timing struct {
	Stage, Who string
	Size, Work float64
	MS         float64 // one run
	Value      float64 // its figure
	Failed     string  // what a peer said instead of an answer
}

const (
	runs     = 5               // the best of so many counts,
	enough   = 2 * time.Second // or of those that fit into this time,
	shortest = 2 * time.Millisecond
)

// best times run: the best of several tries, each of at least shortest.
func best(run func() (float64, error)) (ms, value float64, err error) {
	began := time.Now()
	for try := 0; try < runs && (try == 0 || time.Since(began) < enough); try++ {
		from, n := time.Now(), 0
		for n == 0 || time.Since(from) < shortest {
			if value, err = run(); err != nil {
				return 0, 0, err
			}
			n++
		}
		took := float64(time.Since(from).Nanoseconds()) / 1e6 / float64(n)
		if try == 0 || took < ms {
			ms = took
		}
	}
	return ms, value, nil
}

const (
	native = "native"
	wasm   = "wasm"
)

// measureAll times every stage over its sizes and writes a JSON object a line.
func measureAll(w io.Writer, who string, stages []stage) error {
	out := json.NewEncoder(w)
	for _, s := range stages {
		for _, size := range s.sizes {
			in, err := s.prepare(size)
			if err != nil {
				return fmt.Errorf("%s, %g %s: %w", s.name, size, s.size, err)
			}
			ms, value, err := best(in.run)
			if err != nil {
				return fmt.Errorf("%s, %g %s: %w", s.name, size, s.size, err)
			}
			if err := out.Encode(timing{Stage: s.name, Who: who, Size: size, Work: in.work, MS: ms, Value: value}); err != nil {
				return err
			}
		}
	}
	return nil
}
