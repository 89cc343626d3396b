# Sheenlay. `make serve` and `make test` are all a newcomer needs.

GO       ?= go
ADDR     ?= localhost:8377
FUZZTIME ?= 10m
# Leaves the typesetting fonts of the canvas library out of the binary.
TAGS     := -tags=latex
PACKAGES := ./engine/... ./wasm/... ./site/...
WASMEXEC  = $(shell $(GO) env GOROOT)/lib/wasm/go_js_wasm_exec
NPM      := npm --no-fund --no-audit --loglevel=error

.PHONY: build serve test test-long check test-go test-wasm test-page bench fuzz fuzz-join figures clean

build:
	$(GO) run $(TAGS) ./site/build -out dist

serve: build
	$(GO) run ./site/serve -addr $(ADDR)

# Ordered so that a failure shows early.
test: check test-go build test-wasm test-page

check:
	@test -z "$$(gofmt -l engine wasm site)" || { echo "gofmt wants to change:"; gofmt -l engine wasm site; exit 1; }
	$(GO) vet $(TAGS) $(PACKAGES)
	GOOS=js GOARCH=wasm $(GO) vet $(TAGS) ./wasm/...
	$(GO) mod tidy -diff
	sh site/test/forbidden.sh

test-go:
	$(GO) test $(TAGS) $(PACKAGES)

# The same tests as the browser's engine would run them. -short leaves out the
# long property loops, which test-go has just run.
test-wasm:
	GOOS=js GOARCH=wasm $(GO) test $(TAGS) -short -exec=$(WASMEXEC) ./engine/...

# The real page in Chromium and Firefox. Browsers and packages that are missing
# are installed with the ordinary clients; where that cannot be done the tests
# are skipped and say so, which with CI=true is a failure.
test-page: build
	sh site/test/run.sh

test-long: build
	SHEENLAY_LONG=1 sh site/test/run.sh

bench:
	$(GO) test $(TAGS) -run='^$$' -bench=. -benchmem ./engine/...

fuzz:
	FUZZTIME=$(FUZZTIME) sh site/test/fuzz.sh

fuzz-join:
	$(GO) test $(TAGS) ./engine/join -run Adversarial -count=1 -timeout=60m -v -join.n=10000

# Measures and writes the tables in site/docs.
figures:
	$(GO) run $(TAGS) ./site/figures

clean:
	rm -rf dist
