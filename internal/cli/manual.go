// The help texts, laid out as a manual page: the same sections in the same
// order for every command.
package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

const exitStatusText = `0   done, and no finding of error severity
1   the mission has findings of error severity
2   bad usage, or a file that cannot be read or written`

// exitNote is the annotation of a command whose statuses mean something else.
const exitNote = "exit status"

func exitStatus(c *cobra.Command) string {
	if own, ok := c.Annotations[exitNote]; ok {
		return own
	}
	return exitStatusText
}

func writeManual(w io.Writer, c *cobra.Command) {
	fmt.Fprintln(w, "NAME")
	indent(w, strings.ReplaceAll(c.CommandPath(), " ", "-")+" - "+c.Short)
	c.DisableFlagsInUseLine = true
	section(w, "SYNOPSIS", c.UseLine())
	section(w, "DESCRIPTION", c.Long)
	if c.HasAvailableSubCommands() {
		var list strings.Builder
		for _, sub := range c.Commands() {
			if listed(sub) {
				fmt.Fprintf(&list, "%-12s%s\n", sub.Name(), sub.Short)
			}
		}
		section(w, "COMMANDS", list.String())
	}
	c.InitDefaultHelpFlag()
	c.InitDefaultVersionFlag()
	section(w, "OPTIONS", outdent(c.Flags().FlagUsages()))
	section(w, "EXIT STATUS", exitStatus(c))
	section(w, "EXAMPLES", outdent(c.Example))
}

// listed says whether a command is for people; cobra has hidden ones that the
// completion scripts call.
func listed(c *cobra.Command) bool {
	return c.IsAvailableCommand() || c.Name() == "help"
}

func section(w io.Writer, heading, text string) {
	fmt.Fprintf(w, "\n%s\n", heading)
	indent(w, text)
}

// indent prints a text, each line but the empty ones indented by four spaces.
func indent(w io.Writer, text string) {
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		if line != "" {
			line = "    " + line
		}
		fmt.Fprintln(w, line)
	}
}

// outdent takes two spaces off the start of each line, where cobra's own layout
// wants them.
func outdent(text string) string {
	return strings.ReplaceAll("\n"+text, "\n  ", "\n")[1:]
}
