// Running the analyser on the files of a case.
package prove

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"merestone/internal/words"
)

// analyser is the name of the program.
const analyser = "frama-c"

const (
	// maxOutputBytes of what the analyser prints are kept, from its end: the summary
	// stands there.
	maxOutputBytes = 4 << 20
	// maxReportBytes are far more than a report of thousands of alarms.
	maxReportBytes = 64 << 20
)

// ErrNoAnalyser says that there is none on this machine.
var ErrNoAnalyser = errors.New(analyser + " is not on the PATH; on Debian and its like it comes with 'apt-get install frama-c-base'")

// Run runs the analyser in a folder that holds the files of the case, until it is done
// or the context is. What keeps it from an answer is an error; an alarm is an answer.
func (c Case) Run(ctx context.Context, folder string) (Report, error) {
	program, err := exec.LookPath(analyser)
	if err != nil {
		return Report{}, ErrNoAnalyser
	}
	if program, err = filepath.Abs(program); err != nil {
		return Report{}, fmt.Errorf("cannot find %s: %w", analyser, words.PlainCause(err))
	}
	var took time.Duration
	version, err := run(ctx, &took, program, folder, "-version")
	if err != nil {
		return Report{}, err
	}
	r, err := c.look(ctx, &took, program, folder)
	if err == nil {
		err = c.loops(ctx, &took, program, folder, &r)
	}
	r.Analyser, r.Took = analyser+" "+strings.TrimSpace(version), took
	return r, err
}

// look has the analyser look for alarms.
func (c Case) look(ctx context.Context, took *time.Duration, program, folder string) (Report, error) {
	report := filepath.Join(folder, reportFile)
	if err := removeOld(report); err != nil { // one of an earlier run is none of this one
		return Report{}, err
	}
	printed, err := run(ctx, took, program, folder, c.arguments()...)
	if err != nil {
		return Report{}, err
	}
	csv, err := readReport(report)
	if err != nil {
		return Report{}, err
	}
	return c.read(printed, csv)
}

// removeOld removes a file of an earlier run, if there is one.
func removeOld(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("cannot remove %s: %w", path, words.PlainCause(err))
	}
	return nil
}

// run runs a program in a folder, gives the end of what it prints, and adds the time
// that it took of a processor.
func run(ctx context.Context, took *time.Duration, program, folder string, args ...string) (string, error) {
	out := &tail{most: maxOutputBytes}
	command := exec.CommandContext(ctx, program, args...)
	command.Dir, command.Stdout, command.Stderr = folder, out, out
	command.Env = append(command.Environ(), "WHY3CONFIG="+why3File) // Environ has the folder as PWD, which the analyser goes by
	command.WaitDelay = 5 * time.Second                             // for the preprocessor, which it may have left behind
	err := command.Run()
	if command.ProcessState != nil {
		*took += command.ProcessState.UserTime() + command.ProcessState.SystemTime()
	}
	if ctx.Err() != nil {
		return "", context.Cause(ctx)
	}
	if err != nil {
		return "", fmt.Errorf("%s gave no answer (%w); it said: %s", filepath.Base(program), words.PlainCause(err), complaint(string(out.kept)))
	}
	return string(out.kept), nil
}

// complaint is the line of a text that tells of an error, and the next, or else the last
// lines, whoever wrote it.
func complaint(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	from := slices.IndexFunc(lines, func(line string) bool { return strings.Contains(line, "rror:") })
	if from < 0 {
		from = max(0, len(lines)-3)
	}
	said := strings.Join(lines[from:min(from+3, len(lines))], "\n")
	return said[:min(len(said), 1000)]
}

func readReport(path string) (string, error) {
	file, err := os.Open(path)
	if err != nil {
		return "", fmt.Errorf("%s wrote no report: %w", analyser, words.PlainCause(err))
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, maxReportBytes+1))
	if err == nil && len(text) > maxReportBytes {
		err = fmt.Errorf("it is larger than %d MiB", maxReportBytes>>20)
	}
	if err != nil {
		return "", fmt.Errorf("cannot read %s: %w", path, words.PlainCause(err))
	}
	return string(text), nil
}

// tail keeps the end of what is written to it.
type tail struct {
	kept []byte
	most int
}

func (t *tail) Write(p []byte) (int, error) {
	t.kept = append(t.kept, p...)
	if len(t.kept) > 2*t.most {
		t.kept = append(t.kept[:0], t.kept[len(t.kept)-t.most:]...)
	}
	return len(p), nil
}
