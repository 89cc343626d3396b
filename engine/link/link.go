// Package link puts the settings of a job into a piece of text short enough
// for the fragment of an address, and reads them back from hostile hands.
//
// Form 1 is "1." followed by base64url (RFC 4648 §5, no padding) of a raw
// DEFLATE stream (RFC 1951) of JSON: an object of the fields that differ from
// their defaults, by path, and of those that a person stated where a sliced
// file would speak otherwise. Fields marked Heavy or Private in the job's table
// are never in it: no artwork, no file name, nothing of a sliced file. Old
// forms stay readable; their vectors are kept in the tests.
package link

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
)

const (
	form = "1."

	// MaxText bounds the text that is read; chats and mail cut longer links
	// anyway, and Encode stays far below.
	MaxText = 16 << 10

	// maxPlain bounds the unpacked JSON, so that a small text cannot unpack
	// into much memory.
	maxPlain = 64 << 10
)

// portable reports whether a field may travel in a link.
func portable(f job.Field) bool { return !f.Heavy && !f.Private }

// Encode returns the text for a job's settings. stated reports which fields the
// job gives itself; nil for none: one that a sliced file may show (job.Field.Read)
// travels even at its default, so that no other file changes it.
func Encode(j job.Job, stated func(path string) bool) (string, error) {
	tree, defaults := j.Tree(), job.Default().Tree()
	changed := map[string]any{}
	for _, f := range job.Fields() {
		v := job.Value(tree, f.Path)
		isStated := f.Read && stated != nil && stated(f.Path)
		if portable(f) && (isStated || !reflect.DeepEqual(v, job.Value(defaults, f.Path))) {
			changed[f.Path] = v
		}
	}
	plain, err := json.Marshal(changed)
	if err != nil {
		return "", err
	}
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := w.Write(plain); err != nil {
		return "", err
	}
	if err := w.Close(); err != nil {
		return "", err
	}
	return form + base64.RawURLEncoding.EncodeToString(packed.Bytes()), nil
}

// Decode reads a link's text over the settings of now: fields that a link may
// carry take the link's value or their default, all others stay. The text may
// be a whole address; what follows its # counts. Anything unfit is refused by
// name with nothing changed.
func Decode(text string, now job.Job) (job.Job, finding.List) {
	changed, problem := unpack(text)
	if problem != nil {
		return now, finding.List{*problem}
	}
	return apply(changed, now)
}

// Stated returns the paths of the fields that a link gives itself, sorted; none
// for a text that is no link.
func Stated(text string) []string {
	changed, _ := unpack(text)
	return slices.Sorted(maps.Keys(changed))
}

// unpack returns the fields of a link as they stand in it, unchecked.
func unpack(text string) (map[string]any, *finding.Finding) {
	refuse := func(code, what, remedy string) (map[string]any, *finding.Finding) {
		return nil, &finding.Finding{Code: code, Level: finding.Stop, Text: what, Remedy: remedy, Place: &finding.Place{File: "link"}}
	}
	if len(text) > MaxText {
		return refuse("link-too-long", fmt.Sprintf("The link has %d characters; at most %d are read.", len(text), MaxText), "Ask for the link again, or for the job file.")
	}
	text = strings.TrimSpace(text)
	if at := strings.LastIndexByte(text, '#'); at >= 0 {
		text = text[at+1:]
	}
	body, ok := strings.CutPrefix(text, form)
	if !ok {
		return refuse("link-version", "This link is of a form that this version does not know, or no link at all.", "Load a newer copy of the page, or ask for the link again.")
	}
	packed, err := base64.RawURLEncoding.DecodeString(body)
	if err != nil {
		return refuse("link-damaged", "The link is damaged: it holds characters that no link has.", "Copy the whole link again.")
	}
	plain, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(packed)), maxPlain+1))
	if err != nil {
		return refuse("link-damaged", "The link is damaged: it cannot be unpacked.", "Copy the whole link again.")
	}
	if len(plain) > maxPlain {
		return refuse("link-bomb", "The link unpacks to more than any settings need; it was not read.", "Do not use this link.")
	}
	var changed map[string]any
	if err := json.Unmarshal(plain, &changed); err != nil || changed == nil {
		return refuse("link-damaged", "The link is damaged: it holds no settings.", "Copy the whole link again.")
	}
	return changed, nil
}

func apply(changed map[string]any, now job.Job) (job.Job, finding.List) {
	tree, defaults := now.Tree(), job.Default().Tree()
	known := map[string]bool{}
	for _, f := range job.Fields() {
		if !portable(f) {
			continue
		}
		known[f.Path] = true
		v, given := changed[f.Path]
		if !given {
			v = job.Value(defaults, f.Path)
		}
		tree[f.Section].(map[string]any)[strings.TrimPrefix(f.Path, f.Section+".")] = v
	}
	var found finding.List
	for _, path := range slices.Sorted(maps.Keys(changed)) {
		if !known[path] {
			found.Add(finding.Finding{Code: "link-unknown-field", Level: finding.Stop,
				Text:   fmt.Sprintf("The link sets %q, which no link may set.", path[:min(len(path), 80)]),
				Remedy: "Do not use this link.", Place: &finding.Place{File: "link"}})
		}
	}
	if len(found) > 0 {
		return now, found
	}
	next, found := job.FromTree(tree)
	if found.Worst() == finding.Stop {
		return now, found
	}
	return next, found
}

// Portable returns the fields of a job that a link may carry, as a tree with a
// section for each.
func Portable(j job.Job) map[string]any {
	tree := j.Tree()
	out := map[string]any{"sheenlay": job.Version}
	for _, f := range job.Fields() {
		if !portable(f) {
			continue
		}
		entries, ok := out[f.Section].(map[string]any)
		if !ok {
			entries = map[string]any{}
			out[f.Section] = entries
		}
		entries[strings.TrimPrefix(f.Path, f.Section+".")] = job.Value(tree, f.Path)
	}
	return out
}
