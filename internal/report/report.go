// Package report prints the numbers behind a plan as tables for a person: site
// and frame for the surveyor, legs and waypoints with their budgets and the time that
// they take for whoever drives, what is left of each limit, holds and their faults for
// whoever answers for safety. It reads a plan and judges nothing: judging is
// internal/check's, which also says what is left.
//
// Tables are at most 80 columns wide, if names are not very long, whatever the terminal;
// what stands between them is folded. A heading has the unit, and what a column means is
// said under the table. One word means one thing, here, in headers and in messages:
// docs/glossary.md has them.
//
// This file: what is printed in which order, and what the tables share. drive.go has those
// of the drive, holds.go those of the holds.
package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// Report is what is printed of a mission.
type Report struct {
	Plan     *plan.Plan
	Reserves []diag.Reserve // of the limits that were compared
	Columns  int            // how wide running text may be; 0: words.UsualColumns
}

// Short prints site, legs, waypoints, what is left of the limits that refuse a mission,
// and a count of the holds' faults.
func (r Report) Short(w io.Writer) error { return r.write(w, false) }

// Full prints Short without a limit of rows, and then the marks that were measured from
// others, every part of every error budget and the whole single-fault table.
func (r Report) Full(w io.Writer) error { return r.write(w, true) }

func (r Report) write(w io.Writer, full bool) error {
	if r.Columns <= 0 {
		r.Columns = words.UsualColumns
	}
	p := printer{Report: r, p: r.Plan, full: full}
	p.site()
	p.legs()
	p.rests()
	p.waypoints()
	p.duration()
	p.reserves()
	p.holds()
	if full {
		p.measured()
		p.budgets()
		p.track()
		if err := p.faults(); err != nil {
			return err
		}
	}
	_, err := w.Write(p.out.Bytes())
	return err
}

type printer struct {
	Report
	p    *plan.Plan
	full bool
	out  bytes.Buffer
}

// shortRows is how many legs or waypoints Short prints; a longer list is no
// report but a listing.
const shortRows = 60

// rows cuts a table with a header to what is printed, and says what was left out. The sum
// below it, where there is one, stays.
func (r *printer) rows(rows [][]string, what string, sum ...string) {
	left := len(rows) - 1 - shortRows
	if r.full || left <= 0 {
		left = 0
	} else {
		rows = rows[: 1+shortRows : 1+shortRows]
	}
	if sum != nil {
		rows = append(rows, sum)
	}
	r.table(rows)
	if left > 0 {
		r.line("  and %d more %s (--full)", left, what)
	}
}

// line prints a line, and folds it.
func (r *printer) line(format string, args ...any) {
	for _, line := range words.Fold(fmt.Sprintf(format, args...), r.Columns) {
		fmt.Fprintln(&r.out, line)
	}
}

// says explains a table below it.
func (r *printer) says(text string) {
	for _, line := range words.Wrap(text, r.Columns-2) {
		fmt.Fprintln(&r.out, "  "+line)
	}
}

// table prints rows aligned, numbers to the right of their columns, those of the given
// numbers as text.
func (r *printer) table(rows [][]string, text ...int) {
	const indent = "  "
	for _, line := range words.Table(rows, words.UsualColumns-len(indent), text...) {
		fmt.Fprintln(&r.out, strings.TrimRight(indent+line, " "))
	}
}

func (r *printer) site() {
	p := r.p
	r.line("SITE")
	r.line("  origin %s %s, ellipsoidal height %.2f m (WGS 84)", geodesy.FormatLatitudeDMS(p.Site.Origin.Latitude), geodesy.FormatLongitudeDMS(p.Site.Origin.Longitude), p.Site.Origin.HeightM)
	r.line("  board's conversion of fixes within %.2f mm (proved); marks rounded to whole millimetres", float64(p.Board.Tables.Conversion.BoundUM)/1000)
	if p.Complete() && len(p.Board.Tables.Fence.Nodes) > 0 { // the plan of a test may have none
		most := p.Board.Tables.Instructions()
		r.line("  board's tables %v of flash; a step at most %d instructions of a Cortex-M3, %d of them for the margin from the fence", quantity.Size(p.Board.Tables.Flash().Total()), most.Step, most.Margin)
	}
	if p.Site.Magnetic.Err == nil {
		f := p.Site.Magnetic.Field
		r.line("  magnetic declination %+.2f deg (east positive) on %s, standard deviation %.2f deg", f.DeclinationDeg, p.Site.Date.Format("2006-01-02"), f.DeclinationUncertaintyDeg)
	}
	r.base()
	r.line("")
}

// base prints what a set-up of the base does, and what is made of it.
func (r *printer) base() {
	p := r.p
	b := p.Survey.Base
	how := "part of every bound on a position"
	switch {
	case b.LeansOnShift():
		how = fmt.Sprintf("taken out by a site shift from %s, without which the board does not start", words.Plural(len(b.ControlMarks), "control mark"))
	case b.Averaged():
		how = "no control mark is occupied"
	}
	r.line("  base (%s): up to %.2f m from one set-up to another (%g %%); %s", b.Position, p.BaseShiftMM()/1000, p.Confidence*100, how)
	if b.LeansOnShift() {
		turned := ""
		if b.Rotation {
			turned = ", a rotation included"
		}
		r.line("  site shift known to %.1f mm per axis at the farthest place of route and fence%s", p.ShiftStdMM(), turned)
	}
	for _, s := range p.Survey.Setups {
		if s.Tied && s.StdMM > 0 {
			name := s.Name
			if name == "" {
				name = "without a name"
			}
			r.line("  set-up %s: its marks moved by %+.3f m east, %+.3f m north, known to %.3f m per axis", name, s.EastMM/1000, s.NorthMM/1000, s.StdMM/1000)
		}
	}
}

// budgets prints each waypoint's error budget part by part. Waypoints with the
// same budget are told together.
func (r *printer) budgets() {
	r.line("ERROR BUDGETS (random parts are one standard deviation per axis; k·√Σσ² + Σ bounds)")
	type group struct {
		budget plan.Budget
		names  []string
	}
	var groups []group
	seen := map[string]int{}
	for _, w := range r.p.Route.Waypoints {
		key := fmt.Sprint(w.Budget)
		i, ok := seen[key]
		if !ok {
			i = len(groups)
			seen[key] = i
			groups = append(groups, group{budget: w.Budget})
		}
		groups[i].names = append(groups[i].names, r.p.Survey.Marks[w.Mark].Name)
	}
	for _, g := range groups {
		r.line("  %s", strings.Join(g.names, ", "))
		rows := [][]string{{"part", "σ mm", "bound mm"}}
		random := 0.0
		for _, part := range g.budget.Parts {
			random += float64(part.StdMM * part.StdMM)
			rows = append(rows, []string{part.Name, dash(part.StdMM), dash(part.BoundMM)})
		}
		rows = append(rows, []string{fmt.Sprintf("together: %.4f × %.1f + bounds", g.budget.Factor, math.Sqrt(random)), "", fmt.Sprint(g.budget.TotalMM)})
		r.table(rows)
	}
	r.line("")
}

// track prints what the line of the leg that asks for the most needs.
func (r *printer) track() {
	l := r.p.Route.Line
	if l.LateMS == 0 {
		return
	}
	r.line("LINE (what cross_track must hold; the rover is turned against an error %d ms after it)", l.LateMS)
	if l.Unsteady {
		r.line("  no allowance holds it")
	} else {
		r.table([][]string{{"part", "mm"},
			{fmt.Sprintf("receiver, read %d times", l.Readings), fmt.Sprint(l.NoiseMM)},
			{"heading", fmt.Sprint(l.HeadingMM)}, {"antenna tilt", fmt.Sprint(l.TiltMM)},
			{"start tolerance of leg " + r.p.Route.Legs[l.Leg].ID + ", what is left", fmt.Sprint(l.StartMM)}, {"whole millimetres", fmt.Sprint(l.RoundingMM)},
			{"together", fmt.Sprint(l.LeastMM)}, {"allowed: cross_track", fmt.Sprint(r.p.Machine.Rover.CrossTrackMM)}})
	}
	r.line("")
}

func dash(mm float64) string {
	if mm == 0 {
		return "-"
	}
	return fmt.Sprintf("%.1f", mm)
}

func metres2(mm int64) string { return fmt.Sprintf("%.2f", plan.Metres(mm)) }
func metres3(mm int64) string { return fmt.Sprintf("%.3f", plan.Metres(mm)) }
