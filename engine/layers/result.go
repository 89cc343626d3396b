package layers

import (
	"bytes"
	"sort"

	"sheenlay/engine/finding"
)

// Boundary is where a layer starts.
type Boundary struct {
	Line     int     // from 1
	Offset   int64   // byte offset of the line
	Z        float64 // machine Z at which the layer's material is laid, mm
	HeightMM float64 // Z minus that of the layer below, or the bed
	Text     string  // the marker, where one starts the layer
}

// Evidence is one reason for the answer, with its weight: positive for,
// negative against.
type Evidence struct {
	Text   string
	Weight float64
}

// Candidate is a line at which a layer may start, for a person to choose from.
type Candidate struct {
	Line          int
	Offset        int64
	Z             float64 // Z of the next material, mm
	Reads         string  // what speaks for it
	Text          string  // the line
	Before, After []string
}

// Result says where the first layers of a file start.
type Result struct {
	// Layers are the boundaries known, the first layer first. With at least two
	// the first layer's block is [Layers[0].Offset, Layers[1].Offset).
	Layers []Boundary
	// LastEnds says that the last of Layers is no layer but the place where the
	// material ends: the file has no layer there.
	LastEnds bool

	Why        []Evidence
	Confidence float64   // 0..1
	RunnerUp   *Evidence // the best other reading, if there was one

	NeedsChoice bool // nothing is certain enough: ask, with Candidates
	Candidates  []Candidate

	Marker   string // normal form of the lines that start layers, "" where Z alone does
	Sample   string // such a line as written
	Progress bool   // Marker is a command's text, not a comment
	From     int    // number of the first layer by its marker, 0 without numbers

	anchor   byte   // the comment's mark, or the first byte of a command
	prefix   string // bytes that all marker texts open with after the anchor
	numberAt int    // which number of the marker counts; -1 for none
	unmarked bool   // the first layer starts without a marker
	ends     bool   // markers end layers

	LinesRead int
	BytesRead int64
	Findings  finding.List
}

// neighbours is the number of lines shown on either side of a candidate.
const neighbours = 3

// Quote fills in the text of the candidates and their neighbours from the
// bytes of the file's head, as far as they reach.
func (r *Result) Quote(head []byte) {
	for i := range r.Candidates {
		c := &r.Candidates[i]
		at := int(c.Offset)
		if at >= len(head) {
			continue
		}
		c.Text = lineAt(head, at)
		c.Before, c.After = nil, nil
		for back := at; len(c.Before) < neighbours && back > 0; {
			back = 1 + bytes.LastIndexByte(head[:back-1], '\n')
			c.Before = append([]string{lineAt(head, back)}, c.Before...)
		}
		for next := at; len(c.After) < neighbours; {
			end := bytes.IndexByte(head[next:], '\n')
			if end < 0 || next+end+1 >= len(head) {
				break
			}
			next += end + 1
			c.After = append(c.After, lineAt(head, next))
		}
	}
}

// maxShown is the longest part of a line that is shown, bytes.
const maxShown = 100

func lineAt(head []byte, at int) string {
	line := head[at:]
	if end := bytes.IndexByte(line, '\n'); end >= 0 {
		line = line[:end]
	}
	line = bytes.TrimRight(line, "\r")
	if len(line) > maxShown {
		line = line[:maxShown]
	}
	return string(bytes.ToValidUTF8(line, []byte("·")))
}

func (r *Result) add(code string, level finding.Level, b Boundary, text, remedy string) {
	r.Findings.Add(finding.Finding{Code: code, Level: level, Text: text, Remedy: remedy,
		Place: &finding.Place{File: "piece", Line: b.Line, Offset: b.Offset}})
}

func (r *Result) because(weight float64, text string) {
	r.Why = append(r.Why, Evidence{text, weight})
}

func sortCandidates(list []Candidate) {
	sort.SliceStable(list, func(i, j int) bool { return list[i].Line < list[j].Line })
}
