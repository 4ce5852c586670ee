// The pipeline: from the name of a mission file to its plan and the findings of
// every stage. All commands that take a mission go through load.
package cli

import (
	"cmp"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/version"
	"merestone/spec"
)

// stdinName stands for a mission read from standard input in findings.
const stdinName = "<stdin>"

// loaded is a mission after every stage that could run.
type loaded struct {
	name     string         // as findings print it
	plan     *plan.Plan     // nil when a stage before it failed
	findings []diag.Finding // of every stage, sorted
	sources  diag.Sources   // what the findings point into
}

// load reads a mission file, or in for "-", and runs every stage on it. An error
// means that the file cannot be read; whatever is wrong inside it is a finding.
// A mission that is not wholly readable is not resolved: what would be found
// wrong with the rest may follow from what is missing.
func load(path string, in io.Reader) (loaded, error) {
	name, text, err := readMission(path, in)
	if err != nil {
		return loaded{}, err
	}
	parsed := spec.Parse(name, text, openBeside(name))
	l := loaded{name: name, findings: parsed.Findings, sources: parsed.Sources}
	if diag.Worst(l.findings) != diag.Error {
		resolved, findings := plan.Resolve(parsed.Mission)
		l.plan = resolved
		l.findings = append(l.findings, findings...)
	}
	if l.plan != nil {
		l.findings = append(l.findings, check.All(l.plan)...)
	}
	diag.Sort(l.findings)
	return l, nil
}

// refused says that an error stops compilation.
func (l loaded) refused() bool {
	return l.plan == nil || !l.plan.Complete() || diag.Worst(l.findings) == diag.Error
}

func (l loaded) report() diag.Report {
	return diag.Report{Tool: tool, Version: version.Tool, Mission: l.name, Findings: l.findings}
}

// rules are the rules of all stages, in the order of their ids.
func rules() []diag.Rule {
	all := slices.Concat(spec.Rules(), plan.Rules(), check.Rules())
	slices.SortFunc(all, func(a, b diag.Rule) int { return cmp.Compare(a.ID, b.ID) })
	return all
}

func readMission(path string, in io.Reader) (name string, text []byte, err error) {
	if path == "-" {
		text, err = readLimited(in, spec.MaxFileBytes)
		if err != nil {
			return "", nil, trouble("cannot read standard input: %v", plainCause(err))
		}
		return stdinName, text, nil
	}
	file, err := os.Open(path)
	if err != nil {
		return "", nil, trouble("cannot read %s: %v", path, plainCause(err))
	}
	defer file.Close()
	info, err := file.Stat()
	if err == nil && info.IsDir() {
		err = errors.New("it is a folder; name the mission file in it")
	}
	if err == nil {
		text, err = readLimited(file, spec.MaxFileBytes)
	}
	if err != nil {
		return "", nil, trouble("cannot read %s: %v", path, plainCause(err))
	}
	return path, text, nil
}

// readLimited reads just enough for the parser to see that a file is too large.
func readLimited(r io.Reader, limit int64) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, limit+1))
}

// openBeside opens the files that a mission names. They must be regular files,
// because a mission must not make the tool wait on a pipe, and within the
// mission's folder even by way of links, because findings quote what is in them
// and a mission may come from a stranger.
func openBeside(mission string) spec.Opener {
	folder := filepath.Dir(mission)
	return func(name string) ([]byte, error) {
		within, err := filepath.Rel(folder, filepath.FromSlash(name))
		if err != nil {
			return nil, err
		}
		root, err := os.OpenRoot(folder)
		if err != nil {
			return nil, plainCause(err)
		}
		defer root.Close()
		info, err := root.Stat(within)
		if err != nil {
			return nil, plainCause(err)
		}
		if !info.Mode().IsRegular() {
			return nil, errors.New("it is not a regular file")
		}
		file, err := root.Open(within)
		if err != nil {
			return nil, plainCause(err)
		}
		defer file.Close()
		return readLimited(file, spec.MaxMarksFileBytes)
	}
}

// plainCause drops the system call and the path from an error of package os,
// which the messages here name in their own words.
func plainCause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
