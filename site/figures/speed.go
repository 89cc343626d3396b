package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// speedTables times all stages natively, in wasm under node, and beside their
// peers, one after the other, and writes a table for each.
func speedTables(b *bytes.Buffer) error {
	all := stages()
	program, err := buildForWasm()
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := measureAll(&out, native, all); err != nil {
		return err
	}
	if err := measureInWasm(&out, program); err != nil {
		return err
	}
	timings, err := decode(&out)
	if err != nil {
		return err
	}
	beside, err := measurePeers(all)
	if err != nil {
		return err
	}
	timings = append(timings, beside...)
	fmt.Fprintf(b, "## How long it takes\n\nEvery stage over five sizes, natively and as the browser runs it (wasm, here under node), and in the same run what general libraries and a plain copy take for the same work or a part of it. Milliseconds, the best of %d runs; × is the peer's time over the native one, so a peer under × 1 is faster.\n\n", runs)
	list := timingList(timings)
	fmt.Fprintf(b, "%s\n\nWhere a peer is faster than the native engine:\n\n", list.agreement(all))
	none := true
	for _, s := range all {
		for _, p := range s.peers {
			if sizes, _ := list.faster(s, p, native); len(sizes) > 0 {
				fmt.Fprintf(b, "- %s: %s%s at %s %s\n", s.title, p.name, p.leaves(), strings.Join(sizes, ", "), s.size)
				none = false
			}
		}
	}
	if none {
		b.WriteString("- nowhere in these tables\n")
	}
	for _, s := range all {
		if err := writeStage(b, s, list); err != nil {
			return err
		}
	}
	return nil
}

type timingList []timing

func (l timingList) of(s stage, who string, size float64) (timing, bool) {
	i := slices.IndexFunc(l, func(t timing) bool { return t.Stage == s.name && t.Who == who && t.Size == size })
	if i < 0 {
		return timing{}, false
	}
	return l[i], true
}

// agreement says whether wasm came to the results of the native engine.
func (l timingList) agreement(all []stage) string {
	runs, same := 0, 0
	for _, s := range all {
		for _, size := range s.sizes {
			own, _ := l.of(s, native, size)
			there, _ := l.of(s, wasm, size)
			runs++
			if own.Value == there.Value {
				same++
			}
		}
	}
	if same == runs {
		return fmt.Sprintf("In all %d runs wasm and the native engine came to the same result, to the last bit; what peers came to is held against it.", runs)
	}
	return fmt.Sprintf("**In %d of %d runs wasm and the native engine differ. ✗**", runs-same, runs)
}

// buildForWasm builds this command for wasm. It is done first, so that both are
// of the same source.
func buildForWasm() (program string, err error) {
	program = filepath.Join(os.TempDir(), "figures.wasm")
	build := exec.Command("go", "build", "-o", program, "./site/figures")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	build.Stderr = os.Stderr
	return program, build.Run()
}

// measureInWasm runs the measurements under node.
func measureInWasm(out io.Writer, program string) error {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return err
	}
	run := exec.Command(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "go_js_wasm_exec"), program, "-measure", wasm)
	run.Stdout, run.Stderr = out, os.Stderr
	return run.Run()
}

func decode(r io.Reader) (all []timing, err error) {
	for in := json.NewDecoder(r); ; {
		var t timing
		switch err := in.Decode(&t); {
		case errors.Is(err, io.EOF):
			return all, nil
		case err != nil:
			return nil, err
		}
		all = append(all, t)
	}
}

// writeStage writes the table of a stage and what it shows.
func writeStage(b *bytes.Buffer, s stage, list timingList) error {
	fmt.Fprintf(b, "\n### %s\n\n%s\n\n", s.title, s.about)
	cells := []string{s.size, s.work, "native, ms", s.each, "wasm, ms", "wasm/native"}
	for _, p := range s.peers {
		cells = append(cells, p.name+", ms")
	}
	head(b, cells...)
	var notes []string
	failed := map[string]bool{}
	var first, last timing
	slowdown := []float64{}
	for i, size := range s.sizes {
		own, ok := list.of(s, native, size)
		there, ok2 := list.of(s, wasm, size)
		if !ok || !ok2 {
			return fmt.Errorf("%s was not measured at %g %s", s.name, size, s.size)
		}
		if i == 0 {
			first = own
		}
		last = own
		slowdown = append(slowdown, there.MS/own.MS)
		if there.Value != own.Value {
			notes = append(notes, fmt.Sprintf("**At %g %s wasm finds %v and the native engine %v. ✗**", size, s.size, there.Value, own.Value))
		}
		cells := []string{fmt.Sprint(size), figure(own.Work), figure(own.MS), figure(own.Work / own.MS * 1000), figure(there.MS), figure(there.MS / own.MS)}
		for _, p := range s.peers {
			t, ok := list.of(s, p.name, size)
			if !ok || t.Failed != "" {
				cells = append(cells, map[bool]string{true: "fails", false: "–"}[ok])
				if ok && !failed[p.name] {
					failed[p.name] = true
					notes = append(notes, fmt.Sprintf("%s fails, first at %g %s: “%s”.", p.name, size, s.size, t.Failed))
				}
				continue
			}
			cells = append(cells, fmt.Sprintf("%s (× %s)", figure(t.MS), figure(t.MS/own.MS)))
			if p.agrees > 0 && math.Abs(t.Value-own.Value) > p.agrees*math.Abs(own.Value) {
				notes = append(notes, fmt.Sprintf("At %g %s the result of %s, %g, and the engine's, %g, are **%s %% apart**.", size, s.size, p.name, t.Value, own.Value, figure(100*math.Abs(t.Value/own.Value-1))))
			}
		}
		row(b, cells...)
	}
	power := math.Log(last.MS/first.MS) / math.Log(last.Work/first.Work)
	fmt.Fprintf(b, "\nFrom the smallest to the largest the native time grows as the work to the power %.2f; wasm takes %s to %s times the native time.", power, figure(slices.Min(slowdown)), figure(slices.Max(slowdown)))
	for _, p := range s.peers {
		b.WriteString(" " + list.verdict(s, p))
	}
	for _, n := range notes {
		b.WriteString("\n\n" + n)
	}
	b.WriteString("\n")
	return nil
}

// faster lists the sizes at which a peer takes less time, and whether these are
// all it was asked for.
func (l timingList) faster(s stage, p peer, who string) (sizes []string, all bool) {
	asked := 0
	for _, size := range s.sizes {
		t, ok := l.of(s, p.name, size)
		if !ok || t.Failed != "" {
			continue
		}
		asked++
		if own, _ := l.of(s, who, size); t.MS < own.MS {
			sizes = append(sizes, fmt.Sprint(size))
		}
	}
	return sizes, asked > 0 && len(sizes) == asked
}

// verdict says where a peer is faster than the native engine and than wasm.
func (l timingList) verdict(s stage, p peer) string {
	var said []string
	for _, who := range []string{native, wasm} {
		switch sizes, all := l.faster(s, p, who); {
		case all:
			said = append(said, "faster than "+who+" at every size")
		case len(sizes) > 0:
			said = append(said, fmt.Sprintf("faster than %s at %s %s", who, strings.Join(sizes, ", "), s.size))
		}
	}
	if !slices.ContainsFunc(l, func(t timing) bool { return t.Stage == s.name && t.Who == p.name && t.Failed == "" }) {
		return p.name + p.leaves() + " gives no answer."
	}
	if len(said) == 0 {
		return p.name + p.leaves() + " is faster nowhere."
	}
	return p.name + p.leaves() + " is **" + strings.Join(said, " and ") + "**."
}

// leaves names the part of the work that a peer does, where it is not all.
func (p peer) leaves() string {
	if p.part == "" {
		return ""
	}
	return " (" + p.part + ")"
}

// figure writes three digits, more where the number has more before its point.
func figure(v float64) string {
	switch a := math.Abs(v); {
	case a >= 100:
		return fmt.Sprintf("%.0f", v)
	case a >= 10:
		return fmt.Sprintf("%.1f", v)
	case a >= 1:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.3g", v)
}

// machine describes what the figures were taken on.
func machine() string {
	parts := []string{runtime.GOOS + "/" + runtime.GOARCH, fmt.Sprintf("%d cores", runtime.NumCPU())}
	read := func(name, key string) string {
		data, _ := os.ReadFile(name)
		for _, line := range strings.Split(string(data), "\n") {
			if before, after, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(before) == key {
				return strings.TrimSpace(after)
			}
		}
		return ""
	}
	if mhz := read("/proc/cpuinfo", "cpu MHz"); mhz != "" {
		parts[1] += " of " + strings.SplitN(mhz, ".", 2)[0] + " MHz"
	}
	var kb float64
	if n, _ := fmt.Sscan(read("/proc/meminfo", "MemTotal"), &kb); n == 1 {
		parts = append(parts, fmt.Sprintf("%.0f GB of memory", kb/1e6))
	}
	parts = append(parts, runtime.Version())
	if version, err := exec.Command("node", "--version").Output(); err == nil {
		parts = append(parts, "node "+strings.TrimSpace(string(version)))
	}
	if data, err := os.ReadFile("/proc/loadavg"); err == nil {
		parts = append(parts, "load before "+strings.Fields(string(data))[0])
	}
	return strings.Join(parts, ", ")
}
