# The tasks of the project. `make test` is what CI runs.

GO ?= go
FUZZTIME ?= 60s
STEPS ?= 50000000
# What random tests draw from, the same in every run; RAPID_SEED=0 draws anew, as `go test` by
# itself does.
export RAPID_SEED ?= 20261129
# Compilers, analysers and tests live for seconds and have memory to spare: collected less
# often, they take two thirds of the time.
export GOGC ?= 400

# The systems that every package compiles for. What is run is less:
# README.md, "Systems".
SYSTEMS = windows/amd64 windows/arm64 windows/386 \
	darwin/amd64 darwin/arm64 freebsd/amd64 freebsd/arm64 \
	linux/amd64 linux/arm64 linux/riscv64 linux/386 linux/arm
# Of these, where the tests are compiled and vetted as well: once for each operating system and
# for 32 bits, since no file of Go is for one processor alone (hosts/lists_test.go). lint does
# it for this machine.
VETTED = windows/amd64 windows/386 darwin/amd64 freebsd/amd64 linux/386

# The packages whose tests run on a 32-bit processor as well, and those whose do
# not: they look at the sources, do nothing but compile and emulate for others, or are of
# the operating system, of git, of other programs and of how commands are wired, of
# driving in floating point, of wording, of the changes of a mission's text and of drawings
# for other programs.
# hosts/lists_test.go wants these to be few.
TESTS_64_ONLY = . ./examples/firmware ./hosts ./internal/cli ./internal/depfile ./internal/place ./internal/prove ./internal/source \
	./internal/drivetest ./internal/report ./internal/draft ./internal/mend ./internal/pipeline ./internal/export
TESTS_32 = $(filter-out merestone $(TESTS_64_ONLY:./%=merestone/%),$(shell $(GO) list ./...))

# Tests of the other packages whose findings do not hang on how many bits Go has: those
# that run C alone, by compilers, emulators or analysers; those of the operating system and
# of how commands are wired; and, where time is short, those that take whole missions,
# wirings of holds and crowded fences through random changes: hosts/ asks a 32-bit program
# for missions byte for byte, and TestTwinOnHost for margins. hosts/lists_test.go wants each to be there.
SKIPPED_32 = TestTwinOnBoards TestInstructions TestFootprint TestStorm \
	TestNoSearchTakesMoreInstructionsThanTheModelSays TestCompilersAreSilent \
	TestCppcheckIsSilent TestClangTidyIsSilent TestMisraDeparturesAreDeclared \
	TestVectorsReachEveryLine TestRandomMissionsReadTheSameHoweverWrittenAndCompileToWhatTheySay \
	TestNothingWorseIsAccepted TestNoRefusedExampleIsMendedByWorse \
	TestCrowdedFencesKeepWithinTheBounds TestRandomCrowdsAgainstPlainLoops TestRemedies \
	TestProposals TestAgainstAnIndependentNodalAnalysis TestStepsOfTheWrittenTestFindWhatTheySay \
	TestProperties TestEveryKeyOfTheLanguageReachesAll TestNothingIsHiddenInAHistory \
	TestNothingIsQuadratic TestFirmwareOfCompilers TestEveryByteOfEveryTableCounts \
	TestEveryTokenCounts TestImagesBesideAPlanWithinTimeAndMemory TestHostileFiles \
	TestHiddenSkyAgainstLines TestWorkGrowsNearLinearly TestWhatIsAcceptedCanBeWritten \
	TestHostileFilesWithinTimeAndMemory \
	TestSlipsInTheExamplesAgainstNPM TestMarksFilesWithinTimeAndMemory TestEveryNumberAtItsLimits \
	TestBesideOtherReaders TestLongLogsInConstantMemory \
	TestRandomMarksGoIntoRandomMissions TestRandomWalkedRings TestWalkedRingsAgainstGEOS

empty :=
space := $(empty) $(empty)

.PHONY: help build test test-32 cross windows lint deps bench fuzz storm golden clean

help:
	@echo 'make build   build ./merestone'
	@echo 'make test    install what the tests need, then run every check and test'
	@echo 'make cross   build and vet for every system, nothing run'
	@echo 'make test-32 run the tests as a 32-bit program'
	@echo 'make windows run the program for Windows under wine, which it installs; not part of make test'
	@echo 'make lint    formatting, vet and staticcheck alone'
	@echo 'make bench   run the benchmarks'
	@echo 'make fuzz    fuzz every reader, and random missions, each for FUZZTIME=60s'
	@echo 'make storm   random runs of the board under watch, STEPS=50000000 of them'
	@echo 'make golden  rewrite what follows from the language, the rules and the headers'
	@echo 'make deps    install the Debian packages that the tests need'
	@echo 'make clean   remove what is built'

build:
	$(GO) build -trimpath -o merestone .

# Nothing is skipped: a test whose tool is missing fails. The seeds of the fuzz
# tests and the firmware tests, which compile and emulate, are part of go test.
test: deps lint cross
	$(GO) test ./...
	$(MAKE) test-32

cross:
	@for system in $(SYSTEMS); do \
		export CGO_ENABLED=0 GOOS=$${system%/*} GOARCH=$${system#*/}; \
		$(GO) build -o /dev/null . || { echo "$$system does not compile"; exit 1; }; \
		case " $(VETTED) " in *" $$system "*) $(GO) vet ./... || { echo "$$system: tests do not compile"; exit 1; };; esac; \
	done

# An amd64 kernel runs programs for 386 by itself.
test-32:
	CGO_ENABLED=0 GOARCH=386 $(GO) test -skip '^($(subst $(space),|,$(strip $(SKIPPED_32))))$$' $(TESTS_32)

windows:
	@.ci/deps windows
	$(GO) vet -tags wine ./hosts
	$(GO) test -count=1 -tags wine -run Windows ./hosts

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

storm:
	STORM_STEPS=$(STEPS) $(GO) test -count=1 -timeout 0 -v -run TestStorm ./internal/guidance

# Twice, since some show what others write. Review git diff afterwards.
golden:
	for time in first second; do \
		$(GO) test -count=1 ./examples ./spec ./gen ./internal/draft ./internal/figures ./internal/circuit ./internal/diag \
			./internal/diff ./internal/report ./internal/cli ./examples/firmware . -update; \
	done

clean:
	rm -rf merestone out build
