// The machines that the program runs on. What it writes for a mission must not
// depend on the one that it happens to be compiled for: the same mission and the
// same version give the same bytes (docs/promises.md).
//
//	hosts_test.go  the program on other processors says the same, byte for byte
//	sites_test.go  the missions that it is asked about, some hundred at random places
//	fused_test.go  no product and sum of a float64 are rounded together
//	lists_test.go  the Makefile's lists: of systems, and of packages with 32-bit tests
//	windows_test.go  the program for Windows, under wine; `make windows` alone
//
// The other processors are emulated by qemu-user, but for 386, which amd64 runs
// itself. Each runs this test program, compiled for it: TestMain then answers
// instead of testing.
package hosts

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/cli"
)

// processor is one that the program runs on, and what runs it here.
type processor struct {
	arch     string
	emulator string // empty for those that run by themselves
	from     int    // the first question that it answers
	every    int    // and every so manyeth after it
}

// processors have among them 32 and 64 bits, and compilers that fuse products with
// sums and those that do not. An emulator takes ten times as long, so that each
// answers, beside those about the examples, only every few questions, and not the
// same as the next; 386 answers all.
func processors() []processor {
	return []processor{
		{arch: "386", every: 1},
		{arch: "arm64", emulator: "qemu-aarch64", every: 36},
		{arch: "riscv64", emulator: "qemu-riscv64", every: 36, from: 1},
		{arch: "arm", emulator: "qemu-arm", every: 48, from: 2},
	}
}

// The name of a file in the environment with the questions to answer, one a line.
const questionsVariable = "MERESTONE_HOSTS_QUESTIONS"

func TestMain(m *testing.M) {
	file := os.Getenv(questionsVariable)
	if file == "" {
		os.Exit(m.Run())
	}
	text, err := os.ReadFile(file)
	if err == nil {
		err = answer(strings.Split(strings.TrimSpace(string(text)), "\n"), os.Stdout)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

const mark = "\n=== " // before each question in the answers

// answer runs a command line for each question and writes down all that it says.
func answer(questions []string, to io.Writer) error {
	var out bytes.Buffer
	for _, q := range questions {
		var said, complaint bytes.Buffer
		status := cli.Run(strings.Fields(q), strings.NewReader(""), &said, &complaint)
		fmt.Fprintf(&out, "%s%s\n%s%sstatus %d\n", mark, q, said.Bytes(), complaint.Bytes(), status)
	}
	_, err := to.Write(out.Bytes())
	return err
}

func TestTheSameBytesOnEveryProcessor(t *testing.T) {
	require.Equal(t, "amd64", runtime.GOARCH, "386 must run by itself here")
	folder := t.TempDir()
	examples, others := questions(t, folder)
	questions := slices.Concat(examples, others)
	var here bytes.Buffer
	require.NoError(t, answer(questions, &here))
	all := strings.Split(here.String(), mark)[1:]

	// Two at a time: compiled one after the other, since the compiler uses all there is.
	turn := make(chan struct{}, 2)
	var running sync.WaitGroup
	for _, p := range processors() {
		program := filepath.Join(folder, p.arch+".test")
		build := exec.Command("go", "test", "-c", "-o", program, ".")
		build.Env = append(os.Environ(), "CGO_ENABLED=0", "GOARCH="+p.arch)
		complaint, err := build.CombinedOutput()
		require.NoError(t, err, "%s: %s", p.arch, complaint)
		var asked, want []string
		for i, q := range questions {
			if i < len(examples) || i%p.every == p.from {
				asked, want = append(asked, q), append(want, all[i])
			}
		}
		file := filepath.Join(folder, p.arch+".questions")
		require.NoError(t, os.WriteFile(file, []byte(strings.Join(asked, "\n")), 0o644))
		running.Go(func() {
			turn <- struct{}{}
			defer func() { <-turn }()
			command := append(strings.Fields(p.emulator), program)
			run := exec.Command(command[0], command[1:]...)
			// One thread: qemu-user emulates the signals between threads at a price.
			run.Env = append(os.Environ(), questionsVariable+"="+file, "GOMAXPROCS=1", "GODEBUG=asyncpreemptoff=1")
			var complaint bytes.Buffer
			run.Stderr = &complaint
			out, err := run.Output()
			if !assert.NoError(t, err, "%s (Debian package qemu-user): %s", p.arch, complaint.Bytes()) {
				return
			}
			got := strings.Split(string(out), mark)[1:]
			differ := 0
			for i, w := range want {
				if i >= len(got) || got[i] != w {
					if differ++; differ == 1 && i < len(got) {
						assert.Equal(t, w, got[i], "on %s", p.arch)
					}
				}
			}
			assert.Zero(t, differ, "answers of %s that differ, of %d", p.arch, len(want))
			assert.Len(t, got, len(want), p.arch)
		})
	}
	running.Wait()
}
