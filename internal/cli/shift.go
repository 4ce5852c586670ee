// merestone shift: today's site shift from control marks occupied today.
package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"merestone/gen"
	"merestone/internal/plan"
	"merestone/internal/shift"
)

func (a app) shiftCommand() *cobra.Command {
	var out string
	var options shift.Options
	c := &cobra.Command{
		Use:   "shift MISSION OCCUPATIONS [-o FILE]",
		Short: "compute today's site shift from occupied control marks",
		Long: `A base that averages its own position comes up somewhere else each day, and
the whole mission with it. Stand the rover's antenna on one or more marks of
the mission, record the fixes, and this command computes what is to be added
to today's fixes so that they agree with the mission: a translation from one
mark, and with two or more a rotation as well where it is significant, by
least squares, with the residuals and the tests of their worth.

OCCUPATIONS is a CSV file with a header line and one line for each fix:

  name,latitude,longitude,uncertainty
  K1,45.301173011,6.123349017,
  K1,45.301173015,6.123349012,

Several fixes on one mark are averaged. uncertainty may be left out where a
mark has several fixes; it is one standard deviation in each axis.

The board takes the shift by mere_set_shift before the drive. With -o the
three numbers are written as a small C header as well.`,
		Example: `  merestone shift mission.yaml today.csv
  merestone shift mission.yaml today.csv -o firmware/site_shift.h`,
		Args:              arguments(2, 2, "", "it takes MISSION and OCCUPATIONS, but is given %d: %q"),
		ValidArgsFunction: completeFiles(missionEndings(), []string{"csv"}),
		PreRunE: func(*cobra.Command, []string) error {
			// The name must say that it is a header: -o today.csv by mistake
			// would replace the fixes of a morning.
			if out != "" && filepath.Ext(out) != ".h" {
				return fmt.Errorf("-o names a C header, so it must end in .h, but is %q", out)
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.shift(args[0], args[1], out, options) },
	}
	c.Flags().StringVarP(&out, "output", "o", "", "write the shift to the header `FILE`, too")
	c.Flags().BoolVar(&options.TranslationOnly, "translation-only", false, "use no rotation even where it is significant")
	c.Flags().BoolVar(&options.EstimateVariance, "estimate-variance", false, "judge by the scatter of the residuals alone")
	return c
}

func (a app) shift(path, occupations, out string, options shift.Options) error {
	mission, err := a.sound(path, "no shift is computed")
	if err != nil {
		return err
	}
	p := mission.Plan
	file, err := open(occupations)
	if err != nil {
		return err
	}
	defer file.Close()
	occupied, warnings, err := shift.ReadOccupations(file, p)
	for _, w := range warnings {
		if told := say(a.err, "%s:%d: warning: mark %s: %s", occupations, w.Line, w.Mark, w.Text); told != nil {
			return told
		}
	}
	if err != nil {
		return linesOf(occupations, err)
	}
	solution, err := shift.Fit(occupied, p.Confidence, options)
	if err != nil {
		return fmt.Errorf("no shift from %s: %w", occupations, err)
	}
	board, refusal := shift.ForBoard(p, solution)
	a.printShift(p, solution, board)
	if refusal != nil || out == "" {
		return refusal
	}
	header, err := gen.ShiftHeader(p, board.EastMM, board.NorthMM, board.SineQ30)
	if err != nil {
		return fmt.Errorf("cannot generate %s: %w", out, err)
	}
	_, err = a.place(filepath.Dir(out), []gen.File{{Name: filepath.Base(out), Data: header}})
	return err
}

func (a app) printShift(p *plan.Plan, s shift.Solution, n shift.Board) {
	fmt.Fprintf(a.out, "shift: %+.1f mm east, %+.1f mm north (± %.1f, %.1f mm, one standard deviation)\n", s.EastMM, s.NorthMM, s.EastStdMM, s.NorthStdMM)
	if s.Rotated {
		fmt.Fprintf(a.out, "rotation about the site origin: %+.5f deg from east towards north (± %.5f deg)\n", s.RotationRad*180/math.Pi, s.RotationStdRad*180/math.Pi)
	}
	t := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "mark\tresidual east mm\tnorth mm\tstated mm\tredundancy\t")
	for _, r := range s.Residuals {
		fmt.Fprintf(t, "%s\t%+.1f\t%+.1f\t%.1f\t%.2f\t\n", r.Name, r.EastMM, r.NorthMM, r.StdMM, r.Redundancy)
	}
	t.Flush() // a failure shows when the run ends
	for _, test := range []struct {
		name string
		shift.Test
	}{{"translation", s.TranslationTest}, {"rotation", s.RotationTest}, {"fit", s.ModelTest}} {
		if !test.Made {
			fmt.Fprintf(a.out, "test of the %s: not made, too few marks\n", test.name)
			continue
		}
		verdict := "not significant"
		if test.Rejected {
			verdict = "significant"
		}
		fmt.Fprintf(a.out, "test of the %s: %.2f against %.2f at %g %%, %s\n", test.name, test.Statistic, test.Critical, s.Confidence*100, verdict)
	}
	for _, note := range s.Notes {
		say(a.out, "note: %s", note)
	}
	fmt.Fprintf(a.out, "board: mere_set_shift(&%s_mission, &state, %d, %d, %d)\n", p.Identifier, n.EastMM, n.NorthMM, n.SineQ30)
}

// linesOf puts the file's name before each fault of one of its lines.
func linesOf(file string, err error) error {
	var unreadable *fs.PathError
	if errors.As(err, &unreadable) {
		return fmt.Errorf("cannot read %s: %w", file, unreadable.Err)
	}
	all := []error{err}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		all = joined.Unwrap()
	}
	var lines []error
	for _, one := range all {
		var at *shift.LineError
		if errors.As(one, &at) {
			lines = append(lines, fmt.Errorf("%s:%d: %s", file, at.Line, at.Message))
		} else {
			lines = append(lines, fmt.Errorf("%s: %v", file, one))
		}
	}
	return errors.Join(lines...)
}
