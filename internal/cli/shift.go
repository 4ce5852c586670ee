// merestone shift: today's site shift from control marks occupied today.
package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"merestone/gen"
	"merestone/internal/diag"
	"merestone/internal/figures"
	"merestone/internal/occupy"
	"merestone/internal/pipeline"
	"merestone/internal/plan"
	"merestone/internal/shift"
	"merestone/internal/version"
	"merestone/internal/words"
)

// shiftFlags are what the command line says beside mission and fixes.
type shiftFlags struct {
	out, day, format             string
	otherMarks, estimateVariance bool
	build
}

func (a app) shiftCommand() *cobra.Command {
	var f shiftFlags
	c := &cobra.Command{
		Use:   "shift MISSION OCCUPATIONS... [-o FILE --day DAY]",
		Short: "find today's site shift from occupied control marks",
		Long: `A base that averages its own position comes up somewhere else each day, and
the whole mission with it. Stand the rover's antenna on the control marks of
the mission, record the fixes, and this command finds what is to be added to
today's fixes so that they agree with the mission, by least squares: a
translation, and a rotation only where the mission asks for it
(base.rotation). It shows residuals and tests, and judges the shift.

OCCUPATIONS are receivers' logs, NAME=LOG for each mark: NMEA 0183, packed
by gzip or not. A mark may have several. Of each a place is made as
'merestone occupy' makes it, of the fixes with which the rover may drive
(receiver.required), and the same findings refuse it; but for one occupation
of each mark, which is enough for a day. They say the day themselves, by RMC
or ZDA, in UTC; a --day that they are not of is refused.

Or OCCUPATIONS is a CSV file with a header line and one line for each fix:

  name,latitude,longitude,uncertainty
  K1,45.301173011,6.123349017,
  K1,45.301173015,6.123349012,

Several fixes on one mark are averaged. uncertainty may be left out where a
mark has several fixes; it is one standard deviation in each axis. One of
the files may be - for standard input.

A shift is refused, and no header written, when the marks do not agree on
one, a control mark was not occupied or a mark that is none was, when it is
known worse than the mission was checked with, at the farthest place of
route and fence, or is farther than the base lets expect. At 95 % the test
of the marks and that of the distance each refuse one good day in twenty:
occupy the marks again, and take what comes then.

Findings go to standard error, with the rules that 'merestone explain' has.
With --format json standard output gets one object as of 'merestone check',
and in it shift: {day, digest, east_mm, north_mm, sine_q30, achieved_m,
planned_m, residuals: [{mark, east_m, north_m, stated_m}], logs: [{mark,
file, sha256}]}; it is null where there is none. logs are those that were
read.

With -o FILE a shift that is not refused is written as a small C header,
which carries the digest of the plan and the day of the occupations: the
board takes it by mere_set_shift, for this plan alone. FILE is replaced only
where it is such a header of the same mission; - prints it in place of the
report. --depfile and --stamp are those of 'merestone compile'.`,
		Annotations: map[string]string{exitNote: `0   there is a shift, and no finding of error severity
1   the mission or the shift is refused; no header is written
2   bad usage, or a file that cannot be read or written`},
		Example: `  merestone shift mission.yaml K1=K1.nmea K2=K2.nmea.gz -o site_shift.h
  merestone shift mission.yaml today.csv
  merestone shift mission.yaml today.csv -o site_shift.h --day 2026-05-10
  merestone shift mission.yaml - --format json < today.csv`,
		Args: arguments(2, math.MaxInt, "", "it takes MISSION and OCCUPATIONS, but is given %d: %q"),
		ValidArgsFunction: func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 { // logs have any name
				return nil, cobra.ShellCompDirectiveDefault
			}
			return completeFiles(missionEndings())(c, args, typed)
		},
		RunE: func(_ *cobra.Command, args []string) error {
			given, err := readOccupations(args[1:])
			if err != nil {
				return err
			}
			return a.shift(args[0], given, f)
		},
	}
	c.Flags().StringVarP(&f.out, "output", "o", "", "write a header `FILE`, too; - prints it instead")
	c.Flags().StringVar(&f.day, "day", "", "`DAY` of the occupations, YYYY-MM-DD")
	c.Flags().BoolVar(&f.otherMarks, "other-marks", false, "let other than control marks be used")
	c.Flags().BoolVar(&f.estimateVariance, "estimate-variance", false, "judge by the scatter of the residuals alone")
	buildFlags(c, &f.build)
	formatFlag(c, &f.format, "text", "json")
	formats := c.PreRunE
	c.PreRunE = func(c *cobra.Command, args []string) error {
		if err := formats(c, args); err != nil {
			return err
		}
		if err := f.build.fault(c, f.out, args...); err != nil {
			return err
		}
		return f.fault(args)
	}
	return c
}

// occupations are what the command line says was occupied: a file of fixes, or logs.
type occupations struct {
	csv  string
	logs []markLog
}

// markLog is a log of a mark.
type markLog struct{ mark, file string }

// readOccupations reads the arguments after the mission. A file whose name has an equals
// sign is told by a slash before it: ./a=b.csv.
func readOccupations(args []string) (occupations, error) {
	var o occupations
	for _, arg := range args {
		mark, file, is := strings.Cut(arg, "=")
		switch is = is && !strings.ContainsAny(mark, `/\`); {
		case arg == "":
			return o, errors.New("OCCUPATIONS has no name")
		case is && (mark == "" || file == ""):
			return o, fmt.Errorf("%q is no NAME=LOG", arg)
		case is:
			o.logs = append(o.logs, markLog{mark, file})
		case len(args) > 1:
			return o, fmt.Errorf("OCCUPATIONS are NAME=LOG for each mark, or one CSV file; %q is not the one, and there is more than the other", arg)
		default:
			o.csv = arg
		}
	}
	if len(o.logs) > mostLogs {
		return o, fmt.Errorf("at most %d logs at a time, but there are %d", mostLogs, len(o.logs))
	}
	return o, nil
}

// files are those that are read.
func (o occupations) files() []string {
	if o.csv != "" {
		return []string{o.csv}
	}
	var files []string
	for _, l := range o.logs {
		files = append(files, l.file)
	}
	return files
}

// fault says in what way the command line asks for what cannot be.
func (f shiftFlags) fault(args []string) error {
	given, wrong := readOccupations(args[1:])
	if wrong != nil {
		return wrong
	}
	inputs := 0
	for _, file := range append(given.files(), args[0]) {
		if file == "-" {
			inputs++
		}
	}
	switch _, err := f.date(); {
	case inputs > 1:
		return errors.New("one of MISSION and OCCUPATIONS can be standard input, and no more")
	case f.day != "" && err != nil:
		return fmt.Errorf("--day is a calendar day as 2026-05-10, but is %q", f.day)
	case f.out == "":
		return nil
	case f.out != "-" && filepath.Ext(f.out) != ".h":
		// The name must say that it is a header: -o today.csv by mistake would
		// replace the fixes of a morning.
		return fmt.Errorf("-o names a C header, so it must end in .h, but is %q", f.out)
	case f.day == "" && given.csv != "":
		return errNoDay
	case f.out == "-" && f.format == "json":
		return errors.New("-o - and --format json both want standard output")
	}
	return nil
}

// errNoDay is of a header that nothing says the day of.
var errNoDay = errors.New("-o needs --day, the day of the occupations: what the header says must not hang on when it is written")

// date is the day of the occupations.
func (f shiftFlags) date() (time.Time, error) { return time.Parse(time.DateOnly, f.day) }

func (a app) shift(path string, given occupations, f shiftFlags) error {
	f.began = time.Now()
	mission, err := a.load(path)
	if err != nil {
		return err
	}
	if mission.Refused() {
		if f.format == "json" {
			if err := a.shiftJSON(mission, mission.Findings, f, nil); err != nil {
				return err
			}
			return errFindings
		}
		if err := diag.WriteText(a.err, mission.Findings, mission.Sources, a.errOn); err != nil {
			return err
		}
		return a.refused(mission, "no shift is computed")
	}
	p := mission.Plan
	found, err := a.findShift(p, given, &f)
	if err != nil {
		return err
	}
	if f.format == "json" {
		err = a.shiftJSON(mission, found.Findings, f, &found)
	} else {
		err = diag.WriteText(a.err, found.Findings, mission.Sources, a.errOn)
	}
	if err != nil {
		return err
	}
	if f.format != "json" && f.out != "-" {
		a.printPlaces(found)
		a.printShift(p, found, f)
	}
	if found.Refused() {
		so := "no shift for the board"
		if f.out != "" {
			so = "no header is written"
		}
		say(a.err, "%s: refused (%s); %s", words.Few(given.files(), ", "), counted(found.Findings), so)
		return errFindings
	}
	if f.out == "" {
		return nil
	}
	if err := f.of([]string{filepath.ToSlash(f.out)}, append(mission.Files(), given.files()...)); err != nil {
		return err
	}
	return a.writeShift(p, found, f)
}

// findShift reads the fixes or logs and finds the shift. The day is put into the flags
// where logs say it.
func (a app) findShift(p *plan.Plan, given occupations, f *shiftFlags) (shift.Result, error) {
	q := shift.Request{Name: given.csv, OtherMarks: f.otherMarks, EstimateVariance: f.estimateVariance}
	if given.csv == "" {
		var err error
		if q.Occupied, err = a.occupied(p, given.logs); err != nil {
			return shift.Result{}, err
		}
		if err := f.ofLogs(q.Occupied); err != nil {
			return shift.Result{}, err
		}
		return shift.Find(p, q)
	}
	q.Fixes = a.in
	if given.csv != "-" {
		file, err := open(given.csv)
		if err != nil {
			return shift.Result{}, err
		}
		defer file.Close()
		q.Fixes = file
	}
	found, err := shift.Find(p, q)
	if err != nil {
		return found, linesOf(given.csv, err)
	}
	return found, nil
}

// occupied makes a place of each mark of the logs of it, in the order of the command line.
func (a app) occupied(p *plan.Plan, given []markLog) ([]occupy.Result, error) {
	marks := map[string]bool{}
	for _, m := range p.Survey.Marks {
		marks[m.Name] = true
	}
	var order []string
	logs := map[string][]*occupy.Log{}
	for _, l := range given {
		if !marks[l.mark] {
			return nil, fmt.Errorf("%s=%s: there is no mark %s in the mission; a file of this name is written ./%[1]s=%[2]s", l.mark, l.file, l.mark)
		}
		log, err := a.readLog(l.file, shift.Asked(p, l.mark))
		if err != nil {
			return nil, err
		}
		if logs[l.mark] == nil {
			order = append(order, l.mark)
		}
		logs[l.mark] = append(logs[l.mark], log)
	}
	var results []occupy.Result
	for _, mark := range order {
		r, err := occupy.Occupy(logs[mark], shift.Asked(p, mark))
		if err != nil {
			return nil, fmt.Errorf("mark %s: %w", mark, err)
		}
		results = append(results, r)
	}
	return results, nil
}

// ofLogs holds the day against those of logs, or takes it from them.
func (f *shiftFlags) ofLogs(occupied []occupy.Result) error {
	first, last, dated := shift.Days(occupied)
	from, until := first.Format(time.DateOnly), last.Format(time.DateOnly)
	switch {
	case !dated && f.day == "" && f.out != "":
		return fmt.Errorf("not every log says its day (RMC, ZDA): %w", errNoDay)
	case !dated:
		return nil
	case last.Sub(first) > 24*time.Hour:
		return fmt.Errorf("the logs are of %s to %s: the base may have come up anew in between, and a shift is of one day", from, until)
	case f.day == "":
		f.day = from
	case f.day != from && f.day != until:
		return fmt.Errorf("the logs are of %s (UTC), and not of --day %s", from, f.day)
	}
	return nil
}

// writeShift writes the header, or prints it.
func (a app) writeShift(p *plan.Plan, r shift.Result, f shiftFlags) error {
	day, err := f.date()
	if err != nil {
		return err
	}
	var marks []string
	for _, residual := range r.Solution.Residuals {
		marks = append(marks, residual.Name)
	}
	header, err := gen.ShiftHeader(p, gen.Shift{
		Day: day, EastMM: r.Board.EastMM, NorthMM: r.Board.NorthMM, SineQ30: r.Board.SineQ30,
		Found: []string{
			fmt.Sprintf("Found on %s: known to %.1f mm per axis (one standard deviation) at the", words.Few(marks, ", "), r.AchievedMM),
			fmt.Sprintf("farthest place of route and fence; the mission was checked with %.1f mm.", r.PlannedMM),
		},
	}, version.Tool)
	if err != nil {
		return fmt.Errorf("cannot generate %s: %w", f.out, err)
	}
	if f.out == "-" {
		_, err := a.data.Write(header)
		return err
	}
	if err := own(f.out, fmt.Sprintf("site shift of mission %s", p.Mission), func(begin []byte) bool { return gen.IsShiftHeader(p, begin) }); err != nil {
		return err
	}
	if err := f.before(); err != nil {
		return err
	}
	if _, err = a.place(filepath.Dir(f.out), []gen.File{{Name: filepath.Base(f.out), Data: header}}); err != nil {
		return err
	}
	return f.done()
}

// shiftShape is the shift in JSON. Members may be added.
type shiftShape struct {
	Day       string          `json:"day"` // empty where it was not said
	Digest    string          `json:"digest"`
	EastMM    int64           `json:"east_mm"`
	NorthMM   int64           `json:"north_mm"`
	SineQ30   int64           `json:"sine_q30"`
	AchievedM float64         `json:"achieved_m"`
	PlannedM  float64         `json:"planned_m"`
	Residuals []residualShape `json:"residuals"`
	Logs      []shiftLogShape `json:"logs"`
}

type shiftLogShape struct {
	Mark   string `json:"mark"`
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
}

type residualShape struct {
	Mark    string  `json:"mark"`
	EastM   float64 `json:"east_m"`
	NorthM  float64 `json:"north_m"`
	StatedM float64 `json:"stated_m"`
}

func (a app) shiftJSON(m pipeline.Mission, findings []diag.Finding, f shiftFlags, r *shift.Result) error {
	report := diag.Report{Tool: tool, Version: version.Tool, Mission: m.Name, Findings: findings, More: []diag.Member{{Name: "shift"}}}
	if r != nil && r.Found() {
		shape := shiftShape{
			Day: f.day, Digest: fmt.Sprintf("%x", figures.Digest(m.Plan)), EastMM: r.Board.EastMM, NorthMM: r.Board.NorthMM, SineQ30: r.Board.SineQ30,
			AchievedM: r.AchievedMM / 1000, PlannedM: r.PlannedMM / 1000, Residuals: []residualShape{}, Logs: []shiftLogShape{},
		}
		for _, one := range r.Occupied {
			for _, log := range one.Logs {
				shape.Logs = append(shape.Logs, shiftLogShape{one.Mark, log.Name, log.Digest})
			}
		}
		for _, residual := range r.Solution.Residuals {
			shape.Residuals = append(shape.Residuals, residualShape{residual.Name, residual.EastMM / 1000, residual.NorthMM / 1000, residual.StdMM / 1000})
		}
		report.More[0].Value = shape
	}
	return diag.WriteJSON(a.data, report)
}

// printPlaces prints what the places of marks rest on that logs were read of.
func (a app) printPlaces(r shift.Result) {
	for _, one := range r.Occupied {
		if one.Refused() {
			say(a.out, "%s: no place; see what is said of it", one.Mark)
			continue
		}
		say(a.out, "%s: ± %.1f mm", one.Mark, one.Covariance.Ellipse().Major)
		for _, line := range one.Comments() {
			say(a.out, "  %s", line)
		}
		for _, log := range one.Logs {
			printCounts(a.out, log)
		}
	}
}

func (a app) printShift(p *plan.Plan, r shift.Result, f shiftFlags) {
	if !r.Found() {
		return
	}
	s := r.Solution
	fmt.Fprintf(a.out, "shift: %+.1f mm east, %+.1f mm north (± %.1f, %.1f mm, one standard deviation)\n", s.EastMM, s.NorthMM, s.EastStdMM, s.NorthStdMM)
	if s.Rotated {
		fmt.Fprintf(a.out, "rotation about the site origin: %+.5f deg from east towards north (± %.5f deg)\n", s.RotationRad*180/math.Pi, s.RotationStdRad*180/math.Pi)
	}
	fmt.Fprintf(a.out, "farthest place of route and fence: ± %.1f mm; the mission was checked with ± %.1f mm\n", r.AchievedMM, r.PlannedMM)
	rows := [][]string{{"mark", "residual east mm", "north mm", "stated mm", "redundancy"}}
	for _, one := range s.Residuals {
		rows = append(rows, []string{one.Name, fmt.Sprintf("%+.1f", one.EastMM), fmt.Sprintf("%+.1f", one.NorthMM), fmt.Sprintf("%.1f", one.StdMM), fmt.Sprintf("%.2f", one.Redundancy)})
	}
	for _, line := range words.Table(rows, words.UsualColumns) {
		fmt.Fprintln(a.out, line)
	}
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
	if r.Refused() {
		return // the findings say what there is to say
	}
	for _, note := range s.Notes {
		say(a.out, "note: %s", note)
	}
	if day, err := f.date(); err == nil {
		say(a.out, "board: {digest %x, day %d, %d mm east, %d mm north, sine %d}", figures.Digest(p), gen.DayNumber(day), r.Board.EastMM, r.Board.NorthMM, r.Board.SineQ30)
		return
	}
	say(a.out, "board: {digest %x, %d mm east, %d mm north, sine %d}", figures.Digest(p), r.Board.EastMM, r.Board.NorthMM, r.Board.SineQ30)
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
