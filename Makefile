# Rigloupe. `make run` shows it, `make test` proves it; both set up what they need.
SHELL := /bin/bash
.DELETE_ON_ERROR:

export CGO_ENABLED := 0

GO      ?= go
DIST    := site/dist
WASM    := GOOS=js GOARCH=wasm $(GO) build -trimpath -ldflags='-s -w'
WASMRUN := GOOS=js GOARCH=wasm $(GO) test -exec "$(CURDIR)/site/wasmexec"
CHECKED := honnef.co/go/tools/cmd/staticcheck@v0.7.0
NPM     := site/node_modules/.package-lock.json

.PHONY: all site cli run serve test lint format unit wasmtest page e2e shots bench bench-compare checks types notices golden mutate fuzz ready clean help

all: site cli ## build everything

site: $(NPM) ## write the page to site/dist, as a folder and as one HTML file
	@mkdir -p $(DIST)
	$(WASM) -o $(DIST)/examiner.wasm ./wasm/examiner
	$(WASM) -o $(DIST)/stage.wasm ./wasm/plain
	$(WASM) -o $(DIST)/gpu.wasm ./wasm/gpu
	$(GO) run ./site/plate -out site/css
	$(GO) run ./site/bundle -site site -out $(DIST)

cli: ## build the command line to site/dist/rigloupe
	@mkdir -p $(DIST)
	$(GO) build -trimpath -o $(DIST)/rigloupe ./inspect/cmd/rigloupe

run: cli site ## examine the sample on the terminal, then serve the page on 127.0.0.1
	$(DIST)/rigloupe examine sample
	$(DIST)/rigloupe picture sample --out $(DIST)/sample.png
	@echo "The picture is $(DIST)/sample.png."
	$(GO) run ./site/serve -dir $(DIST)

serve: ## serve what site/dist holds
	$(GO) run ./site/serve -dir $(DIST)

test: ## everything, as .ci/run does; says at the end what each part took
	@took=; for part in ready lint unit wasmtest site page e2e; do \
		began=$$(date +%s); $(MAKE) --no-print-directory $$part || exit 1; \
		took="$$took$$(printf '%6d s  %s' $$(($$(date +%s) - began)) $$part)\n"; \
	done; printf "what each part took:\n$$took"

ready: $(NPM) ## install or name what the tests need
	$(GO) run ./site/ready

$(NPM): site/package.json site/package-lock.json
	cd site && npm ci --no-audit --no-fund
	@touch $@

lint: $(NPM) ## gofmt, vet (natively and for js/wasm), staticcheck, dead code, long functions, eslint (layout too), tsc
	@unformatted=$$(git ls-files -z '*.go' | xargs -0 gofmt -l); test -z "$$unformatted" || { echo "$$unformatted"; echo "run gofmt -w on these"; exit 1; }
	$(GO) vet ./...
	GOOS=js GOARCH=wasm $(GO) vet ./inspect/... ./viewer/... ./wasm/...
	$(GO) run $(CHECKED) ./...
	$(GO) run ./site/dead
	$(GO) run ./site/long
	cd site && npx --no-install eslint js test e2e eslint.config.js && npx --no-install tsc --noEmit

format: $(NPM) ## lay out Go and JavaScript as lint asks
	git ls-files -z '*.go' | xargs -0 gofmt -w
	cd site && npx --no-install eslint --fix js test e2e eslint.config.js

unit: ## Go tests of engine, pictures and command line, in their long form; a short fuzz of each reader
	RIGLOUPE_LONG=1 $(GO) test -timeout 40m ./inspect/... ./viewer/... ./wasm/... ./site/serve/... ./site/bench/... ./site/bundle/... ./site/dead/... ./site/draco/... ./site/long/... ./site/mutate/...
	$(GO) test -run '^$$' -fuzz FuzzRead -fuzztime 10s ./inspect/gltfio
	$(GO) test -run '^$$' -fuzz FuzzUnpack -fuzztime 5s ./wasm/flat
	$(GO) test -run '^$$' -fuzz FuzzExamine -fuzztime 10s -fuzzminimizetime 20x ./inspect/desk

wasmtest: ## the same pictures and messages in WebAssembly
	$(WASMRUN) ./viewer/raster ./viewer/scene ./wasm/bridge ./wasm/flat
	$(WASMRUN) -run SameBytes ./inspect/mend ./viewer/plates
	$(WASMRUN) -run Packed ./inspect/gltfio

page: $(NPM) ## JavaScript tests
	cd site && node --test test/

e2e: site cli ## the page in real Chromium and Firefox; screenshots in site/dist/shots
	RIGLOUPE_E2E=1 $(GO) test -count=1 -timeout 40m ./site/e2e

shots: site cli ## every state of the page by day, at night, in forced colours, on a phone, zoomed and at 4K on one sheet: site/dist/shots/contact.png
	@mkdir -p $(DIST)/shots
	RIGLOUPE_E2E=1 RIGLOUPE_SHOTS=1 $(GO) test -count=1 -timeout 40m -run TestContactSheet -v ./site/e2e

bench: site cli ## speed, natively, in WebAssembly and in Chromium, kept in site/dist/bench.json
	set -o pipefail; { $(GO) test -run '^$$' -bench . ./inspect/... ./viewer/... && \
	$(WASMRUN) -run '^$$' -bench . ./inspect/bends ./inspect/deform ./viewer/raster ./viewer/scene ./inspect/gltfio && \
	RIGLOUPE_E2E=1 $(GO) test -count=1 -timeout 30m -run '^$$' -bench . ./site/e2e; } | $(GO) run ./site/bench -out $(DIST)/bench.json

bench-compare: ## the last make bench beside the committed one, new ÷ old
	$(GO) run ./site/bench testdata/bench.json $(DIST)/bench.json

checks: ## print the tables of checks (inspect/CHECKS.md) and of ceilings (DEVELOPERS.md)
	$(GO) run ./inspect/cmd/rigloupe checks --markdown > inspect/CHECKS.md
	UPDATE_GOLDEN=1 $(GO) test -count=1 -run TestTableIsPrinted ./inspect/ceiling

types: ## print the page's types from the Go structs, site/wire.d.ts
	UPDATE_GOLDEN=1 $(GO) test -count=1 -run TestTypesOfThePage ./wasm/examiner

notices: ## gather the notices of what the command line links
	$(GO) run ./site/bundle -terminal-notices inspect/cmd/rigloupe/notices.txt

golden: ## rewrite golden pictures and texts; look at every one that changed
	UPDATE_GOLDEN=1 $(GO) test ./viewer/... ./inspect/...

mutate: $(NPM) ## break stated lines one by one: does a test see it? 97 % must be seen (an hour; goes on where it was stopped)
	$(GO) run ./site/mutate

FUZZTIME ?= 1m

fuzz: ## every fuzz target, each for FUZZTIME
	@set -e; ulimit -v 12000000; grep -rl --include='*_test.go' '^func Fuzz' inspect wasm | sort | while read -r file; do \
		for target in $$(sed -n 's/^func \(Fuzz[A-Za-z]*\)(.*/\1/p' $$file); do \
			echo "$$(dirname $$file) $$target"; \
			$(GO) test -run '^$$' -fuzz "^$$target\$$" -fuzztime $(FUZZTIME) -fuzzminimizetime 20x ./$$(dirname $$file); \
		done; \
	done

clean: ## remove what was built
	rm -rf $(DIST)

help: ## this list
	@awk -F ':.*## ' '/^[a-z0-9]+:.*## / {printf "  make %-10s %s\n", $$1, $$2}' Makefile
