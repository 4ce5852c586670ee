// merestone verify: whether a header, or the firmware on a board, is that of a
// mission.
package cli

import (
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"merestone/internal/diag"
	"merestone/internal/verify"
	"merestone/internal/version"
	"merestone/internal/words"
)

// maxGuidanceBytes is far more than the guidance header of any version takes.
const maxGuidanceBytes = 4 << 20

func (a app) newVerifyCommand() *cobra.Command {
	var format string
	var samePlan bool
	c := &cobra.Command{
		Use:   "verify FILE [MISSION]",
		Short: "tell whether a header or firmware is that of a mission",
		Long: `Reads FILE, which is a <mission>_mission.h or a firmware image with it built
in (ELF, or raw binary), and compares it with what MISSION compiles to.

A header is compared byte for byte with what this version writes, and so is
the merestone_guidance.h beside it. If they differ, the header's own tables
are read: by another version of the tool with the same tables or others, or
edited, or of another plan, with every number that differs.

An image is searched for the record that every header places: the digest of
the plan, the name of the mission, the version of the tool. Without MISSION
what is found is printed, to ask what mission a board carries. Intel HEX and
such must be turned into raw binary first.

With --same-plan it is enough that the plan and its tables are the same, by
whatever version of the tool. A record in an image tells the plan and the
version, not the tables; by another version, look at the header too.`,
		Annotations: map[string]string{exitNote: `0   FILE is that of MISSION; without MISSION, a record was found
1   it is not, or the image has no record
2   bad usage, a file that cannot be read, or a MISSION with errors`},
		Example: `  merestone verify firmware/grove_mission.h grove/mission.yaml
  merestone verify build/firmware.elf grove/mission.yaml --same-plan
  merestone verify flash-dump.bin`,
		Args: arguments(1, 2, "FILE is missing: a header or a firmware image", "one file and one mission, but there are %d arguments: %q"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveDefault
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.verify(args, format, samePlan) },
	}
	formatFlag(c, &format, "text", "json")
	c.Flags().BoolVar(&samePlan, "same-plan", false, "accept the same plan by another version of the tool")
	return c
}

func (a app) verify(args []string, format string, samePlan bool) error {
	data, err := readAny(args[0], verify.MaxImageBytes)
	if err != nil {
		return err
	}
	q := verify.Question{File: args[0], Data: data, Tool: version.Tool, SamePlan: samePlan, Beside: func(name string) (string, error) {
		return readAny(filepath.Join(filepath.Dir(args[0]), name), maxGuidanceBytes)
	}}
	if len(args) == 2 {
		mission, err := a.load(args[1])
		if err != nil {
			return err
		}
		if mission.Refused() {
			if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errColours); err != nil {
				return err
			}
			return fmt.Errorf("%s has errors (%s), so it compiles to no header", mission.Name, counted(mission.Findings))
		}
		q.Mission, q.Plan = args[1], mission.Plan
	}
	answer, err := q.Answer()
	if err != nil {
		return err
	}
	write, out := verify.WriteText, a.out
	if format == "json" {
		write, out = verify.WriteJSON, a.data
	}
	if err := write(out, answer); err != nil {
		return err
	}
	if !answer.Accepted {
		return errDiffers
	}
	return nil
}

// readAny reads a header or an image of at most some bytes, into memory that is
// taken once: a buffer that grows holds what it held and what it is to hold. For a
// pipe, which does not say how much will come, that is the most that may come; what
// is not written to takes none of the machine's.
func readAny(path string, most int64) (string, error) {
	file, err := open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	size := most
	if f, ok := file.(fs.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			size = min(info.Size(), most)
		}
	}
	var text strings.Builder
	text.Grow(int(size) + 1)
	n, err := io.Copy(&text, io.LimitReader(file, most+1))
	if err == nil && n > most {
		err = fmt.Errorf("it is larger than %d MiB, and so than any firmware of a small board", most>>20)
	}
	if err != nil {
		return "", fmt.Errorf("cannot read %s: %w", path, words.PlainCause(err))
	}
	return text.String(), nil
}
