// merestone compile: a mission into C headers, or into findings that refuse it.
package cli

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/figures"
	"merestone/internal/version"
)

func (a app) compileCommand() *cobra.Command {
	var folder string
	c := &cobra.Command{
		Use:   "compile MISSION -o DIR",
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
old or all new. A run that is killed, or a power cut, may leave a temporary
file, .<header>.<16 hex digits>.merestone-tmp, which the next run that
writes to DIR removes when it is the user's own and no run is writing it.

Standard output gets a summary: each file with its size in bytes, and the
SHA-256 of the resolved plan, which the mission header carries too. With
-o - it gets the mission header instead, and no file is written.`,
		Example: `  merestone compile mission.yaml -o firmware/mission
  merestone compile mission.yaml -o - | less
  generate-mission | merestone compile - -o firmware/mission`,
		Args:              oneMission(),
		ValidArgsFunction: completeFiles(missionEndings()),
		PreRunE: func(*cobra.Command, []string) error {
			if folder == "" {
				return errors.New("-o DIR is missing: the folder to write to, or - for standard output")
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.compile(args[0], folder) },
	}
	c.Flags().StringVarP(&folder, "output", "o", "", "write the headers into `DIR`; - prints the mission header")
	mustCompleteFlag(c, "output", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return nil, cobra.ShellCompDirectiveFilterDirs
	})
	return c
}

func (a app) compile(path, folder string) error {
	mission, err := a.load(path)
	if err != nil {
		return err
	}
	if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errColours); err != nil {
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
		_, err := a.out.Write(files[0].Data)
		return err
	}
	placed, err := a.place(folder, files)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "%s: compiled (%s)\n", mission.Name, counted(mission.Findings))
	for _, p := range placed {
		state := "written"
		if p.Unchanged {
			state = "unchanged"
		}
		fmt.Fprintf(a.out, "  %s: %d bytes, %s\n", p.Path, p.Bytes, state)
	}
	fmt.Fprintf(a.out, "  SHA-256 of the plan: %x\n", figures.Digest(mission.Plan))
	return nil
}
