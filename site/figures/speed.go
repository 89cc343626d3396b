package main

import (
	"bytes"
	"context"
	"fmt"
	"testing"
	"time"

	"sheenlay/engine/coverage"
	"sheenlay/engine/fill"
	"sheenlay/engine/gcode"
	"sheenlay/engine/generators"
	"sheenlay/engine/job"
	"sheenlay/engine/making"
	"sheenlay/engine/piece"
	"sheenlay/engine/plane"
	"sheenlay/engine/specimen"
	"sheenlay/engine/thread"
)

// nanoseconds is the time of one call, by the testing package's own rule.
func nanoseconds(f func()) float64 {
	return float64(testing.Benchmark(func(b *testing.B) {
		for b.Loop() {
			f()
		}
	}).NsPerOp())
}

func milliseconds(f func()) string {
	return fmt.Sprintf("%.2f", nanoseconds(f)/float64(time.Millisecond))
}

func speedTable(b *bytes.Buffer) error {
	var file bytes.Buffer
	if _, err := specimen.Large(&file, 32<<20); err != nil {
		return err
	}
	data := file.Bytes()
	rate := func(f func()) string { return fmt.Sprintf("%.0f", float64(len(data))/nanoseconds(f)*1000) }
	sink := make([]byte, len(data))
	b.WriteString("## Reading\n\nA made file of 32 MiB in memory, MB/s.\n\n")
	head(b, "job", "MB/s")
	row(b, "copy (floor)", rate(func() { copy(sink, data) }))
	row(b, "scan, every word", rate(func() {
		for s := gcode.NewScanner(data); s.Next(); {
		}
	}))
	row(b, "scan and follow the machine's state", rate(func() {
		in := gcode.NewInterp(gcode.Options{})
		for s := gcode.NewScanner(data); s.Next(); {
			in.Step(s.Line())
		}
	}))

	b.WriteString("\n## Stages over five sizes\n\nTumbling blocks, 10 mm, 0.42 mm lines, on square faces; ms, native.\n\n")
	head(b, "face", "bead, m", "fill", "coverage", "whole job, file in to proved file out")
	g, err := generators.ByID("tumbling-blocks")
	if err != nil {
		return err
	}
	for _, side := range []float64{25, 50, 100, 150, 200} {
		region := box(-side/2, -side/2, side/2, side/2)
		p, err := g.Build(nil, 1, region.Bounds())
		if err != nil {
			return err
		}
		request := fill.Request{Face: region, Pattern: p, WidthMM: 0.42, MinWidthMM: 0.24, MaxWidthMM: 0.8, Threader: thread.New()}
		made, err := fill.Fill(context.Background(), request)
		if err != nil {
			return err
		}
		whole, err := wholeJob(side)
		if err != nil {
			return err
		}
		row(b, fmt.Sprintf("%g mm", side), fmt.Sprintf("%.1f", made.Stats.LengthMM/1000),
			milliseconds(func() { fill.Fill(context.Background(), request) }),
			milliseconds(func() {
				coverage.Measure(context.Background(), coverage.Job{Face: region, Strands: made.Strands, LineMM: 0.42})
			}),
			milliseconds(whole))
	}
	b.WriteString("\nWhere a peer is faster: C with wide registers scans a file's lines several times faster than Go, and a general polygon library offsets an outline in a third of our time; both were measured on another day (clipping, unions and coverage by counting are faster here than in the libraries tried).\n")
	return nil
}

// wholeJob returns a job on a made file from bytes to proof.
func wholeJob(side float64) (func(), error) {
	made := specimen.Make(specimen.Options{Shape: specimen.Rectangle(side, side), At: plane.Point{X: 110, Y: 110}, Walls: 2, Heated: true, Skirt: false})
	settings := job.Default()
	run := func() error {
		r := piece.NewReader(piece.Options{Name: "plate", Size: int64(len(made.Bytes))})
		r.Feed(made.Bytes)
		p := r.Finish(context.Background())
		m, err := making.Make(context.Background(), p, settings, false, nil)
		if err == nil && !m.OK() {
			err = fmt.Errorf("a face of %g mm is not made: %v", side, m.Findings)
		}
		return err
	}
	if err := run(); err != nil {
		return nil, err
	}
	return func() { run() }, nil
}
