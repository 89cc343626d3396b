package protocol

import (
	"context"
	"encoding/json"
	"slices"

	"sheenlay/engine/drawing"
	"sheenlay/engine/finding"
	"sheenlay/engine/generators"
	"sheenlay/engine/job"
	"sheenlay/engine/light"
	"sheenlay/engine/link"
	"sheenlay/engine/machine"
	"sheenlay/engine/making"
	"sheenlay/engine/piece"
	"sheenlay/engine/specimen"
)

// handlers is every operation by name.
var handlers = map[string]handler{
	"hello":        hello,
	"sample":       sample,
	"piece.begin":  pieceBegin,
	"piece.end":    pieceEnd,
	"survey.begin": surveyBegin,
	"survey.end":   surveyEnd,
	"job.check":    jobCheck,
	"lay":          lay,
	"view":         look,
	"thumb":        thumb,
	"sheet":        printSheet,
	"trial.key":    trialKey,
	"trial.use":    trialUse,
	"drawing.read": drawingRead,
	"link.encode":  linkEncode,
	"link.decode":  linkDecode,
	"preset.read":  presetRead,
}

// sampleEntry is one of the files that come with the page.
type sampleEntry struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	File  string `json:"file"`
	About string `json:"about"`
}

// hello tells what this engine knows: everything the page builds itself from.
func hello(*Session, context.Context, json.RawMessage, Progress) (any, [][]byte, error) {
	var samples []sampleEntry
	for _, s := range specimen.Samples() {
		samples = append(samples, sampleEntry{s.ID, s.Title, s.ID + ".gcode", s.About})
	}
	return map[string]any{
		"protocol": Version, "job": job.Version,
		"fields": job.Fields(), "generators": generators.All(), "presets": machine.Presets(),
		"machineFields": machine.Fields(), "samples": samples, "surfaces": light.Surfaces(), "figures": Figures(), "cautions": Cautions,
	}, nil, nil
}

// sample returns the bytes of a file that comes with the page.
func sample(_ *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct{ ID string }
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	for _, s := range specimen.Samples() {
		if s.ID == a.ID {
			return map[string]any{"name": s.ID + ".gcode"}, [][]byte{specimen.Make(s.Options).Bytes}, nil
		}
	}
	return nil, nil, finding.Finding{Code: "sample-unknown", Level: finding.Stop, Text: "There is no sample of that name."}
}

func pieceBegin(s *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct {
		Name   string
		Size   int64
		Packed bool
		Choice *struct{ FirstLine, NextLine, Layers int }
		Whole  *piece.Surveyed // what a survey of this very file found before
	}
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	o := piece.Options{Name: a.Name, Size: a.Size, Packed: a.Packed, Layers: layersAtOnce}
	if a.Choice != nil {
		o.FirstLine, o.NextLine = a.Choice.FirstLine, a.Choice.NextLine
		o.Layers = max(o.Layers, min(a.Choice.Layers, mostLayers))
	}
	s.reader, s.before = piece.NewReader(o), nil
	if a.Whole != nil && a.Whole.Bytes == a.Size {
		s.before = a.Whole
	}
	return struct{}{}, nil, nil
}

// Layers read when a file is opened, and at most when a job asks for more.
const (
	layersAtOnce = 3
	mostLayers   = 12
)

func pieceEnd(s *Session, ctx context.Context, _ json.RawMessage, _ Progress) (any, [][]byte, error) {
	if s.reader == nil {
		return nil, nil, finding.Finding{Code: "piece-not-begun", Level: finding.Stop, Text: "The sliced file could not be read.", Remedy: "Open it again."}
	}
	p := s.reader.Finish(ctx)
	s.reader = nil
	if f := unusable(p); f != nil {
		return nil, nil, *f // the piece open before stays
	}
	s.piece, s.made, s.light, s.survey, s.whole, s.before = p, nil, nil, nil, s.before, nil
	return pieceReport(p), nil, nil
}

// unusable returns the finding that keeps a file from being a piece at all. A
// file whose boundaries want a person's choice is not unusable.
func unusable(p *piece.Piece) *finding.Finding {
	if p.Found.NeedsChoice && len(p.Found.Candidates) > 0 || p.Settled() {
		return nil
	}
	for i := range p.Findings {
		if p.Findings[i].Level == finding.Stop {
			return &p.Findings[i]
		}
	}
	return &finding.Finding{Code: "piece-no-layer", Level: finding.Stop, Text: "No first layer could be found in this file.",
		Remedy: "Open the file that your slicing program wrote.", Place: &finding.Place{File: "piece"}}
}

// surveyBegin begins to read the whole file; skim leaves its moves aside. Times
// are for the machine of the job named, else for that of the job laid last.
func surveyBegin(s *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct {
		Skim bool
		Job  json.RawMessage
	}
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	if err := s.needPiece(); err != nil {
		return nil, nil, err
	}
	limits, err := s.surveyMachine(a.Job)
	if err != nil {
		return nil, nil, err
	}
	s.survey = piece.NewSurvey(s.piece, limits)
	if a.Skim {
		s.survey = piece.NewSkim(s.piece)
	}
	return struct{}{}, nil, nil
}

func surveyEnd(s *Session, _ context.Context, _ json.RawMessage, _ Progress) (any, [][]byte, error) {
	if s.survey == nil {
		return nil, nil, finding.Finding{Code: "survey-not-begun", Level: finding.Stop, Text: "The file could not be read to its end.", Remedy: "Open it again."}
	}
	result := s.survey.Finish()
	s.survey = nil
	if s.whole == nil || result.Timed {
		s.whole = &result
	}
	return surveyed{result, s.completed()}, nil, nil
}

func jobCheck(_ *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct{ Job json.RawMessage }
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	j, found := job.Read(a.Job)
	answer := map[string]any{"findings": listed(found)}
	if found.Worst() != finding.Stop {
		answer["job"] = j
	}
	return answer, nil, nil
}

func lay(s *Session, ctx context.Context, args json.RawMessage, progress Progress) (any, [][]byte, error) {
	var a struct {
		Job    json.RawMessage
		Coarse bool
	}
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	if err := s.needPiece(); err != nil {
		return nil, nil, err
	}
	j, found, err := s.readJob(a.Job)
	if err != nil {
		return nil, nil, err
	}
	limits := j.Machine.MotionLimits()
	s.machine = &limits
	made, err := s.maker.Make(ctx, s.piece, j, a.Coarse, making.Progress(progress))
	if err != nil {
		return nil, nil, err
	}
	made.Findings = append(found, made.Findings...)
	made.Findings = append(made.Findings, s.ofTheWhole(made)...)
	s.made, s.light = made, nil
	report := layReport(s.piece, made, s.totals(made))
	if whole := s.wholeOf(made); whole != nil {
		report["whole"] = whole
	}
	if !made.OK() {
		return report, nil, nil
	}
	return report, [][]byte{made.Block}, nil
}

func drawingRead(_ *Session, ctx context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct {
		SVG       string
		MMPerUnit float64
	}
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	d := drawing.Read(ctx, []byte(a.SVG), drawing.Options{MMPerUserUnit: a.MMPerUnit})
	for _, f := range d.Findings {
		if f.Level == finding.Stop {
			return nil, nil, f
		}
	}
	box := d.Bounds()
	size := [2]float64{}
	if !box.Empty() {
		size = [2]float64{box.Size().X, box.Size().Y}
	}
	return map[string]any{"lines": len(d.Lines), "shapes": len(d.Shapes), "sizeMM": size, "unit": d.Unit, "findings": listed(d.Findings)}, nil, nil
}

func linkEncode(_ *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct{ Job json.RawMessage }
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	j, _, err := readJob(a.Job)
	if err != nil {
		return nil, nil, err
	}
	var given map[string]any
	_ = json.Unmarshal(a.Job, &given) // readJob has read it already
	text, err := link.Encode(j, func(path string) bool { return job.Value(given, path) != nil })
	if err != nil {
		return nil, nil, err
	}
	return map[string]any{"text": text}, nil, nil
}

// linkDecode answers with the settings that a link would set and, when the job
// of now is given, with the fields that would change.
func linkDecode(_ *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct {
		Text string
		Job  json.RawMessage
	}
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	now := job.Default()
	if len(a.Job) > 0 && string(a.Job) != "null" {
		var err error
		if now, _, err = readJob(a.Job); err != nil {
			return nil, nil, err
		}
	}
	next, found := link.Decode(a.Text, now)
	for _, f := range found {
		if f.Level == finding.Stop {
			return nil, nil, f
		}
	}
	return map[string]any{"job": link.Portable(next), "changes": linkChanges(now, next, link.Stated(a.Text)), "findings": listed(found)}, nil, nil
}

// linkChanges lists the fields in which two jobs differ, and those that a link
// states where a sliced file would speak otherwise.
func linkChanges(now, next job.Job, stated []string) []job.Change {
	changes, tree := job.Changes(now, next), next.Tree()
	for _, f := range job.Fields() {
		isListed := slices.ContainsFunc(changes, func(c job.Change) bool { return c.Path == f.Path })
		if f.Read && !isListed && slices.Contains(stated, f.Path) {
			v := job.Value(tree, f.Path)
			changes = append(changes, job.Change{Path: f.Path, Label: f.Label, Unit: f.Unit, From: v, To: v})
		}
	}
	return changes
}

func presetRead(_ *Session, _ context.Context, args json.RawMessage, _ Progress) (any, [][]byte, error) {
	var a struct{ Text string }
	if err := take(args, &a); err != nil {
		return nil, nil, err
	}
	list, found := machine.ReadPresets([]byte(a.Text))
	return map[string]any{"presets": list, "findings": listed(found)}, nil, nil
}

// listed makes an empty list of none: the page expects a list.
func listed(found finding.List) finding.List {
	if found == nil {
		return finding.List{}
	}
	return found
}
