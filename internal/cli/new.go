// merestone new: a mission file to start from.
package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"merestone/internal/draft"
	"merestone/internal/place"
	"merestone/internal/words"
	"merestone/spec"
)

func (a app) newMissionCommand() *cobra.Command {
	var file string
	var force bool
	answers := map[string]string{} // by the path of the key
	given := map[string]*string{}  // by the flag
	c := &cobra.Command{
		Use:   "new NAME [-o FILE] [--force]",
		Short: "write a commented mission file to start from",
		Long: `Writes a mission file of that NAME with every key that a mission needs, each
under a comment of what it is and how its value is found. What is not known
is left open as ` + spec.Gap + `, a gap: 'merestone check' names each gap once and checks
all the rest, and a mission with gaps is refused. No figure is made up.

A few of the values can be given by options. On a terminal those that were
not given are asked for, one line each; an empty line leaves a gap, and so
does the end of the input. Where standard input or standard error is no
terminal nothing is asked.

FILE is mission.yaml where -o does not say otherwise; - prints it. A file
that is there already is left as it is, unless --force is given.`,
		Example: `  merestone new yard
  merestone new "north field" -o north/mission.yaml --width "0.40 m"
  merestone new yard -o - < /dev/null | less`,
		Args:              arguments(1, 1, "NAME is missing: what the mission is called", "one name, in quotation marks where it has spaces, but there are %d: %q"),
		ValidArgsFunction: cobra.NoFileCompletions,
		PreRunE: func(_ *cobra.Command, args []string) error {
			if file == "" {
				return errors.New("-o names no FILE to write to")
			}
			if fault := spec.Judge("mission", args[0]); fault != "" {
				return errors.New(fault)
			}
			for _, q := range draft.Questions() {
				answer := strings.TrimSpace(*given[q.Flag])
				if answer == "" {
					continue
				}
				if fault := spec.Judge(q.Path, answer); fault != "" {
					return fmt.Errorf("--%s: %s", q.Flag, fault)
				}
				answers[q.Path] = answer
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.newMission(args[0], file, force, answers) },
	}
	c.Flags().StringVarP(&file, "output", "o", "mission.yaml", "write to `FILE`; - prints it")
	c.Flags().BoolVar(&force, "force", false, "replace a file that is there")
	for _, q := range draft.Questions() {
		given[q.Flag] = c.Flags().String(q.Flag, "", fmt.Sprintf("`VALUE` of %s, such as %s", strings.ReplaceAll(q.Path, "[]", ""), q.Example))
		mustCompleteFlag(c, q.Flag, cobra.NoFileCompletions)
	}
	mustCompleteFlag(c, "output", cobra.FixedCompletions(missionEndings(), cobra.ShellCompDirectiveFilterFileExt))
	return c
}

func (a app) newMission(name, file string, force bool, answers map[string]string) error {
	if a.asks {
		if err := a.ask(answers); err != nil {
			return err
		}
	}
	text := draft.Mission(name, answers)
	if file == "-" {
		_, err := a.data.Write(text)
		return err
	}
	err := untilDone("nothing was written", "it was written", func(ctx context.Context) error {
		if force {
			_, err := place.Files(ctx, filepath.Dir(file), []place.File{{Name: filepath.Base(file), Data: text}})
			return err
		}
		return place.New(ctx, file, text)
	})
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already, and stays as it is: -o names another file, --force replaces it", file)
	}
	if err != nil {
		return err
	}
	return say(a.out, "%s: written; 'merestone check %[1]s' names the %s that are to be filled in", file, words.Plural(draft.Gaps(text), "value"))
}

// ask asks for what was not given, until the input ends.
func (a app) ask(answers map[string]string) error {
	lines := bufio.NewReader(a.in)
	for _, q := range draft.Questions() {
		for answers[q.Path] == "" {
			k := draft.Key(q.Path)
			if err := say(a.err, "%s: %s, such as %s (nothing: left open)", strings.ReplaceAll(q.Path, "[]", ""), k.Meaning, q.Example); err != nil {
				return err
			}
			line, err := lines.ReadString('\n')
			answer := strings.TrimSpace(line)
			if err != nil && !errors.Is(err, io.EOF) {
				return fmt.Errorf("cannot read the answer: %w", words.PlainCause(err))
			}
			if answer != "" {
				if fault := spec.Judge(q.Path, answer); fault == "" {
					answers[q.Path] = answer
				} else {
					say(a.err, "%s", fault)
				}
			}
			if err != nil {
				return nil // all others are left open
			}
			if answer == "" {
				break
			}
		}
	}
	return nil
}
