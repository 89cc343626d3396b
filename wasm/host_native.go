//go:build !js

package main

import (
	"bufio"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/piece"
	"sheenlay/engine/protocol"
)

func main() {
	out := flag.String("out", "", "finished file to write; nothing is written without it")
	report := flag.String("report", "", "file for the report as JSON; - for standard output")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: wasm [-out FILE] [-report FILE] JOB.json")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() != 1 {
		flag.Usage()
		os.Exit(2)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, flag.Arg(0), *out, *report); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// run does one job: it opens the piece, lays the pattern, writes the report
// and, when nothing stops it, the finished file.
func run(ctx context.Context, jobPath, out, reportPath string) error {
	raw, err := os.ReadFile(jobPath)
	if err != nil {
		return err
	}
	work, found := job.Read(raw)
	if found.Worst() == finding.Stop {
		return listed(found)
	}
	if work.Piece.File == "" {
		return finding.Finding{Code: "job-no-piece", Level: finding.Stop, Text: "The job names no sliced file.", Remedy: "Give its name as \"piece\": {\"file\": …}."}
	}
	source := work.Piece.File
	if !filepath.IsAbs(source) {
		source = filepath.Join(filepath.Dir(jobPath), source)
	}
	for _, file := range []string{out, reportPath} {
		if file != "" && (sameFile(source, file) || sameFile(jobPath, file)) {
			return finding.Finding{Code: "save-over-source", Level: finding.Stop, Text: "The output would overwrite the sliced file or the job file.", Remedy: "Give another name with -out or -report."}
		}
	}
	session := protocol.NewSession()
	if err := openPiece(ctx, session, source, work); err != nil {
		return err
	}
	if err := surveyPiece(ctx, session, source, raw); err != nil {
		return err
	}
	answer, buffers, err := ask(ctx, session, "lay", map[string]any{"job": json.RawMessage(raw)})
	if err != nil {
		return err
	}
	if reportPath != "" {
		if err := writeReport(reportPath, answer); err != nil {
			return err
		}
	}
	var made struct {
		OK       bool
		Sentence string
		Findings finding.List
		Whole    struct{ Text string }
		Finished struct{ HeadEnd, TailStart int64 }
	}
	if err := json.Unmarshal(answer, &made); err != nil {
		return err
	}
	fmt.Println(made.Sentence)
	if !made.OK {
		return listed(made.Findings)
	}
	fmt.Println(made.Whole.Text)
	if out == "" {
		return nil
	}
	return splice(source, out, made.Finished.HeadEnd, buffers[0], made.Finished.TailStart)
}

// listed makes one error of all findings that stop.
func listed(found finding.List) error {
	var all []error
	for _, f := range found {
		if f.Level == finding.Stop {
			all = append(all, f)
		}
	}
	return errors.Join(all...)
}

func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

func ask(ctx context.Context, session *protocol.Session, op string, args any) (json.RawMessage, [][]byte, error) {
	raw, err := json.Marshal(map[string]any{"protocol": protocol.Version, "op": op, "args": args})
	if err != nil {
		return nil, nil, err
	}
	reply, buffers := session.Answer(ctx, raw, nil)
	if reply.Error != nil {
		return nil, nil, *reply.Error
	}
	result, err := json.Marshal(reply.Result)
	return result, buffers, err
}

// openSource opens a sliced file, unpacking it when it is packed (RFC 1952).
func openSource(path string) (io.ReadCloser, bool, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, false, err
	}
	buffered := bufio.NewReaderSize(file, 1<<20)
	magic, _ := buffered.Peek(2)
	if len(magic) < 2 || magic[0] != 0x1f || magic[1] != 0x8b {
		return struct {
			io.Reader
			io.Closer
		}{buffered, file}, false, nil
	}
	unpacked, err := gzip.NewReader(buffered)
	if err != nil {
		file.Close()
		return nil, false, fmt.Errorf("%s is packed but cannot be unpacked: %w", path, err)
	}
	return struct {
		io.Reader
		io.Closer
	}{unpacked, file}, true, nil
}

func openPiece(ctx context.Context, session *protocol.Session, path string, work job.Job) error {
	source, packed, err := openSource(path)
	if err != nil {
		return err
	}
	defer source.Close()
	size, err := plainSize(path, packed)
	if err != nil {
		return err
	}
	if work.Piece.SHA256 != "" {
		print, err := fingerprint(path)
		if err != nil {
			return err
		}
		if print != work.Piece.SHA256 {
			return finding.Finding{Code: "piece-changed", Level: finding.Stop, Text: "The sliced file is not the one this job was made for.",
				Remedy: "Give the right file, or take \"sha256\" out of the job.", Place: &finding.Place{File: "piece"}}
		}
	}
	choice := map[string]any{"firstLine": work.Piece.FirstLine, "nextLine": work.Piece.NextLine, "layers": work.Layers.Count}
	if _, _, err := ask(ctx, session, "piece.begin", map[string]any{"name": filepath.Base(path), "size": size, "packed": packed, "choice": choice}); err != nil {
		return err
	}
	if err := feed(ctx, session, protocol.PieceReader, source); err != nil {
		return err
	}
	if err := feedEnd(session, path, size); err != nil {
		return err
	}
	_, _, err = ask(ctx, session, "piece.end", nil)
	return err
}

// surveyPiece follows the file to its end for the machine of the job, so that
// the report knows the whole.
func surveyPiece(ctx context.Context, session *protocol.Session, path string, job json.RawMessage) error {
	source, _, err := openSource(path)
	if err != nil {
		return err
	}
	defer source.Close()
	if _, _, err := ask(ctx, session, "survey.begin", map[string]any{"job": job}); err != nil {
		return err
	}
	if err := feed(ctx, session, protocol.SurveyReader, source); err != nil {
		return err
	}
	_, _, err = ask(ctx, session, "survey.end", nil)
	return err
}

// feed hands a file to one of the session's readers until it wants no more.
func feed(ctx context.Context, session *protocol.Session, reader protocol.Reader, source io.Reader) error {
	chunk := make([]byte, 1<<20)
	for {
		n, err := io.ReadFull(source, chunk)
		if n > 0 && !session.Feed(reader, chunk[:n]) {
			return nil
		}
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			return nil
		}
		if err != nil {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
}

// feedEnd hands over the last bytes of a file, where its settings may stand.
func feedEnd(session *protocol.Session, path string, size int64) error {
	source, _, err := openSource(path)
	if err != nil {
		return err
	}
	defer source.Close()
	if _, err := io.CopyN(io.Discard, source, max(0, size-piece.EndBytes)); err != nil {
		return err
	}
	end, err := io.ReadAll(io.LimitReader(source, piece.EndBytes))
	session.Feed(protocol.EndReader, end)
	return err
}

// plainSize returns the size of the file unpacked.
func plainSize(path string, packed bool) (int64, error) {
	if !packed {
		info, err := os.Stat(path)
		if err != nil {
			return 0, err
		}
		return info.Size(), nil
	}
	source, _, err := openSource(path)
	if err != nil {
		return 0, err
	}
	defer source.Close()
	return io.Copy(io.Discard, source)
}

func writeReport(path string, answer json.RawMessage) error {
	var tree any
	if err := json.Unmarshal(answer, &tree); err != nil {
		return err
	}
	text, err := json.MarshalIndent(tree, "", "  ")
	if err != nil {
		return err
	}
	text = append(text, '\n')
	if path == "-" {
		_, err = os.Stdout.Write(text)
		return err
	}
	return os.WriteFile(path, text, 0o644)
}

// splice writes head, block and tail to a file beside out and renames it at
// the end, so that no half-written file ever stands under the name.
func splice(source, out string, headEnd int64, block []byte, tailStart int64) (err error) {
	in, _, err := openSource(source)
	if err != nil {
		return err
	}
	defer in.Close()
	part, err := os.CreateTemp(filepath.Dir(out), ".sheenlay-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			part.Close()
			os.Remove(part.Name())
		}
	}()
	if _, err = io.CopyN(part, in, headEnd); err != nil {
		return err
	}
	if _, err = part.Write(block); err != nil {
		return err
	}
	if _, err = io.CopyN(io.Discard, in, tailStart-headEnd); err != nil {
		return err
	}
	if _, err = io.Copy(part, in); err != nil {
		return err
	}
	if err = part.Chmod(0o644); err != nil {
		return err
	}
	if err = part.Close(); err != nil {
		return err
	}
	return os.Rename(part.Name(), out)
}
