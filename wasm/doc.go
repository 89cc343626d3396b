// Command wasm is the engine's host. Built for js/wasm it is the worker's
// engine; built natively it runs a job file from the command line:
//
//	go run ./wasm [-out FILE] [-report FILE] JOB.json
//
// Both speak the protocol of sheenlay/engine/protocol; neither adds anything
// to it.
package main
