// Package protocol answers requests by name. It is the only door into the
// engine: the browser's worker and the native host both come through it, so
// the page can do nothing that a job file cannot.
//
// A request is JSON {"protocol":1, "op":NAME, "args":{…}}; a reply is JSON
// {"result":{…}} or {"error":FINDING}, with any number of byte buffers beside
// it. Requests are answered one after another; a session is not safe for
// concurrent use.
package protocol

import (
	"context"
	"encoding/json"
	"fmt"
	"runtime/debug"

	"sheenlay/engine/finding"
)

// Version of the protocol. A host that asks for another one is refused.
const Version = 1

// Request is what a host sends.
type Request struct {
	Protocol int             `json:"protocol"`
	Op       string          `json:"op"`
	Args     json.RawMessage `json:"args"`
}

// Reply is what comes back: exactly one of the two is set.
type Reply struct {
	Result any              `json:"result,omitempty"`
	Error  *finding.Finding `json:"error,omitempty"`
}

// Progress is told the stage in words and its share done, 0 to 1.
type Progress func(stage string, share float64)

// handler answers one operation.
type handler func(s *Session, ctx context.Context, args json.RawMessage, progress Progress) (any, [][]byte, error)

// Answer answers one request. It never panics: a fault of the engine comes
// back as a finding that says so, and the session stays as it was before.
func (s *Session) Answer(ctx context.Context, raw []byte, progress Progress) (reply Reply, buffers [][]byte) {
	defer func() {
		if fault := recover(); fault != nil {
			reply, buffers = Reply{Error: faultFinding(fault)}, nil
		}
	}()
	var request Request
	if err := json.Unmarshal(raw, &request); err != nil {
		return refuse("protocol-unreadable", "The request cannot be read: "+err.Error(), "This is a fault of the page; load it again.")
	}
	if request.Protocol != Version {
		return refuse("protocol-version", fmt.Sprintf("Page and engine speak different versions (%d and %d).", request.Protocol, Version), "Load the page again.")
	}
	handle, ok := handlers[request.Op]
	if !ok {
		return refuse("protocol-unknown", fmt.Sprintf("The engine knows no operation %q.", request.Op), "Load the page again.")
	}
	if progress == nil {
		progress = func(string, float64) {}
	}
	if len(request.Args) == 0 {
		request.Args = json.RawMessage("{}")
	}
	result, buffers, err := handle(s, ctx, request.Args, progress)
	if err != nil {
		return Reply{Error: asFinding(err)}, nil
	}
	return Reply{Result: result}, buffers
}

func refuse(code, text, remedy string) (Reply, [][]byte) {
	return Reply{Error: &finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy}}, nil
}

func asFinding(err error) *finding.Finding {
	if f, ok := err.(finding.Finding); ok {
		return &f
	}
	if f, ok := err.(*finding.Finding); ok {
		return f
	}
	return &finding.Finding{Code: "engine-error", Level: finding.Stop, Text: err.Error(), Remedy: "Change the setting that led here, or report it with a copy of the job."}
}

func faultFinding(fault any) *finding.Finding {
	return &finding.Finding{Code: "engine-fault", Level: finding.Stop,
		Text:   fmt.Sprintf("The engine met a fault of its own: %v. Nothing was written.", fault),
		Remedy: "Change the setting that led here, or report it with a copy of the job.",
		Quote:  string(debug.Stack())}
}
