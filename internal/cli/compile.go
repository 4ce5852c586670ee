// merestone compile: a mission into C headers, or into findings that refuse it.
package cli

import (
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/figures"
	"merestone/internal/version"
)

func (a app) compileCommand() *cobra.Command {
	var folder string
	var b build
	c := &cobra.Command{
		Use:   "compile MISSION -o DIR [--depfile FILE] [--stamp FILE]",
		Short: "check a mission and write its C headers",
		Long: `Reads the mission file MISSION (- for standard input), runs every check,
and writes two headers into the folder DIR, which is created where needed:

  <mission>_mission.h     the data of this mission
  merestone_guidance.h    guidance functions, the same for every mission

Findings go to standard error. A mission with a finding of error severity
is refused: nothing is written, and headers of an earlier run stay as they
are. A header is replaced as a whole or not at all, and none is replaced
before all are safely on the disk; one that would not change is not
touched, so that firmware is not rebuilt for nothing. The guidance header
goes first: a new mission header never stands beside an older one.

SIGINT, SIGTERM and SIGHUP end the program by that signal, with all headers
old or all new. A run that is killed or runs out of memory, or a power cut,
may leave a temporary file, .<header>.<16 hex digits>.merestone-tmp; the
next run that writes to DIR removes it when it is the user's own and no run
is writing it.

Standard output gets a summary: each header with its size in bytes, and the
SHA-256 of the resolved plan, which the mission header carries too. With
-o - it gets the mission header instead, and no file is written.

For builds: --depfile FILE says, in the syntax of Make, of which files the
headers were made: the mission and the marks_file that it names. The target
of that rule is the stamp, or without one the two headers; names are as the
command line has them. --stamp FILE is written each time, after all else,
with the time at which the run began, so that what was changed meanwhile is
newer. The names end in .d and .stamp. A refused mission writes neither.
A name that Make and Ninja do not read the same is refused, such as one with
a quotation mark, an asterisk or a line end in it. How to build with them:
docs/build.md.`,
		Example: `  merestone compile mission.yaml -o firmware/mission
  merestone compile mission.yaml -o - | less
  generate-mission | merestone compile - -o firmware/mission
  merestone compile mission.yaml -o gen --depfile gen/m.d --stamp gen/m.stamp`,
		Args:              oneMission(),
		ValidArgsFunction: completeFiles(missionEndings()),
		PreRunE: func(c *cobra.Command, args []string) error {
			if folder == "" {
				return errors.New("-o DIR is missing: the folder to write to, or - for standard output")
			}
			return b.fault(c, folder, args...)
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.compile(args[0], folder, b) },
	}
	c.Flags().StringVarP(&folder, "output", "o", "", "write the headers into `DIR`; - prints the mission header")
	mustCompleteFlag(c, "output", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return nil, cobra.ShellCompDirectiveFilterDirs
	})
	buildFlags(c, &b)
	return c
}

func (a app) compile(path, folder string, b build) error {
	b.began = time.Now()
	mission, err := a.load(path)
	if err != nil {
		return err
	}
	if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errOn); err != nil {
		return err
	}
	if mission.Refused() {
		return a.refused(mission, "nothing was written")
	}
	files, err := gen.Files(mission.Plan, version.Tool)
	if err != nil {
		return fmt.Errorf("cannot generate the headers of %s: %w", mission.Name, err)
	}
	if folder == "-" {
		_, err := a.data.Write(files[0].Data)
		return err
	}
	var headers []string
	for _, f := range files {
		headers = append(headers, beneath(folder, f.Name))
	}
	if err := b.of(headers, mission.Files()); err != nil {
		return err
	}
	if err := b.before(); err != nil {
		return err
	}
	placed, err := a.place(folder, files)
	if err != nil {
		return err
	}
	summary := []string{fmt.Sprintf("%s: compiled (%s)", mission.Name, counted(mission.Findings))}
	for _, p := range placed {
		state := "written"
		if p.Unchanged {
			state = "unchanged"
		}
		summary = append(summary, fmt.Sprintf("  %s: %d bytes, %s", p.Path, p.Bytes, state))
	}
	summary = append(summary, fmt.Sprintf("  SHA-256 of the plan: %x", figures.Digest(mission.Plan)))
	for _, line := range summary {
		if err := say(a.out, "%s", line); err != nil {
			return err // and no stamp: a build must not take for done what failed
		}
	}
	return b.done()
}
