// merestone diff: what changed between two versions of a mission, and whether
// safety got looser. By itself, over git revisions, and as a program that git
// calls.
package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/diff"
	"merestone/internal/plan"
	"merestone/spec"
)

// exitLooser: a change loosens safety, and --refuse-looser was given.
const exitLooser = 3

var (
	errDiffers = fmt.Errorf("the missions differ: %w", errFindings)
	errLooser  = errors.New("a change loosens safety")
)

func diffFormats() []string { return []string{"text", "json", "markdown"} }

// diffFlags are the flags of the command.
type diffFlags struct {
	format       string
	revisions    string
	refuseLooser bool
	driver       bool
	textconv     bool
}

func (a app) newDiffCommand() *cobra.Command {
	var f diffFlags
	c := &cobra.Command{
		Use:   "diff OLD NEW | --git REV1..REV2 MISSION",
		Short: "compare two versions of a mission",
		Long: `Says what differs between two missions: not line by line, but as plans.
The order of keys, comments and the spelling of units make no difference.
What follows from a change, such as the clearance of a leg whose mark was
moved, stands under it.

OLD and NEW are mission files, - for standard input, or REV:PATH for a
file of a git revision, with the marks_file of the same revision; :PATH is
the one that is staged. With --git, MISSION is compared between two
revisions, or between one revision and the file as it is now.

Each change is neutral, or tightens or loosens safety: less clearance of a
path, a wider tolerance, a hold removed or failing unsafe, a higher speed, a
better figure that the proof leans on. docs/versions.md has the table. A
mission with errors is compared as far as it resolves.

The formats:

  text      for people
  json      one object: {tool, version, old, new, counts, changes}; each
            change has kind, subject, what, and where they apply before,
            after, number {before, after, delta, unit}, move {distance_m,
            bearing_deg}, also, path and effects, which are changes again
  markdown  for a comment on a code review

For git, see docs/versions.md: --driver takes the seven arguments of an
external diff driver and exits with 0, --textconv FILE prints one mission
in a canonical order.`,
		Annotations: map[string]string{exitNote: `0   nothing differs
1   something differs
2   bad usage, or a file or revision that cannot be read
3   with --refuse-looser: a change loosens safety, or a mission has errors,
    so that it cannot be told`},
		Example: `  merestone diff old.yaml new.yaml
  merestone diff HEAD~1:grove/mission.yaml grove/mission.yaml
  merestone diff --git v1..v2 grove/mission.yaml --format markdown
  merestone diff --refuse-looser HEAD:grove/mission.yaml :grove/mission.yaml`,
		Args:              func(_ *cobra.Command, args []string) error { return f.arguments(args) },
		ValidArgsFunction: completeMissions,
		RunE: func(_ *cobra.Command, args []string) error {
			if !slices.Contains(diffFormats(), f.format) {
				return fmt.Errorf("there is no format %q; the formats are text, json and markdown", f.format)
			}
			return a.diff(f, args)
		},
	}
	c.Flags().StringVar(&f.format, "format", "text", "`FORMAT` is text, json or markdown")
	c.Flags().StringVar(&f.revisions, "git", "", "compare MISSION in `REV1..REV2`, or in REV and now")
	c.Flags().BoolVar(&f.refuseLooser, "refuse-looser", false, "exit with status 3 when a change loosens safety")
	c.Flags().BoolVar(&f.driver, "driver", false, "be git's external diff driver")
	c.Flags().BoolVar(&f.textconv, "textconv", false, "print one mission for git's textconv")
	mustCompleteFlag(c, "format", cobra.FixedCompletions(diffFormats(), cobra.ShellCompDirectiveNoFileComp))
	mustCompleteFlag(c, "git", cobra.NoFileCompletions)
	return c
}

// completeMissions offers mission files for both arguments.
func completeMissions(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
}

func (f diffFlags) arguments(args []string) error {
	modes := 0
	for _, on := range []bool{f.driver, f.textconv, f.revisions != ""} {
		if on {
			modes++
		}
	}
	switch n := len(args); {
	case modes > 1:
		return errors.New("--git, --driver and --textconv do not go together")
	case f.driver && n != 1 && n != 7 && n != 9:
		return fmt.Errorf("git gives an external diff driver 7 arguments, but there are %d", n)
	case f.driver:
		return nil
	case f.textconv || f.revisions != "":
		return oneMission(nil, args)
	case n != 2:
		return fmt.Errorf("two missions are compared, OLD and NEW, but there are %d: %q", n, args)
	case args[0] == "-" && args[1] == "-":
		return errors.New("only one of the two missions can come from standard input")
	}
	return nil
}

func (a app) diff(f diffFlags, args []string) error {
	switch {
	case f.driver:
		return a.diffDriver(f, args)
	case f.textconv:
		return a.diffTextconv(args[0])
	}
	before, after, err := f.sides(args, a.in)
	if err != nil {
		return err
	}
	r := compared(before, after)
	if err := writeDiff(a.out, f.format, r); err != nil {
		return troubleError{err}
	}
	switch {
	case r.Same():
		return nil
	case f.refuseLooser && r.Looser():
		return errLooser
	case f.refuseLooser && r.Unproved():
		return fmt.Errorf("%w, or it cannot be told: a mission has errors", errLooser)
	default:
		return errDiffers
	}
}

func writeDiff(w io.Writer, format string, r diff.Result) error {
	switch format {
	case "json":
		return diff.WriteJSON(w, r)
	case "markdown":
		return diff.WriteMarkdown(w, r)
	default:
		return diff.WriteText(w, r)
	}
}

// diffSide is one mission to compare.
type diffSide struct {
	name     string
	absent   bool // there is no such file on this side
	plan     *plan.Plan
	findings []diag.Finding
}

func compared(before, after diffSide) diff.Result {
	r := diff.Compare(before.plan, after.plan, before.findings, after.findings)
	r.Old.Name, r.New.Name = before.name, after.name
	return r
}

// resolved runs every stage on a mission, each as far as it goes: unlike check,
// which stops at the first stage that finds errors, because here what is there
// is compared.
func resolved(name, file string, text []byte, open spec.Opener) diffSide {
	parsed := spec.Parse(file, text, open)
	s := diffSide{name: name, findings: parsed.Findings}
	if parsed.Mission == nil {
		return s
	}
	p, findings := plan.Resolve(parsed.Mission)
	s.plan = p
	sound := diag.Worst(parsed.Findings) != diag.Error
	if sound { // else what cannot be resolved follows from what cannot be read
		s.findings = append(s.findings, findings...)
	}
	switch {
	case p == nil:
	case sound:
		s.findings = append(s.findings, check.All(p)...)
	default:
		p.Incomplete = append(p.Incomplete, plan.Gap{Part: "mission", Reason: "the file has errors"})
	}
	diag.Sort(s.findings)
	return s
}

// sides are the two missions of a command line.
func (f diffFlags) sides(args []string, in io.Reader) (before, after diffSide, err error) {
	if f.revisions == "" {
		if before, err = oneSide(args[0], in); err == nil {
			after, err = oneSide(args[1], in)
		}
		return before, after, err
	}
	path := args[0]
	if filepath.IsAbs(path) {
		here, err := os.Getwd()
		if err != nil {
			return before, after, trouble("cannot tell where this is: %v", err)
		}
		if path, err = filepath.Rel(here, path); err != nil {
			return before, after, trouble("cannot find %s from here: %v", args[0], err)
		}
	}
	var git diff.Git
	if !strings.Contains(f.revisions, "..") {
		if before, err = fromGit(git, f.revisions, diff.FromHere(path)); err == nil {
			after, err = oneSide(args[0], in)
		}
		return before, after, err
	}
	from, to, err := git.Range(f.revisions)
	if err != nil {
		return before, after, trouble("cannot read --git %s: %v", f.revisions, err)
	}
	if before, err = fromGit(git, from, diff.FromHere(path)); err == nil {
		after, err = fromGit(git, to, diff.FromHere(path))
	}
	return before, after, err
}

// oneSide reads OLD or NEW. A file of that name goes before a revision.
func oneSide(arg string, in io.Reader) (diffSide, error) {
	rev, path, isRevision := diff.SplitRevision(arg)
	if _, err := os.Stat(arg); isRevision && err != nil {
		return fromGit(diff.Git{}, rev, path)
	}
	name, text, err := readMission(arg, in)
	if err != nil {
		return diffSide{}, err
	}
	return resolved(name, name, text, openBeside(name)), nil
}

func fromGit(git diff.Git, rev, path string) (diffSide, error) {
	text, err := git.File(rev, path, spec.MaxFileBytes)
	if err != nil {
		return diffSide{}, trouble("cannot read %s:%s: %v", rev, path, err)
	}
	return resolved(rev+":"+strings.TrimPrefix(path, "./"), path, text, git.Opener(rev, path)), nil
}

// diffDriver is git's external diff driver: git gives path, old-file, old-hex,
// old-mode, new-file, new-hex, new-mode, and for a renamed file the new path and
// a remark. It runs from the top of the working tree and wants the status 0.
func (a app) diffDriver(f diffFlags, args []string) error {
	if len(args) == 1 {
		_, err := fmt.Fprintf(a.out, "%s: not merged\n", args[0])
		return err
	}
	oldPath, newPath := args[0], args[0]
	if len(args) == 9 {
		newPath = args[7]
	}
	before, err := driverSide(oldPath, args[1], args[2], true)
	if err != nil {
		return err
	}
	after, err := driverSide(newPath, args[4], args[5], false)
	if err != nil {
		return err
	}
	before.name, after.name = "a/"+oldPath, "b/"+newPath
	r := compared(before, after)
	for i, s := range []diffSide{before, after} {
		if s.absent && len(r.Changes) > 0 && r.Changes[0].What == "plan" {
			*[]*string{&r.Changes[0].Before, &r.Changes[0].After}[i] = "no such file"
		}
	}
	if err := writeDiff(a.out, f.format, r); err != nil {
		return troubleError{err}
	}
	return nil
}

// driverSide reads one side for the driver. Its marks_file is that of the
// revision which the contents are from, as far as the history tells, else the
// one that is staged, else the one in the working tree.
func driverSide(path, file, hash string, old bool) (diffSide, error) {
	if file == os.DevNull {
		return diffSide{absent: true}, nil
	}
	_, text, err := readMission(file, nil)
	if err != nil {
		return diffSide{}, err
	}
	open := openBeside(path)
	if filepath.ToSlash(filepath.Clean(file)) != path { // a copy of what git has
		var git diff.Git
		if rev, ok := git.Holding(hash, path, old); ok {
			open = git.Opener(rev, path)
		} else {
			open = firstOf(git.Opener("", path), open)
		}
	}
	return resolved(path, path, text, open), nil
}

func firstOf(openers ...spec.Opener) spec.Opener {
	return func(name string) ([]byte, error) {
		var failure error
		for _, open := range openers {
			text, err := open(name)
			if err == nil {
				return text, nil
			}
			failure = err
		}
		return nil, failure
	}
}

// diffTextconv prints one mission in canonical order. Git may give the name of a
// temporary copy; where it came from is then looked up by its contents.
func (a app) diffTextconv(file string) error {
	name, text, err := readMission(file, a.in)
	if err != nil {
		return err
	}
	path, open := name, openBeside(name)
	var git diff.Git
	if rev, found, ok := git.Find(text); ok {
		open = firstOf(open, git.Opener(rev, found))
		if filepath.IsAbs(name) || strings.Contains(filepath.ToSlash(name), "/git-blob-") {
			path, open = found, git.Opener(rev, found)
		}
	}
	s := resolved(path, path, text, open)
	if err := diff.WriteCanonical(a.out, s.plan, s.findings); err != nil {
		return troubleError{err}
	}
	return nil
}
