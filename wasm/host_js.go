//go:build js && wasm

package main

import (
	"context"
	"encoding/json"
	"syscall/js"
	"unsafe"

	"sheenlay/engine/finding"
	"sheenlay/engine/protocol"
	"sheenlay/wasm/quickprint"
)

// The worker writes bytes straight into wasm memory at an address given here
// and passes numbers only: a js.Value per chunk would pin every chunk until
// the collector happens to run.
var (
	inbox   []byte   // what the worker writes before a call
	outbox  []byte   // JSON of the last answer
	buffers [][]byte // bulk bytes of the last answer
	session = protocol.NewSession()
)

func main() { select {} }

// room returns the address of a buffer of at least n bytes for the worker to
// write into; it stays valid until the next call of room.
//
//go:wasmexport room
func room(n int32) int32 {
	if int(n) > len(inbox) {
		inbox = make([]byte, n)
	}
	if n == 0 {
		return 0
	}
	return address(inbox)
}

// feed hands the first n bytes of the buffer to one of the readers of the
// sliced file (0 the piece, 1 the survey of the whole file, 2 the end of the
// file) and reports 1 when it wants more, 0 when it has enough.
//
//go:wasmexport feed
func feed(n, reader int32) int32 {
	if session.Feed(protocol.Reader(reader), inbox[:n]) {
		return 1
	}
	return 0
}

// quickPrint returns the print of the first n bytes of the buffer, by which the
// worker tells whether a file is still the one that was read.
//
//go:wasmexport quickprint
func quickPrint(n int32) int64 { return int64(quickprint.Of(inbox[:n])) }

// stopped reports 1 when the page gave up the call that is being answered. The
// worker reads it out of memory that it shares with the page: no message
// reaches it while the engine works.
//
//go:wasmimport host stopped
func stopped() int32

// given is the context of a call: over as soon as the page gives the call up.
type given struct{ context.Context }

func (given) Err() error {
	if stopped() != 0 {
		return context.Canceled
	}
	return nil
}

// call answers the request whose JSON stands in the first n bytes of the
// buffer and returns the length of the answer.
//
//go:wasmexport call
func call(n int32) int32 {
	progress := func(stage string, share float64) {
		js.Global().Call("engineProgress", stage, share)
	}
	outbox, buffers = answer(inbox[:n], progress)
	return int32(len(outbox))
}

//go:wasmexport answerAt
func answerAt() int32 { return address(outbox) }

//go:wasmexport bufferCount
func bufferCount() int32 { return int32(len(buffers)) }

//go:wasmexport bufferAt
func bufferAt(i int32) int32 { return address(buffers[i]) }

//go:wasmexport bufferLength
func bufferLength(i int32) int32 { return int32(len(buffers[i])) }

// release drops the answer so that its memory can be collected.
//
//go:wasmexport release
func release() { outbox, buffers = nil, nil }

func address(b []byte) int32 {
	if len(b) == 0 {
		return 0
	}
	return int32(uintptr(unsafe.Pointer(unsafe.SliceData(b))))
}

func answer(request []byte, progress func(string, float64)) ([]byte, [][]byte) {
	reply, bulk := session.Answer(given{context.Background()}, request, progress)
	raw, err := json.Marshal(reply)
	if err != nil {
		raw, _ = json.Marshal(protocol.Reply{Error: &finding.Finding{Code: "engine-answer", Level: finding.Stop,
			Text: "The engine's answer could not be written: " + err.Error()}})
		bulk = nil
	}
	return raw, bulk
}
