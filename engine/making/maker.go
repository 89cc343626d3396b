package making

import (
	"encoding/json"
	"hash/fnv"
	"slices"

	"sheenlay/engine/coverage"
	"sheenlay/engine/finding"
	"sheenlay/engine/piece"
)

// Maker does jobs on a piece one after another and keeps what the next one can
// begin with: the faces, the beads, the coverage of the last job. Each stands
// under a fingerprint of everything that it was made from, so a job's answer
// never depends on the jobs before it. The zero value is ready; it is not safe
// for concurrent use.
type Maker struct {
	piece    *piece.Piece
	faces    memory
	beads    [2]memory // whole and coarse: a drag of previews keeps the whole one
	coverage map[int]coverage.Result
	counted  fingerprint // what the coverage was counted from
}

// memory is a stage's result: the layers after it and what it found.
type memory struct {
	held     bool
	key      fingerprint
	layers   []Layer
	findings finding.List
}

// fingerprint tells the person's own jobs apart, so it need not withstand an
// attack: the hashes that do would add 66 kB to the saved copy.
type fingerprint [16]byte

// about forgets everything when another piece is worked on.
func (k *Maker) about(p *piece.Piece) {
	if k.piece != p {
		*k = Maker{piece: p}
	}
}

// printOf returns the fingerprint of values that hold no functions, cycles or
// NaN; the second result is false for others, which are then made anew.
func printOf(values ...any) (fingerprint, bool) {
	raw, err := json.Marshal(values)
	sum := fnv.New128a()
	sum.Write(raw)
	return fingerprint(sum.Sum(nil)), err == nil
}

// recall brings a stage's result back, or makes it and remembers it.
func (w *work) recall(m *memory, key fingerprint, known bool, stage func() error) error {
	if known && m.held && m.key == key {
		w.Layers = slices.Clone(m.layers)
		w.Findings = append(w.Findings, m.findings...)
		return nil
	}
	before := len(w.Findings)
	if err := stage(); err != nil {
		return err
	}
	if known && w.ctx.Err() == nil {
		*m = memory{true, key, slices.Clone(w.Layers), slices.Clone(w.Findings[before:])}
	}
	return nil
}

// ofFaces is all of the job that the faces depend on.
func (w *work) ofFaces() []any {
	j := w.Job
	return []any{j.Piece.Islands, j.Piece.Classes, j.Keep, j.Layers.Count}
}

// ofBeads is all of the job that the beads depend on: the faces, the artwork,
// the line, and where the prime line leads in.
func (w *work) ofBeads() []any {
	j := w.Job
	m := j.Machine
	all := append(w.ofFaces(), j.Art, j.Placement, j.Layers, w.Line.WidthMM, w.Line.HeightMM, w.Line.MinMM, w.Line.MaxMM, m.NozzleMM,
		j.Prime, m.BedShape, m.Origin, m.OriginXMM, m.OriginYMM, m.BedWidthMM, m.BedDepthMM, m.BedDiameterMM, m.KeepOut, w.Coarse)
	if j.Art.Kind == "trial" {
		all = append(all, j.Bead, w.limits())
	}
	return all
}

func (w *work) sharedFaces() error {
	key, known := printOf(w.ofFaces()...)
	return w.recall(&w.maker.faces, key, known, w.faces)
}

func (w *work) sharedBeads() error {
	key, known := printOf(w.ofBeads()...)
	m := &w.maker.beads[0]
	if w.Coarse {
		m = &w.maker.beads[1]
	}
	return w.recall(m, key, known, func() error {
		if err := w.artworks(); err != nil {
			return err
		}
		return w.fill()
	})
}

// measured counts the coverage of a layer, or recalls it.
func (w *work) measured(layer int, c coverage.Job) (coverage.Result, error) {
	key, known := printOf(append(w.ofBeads(), w.Job.Machine.SmallestStepMM)...)
	k := w.maker
	if k.counted != key || !known {
		k.counted, k.coverage = key, map[int]coverage.Result{}
	}
	if held, ok := k.coverage[layer]; ok {
		return held, nil
	}
	result := coverage.Measure(w.ctx, c)
	if err := w.ctx.Err(); err != nil {
		return coverage.Result{}, err
	}
	k.coverage[layer] = result
	return result, nil
}
