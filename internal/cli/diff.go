// merestone diff: what changed between two versions of a mission, and whether
// safety got looser. By itself, over git revisions, and as a program that git
// calls.
package cli

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"merestone/internal/diff"
	"merestone/internal/pipeline"
	"merestone/internal/source"
)

// exitLooser: a change loosens safety, and --refuse-looser was given.
const exitLooser = 3

var (
	errDiffers = fmt.Errorf("the missions differ: %w", errFindings)
	errLooser  = errors.New("a change loosens safety")
)

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

Each change is neutral, or tightens or loosens safety: less surplus of a
leg, a wider tolerance, a hold removed or failing unsafe, a higher speed, a
better figure that the checks lean on; or it has no sign and is to be looked
at, such as a pin, a control mark moved, a leg over new ground.
docs/versions.md has the table. A mission with errors is compared as far as
it resolves.

The formats:

  text      for people
  json      one object: {tool, version, old, new, same, errors, counts,
            changes}; each error has in (old, new or both), rule, message;
            each change has kind, subject, what, and where they apply
            before, after, number {before, after, delta, unit}, move
            {distance_m, bearing_deg}, also, path and effects, which are
            changes again
  markdown  for a comment on a code review

REV:PATH and --git MISSION may be in a bare repository. A mission that has
another name in the other revision is found by git's renames.

For git, see docs/versions.md: --driver takes the seven arguments of an
external diff driver and exits with 0, --textconv FILE prints one mission
in a canonical order. Git does not tell them the revision; where that leaves
it open which marks_file is meant, that is said, and nothing compared.`,
		Annotations: map[string]string{exitNote: `0   nothing differs
1   something differs
2   bad usage, or a file or revision that cannot be read
3   with --refuse-looser: a change loosens safety or is to be looked at, or
    a mission has errors, so that it cannot be told`},
		Example: `  merestone diff old.yaml new.yaml
  merestone diff HEAD~1:grove/mission.yaml grove/mission.yaml
  merestone diff --git v1..v2 grove/mission.yaml --format markdown
  merestone diff --refuse-looser HEAD:grove/mission.yaml :grove/mission.yaml`,
		Args:              func(_ *cobra.Command, args []string) error { return f.arguments(args) },
		ValidArgsFunction: completeFiles(missionEndings(), missionEndings()),
		RunE:              func(_ *cobra.Command, args []string) error { return a.diff(f, args) },
	}
	formatFlag(c, &f.format, "text", "json", "markdown")
	c.Flags().StringVar(&f.revisions, "git", "", "compare MISSION in `REV1..REV2`, or in REV and now")
	c.Flags().BoolVar(&f.refuseLooser, "refuse-looser", false, "exit with status 3 unless no change loosens safety")
	c.Flags().BoolVar(&f.driver, "driver", false, "be git's external diff driver")
	c.Flags().BoolVar(&f.textconv, "textconv", false, "print one mission for git's textconv")
	mustCompleteFlag(c, "git", cobra.NoFileCompletions)
	return c
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
		return oneMission()(nil, args)
	case n != 2:
		return fmt.Errorf("two missions are compared, OLD and NEW, but there are %d: %q", n, args)
	case args[0] == "-" && args[1] == "-":
		return errors.New("only one of the two missions can come from standard input")
	}
	return nil
}

func (a app) diff(f diffFlags, args []string) error {
	switch {
	case f.driver && len(args) == 1:
		say(a.out, "%s: not merged", args[0])
		return nil
	case f.textconv:
		return a.diffTextconv(args[0])
	}
	before, after, err := f.sources(args, a.in)
	if other := (source.NotCompared{}); f.driver && errors.As(err, &other) {
		say(a.out, "NOT COMPARED: %v", other)
		return nil
	}
	if err != nil {
		return err
	}
	was, is := compared(before), compared(after)
	if f.driver && a.untold(before, after) {
		return nil
	}
	r := diff.Compare(was, is)
	write := map[string]func(io.Writer, diff.Result) error{"text": diff.WriteText, "json": diff.WriteJSON, "markdown": diff.WriteMarkdown}
	out := a.out
	if f.format == "json" {
		out = a.data
	}
	if err := write[f.format](out, r); err != nil {
		return err
	}
	switch {
	case f.driver: // git takes any other status for a driver that failed
		if f.format == "text" {
			a.beside(before, after)
		}
		return nil
	case f.refuseLooser && r.Looser():
		return errLooser
	case f.refuseLooser && r.Unproved():
		return fmt.Errorf("%w, or it cannot be told: a mission has errors", errLooser)
	case f.refuseLooser && r.ToLookAt():
		return fmt.Errorf("%w, or it cannot be told: what is marked LOOK AT has no sign", errLooser)
	case r.Same():
		return nil
	default:
		return errDiffers
	}
}

// sources are the two missions of a command line.
func (f diffFlags) sources(args []string, in io.Reader) (before, after source.Source, err error) {
	switch {
	case f.driver:
		return source.Driver(args)
	case f.revisions != "":
		return source.Between(f.revisions, args[0], in)
	}
	if before, err = source.FileOrRevision(args[0], in); err == nil {
		after, err = source.FileOrRevision(args[1], in)
	}
	return before, after, err
}

// compared is what is compared of a source.
func compared(s source.Source) diff.Version {
	if s.Absent {
		return diff.Version{Name: s.Name, Absent: true}
	}
	written := sha256.New()
	add := func(name string, data []byte, err error) {
		fmt.Fprintf(written, "%q %d %v\n", name, len(data), err)
		written.Write(data)
	}
	add("mission", s.Text, nil)
	if open := s.Open; open != nil {
		s.Open = func(name string) ([]byte, error) {
			data, err := open(name)
			add(name, data, err)
			return data, err
		}
	}
	m := pipeline.Load(s)
	return diff.Version{Name: m.Name, Plan: m.Plan, Findings: m.Comparable(), Written: [32]byte(written.Sum(nil))}
}

// beside says of missions that git has handed over with which files they were read.
func (a app) beside(missions ...source.Source) {
	for _, s := range missions {
		if where := s.Beside(); where != "" {
			say(a.out, "%s: read with %s", s.Name, where)
		}
	}
}

// untold says of missions that git has handed over why the marks_file of one is not
// known. Without its marks it would be compared as if somebody had removed them.
func (a app) untold(missions ...source.Source) (some bool) {
	for _, s := range missions {
		if err := s.Untold(); err != nil {
			say(a.out, "NOT COMPARED: %s: its marks_file is not known: %v", s.Name, err)
			some = true
		}
	}
	return some
}

// diffTextconv prints one mission in canonical order.
func (a app) diffTextconv(file string) error {
	s, err := source.Textconv(file, a.in)
	if err != nil {
		return err
	}
	m := pipeline.Load(s)
	return diff.WriteCanonical(a.data, m.Plan, m.Comparable())
}
