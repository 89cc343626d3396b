package protocol

import (
	"bytes"
	"encoding/json"
	"strconv"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/light"
	"sheenlay/engine/making"
	"sheenlay/engine/motion"
	"sheenlay/engine/piece"
)

// Reader names what fed bytes are for.
type Reader int32

// The readers of a sliced file.
const (
	PieceReader  Reader = 0 // the bottom layers, from the first byte until enough is known
	SurveyReader Reader = 1 // the whole file
	EndReader    Reader = 2 // the last piece.EndBytes of the file, in one go, before "piece.end"; may be left out
)

// Session is what the engine remembers between requests: the piece, the last
// job done on it, and pictures made from it.
type Session struct {
	reader  *piece.Reader
	piece   *piece.Piece
	survey  *piece.Survey
	whole   *piece.Surveyed // what the last finished survey of this piece found
	before  *piece.Surveyed // the same of the file being read, as the host kept it
	machine *motion.Limits  // of the job asked for last
	made    *making.Made
	maker   making.Maker
	light   *light.Map
	lightN  int // longer side that the map was asked for with
}

// NewSession returns a session without a piece.
func NewSession() *Session { return &Session{} }

// Feed takes bytes of the sliced file for a reader begun before, and reports
// whether it wants more. The slice is not kept. A fault ends the reader's work;
// the request that ends the reading then reports it.
func (s *Session) Feed(reader Reader, data []byte) (more bool) {
	defer func() {
		if fault := recover(); fault != nil {
			s.reader, s.survey, more = nil, nil, false
		}
	}()
	switch {
	case reader == PieceReader && s.reader != nil:
		return s.reader.Feed(data)
	case reader == SurveyReader && s.survey != nil:
		return s.survey.Feed(data)
	case reader == EndReader && s.reader != nil:
		s.reader.FeedEnd(data)
	}
	return false
}

func (s *Session) needPiece() error {
	if s.piece == nil {
		return finding.Finding{Code: "no-piece", Level: finding.Stop, Text: "No sliced file is open.", Remedy: "Open one first."}
	}
	return nil
}

// take reads a request's arguments into v.
func take(args json.RawMessage, v any) error {
	if err := json.Unmarshal(args, v); err != nil {
		return finding.Finding{Code: "protocol-arguments", Level: finding.Stop, Text: "The request's arguments cannot be read: " + err.Error(), Remedy: "Load the page again."}
	}
	return nil
}

// readJob reads a job from a request; findings that stop come back as the
// error of the first, so that the page can point at the field.
func readJob(raw json.RawMessage) (job.Job, finding.List, error) {
	return usable(job.Read(bytes.TrimSpace(raw)))
}

// usable returns the first finding that stops as the error.
func usable(j job.Job, found finding.List) (job.Job, finding.List, error) {
	for _, f := range found {
		if f.Level == finding.Stop {
			return job.Job{}, found, f
		}
	}
	return j, found, nil
}

// asTheFile are the fields whose default already means "as in the sliced file",
// and more exactly than the figure that stands for it.
var asTheFile = []string{"bead.widthMM", "bead.heightMM", "machine.retractBy"}

// readJob reads a job for the open piece: what the job leaves out and the sliced
// file shows stands as it was read.
func (s *Session) readJob(raw json.RawMessage) (job.Job, finding.List, error) {
	read := map[string]any{}
	if s.piece != nil {
		read, _ = readings(s.piece)
		for _, path := range asTheFile {
			delete(read, path)
		}
	}
	return usable(job.ReadOn(bytes.TrimSpace(raw), read))
}

func itoa(n int) string { return strconv.Itoa(n) }
