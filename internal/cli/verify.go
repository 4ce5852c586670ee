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

const (
	maxGuidanceBytes = 4 << 20 // far more than the guidance header of any version takes
	maxMissions      = 100     // as many as an image may have records
)

func (a app) newVerifyCommand() *cobra.Command {
	var format string
	var samePlan bool
	c := &cobra.Command{
		Use:   "verify FILE [MISSION]...",
		Short: "tell whether a header or firmware is that of a mission",
		Long: `Reads FILE, which is a <mission>_mission.h or a firmware image with it built
in (ELF, Intel HEX, S-records, raw binary), and compares it with what
MISSION compiles to. What kind of file it is, its name and its contents must
agree on.

A header is compared byte for byte with what this version writes, and so is
the merestone_guidance.h beside it. If they differ, the header's own tables
are read: by another version of the tool with the same tables or others, or
edited, or of another plan, with every number that differs.

An image is read as it is loaded. Every header places a record: the digest
of the plan, the name of the mission, the version of the tool. From each
record on, every table of the mission is compared with what a compiler makes
of it: legs, fence, holds, rover, conversion. The code is not compared.
Several missions may be given: each must be in the image, and no other.
Without MISSION what is found is printed, to ask what mission a board
carries.

With --same-plan it is enough that the plan and all its tables are the same,
with other comments, or by another version of the tool. The guidance header
must still be that of this version, and be there where the tables are by
another: no version can vouch for the functions of another.`,
		Annotations: map[string]string{exitNote: `0   FILE is that of MISSION; without MISSION, a record was found
1   it is not, or it cannot be told, or the image has no record
2   bad usage, a file that cannot be read as what it is named, or a MISSION
    with errors`},
		Example: `  merestone verify firmware/grove_mission.h grove/mission.yaml
  merestone verify build/firmware.elf grove/mission.yaml
  merestone verify build/firmware.hex north/mission.yaml south/mission.yaml
  merestone verify flash-dump.bin`,
		Args: arguments(1, maxMissions+1, "FILE is missing: a header or a firmware image", "one file and up to 100 missions, but there are %d arguments: %q"),
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
	for _, name := range args[1:] {
		mission, err := a.load(name)
		if err != nil {
			return err
		}
		if mission.Refused() {
			if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errOn); err != nil {
				return err
			}
			return fmt.Errorf("%s has errors (%s), so it compiles to no header", mission.Name, counted(mission.Findings))
		}
		q.Missions = append(q.Missions, verify.Mission{Name: name, Plan: mission.Plan})
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
