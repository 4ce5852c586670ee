// merestone check: all findings of a mission as a report.
package cli

import (
	"errors"
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
	var do checking
	c := &cobra.Command{
		Use:   "check MISSION [--format FORMAT] [--full] [--strict] [--fix]",
		Short: "check a mission and report every finding",
		Long: `Reads the mission file MISSION (- for standard input, REV:PATH for a file
of a git revision, :PATH for one that is staged), runs every check, and
reports to standard output. Nothing is written to the disk, save by --fix.

The formats:

  text    for people: the place, the source line with a caret, what to do;
          then the tables behind them: legs, how the rover comes to rest on
          them and the room that it needs, waypoints with what tolerance and
          speed they allow, how long the drive takes, what is left of each
          limit and which leg is nearest to being refused, holds with what
          single faults do to them.
          --full adds the limits that warn, the marks that are measured from
          others, every part of the error budgets, the wiring of the holds
          as a picture, every fault of it with what the board reads, what
          the drive does and when it is found, and the written test
  json    one object: {tool, version, mission, findings, counts}; each
          finding has rule, severity, message, remedy, at {file, line,
          column, width}, about [{kind, name, index}], numbers [{name,
          value, unit}], related [{at, message}] and fixes [{does, certain,
          edits [{file, start, end, text}]}]: alternatives, each of edits
          to be made together, from start {line, column} up to, and
          without, end; about is the things
          that it is about, the first mainly: a leg, a mark, a hold; index
          counts from 0 in the mission's list of them, and an edge has
          ring, too: the index of its obstacle, -1 for the boundary;
          counts has error, warning and note; lines and columns count
          from 1, columns in Unicode code points; --full adds holds:
          {picture, thresholds, faults, tests, distance_to_keep}; each fault
          has with, fault, run and stop [{pin, level, least_mv, most_mv}],
          drive, found, test, against, own_stop_lost, says and covered; each
          test has id, do, must and meter; and drive: {distance_m, total_s,
          travel_s, stop_s, dwell_s, left_out {turns_on_the_spot,
          turns_deg}, legs [{leg, length_m, travel_s, stop_s, dwell_s,
          until_s}]}; and reserves [{rule, severity, limit, at {kind, name,
          index}, has, needs, left, unit, chosen}]: left is has less needs,
          below zero where the rule told of it; chosen says that both are
          written in the mission; and measured_marks where there are any:
          [{mark, by, from, east_mm, north_mm, major_mm, minor_mm,
          bearing_deg}], the ellipse with one standard deviation
  sarif   SARIF 2.1.0, the OASIS standard that code-review tools show
          beside the source, with the page of every rule, and with what
          can be changed as fixes

--fix makes the changes that are certain: of what can mean one thing alone,
such as a decimal comma, a unit in capitals, a missing space behind a colon
or the mark that closes a ring. It shows them as a diff, puts the files in
their place, each whole, and reports what is left. Comments, order and line
ends stay. Whatever needs a person's choice is left to one: a name that may
be meant, feet and inches, any figure that the rover drives by. With
--dry-run the files stay as they are, and the report is of what would be
left. A file that was changed meanwhile is not replaced, and standard input,
revisions and links are refused.`,
		Example: `  merestone check mission.yaml
  merestone check mission.yaml --strict
  merestone check mission.yaml --format sarif > findings.sarif
  merestone check mission.yaml --fix --dry-run`,
		Args:              oneMission(),
		ValidArgsFunction: completeFiles(missionEndings()),
		RunE:              func(_ *cobra.Command, args []string) error { return a.check(args[0], format, do) },
	}
	formatFlag(c, &format, "text", "json", "sarif")
	known := c.PreRunE
	c.PreRunE = func(c *cobra.Command, args []string) error {
		switch {
		case do.dry && !do.fix:
			return errors.New("--dry-run goes with --fix")
		case do.fix && format != "text":
			return errors.New("--fix reports as text; the other formats carry the changes, to be made by whoever reads them")
		}
		return known(c, args)
	}
	c.Flags().BoolVar(&do.full, "full", false, "print every budget, fault and step of the test")
	c.Flags().BoolVar(&do.strict, "strict", false, "exit with status 1 for warnings, too")
	c.Flags().BoolVar(&do.fix, "fix", false, "make the changes that are certain")
	c.Flags().BoolVar(&do.dry, "dry-run", false, "with --fix: show the changes, and make none")
	return c
}

// checking is what check is asked to do.
type checking struct{ full, strict, fix, dry bool }

// loaded is the mission to report on, once it is mended where that was asked.
func (a app) loaded(path, format string, do checking) (pipeline.Mission, error) {
	if do.fix {
		return a.mended(path, do.dry)
	}
	found, err := source.FileOrRevision(path, a.in)
	if err != nil {
		return pipeline.Mission{}, err
	}
	if format == "text" {
		return pipeline.Load(found), nil
	}
	return pipeline.LoadWithFixes(found), nil
}

func (a app) check(path, format string, do checking) error {
	mission, err := a.loaded(path, format, do)
	if err != nil {
		return err
	}
	findings := diag.Report{Tool: tool, Version: version.Tool, Mission: mission.Name, Findings: mission.Findings}
	switch format {
	case "json":
		if do.full && mission.Whole() {
			for _, of := range []func(*plan.Plan) (diag.Member, bool){report.Holds, report.Measured} {
				if member, ok := of(mission.Plan); ok {
					findings.More = append(findings.More, member)
				}
			}
			findings.More = append(findings.More, report.Drive(mission.Plan), diag.Reserves(mission.Reserves))
		}
		err = diag.WriteJSON(a.data, findings)
	case "sarif":
		err = diag.WriteSARIF(a.data, findings, pipeline.Rules())
	default:
		err = diag.WriteText(a.out, mission.Findings, mission.Sources, a.outOn)
		if err == nil && mission.Whole() {
			tables := report.Report{Plan: mission.Plan, Reserves: mission.Reserves, Columns: a.outOn.Columns}
			fmt.Fprintln(a.out)
			if do.full {
				err = tables.Full(a.out)
			} else {
				err = tables.Short(a.out)
			}
		}
		mends := ""
		if n := diag.CountCertain(mission.Findings); n > 0 && !do.fix {
			mends = fmt.Sprintf("; check --fix mends %d of them", n)
		}
		say(a.out, "%s: %s%s", mission.Name, counted(mission.Findings), mends)
	}
	if err != nil {
		return err
	}
	if mission.Refused() || do.strict && diag.Worst(mission.Findings) >= diag.Warning {
		return errFindings
	}
	return nil
}
