# The tasks of the project. `make test` is what CI runs.

GO ?= go
FUZZTIME ?= 60s

.PHONY: help build test lint deps bench fuzz golden clean

help:
	@echo 'make build   build ./merestone'
	@echo 'make test    install what the tests need, then run every check and test'
	@echo 'make lint    formatting, vet and staticcheck alone'
	@echo 'make bench   run the benchmarks'
	@echo 'make fuzz    fuzz every reader, and random missions, each for FUZZTIME=60s'
	@echo 'make golden  rewrite what follows from the language, the rules and the headers'
	@echo 'make deps    install the Debian packages that the tests need'
	@echo 'make clean   remove what is built'

build:
	$(GO) build -trimpath -o merestone .

# Nothing is skipped: a test whose tool is missing fails. The seeds of the fuzz
# tests and the firmware tests, which compile and emulate, are part of go test.
test: deps lint
	$(GO) test ./...

lint:
	@unformatted=$$(gofmt -l .); if [ -n "$$unformatted" ]; then \
		echo "not formatted by gofmt:"; echo "$$unformatted"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

deps:
	@.ci/deps

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./...

fuzz:
	@.ci/fuzz $(FUZZTIME)

# Twice, since some show what others write. Review git diff afterwards.
golden:
	for time in first second; do \
		$(GO) test -count=1 ./examples ./spec ./gen ./internal/figures ./internal/circuit ./internal/diag \
			./internal/diff ./internal/report ./internal/cli ./examples/firmware . -update; \
	done

clean:
	rm -rf merestone out build
