package gcode

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"

	"sheenlay/engine/finding"
)

// IsGzip reports whether bytes open a gzip file (RFC 1952, §2.3.1: ID1, ID2 and
// the method deflate).
func IsGzip(head []byte) bool {
	return len(head) >= 3 && head[0] == 0x1f && head[1] == 0x8b && head[2] == 8
}

// Inflate reads a whole gzip file and returns its content, at most limit bytes.
// Its errors are findings: not gzip, damaged, or larger than the limit.
func Inflate(r io.Reader, limit int64) ([]byte, error) {
	z, err := gzip.NewReader(r)
	if err != nil {
		return nil, finding.Finding{Code: "gcode-gzip", Level: finding.Stop,
			Text: "The file is called compressed but does not open as gzip.", Remedy: "Choose the sliced file itself."}
	}
	var out bytes.Buffer
	n, err := io.Copy(&out, io.LimitReader(z, limit+1))
	switch {
	case n > limit:
		return nil, finding.Finding{Code: "gcode-gzip-size", Level: finding.Stop, Value: float64(limit), Unit: "bytes",
			Text: "The compressed file holds more than can be read here.", Remedy: "Unpack it and choose the unpacked file."}
	case errors.Is(err, io.ErrUnexpectedEOF):
		return out.Bytes(), finding.Finding{Code: "gcode-gzip-truncated", Level: finding.Stop,
			Text: "The compressed file ends in the middle.", Remedy: "Copy it again; it may not have been written to its end."}
	case err != nil:
		return nil, finding.Finding{Code: "gcode-gzip", Level: finding.Stop,
			Text: "The compressed file is damaged.", Remedy: "Copy it again."}
	}
	return out.Bytes(), nil
}

// sniffed is the number of bytes Sniff looks at.
const sniffed = 64 << 10

// Sniff looks at the first bytes of a file (64 KB of what is given) and says
// why it cannot be a sliced file: empty, compressed, binary, saved in a way that
// no machine reads, without a single command. It returns nil when it may be one.
// whole says that head is all of the file; only then is a file without commands
// refused.
func Sniff(head []byte, whole bool) *finding.Finding {
	stop := func(code, text, remedy string) *finding.Finding {
		return &finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy,
			Place: &finding.Place{File: "piece", Line: 1}}
	}
	const choose = "Choose the sliced file (G-code) of your piece."
	if len(bytes.TrimSpace(head)) == 0 && whole {
		return stop("gcode-empty", "The file is empty.", choose)
	}
	if IsGzip(head) {
		return stop("gcode-compressed", "The file is compressed.", "Unpack it first.")
	}
	whole = whole && len(head) <= sniffed
	head = head[:min(len(head), sniffed)]
	if bytes.HasPrefix(head, []byte("PK\x03\x04")) {
		return stop("gcode-archive", "The file is an archive, not plain G-code.", "Unpack it and choose the G-code inside.")
	}
	if bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff")) {
		return stop("gcode-wide-text", "The file is text of two bytes a character (UTF-16), which machines do not read.",
			"Have it saved as plain text or UTF-8.")
	}
	control := 0
	for _, c := range head {
		if c < 9 || c > 13 && c < 32 && c != 0x1b {
			control++
		}
	}
	if control*50 > len(head) || bytes.IndexByte(head, 0) >= 0 && control*500 > len(head) {
		return stop("gcode-binary", "The file is binary, not text.", choose)
	}
	if bytes.IndexByte(head, '\n') < 0 && bytes.Count(head, []byte("\r")) > 1 {
		return stop("gcode-returns", "The lines of the file end in carriage returns alone, which machines do not read as ends of lines.",
			"Have it saved with line feeds at the ends of its lines.")
	}
	s := NewScanner(head)
	commands, lines, stray := 0, 0, 0
	for s.Next() {
		l := s.Line()
		lines++
		switch {
		case l.Code != 0 || l.Flags&(NamedCommand|HasChecksum) == NamedCommand && l.count == 0 && looksNamed(l):
			commands++
		case l.Trouble&(StrayByte|BadNumber|TooLong) != 0:
			stray++
		}
	}
	switch {
	case commands == 0 && (stray > 0 || lines > 200) && stray*2 >= lines:
		return stop("gcode-not", "The file does not read as G-code.", choose)
	case commands == 0 && whole:
		return stop("gcode-no-commands", "The file holds no commands, only comments or other text.", choose)
	}
	return nil
}

// looksNamed reports whether a word command looks like one rather than like a
// sentence: it has an underscore or an argument KEY=VALUE.
func looksNamed(l *Line) bool {
	return bytes.IndexByte(l.Name, '_') >= 0 || bytes.IndexByte(l.Text, '=') > 0
}
