// The small commands: schema, version, completion and help.
package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"merestone/internal/version"
	"merestone/spec"
)

// noArguments wants none.
func noArguments() cobra.PositionalArgs {
	return arguments(0, 0, "", "it takes no arguments, but is given %[2]q")
}

func (a app) schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "print the JSON Schema of mission files",
		Long: `Prints a JSON Schema (draft 2020-12) of the mission language, for editors
that complete and check YAML as it is typed. A schema cannot see
everything: a mission that it accepts may still be refused by 'merestone
check'.`,
		Example:           `  merestone schema > mission.schema.json`,
		Args:              noArguments(),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(*cobra.Command, []string) error {
			text, err := spec.Schema()
			if err != nil {
				return fmt.Errorf("cannot generate the schema: %w", err)
			}
			_, err = a.data.Write(text)
			return err
		},
	}
}

func (a app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:               "version",
		Short:             "print the version",
		Long:              `Prints the version of merestone, which the headers it writes carry too.`,
		Example:           `  merestone version`,
		Args:              noArguments(),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprintf(a.out, "%s %s\n", tool, version.Tool)
			return err
		},
	}
}

func shells() []string { return []string{"bash", "zsh", "fish", "powershell"} }

func (a app) completionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "print a completion script for a shell",
		Long: `Prints a script that makes SHELL complete commands, options, mission files
and rule ids. SHELL is one of bash, zsh, fish and powershell. The script
for bash needs the package bash-completion.`,
		Example: `  source <(merestone completion bash)
  merestone completion fish > ~/.config/fish/completions/merestone.fish`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 || !slices.Contains(shells(), args[0]) {
				return errors.New("SHELL must be one of " + strings.Join(shells(), ", "))
			}
			return nil
		},
		ValidArgsFunction: completeFrom(shells),
		RunE: func(c *cobra.Command, args []string) error {
			switch root := c.Root(); args[0] {
			case "bash":
				return root.GenBashCompletionV2(a.data, true)
			case "zsh":
				return root.GenZshCompletion(a.data)
			case "fish":
				return root.GenFishCompletion(a.data, true)
			default:
				return root.GenPowerShellCompletionWithDesc(a.data)
			}
		},
	}
}

func (a app) helpCommand() *cobra.Command {
	help := &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "show how to use a command",
		Long:    `Prints the manual page of COMMAND, or of merestone as a whole.`,
		Example: `  merestone help compile`,
		Args:    arguments(0, 1, "", "one command at a time, but there are %d: %q"),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return c.Root().Help()
			}
			for _, sub := range c.Root().Commands() {
				if sub.Name() == args[0] {
					return sub.Help()
				}
			}
			return unknownCommand(c.Root(), args[0])
		},
	}
	help.ValidArgsFunction = completeFrom(func() []string {
		var names []string
		for _, sub := range help.Root().Commands() {
			if listed(sub) {
				names = append(names, sub.Name()+"\t"+sub.Short)
			}
		}
		return names
	})
	return help
}
