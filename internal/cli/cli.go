// Package cli is the command line of merestone. Each command has a file of its
// own; this one holds what they share: the root command, the streams, arguments
// and flags, and how an error becomes one line on standard error and an exit
// status. It reads the command line, calls and prints, and decides nothing about
// missions.
package cli

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"merestone/internal/diag"
	"merestone/internal/pipeline"
	"merestone/internal/source"
	"merestone/internal/version"
	"merestone/internal/words"
)

// tool is the name of the program.
const tool = "merestone"

// The exit statuses, the same for every command.
const (
	exitClean    = 0 // done, and no finding of error severity
	exitFindings = 1 // the mission has findings of error severity
	exitTrouble  = 2 // bad usage, or a file that cannot be read or written
	// exitSignal, and the signal's number: as shells count.
	exitSignal = 128
)

// errFindings ends a command whose findings are printed already.
var errFindings = errors.New("findings of error severity")

// troubleError is an error of the world rather than of the command line: a file
// that cannot be read, a disk that is full.
type troubleError struct{ error }

func (t troubleError) Unwrap() error { return t.error }

// atWork makes every error of a command that has its arguments one of the world.
func atWork(c *cobra.Command) *cobra.Command {
	run := c.RunE
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := run(c, args); err != nil {
			return troubleError{err}
		}
		return nil
	}
	return c
}

// app is one run of the program.
type app struct {
	in           io.Reader
	out, err     io.Writer // text for people, see streams.go
	data         io.Writer // standard output for programs
	outOn, errOn diag.Terminal
	asks         bool      // whether somebody is there to answer
	watched      io.Writer // standard error where it is a terminal, as it is; else nil
}

// Run runs one command line, args without the program's name, and returns the
// exit status; 128 and the number of a signal where one ended the work.
func Run(args []string, in io.Reader, out, err io.Writer) int {
	printed, said := &checkedWriter{w: out}, &checkedWriter{w: err}
	a := app{in: in, data: printed, outOn: terminal(out), errOn: terminal(err), asks: isTerminal(in) && isTerminal(err)}
	a.out, a.err = textWriter{printed, a.outOn}, textWriter{said, a.errOn}
	if isTerminal(err) {
		a.watched = said
	}
	root := a.root()
	if len(args) > 0 && (args[0] == cobra.ShellCompRequestCmd || args[0] == cobra.ShellCompNoDescRequestCmd) {
		args = slices.Clone(args)
		for i := range args { // cobra complains of them on the program's own standard error
			args[i] = words.Visible(args[i])
		}
	}
	root.SetArgs(args)
	command, failure := root.ExecuteC()
	if sig := (interruption{}); errors.As(failure, &sig) {
		complain(a.err, tool+": ", sig)
		return exitSignal + int(sig.signal)
	}
	if printed.failed != nil { // a report cut short must not pass for a clean one
		say(a.err, "%s: cannot write to standard output: %v", tool, words.PlainCause(printed.failed))
		return exitTrouble
	}
	status := a.tell(command, failure)
	if said.failed != nil { // nor a warning that nobody could see
		return exitTrouble
	}
	return status
}

// tell says what ended a command, on standard error, and gives the exit status.
func (a app) tell(command *cobra.Command, failure error) int {
	var broken troubleError
	switch {
	case failure == nil:
		return exitClean
	case errors.Is(failure, errFindings):
		return exitFindings
	case errors.Is(failure, errLooser):
		complain(a.err, tool+": ", failure)
		return exitLooser
	case errors.As(failure, &broken):
		complain(a.err, tool+": ", failure)
		return exitTrouble
	default: // all others come from reading the command line
		complain(a.err, command.CommandPath()+": ", failure)
		say(a.err, "See '%s' for how to use it.", helpFor(command))
		return exitTrouble
	}
}

func helpFor(command *cobra.Command) string {
	if !command.HasParent() {
		return tool + " help"
	}
	return tool + " help " + command.Name()
}

// load takes the mission file of an argument through every stage. An error means
// that it cannot be read; whatever is wrong inside it is a finding.
func (a app) load(path string) (pipeline.Mission, error) {
	s, err := source.File(path, a.in)
	if err != nil {
		return pipeline.Mission{}, err
	}
	return pipeline.Load(s), nil
}

// sound is load for a command that makes nothing of a mission with errors. Its
// findings are then printed, and so is what comes of that.
func (a app) sound(path, so string) (pipeline.Mission, error) {
	mission, err := a.load(path)
	if err != nil || !mission.Refused() {
		return mission, err
	}
	if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errOn); err != nil {
		return mission, err
	}
	return mission, a.refused(mission, so)
}

// refused ends a command with what is not made of a mission.
func (a app) refused(m pipeline.Mission, so string) error {
	say(a.err, "%s: refused (%s); %s", m.Name, counted(m.Findings), so)
	return errFindings
}

// open opens a file that is no mission.
func open(path string) (io.ReadCloser, error) {
	file, err := source.Open(path)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", path, words.PlainCause(err))
	}
	return file, nil
}

// root builds the tree of commands.
func (a app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   tool + " COMMAND",
		Short: "compile missions of small ground rovers into checked C headers",
		Long: `One YAML file describes a drive: the marks, the route, the fence, the rover
and its safety holds. merestone checks before anything moves whether it can
be driven as written, and writes C headers that a microcontroller drives by.

Findings are errors, which stop compilation, warnings, which ask for a
person's judgement, and notes. Each names its rule; 'merestone explain
RULE' says what is compared and why. What is called proved is proved, and
bounds of positions hold at the mission's confidence, at one instant: for
the numbers in the mission file. Neither replaces a survey, a test drive or
a safety assessment.

Colours are used on a terminal only, never where the environment sets
NO_COLOR or TERM=dumb, and nothing is said by colour alone. Text is as wide
as the terminal, from 60 to 120 columns, and 80 where there is none; a
width that the environment sets as COLUMNS goes before. JSON, SARIF,
headers and canonical text are never folded. Characters in names that a
terminal would obey, or not show, are written out: \x1b, \n, \u202e; JSON
and SARIF hold them as they are.

A file to be read may be a pipe, as of <(command), as long as a program
writes to it; devices are refused. What cannot be printed is an error, also
where standard output or standard error is closed, or is the null device
opened for reading and writing, which cannot be told from that; '>/dev/null'
throws away on purpose. A reader that stops early, as head does, ends the
program by SIGPIPE.`,
		Example: `  merestone check mission.yaml
  merestone compile mission.yaml -o firmware/mission
  merestone explain geometry.clearance`,
		Version:                    version.Tool,
		Args:                       cobra.ArbitraryArgs,
		SilenceUsage:               true,
		SilenceErrors:              true,
		SuggestionsMinimumDistance: 2,
		CompletionOptions:          cobra.CompletionOptions{DisableDefaultCmd: true},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("no command is given")
			}
			return unknownCommand(c, args[0])
		},
	}
	root.SetIn(a.in)
	root.SetOut(a.data) // cobra itself writes what shells read
	root.SetErr(a.err)
	root.SetVersionTemplate(tool + " {{.Version}}\n")
	root.SetHelpFunc(func(c *cobra.Command, _ []string) { writeManual(a.out, c) })
	root.SetHelpCommand(a.helpCommand())
	root.AddCommand(atWork(a.newMissionCommand()), atWork(a.compileCommand()), atWork(a.checkCommand()), a.explainCommand(), atWork(a.figuresCommand()), atWork(a.shiftCommand()), atWork(a.occupyCommand()),
		atWork(a.newDiffCommand()), atWork(a.newVerifyCommand()), atWork(a.proveCommand()), atWork(a.importCommand()), atWork(a.exportCommand()), atWork(a.schemaCommand()), a.versionCommand(), a.completionCommand())
	return root
}

func unknownCommand(root *cobra.Command, name string) error {
	near := root.SuggestionsFor(name)
	if len(near) == 0 {
		return fmt.Errorf("there is no command %q", name)
	}
	return fmt.Errorf("there is no command %q; did you mean %q?", name, near[0])
}

// arguments wants a number of arguments, and says in words what is missing or,
// with how many there are and which, what is too much.
func arguments(least, most int, missing, others string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		switch n := len(args); {
		case n < least && missing != "":
			return errors.New(missing)
		case n < least || n > most:
			return fmt.Errorf(others, n, args)
		}
		return nil
	}
}

// oneMission wants exactly one mission.
func oneMission() cobra.PositionalArgs {
	return arguments(1, 1, "MISSION is missing: the mission file, or - for standard input", "one mission at a time, but there are %d: %q")
}

// missionEndings are those of mission files.
func missionEndings() []string { return []string{"yaml", "yml"} }

// completeFiles offers files to the shell, for each argument those with its
// endings.
func completeFiles(endings ...[]string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		if len(args) >= len(endings) {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return endings[len(args)], cobra.ShellCompDirectiveFilterFileExt
	}
}

// formatFlag gives a command the flag --format, and refuses a format that it does
// not have.
func formatFlag(c *cobra.Command, format *string, formats ...string) {
	list := strings.Join(formats[:len(formats)-1], ", ")
	last := formats[len(formats)-1]
	c.Flags().StringVar(format, "format", "text", "`FORMAT` is "+list+" or "+last)
	mustCompleteFlag(c, "format", cobra.FixedCompletions(formats, cobra.ShellCompDirectiveNoFileComp))
	c.PreRunE = func(*cobra.Command, []string) error {
		if !slices.Contains(formats, *format) {
			return fmt.Errorf("there is no format %q; the formats are %s and %s", *format, list, last)
		}
		return nil
	}
}

// completeFrom offers words, each perhaps with a tab and a description, for the
// first argument.
func completeFrom(words func() []string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return words(), cobra.ShellCompDirectiveNoFileComp
	}
}

// mustCompleteFlag registers the completion of a flag's value. It panics when
// the command has no such flag, which any run of the program would show.
func mustCompleteFlag(c *cobra.Command, flag string, f cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic(err)
	}
}

// counted says how many findings of each severity there are.
func counted(findings []diag.Finding) string {
	return fmt.Sprintf("%s, %s, %s",
		words.Plural(diag.Count(findings, diag.Error), "error"),
		words.Plural(diag.Count(findings, diag.Warning), "warning"),
		words.Plural(diag.Count(findings, diag.Note), "note"))
}
