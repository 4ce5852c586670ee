// merestone verify: whether a header, or the firmware on a board, is that of a
// mission.
package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/source"
	"merestone/internal/verify"
	"merestone/internal/version"
)

// maxImageBytes is far more than the flash of a small board.
const maxImageBytes = 256 << 20

func verifyFormats() []string { return []string{"text", "json"} }

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
are read: by another version of the tool from the same plan, or edited, or
of another plan, with every number that differs.

An image is searched for the record that every header places: the digest of
the plan, the name of the mission, the version of the tool. Without MISSION
what is found is printed, to ask what mission a board carries. Intel HEX and
such must be turned into raw binary first.

With --same-plan it is enough that the plan and its tables are the same, by
whatever version of the tool.`,
		Annotations: map[string]string{exitNote: `0   FILE is that of MISSION; without MISSION, a record was found
1   it is not, or the image has no record
2   bad usage, a file that cannot be read, or a MISSION with errors`},
		Example: `  merestone verify firmware/grove_mission.h grove/mission.yaml
  merestone verify build/firmware.elf grove/mission.yaml --same-plan
  merestone verify flash-dump.bin`,
		Args: func(_ *cobra.Command, args []string) error {
			switch len(args) {
			case 0:
				return errors.New("FILE is missing: a header or a firmware image")
			case 1, 2:
				return nil
			default:
				return fmt.Errorf("one file and one mission, but there are %d arguments: %q", len(args), args)
			}
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveDefault
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if !slices.Contains(verifyFormats(), format) {
				return fmt.Errorf("there is no format %q; the formats are text and json", format)
			}
			return a.verify(args, format, samePlan)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "`FORMAT` is text or json")
	c.Flags().BoolVar(&samePlan, "same-plan", false, "accept the same plan by another version of the tool")
	mustCompleteFlag(c, "format", cobra.FixedCompletions(verifyFormats(), cobra.ShellCompDirectiveNoFileComp))
	return c
}

// verifyAnswer is what is printed.
type verifyAnswer struct {
	File        string              `json:"file"`
	Mission     string              `json:"mission,omitempty"`
	Accepted    bool                `json:"accepted"`
	Verdict     string              `json:"verdict"`
	Records     []verifyRecord      `json:"records"`
	Differences []verify.Difference `json:"differences"`
	Remarks     []string            `json:"remarks"`
}

// verifyRecord is a record found.
type verifyRecord struct {
	Mission   string   `json:"mission"`
	Tool      string   `json:"tool"`
	Digest    string   `json:"plan_sha256"`
	Format    uint8    `json:"format"`
	Section   string   `json:"section,omitempty"`
	Addresses []uint64 `json:"addresses,omitempty"`
}

func (a app) verify(args []string, format string, samePlan bool) error {
	data, err := readFile(args[0])
	if err != nil {
		return err
	}
	answer := verifyAnswer{File: args[0], Records: []verifyRecord{}, Differences: []verify.Difference{}, Remarks: []string{}}
	var p *plan.Plan
	if len(args) == 2 {
		if p, err = a.compilable(args[1]); err != nil {
			return err
		}
		answer.Mission = args[1]
	}
	if verify.IsELF(data) || verify.HasRecord(data) || strings.ContainsRune(string(data), 0) {
		err = answer.image(data, p, samePlan)
	} else {
		err = answer.header(args[0], data, p, samePlan)
	}
	if err != nil {
		return err
	}
	if err := answer.write(a, format); err != nil {
		return troubleError{err}
	}
	if !answer.Accepted {
		return errDiffers
	}
	return nil
}

func readFile(path string) ([]byte, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, trouble("cannot read %s: %v", path, source.PlainCause(err))
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, maxImageBytes+1))
	if err == nil && len(data) > maxImageBytes {
		err = errors.New("it is larger than any firmware of a small board")
	}
	if err != nil {
		return nil, trouble("cannot read %s: %v", path, source.PlainCause(err))
	}
	return data, nil
}

// compilable loads a mission that is to compile.
func (a app) compilable(path string) (*plan.Plan, error) {
	mission, err := a.load(path)
	if err != nil {
		return nil, err
	}
	if mission.Refused() {
		if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errColours); err != nil {
			return nil, troubleError{err}
		}
		return nil, trouble("%s has errors (%s), so it compiles to no header", mission.Name, counted(mission.Findings))
	}
	return mission.Plan, nil
}

func (v *verifyAnswer) image(data []byte, p *plan.Plan, samePlan bool) error {
	found, err := verify.Records(data)
	if err != nil {
		return trouble("%s: %v", v.File, err)
	}
	if len(found) == 0 {
		v.Verdict = "there is no mission in this image"
		return nil
	}
	worst := verify.Same
	for _, f := range found {
		v.Records = append(v.Records, verifyRecord{f.Record.Mission, f.Record.Tool, fmt.Sprintf("%x", f.Record.Digest), f.Record.Format, f.Section, f.Addresses})
		if p == nil {
			continue
		}
		r, err := verify.Record(f.Record, p, version.Tool)
		if err != nil {
			return trouble("%v", err)
		}
		if r.Verdict >= worst {
			worst = r.Verdict
			v.Differences = append(v.Differences, r.Differences...)
		}
	}
	if len(found) > 1 {
		v.Remarks = append(v.Remarks, "there are several missions in this image; all of them must be the one asked for")
	}
	switch {
	case p == nil:
		v.Verdict, v.Accepted = "found", true
	default:
		v.Verdict, v.Accepted = worst.String(), worst == verify.Same || samePlan && worst.SamePlan()
	}
	return nil
}

func (v *verifyAnswer) header(path string, text []byte, p *plan.Plan, samePlan bool) error {
	if p == nil {
		tables, err := verify.ReadHeader(text)
		if err != nil {
			return trouble("%s: %v", path, err)
		}
		r := tables.Record
		v.Records = append(v.Records, verifyRecord{Mission: r.Mission, Tool: r.Tool, Digest: fmt.Sprintf("%x", r.Digest), Format: r.Format})
		v.Verdict, v.Accepted = "found", true
		return nil
	}
	r, err := verify.Header(text, p, version.Tool)
	if err != nil {
		return trouble("%v", err)
	}
	if r.Unreadable != nil {
		v.Remarks = append(v.Remarks, r.Unreadable.Error())
	} else {
		v.Records = append(v.Records, verifyRecord{Mission: r.Header.Mission, Tool: r.Header.Tool, Digest: fmt.Sprintf("%x", r.Header.Digest), Format: r.Header.Format})
	}
	if r.Differences != nil {
		v.Differences = r.Differences
	}
	v.Verdict, v.Accepted = r.Verdict.String(), r.Verdict == verify.Same || samePlan && r.Verdict.SamePlan()
	if r.Verdict == verify.OtherTool {
		v.Remarks = append(v.Remarks, fmt.Sprintf("the header is by version %s, this is %s", r.Header.Tool, r.Mission.Tool))
	}
	return v.guidance(filepath.Join(filepath.Dir(path), gen.GuidanceHeader), p, samePlan)
}

// guidance looks at the guidance header beside the mission's. Tables and
// functions are one work: another guidance header is another drive.
func (v *verifyAnswer) guidance(path string, p *plan.Plan, samePlan bool) error {
	text, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		v.Remarks = append(v.Remarks, "there is no "+gen.GuidanceHeader+" beside it to compare")
		return nil
	}
	if err != nil {
		return trouble("cannot read %s: %v", path, source.PlainCause(err))
	}
	same, err := verify.Guidance(text, p, version.Tool)
	if err != nil {
		return trouble("%v", err)
	}
	if !same {
		v.Remarks = append(v.Remarks, "the "+gen.GuidanceHeader+" beside it is not that of this version")
		v.Accepted = v.Accepted && samePlan
	}
	return nil
}

func (v *verifyAnswer) write(a app, format string) error {
	if format == "json" {
		e := json.NewEncoder(a.out)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(v)
	}
	var out strings.Builder
	fmt.Fprintf(&out, "%s: %s\n", v.File, v.Verdict)
	for _, r := range v.Records {
		fmt.Fprintf(&out, "  mission %q, plan %s, tool %s\n", r.Mission, r.Digest, r.Tool)
		for _, at := range r.Addresses {
			fmt.Fprintf(&out, "    at 0x%08x %s\n", at, r.Section)
		}
	}
	for _, d := range v.Differences {
		fmt.Fprintf(&out, "  %s: %s; the mission has %s\n", d.Where, d.Header, d.Mission)
	}
	for _, s := range v.Remarks {
		fmt.Fprintf(&out, "  %s\n", s)
	}
	_, err := fmt.Fprint(a.out, strings.ReplaceAll(out.String(), " \n", "\n"))
	return err
}
