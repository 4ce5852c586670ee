// merestone prove: whether the board's code, with the tables of a mission, can come to
// grief, by an analyser of C that is not part of this program.
package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"merestone/internal/prove"
	"merestone/internal/version"
	"merestone/internal/words"
)

// maxAlarms are shown; the report in the folder has all.
const maxAlarms = 20

// errNotProved ends a command whose alarms are printed already.
var errNotProved = fmt.Errorf("not proved: %w", errFindings)

func (a app) proveCommand() *cobra.Command {
	var folder, within string
	c := &cobra.Command{
		Use:   "prove MISSION [-o DIR] [--within TIME]",
		Short: "have the board's code proved by an analyser of C",
		Long: `Reads the mission file MISSION (- for standard input), runs every check,
writes into the folder DIR its two headers, a program around them and a
script, and has the analyser Frama-C prove that nothing in the guidance
header can go wrong in a way that C leaves undefined:

  - no signed sum, product, negation or conversion overflows
  - nothing is read or written outside of an object or table, by a null
    pointer, or before it was written
  - nothing is divided by zero or shifted by a wrong number of bits
  - figures that the header promises are in their range: bearings, margins,
    distances, the leg
  - a point outside the fence's square is refused, wherever it is

and that for

  - any sequence, without end and in any order, of the functions of the loop
    (mere_start, mere_set_shift, mere_clear_shift, mere_remember,
    mere_recall, mere_step), from power-up, with every member of every input
    unknown at every call
  - one more call from a state that is damaged at will, but for its places,
    shift and bearings, which are taken to be in their range
  - null pointers in place of any argument of these
  - every other function of the header, with all values of its stated
    domain; mere_fence_margin with any point that there is

Every function of the header's contents must have been looked at, and all of
the program around it, or else nothing is called proved. An alarm is a place
where the analyser could not exclude a fault; it may be a false one.

Where why3 and z3 or cvc4 are installed it proves also that every loop ends
and every function returns.

Assumed: gcc's model of a 32-bit processor (int, long and pointers of 32
bits, two's complement), as those of Arm and x86 have it; that a negative
number shifted to the right keeps its sign, which the header checks when it
is compiled, and that unsigned numbers wrap, as C has it; that a bool holds
0 or 1; that pointers which are not null point to whole objects.

Left out: whether a result is right; how much stack and time it takes;
interrupts and other tasks that change what a call uses; processors with
other sizes; the firmware around the header, the compiler that makes a
program of it, and the processor; and the analyser itself.

The analyser is not part of merestone: on Debian and its like, 'apt-get
install frama-c-base why3 z3'. Where it is not there the folder is written
all the same, and prove.sh in it runs the analyser anywhere. Files of DIR
with the names of those written are replaced, as by compile. The examples
take some 20 s of a processor and 240 MB each, a mission of 100 legs and 200
edges of fence a minute. What takes longer than --within is ended, and
nothing is proved then.`,
		Annotations: map[string]string{exitNote: `0   all was looked at, and there was no alarm
1   the mission is refused, an alarm was raised, or not all was looked at
2   bad usage, a file that cannot be read or written, no analyser on the
    PATH, or no answer from it in time`},
		Example: `  merestone prove mission.yaml
  merestone prove mission.yaml -o proof --within 2h
  sh build/prove/prove.sh`,
		Args:              oneMission(),
		ValidArgsFunction: completeFiles(missionEndings()),
		PreRunE: func(*cobra.Command, []string) error {
			if folder == "" || folder == "-" {
				return fmt.Errorf("-o names a folder, but is %q", folder)
			}
			if limit, err := time.ParseDuration(within); err != nil || limit <= 0 {
				return fmt.Errorf("--within is a time as 90s, 30m or 2h, but is %q", within)
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			limit, err := time.ParseDuration(within)
			if err != nil {
				return err
			}
			return a.prove(args[0], folder, limit)
		},
	}
	c.Flags().StringVarP(&folder, "output", "o", filepath.Join("build", "prove"), "write into `DIR`")
	c.Flags().StringVar(&within, "within", "1h", "end the analyser after so much `TIME`")
	mustCompleteFlag(c, "output", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return nil, cobra.ShellCompDirectiveFilterDirs
	})
	return c
}

func (a app) prove(path, folder string, limit time.Duration) error {
	mission, err := a.sound(path, "nothing is proved")
	if err != nil {
		return err
	}
	proof, err := prove.New(mission.Plan, version.Tool)
	if err != nil {
		return fmt.Errorf("cannot write down what is to be proved of %s: %w", mission.Name, err)
	}
	if _, err := a.place(folder, proof.Files); err != nil {
		return err
	}
	script := filepath.Join(folder, prove.Script)
	report, err := a.analyse(proof, folder, limit)
	if err != nil {
		return fmt.Errorf("%s: nothing is proved: %w; by hand: sh %s", mission.Name, err, script)
	}
	if !report.Proved() {
		a.printAlarms(report)
		say(a.err, "%s: not proved (%s, %s); by hand: sh %s", mission.Name, words.Plural(len(report.Alarms), "alarm"), words.Count(len(report.Lacking), "gap", "gaps"), script)
		return errNotProved
	}
	say(a.out, "%s: proved, without an alarm, by %s in %v of a processor", mission.Name, report.Analyser, report.Took.Round(time.Second/10))
	say(a.out, "  looked at: %d of %d functions of the header, %d of them called by name", len(report.Functions), len(report.Functions)+len(report.Unreached), proof.Called())
	if len(report.Unreached) > 0 {
		say(a.out, "  with this mission never called: %s", words.And(report.Unreached))
	}
	leftOut := "whether results are right"
	fmt.Fprint(a.out, proved)
	if report.Loops > 0 {
		say(a.out, "    every loop ends, and every function returns (%s)", words.Plural(report.Loops, "formula"))
	} else {
		leftOut += ", that loops end (there is no " + report.NoProver + " here)"
	}
	fmt.Fprint(a.out, assumed)
	say(a.out, "  left out: %s, stack and time, interrupts and other tasks, other processors, firmware, compiler, analyser", leftOut)
	say(a.out, "  by hand: sh %s", script)
	return nil
}

// What a proof says and rests on, in short; the manual page has it in full.
const (
	proved = `  proved, for any sequence of calls with any input, from any state with places
    in range: no signed number overflows, nothing is read or written where it
    must not be, nothing is divided by zero or shifted too far; promised ranges
    are kept
`
	assumed = `  assumed: gcc's 32-bit model (Arm, x86); right shifts keep the sign; a bool is
    0 or 1; pointers are null or point to whole objects
`
)

// analyse runs the analyser, until a signal or the time ends it.
func (a app) analyse(proof prove.Case, folder string, limit time.Duration) (prove.Report, error) {
	ctx, release := untilSignal()
	timed, stop := context.WithTimeoutCause(ctx, limit, fmt.Errorf("it took longer than %v", limit))
	report, err := proof.Run(timed, folder)
	stop()
	if sig := release(); sig != 0 {
		return report, interruption{sig, "the analyser was ended"}
	}
	return report, err
}

func (a app) printAlarms(r prove.Report) {
	for i, alarm := range r.Alarms {
		if i == maxAlarms {
			say(a.out, "and %d more, in the report", len(r.Alarms)-maxAlarms)
			break
		}
		say(a.out, "%s:%d: in %s: %s", alarm.File, alarm.Line, alarm.Function, alarm.Fault)
		say(a.out, "    %.200s", alarm.Code)
		say(a.out, "    not shown: %.400s", alarm.Property)
	}
	for _, lacking := range r.Lacking {
		say(a.out, "not whole: %s", lacking)
	}
}
