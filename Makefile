# Sheenlay. `make serve` and `make test` are all a newcomer needs.

GO       ?= go
ADDR     ?= localhost:8377
FUZZTIME ?= 10m
BENCH    ?= .
BENCHCOUNT ?= 1
BENCHPACKAGES ?= ./engine/...
PACKAGES := ./engine/... ./wasm/... ./site/...
WASMEXEC  = $(shell $(GO) env GOROOT)/lib/wasm/go_js_wasm_exec
NPM      := npm --no-fund --no-audit --loglevel=error

.PHONY: build serve test test-long check test-go test-wasm test-page bench lint outside fuzz fuzz-join figures clean

build:
	$(GO) run ./site/build -out dist

serve: build
	$(GO) run ./site/serve -addr $(ADDR)

# Ordered so that a failure shows early.
test: check test-go build test-wasm test-page

check:
	@test -z "$$(gofmt -l engine wasm site)" || { echo "gofmt wants to change:"; gofmt -l engine wasm site; exit 1; }
	$(GO) vet $(PACKAGES)
	GOOS=js GOARCH=wasm $(GO) vet ./wasm/...
	$(GO) mod tidy -diff
	sh site/test/forbidden.sh
	sh site/test/check-links.sh

# The libraries that the engine is compared with come from npm; without them those
# comparisons are skipped and say so, which with CI=true is a failure.
test-go:
	cd site/test && { [ -d node_modules/clipper2-wasm ] || $(NPM) ci; } || echo "The npm packages could not be installed."
	$(GO) test $(PACKAGES)

# The same tests as the browser's engine would run them. -short leaves out the
# long property loops, which test-go has just run.
test-wasm:
	GOOS=js GOARCH=wasm $(GO) test -short -exec=$(WASMEXEC) ./engine/...

# The real page in Chromium and Firefox. Browsers and packages that are missing
# are installed with the ordinary clients; where that cannot be done the tests
# are skipped and say so, which with CI=true is a failure.
test-page: build
	sh site/test/run.sh

# What takes too long for every day: a file of 1 GiB, 200 cancels, an audit of the
# page. Writes site/docs/figures-browser.md.
test-long: build
	SHEENLAY_LONG=1 sh site/test/run.sh

# Ready for benchstat: BENCHCOUNT=10 gives it the runs it needs to tell a change
# from chance, BENCH and BENCHPACKAGES choose what is run, as in
#   make -s bench BENCHCOUNT=10 BENCH=Offset BENCHPACKAGES=./engine/overlay > new.txt
#   benchstat old.txt new.txt
bench:
	@$(GO) test -run='^$$' -bench='$(BENCH)' -count=$(BENCHCOUNT) -benchmem $(BENCHPACKAGES)

# A linter, apart from check because it asks the module proxy for itself.
lint:
	$(GO) run honnef.co/go/tools/cmd/staticcheck@v0.7.0 $(PACKAGES)

# The comparisons with outside libraries and the lattice, at full length; writes
# the measured rows into site/docs/outside-checks.md.
outside:
	$(GO) test ./engine/outside -count=1 -timeout=60m -outside.scale=10 -lattice.cases=10000 -outside.page=$(CURDIR)/site/docs/outside-checks.md

fuzz:
	FUZZTIME=$(FUZZTIME) sh site/test/fuzz.sh

fuzz-join:
	$(GO) test ./engine/join -run Adversarial -count=1 -timeout=60m -v -join.n=10000

# Measures and writes site/docs/figures.md: coverage, and every stage beside wasm,
# plain copies and general libraries. Wants a quiet machine, node, and the
# packages of site/test.
figures:
	cd site/test && { [ -d node_modules/clipper2-wasm ] || $(NPM) ci; }
	$(GO) run ./site/figures

clean:
	rm -rf dist
