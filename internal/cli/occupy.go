// merestone occupy: a mark from the logs of a receiver that stood on it.
package cli

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
	"merestone/internal/insert"
	"merestone/internal/nmea"
	"merestone/internal/occupy"
	"merestone/internal/pipeline"
	"merestone/internal/quantity"
	"merestone/internal/source"
	"merestone/internal/words"
	"merestone/spec"
)

// occupyFlags are what the command line says beside the logs.
type occupyFlags struct {
	mark, setup, into, format string
	from, until, pole, plumb  string
	centring                  string
	accept                    string // qualities with commas between them
	dry                       bool
}

func (a app) occupyCommand() *cobra.Command {
	var f occupyFlags
	c := &cobra.Command{
		Use:   "occupy LOG... [--mark NAME] [--into MISSION]",
		Short: "make a mark from a receiver's logs",
		Long: `Makes a mark of the fixes that a receiver logged while its antenna stood on
it: NMEA 0183, GGA with GST, RMC and ZDA as far as they are there,
packed by gzip or not; - is standard input. Standard output gets the lines
to paste under marks, standard error a report and the findings, whose rules
'merestone explain occupy' has.

The place is the mean of the fixes, weighted by the receiver's own standard
deviations where it gives them. How well it is known follows from how the
fixes scatter and how slowly their errors fade: a thousand fixes may be
worth ten. A window shorter than 15 minutes, or worth less than 20
independent fixes, cannot know that of itself: a larger uncertainty is said
then, and why. Errors of setting up come on top: --centring and --plumb. The
uncertainty is one standard deviation in each axis, such that 2.45 of it
hold the mark with 95 %. docs/occupy.md says how to occupy a mark, what the
figures mean and what they leave out.

Several logs, or a log with a gap of more than 15 minutes, are several
occupations of the one mark: they are tested against each other, and taken
together where they agree.

No mark is made of fixes that are not fixed, unless --accept names others;
of fixes at two places, which a wrong fix that lasts makes; of occupations
that do not agree. What was left out is counted, and said.

With --into the mark is entered into MISSION, which is shown as a diff and
replaced as a whole. A mark of that name gets the new values and keeps its
other keys; how far it moved is said. With --dry-run nothing is written.

With --format json standard output gets one object as of 'merestone check',
and in it occupy, null where no mark is made: {mark, latitude, longitude,
height_m, height_std_m, uncertainty_m, ellipse {major_m, minor_m,
bearing_deg}, yaml, logs [{log, sha256, fixes, kept_every, qualities}],
windows [{log, from, until, seen, used, walked, outliers, weighted,
independent, fades_s, floor, east_m, north_m, scatter {major_m, minor_m,
bearing_deg}, receiver_m, covariance_m2 [east, east_north, north], drift_m,
satellites, hdop, correction_age_s}], difference {first, second, east_m,
north_m, statistic, critical, smallest_shift_m}}. The ellipse is that of
95 %; east_m and north_m are from the mark; floor is "" where a window is
not short; what is not known is null.`,
		Annotations: map[string]string{exitNote: `0   there is a mark, and no finding of error severity
1   no mark is made
2   bad usage, or a file that cannot be read or written`},
		Example: `  merestone occupy b.nmea --mark B --pole "2.00 m" --plumb "0.3 deg"
  merestone occupy morning.nmea noon.nmea.gz --mark B --into mission.yaml
  merestone occupy day.nmea --from 08:12:05 --until 08:42:05 --mark B`,
		Args: arguments(1, mostLogs, "LOG is missing: a receiver's log, or - for standard input", fmt.Sprintf("at most %d logs at a time, but there are %%[1]d", mostLogs)),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveDefault
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.occupy(args, f) },
	}
	c.Flags().StringVar(&f.mark, "mark", "", "`NAME` of the mark")
	c.Flags().StringVar(&f.setup, "setup", "", "`NAME` of the set-up of the base, written to the mark")
	c.Flags().StringVar(&f.into, "into", "", "enter the mark into `MISSION`")
	c.Flags().BoolVar(&f.dry, "dry-run", false, "with --into: show the change, and make none")
	c.Flags().StringVar(&f.accept, "accept", "", "use fixes of `QUALITY`, too: float, or float,single")
	c.Flags().StringVar(&f.from, "from", "", "take fixes from `TIME` on, HH:MM:SS in UTC")
	c.Flags().StringVar(&f.until, "until", "", "take fixes up to `TIME`")
	c.Flags().StringVar(&f.pole, "pole", "", "`HEIGHT` of the antenna above the mark")
	c.Flags().StringVar(&f.centring, "centring", "2 mm", "`LENGTH` off the middle of the mark")
	c.Flags().StringVar(&f.plumb, "plumb", "", "`ANGLE` off upright, one standard deviation")
	formatFlag(c, &f.format, "text", "json")
	mustCompleteFlag(c, "accept", cobra.FixedCompletions(qualityNames(), cobra.ShellCompDirectiveNoFileComp))
	formats := c.PreRunE
	c.PreRunE = func(c *cobra.Command, args []string) error {
		if err := formats(c, args); err != nil {
			return err
		}
		_, err := f.options()
		return errors.Join(err, f.fault(args))
	}
	return c
}

// mostLogs bounds the memory: each log keeps so many fixes.
const mostLogs = 20

// qualityNames are those that --accept takes.
func qualityNames() []string {
	var names []string
	for q := nmea.Single; q <= nmea.Simulated; q++ {
		names = append(names, occupy.QualityName(q))
	}
	return names
}

// fault says in what way the command line asks for what cannot be.
func (f occupyFlags) fault(args []string) error {
	standard := 0
	for _, arg := range args {
		if arg == "-" {
			standard++
		}
	}
	switch {
	case standard > 1:
		return errors.New("standard input can be one LOG alone")
	case f.into == "-":
		return errors.New("--into changes a file: it cannot be standard input")
	case f.into != "" && f.mark == "":
		return errors.New("--into needs --mark, the name of the mark")
	case f.dry && f.into == "":
		return errors.New("--dry-run goes with --into")
	case f.into != "" && f.format == "json":
		return errors.New("--into reports as text; --format json changes nothing")
	}
	return nil
}

// options are what the flags ask of the logs.
func (f occupyFlags) options() (o occupy.Options, err error) {
	o.Mark, o.Accept = f.mark, []nmea.Quality{nmea.Fixed}
	if o.Mark == "" {
		o.Mark = "MARK"
	}
	for _, name := range []struct{ flag, what, text string }{{"mark", "mark", f.mark}, {"setup", "set-up", f.setup}} {
		if fault := spec.NameFault(name.what, name.text); name.text != "" && fault != "" {
			return o, fmt.Errorf("--%s %q: %s", name.flag, name.text, fault)
		}
	}
	for name := range strings.SplitSeq(f.accept, ",") {
		if f.accept == "" {
			break
		}
		q := slices.Index(qualityNames(), strings.TrimSpace(name))
		if q < 0 {
			return o, fmt.Errorf("--accept takes %s, but is given %q", words.And(qualityNames()), f.accept)
		}
		if quality := nmea.Single + nmea.Quality(q); !slices.Contains(o.Accept, quality) {
			o.Accept = append(o.Accept, quality)
		}
	}
	if (f.from == "") != (f.until == "") {
		return o, errors.New("--from and --until go together")
	}
	if f.from != "" {
		if o.From, err = timeOfDay(f.from); err != nil {
			return o, fmt.Errorf("--from: %w", err)
		}
		if o.Until, err = timeOfDay(f.until); err != nil {
			return o, fmt.Errorf("--until: %w", err)
		}
		if o.From == o.Until {
			return o, errors.New("--from and --until are the same time")
		}
	}
	if f.pole != "" {
		v, err := quantity.Parse(f.pole, quantity.Length(0).Dimension())
		switch o.Pole = quantity.Length(v); {
		case err != nil:
			return o, fmt.Errorf("--pole: %w", err)
		case o.Pole < 0 || o.Pole > 30*quantity.Metre:
			return o, fmt.Errorf("--pole is from 0 to 30 m, but is %s", o.Pole)
		}
	}
	v, err := quantity.Parse(f.centring, quantity.Length(0).Dimension())
	switch o.Centring = quantity.Length(v); {
	case err != nil:
		return o, fmt.Errorf("--centring: %w", err)
	case o.Centring < 0 || o.Centring > quantity.Metre:
		return o, fmt.Errorf("--centring is from 0 to 1 m, but is %s", o.Centring)
	}
	if f.plumb != "" {
		v, err := quantity.Parse(f.plumb, quantity.Angle(0).Dimension())
		switch angle := quantity.Angle(v); {
		case err != nil:
			return o, fmt.Errorf("--plumb: %w", err)
		case f.pole == "":
			return o, errors.New("--plumb needs --pole: what it does grows with the height")
		case angle < 0 || angle > 10*quantity.Degree:
			return o, fmt.Errorf("--plumb is from 0 to 10 deg, but is %s", angle)
		default:
			o.PlumbRad = geodesy.Nanodegree(angle).Radians()
		}
	}
	return o, nil
}

// timeOfDay reads a time of day as the time since midnight.
func timeOfDay(text string) (time.Duration, error) {
	at, err := time.Parse(time.TimeOnly, text)
	if err != nil {
		return 0, fmt.Errorf("a time of day is written as 08:12:05, in UTC, but is %q", text)
	}
	return at.Sub(time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC)), nil
}

func (a app) occupy(names []string, f occupyFlags) error {
	o, err := f.options()
	if err != nil {
		return err
	}
	var before pipeline.Mission
	if f.into != "" { // before logs of an hour are read
		if before, err = a.load(f.into); err != nil {
			return err
		}
	}
	var logs []*occupy.Log
	for _, name := range names {
		l, err := a.readLog(name, o)
		if err != nil {
			return err
		}
		logs = append(logs, l)
	}
	r, err := occupy.Occupy(logs, o)
	if err != nil {
		return err
	}
	if f.format == "json" {
		if err := a.occupyJSON(r, f.setup); err != nil {
			return err
		}
	} else {
		if err := diag.WriteText(a.err, r.Findings, nil, a.errOn); err != nil {
			return err
		}
		if err := a.printOccupied(r); err != nil {
			return err
		}
		for _, l := range logs {
			printCounts(a.err, l)
		}
	}
	switch {
	case r.Refused():
		say(a.err, "%s: refused (%s); no mark is made", r.Mark, counted(r.Findings))
		return errFindings
	case f.into != "":
		return a.intoMission(r, f, before)
	case f.format == "json":
		return nil
	}
	_, err = io.WriteString(a.data, r.YAML(f.setup))
	return err
}

// readLog reads a log to its end, and its digest with it.
func (a app) readLog(name string, o occupy.Options) (*occupy.Log, error) {
	file, shown := io.NopCloser(a.in), "standard input"
	var size int64
	if name != "-" {
		opened, err := open(name)
		if err != nil {
			return nil, err
		}
		defer opened.Close()
		file, shown = opened, name
		if info, err := os.Stat(name); err == nil && info.Mode().IsRegular() {
			size = info.Size()
		}
	}
	digest := sha256.New()
	bar := &progress{on: a.watched, what: words.Visible(shown), of: size}
	bytes := io.TeeReader(file, io.MultiWriter(digest, bar))
	defer bar.end()
	unpacked, err := source.Unpacked(io.NopCloser(bytes), shown)
	if err != nil {
		return nil, err
	}
	reader := nmea.NewReader(unpacked)
	l, err := occupy.ReadLog(shown, reader, o)
	if err != nil {
		return nil, err
	}
	if _, err := io.Copy(io.Discard, bytes); err != nil { // behind the end of what is packed
		return nil, fmt.Errorf("cannot read %s: %w", shown, words.PlainCause(err))
	}
	l.Counts = reader.Counts()
	l.Digest = fmt.Sprintf("%x", digest.Sum(nil))
	return l, nil
}

// intoMission shows what is to be entered into the mission, and how far a mark moves that was
// there, and puts it there.
func (a app) intoMission(r occupy.Result, f occupyFlags, before pipeline.Mission) error {
	mark := insert.Mark{Name: r.Mark, Comment: r.Comments()}
	for _, k := range r.Keys(f.setup) {
		mark.Keys = append(mark.Keys, insert.Key{Name: k.Name, Text: k.Value})
	}
	if before.Plan != nil {
		for _, m := range before.Plan.Survey.Marks {
			if m.Name == r.Mark {
				if err := say(a.out, "%s", moved(m.Geodetic, m.HasHeight, r)); err != nil {
					return err
				}
				if setups := before.Plan.Survey.Setups; f.setup == "" && !m.Measured.Form.FromOthers() && m.Setup < len(setups) && setups[m.Setup].Name != "" {
					if err := say(a.out, "it keeps its set-up %s: give --setup, if the base stood elsewhere for these logs", setups[m.Setup].Name); err != nil {
						return err
					}
				}
			}
		}
	}
	return a.enter(f.into, insert.Change{Marks: []insert.Mark{mark}}, f.dry)
}

// moved says how far a mark moves that was there.
func moved(from geodesy.Geodetic, hadHeight bool, r occupy.Result) string {
	distance, azimuth, _, err := geodesy.Geodesic(from, r.Place)
	if err != nil {
		return fmt.Sprintf("mark %s moves farther than can be told", r.Mark)
	}
	text := fmt.Sprintf("mark %s moves %.3f m", r.Mark, distance)
	if distance >= 0.0005 {
		text += fmt.Sprintf(", bearing %.0f deg", degrees(azimuth))
	}
	if hadHeight && r.HasHeight {
		text += fmt.Sprintf(", and %+.3f m in height", words.Round(r.Place.HeightM-from.HeightM, 3)+0) // and no -0
	}
	if hadHeight && !r.HasHeight {
		text += "; it keeps its height, of which these fixes say nothing"
	}
	return text
}

// degrees are those of an angle, from 0 to below 360.
func degrees(rad float64) float64 { return math.Mod(rad*180/math.Pi+360, 360) }

// printOccupied prints the report.
func (a app) printOccupied(r occupy.Result) error {
	var rows [][]string
	row := func(what, format string, args ...any) {
		rows = append(rows, []string{what, fmt.Sprintf(format, args...)})
	}
	for _, w := range r.Windows {
		if w.Used == 0 {
			continue // what is wrong with it is a finding
		}
		e := w.Estimate
		scatter := e.Scatter.Ellipse()
		row("occupied", "%s, %s", w.Times(), words.Visible(w.Log()))
		row("  fixes", "%d of %d used: %s", w.Used, w.Seen, w.Accepted())
		row("  one fix", "scatters by %.1f mm along bearing %.0f deg, %.1f mm across", scatter.Major, degrees(scatter.BearingRad), scatter.Minor)
		if scatter.Major == 0 {
			continue
		}
		if e.ReceiverMM > 0 {
			weighted := ""
			if e.Weighted {
				weighted = "; fixes are weighted by it"
			}
			row("  receiver", "says %.1f mm of itself (GST)%s", e.ReceiverMM, weighted)
		}
		if e.FadesS > 0 {
			row("  errors", "fade in %.0f s, so that %d fixes are worth %.0f", e.FadesS, w.Used, e.Independent)
		}
		own := e.Covariance.Ellipse()
		if e.Floor == "" {
			row("  mean", "known to %.1f mm and %.1f mm: %s", own.Major, own.Minor, w.Worth())
		} else {
			row("  mean", "known to no better than %.1f mm: %s", own.Major, w.Worth())
		}
		if reception := receptionWords(w.Reception); reception != "" {
			row("  reception", "%s", reception)
		}
	}
	if !r.Refused() && len(r.Windows) > 0 {
		if d := r.Difference; r.Compared {
			row("agreement", "%.1f mm apart: %.2f, and %.2f is allowed at 95 %%", elementary.Hypot(d.EastMM, d.NorthMM), d.Statistic, d.Critical)
			row("", "a shift of %.0f mm would have been seen, with 95 %%", math.Ceil(d.SmallestMM))
		}
		e := r.Ellipse()
		row("mark "+r.Mark, "%s, %s", r.Place.Latitude, r.Place.Longitude)
		if e.Major-e.Minor < 0.05 {
			row("  95 % ellipse", "%.1f mm in every direction", e.Major)
		} else {
			row("  95 % ellipse", "%.1f mm along bearing %.0f deg, %.1f mm across", e.Major, degrees(e.BearingRad), e.Minor)
		}
		row("  uncertainty", "%d mm, one standard deviation per axis", r.UncertaintyMM())
		if r.HasHeight {
			row("  height", "%.3f m above the ellipsoid, known to %.1f mm", r.Place.HeightM, r.UpStdMM)
		}
	}
	const label = 16
	for _, r := range rows {
		for i, line := range words.Fold(r[1], a.errOn.Wide()-label) {
			if i > 0 {
				r[0] = ""
			}
			if _, err := fmt.Fprintf(a.err, "%-*s%s\n", label, r[0], line); err != nil {
				return err
			}
		}
	}
	return nil
}

// receptionWords say how the receiver received, as far as it said.
func receptionWords(r occupy.Reception) string {
	var parts []string
	if r.FewestSatellites >= 0 {
		parts = append(parts, fmt.Sprintf("%d satellites or more", r.FewestSatellites))
	}
	if r.LargestHDOP > 0 {
		parts = append(parts, fmt.Sprintf("HDOP up to %.1f", r.LargestHDOP))
	}
	if r.OldestCorrection > 0 {
		parts = append(parts, fmt.Sprintf("corrections up to %.0f s old", r.OldestCorrection.Seconds()))
	}
	return strings.Join(parts, ", ")
}
