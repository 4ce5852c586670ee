// merestone check: all findings of a mission as a report.
package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"merestone/internal/diag"
	"merestone/internal/pipeline"
	"merestone/internal/plan"
	"merestone/internal/report"
	"merestone/internal/source"
	"merestone/internal/version"
)

func (a app) checkCommand() *cobra.Command {
	var format string
	var strict, full bool
	c := &cobra.Command{
		Use:   "check MISSION [--format FORMAT] [--full] [--strict]",
		Short: "check a mission and report every finding",
		Long: `Reads the mission file MISSION (- for standard input, REV:PATH for a file
of a git revision, :PATH for one that is staged), runs every check, and
reports to standard output. Nothing is written to the disk.

The formats:

  text    for people: the place, the source line with a caret, what to do;
          then the tables behind them: legs, waypoints with what tolerance
          and speed they allow, holds with what single faults do to them.
          --full adds the marks that are measured from others, every part
          of the error budgets, the wiring of the holds as a picture, every
          fault of it with what the board reads, what the drive does and
          when it is found, and the written test
  json    one object: {tool, version, mission, findings, counts}; each
          finding has rule, severity, message, remedy, at {file, line,
          column, width}, about [{kind, name, index}], numbers [{name,
          value, unit}] and related [{at, message}]; about is the things
          that it is about, the first mainly: a leg, a mark, a hold; index
          counts from 0 in the mission's list of them, and an edge has
          ring, too: the index of its obstacle, -1 for the boundary;
          counts has error, warning and note; lines and columns count
          from 1, columns in Unicode code points; --full adds holds:
          {picture, thresholds, faults, tests, distance_to_keep}; each fault
          has with, fault, run and stop [{pin, level, least_mv, most_mv}],
          drive, found, test, against, own_stop_lost, says and covered; each
          test has id, do, must and meter; and measured_marks where there
          are any: [{mark, by, from, east_mm, north_mm, major_mm, minor_mm,
          bearing_deg}], the ellipse with one standard deviation
  sarif   SARIF 2.1.0, the OASIS standard that code-review tools show
          beside the source, with the page of every rule`,
		Example: `  merestone check mission.yaml
  merestone check mission.yaml --strict
  merestone check mission.yaml --format sarif > findings.sarif`,
		Args:              oneMission(),
		ValidArgsFunction: completeFiles(missionEndings()),
		RunE:              func(_ *cobra.Command, args []string) error { return a.check(args[0], format, full, strict) },
	}
	formatFlag(c, &format, "text", "json", "sarif")
	c.Flags().BoolVar(&full, "full", false, "print every budget, fault and step of the test")
	c.Flags().BoolVar(&strict, "strict", false, "exit with status 1 for warnings, too")
	return c
}

func (a app) check(path, format string, full, strict bool) error {
	found, err := source.FileOrRevision(path, a.in)
	if err != nil {
		return err
	}
	mission := pipeline.Load(found)
	findings := diag.Report{Tool: tool, Version: version.Tool, Mission: mission.Name, Findings: mission.Findings}
	switch format {
	case "json":
		if full && mission.Whole() {
			for _, of := range []func(*plan.Plan) (diag.Member, bool){report.Holds, report.Measured} {
				if member, ok := of(mission.Plan); ok {
					findings.More = append(findings.More, member)
				}
			}
		}
		err = diag.WriteJSON(a.data, findings)
	case "sarif":
		err = diag.WriteSARIF(a.data, findings, pipeline.Rules())
	default:
		err = diag.WriteText(a.out, mission.Findings, mission.Sources, a.outColours)
		if err == nil && mission.Whole() {
			tables := report.Short
			if full {
				tables = report.Full
			}
			fmt.Fprintln(a.out)
			err = tables(a.out, mission.Plan)
		}
		say(a.out, "%s: %s", mission.Name, counted(mission.Findings))
	}
	if err != nil {
		return err
	}
	if mission.Refused() || strict && diag.Worst(mission.Findings) >= diag.Warning {
		return errFindings
	}
	return nil
}
