// merestone figures: what a mission says, as the text that its digest is taken of.
package cli

import (
	"github.com/spf13/cobra"

	"merestone/internal/figures"
)

func (a app) figuresCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "figures MISSION",
		Short: "print what a mission says, one figure a line",
		Long: `Prints the canonical text of the mission file MISSION (- for standard
input): every figure that it says, under the path of its key, in one unit,
with all its decimals. What is usual is left out. Comments, the order of
keys and the spelling of units make no difference.

The SHA-256 of this text is the digest that 'merestone compile' prints and
every mission header carries. A mission with errors has none.`,
		Example: `  merestone figures mission.yaml
  merestone figures mission.yaml | sha256sum`,
		Args:              oneMission(),
		ValidArgsFunction: completeFiles(missionEndings()),
		RunE: func(_ *cobra.Command, args []string) error {
			mission, err := a.sound(args[0], "it has no digest")
			if err != nil {
				return err
			}
			_, err = a.data.Write(figures.Text(mission.Plan))
			return err
		},
	}
}
