// Package report prints the numbers behind a plan as tables for a person: site
// and frame for the surveyor, legs and waypoints with their budgets for whoever
// drives, holds and their faults for whoever answers for safety. It reads a plan
// and judges nothing: judging is internal/check's.
package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"merestone/internal/circuit"
	"merestone/internal/geodesy"
	"merestone/internal/motion"
	"merestone/internal/plan"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// Short prints site, legs, waypoints and a count of the holds' faults.
func Short(w io.Writer, p *plan.Plan) error { return write(w, printer{p: p}) }

// Full prints Short without a limit of rows, and then the marks that were measured from
// others, every part of every error budget and the whole single-fault table.
func Full(w io.Writer, p *plan.Plan) error { return write(w, printer{p: p, full: true}) }

func write(w io.Writer, r printer) error {
	r.site()
	r.legs()
	r.waypoints()
	r.holds()
	if r.full {
		r.measured()
		r.budgets()
		r.track()
		if err := r.faults(); err != nil {
			return err
		}
	}
	_, err := w.Write(r.out.Bytes())
	return err
}

type printer struct {
	p    *plan.Plan
	full bool
	out  bytes.Buffer
}

// shortRows is how many legs or waypoints Short prints; a longer list is no
// report but a listing.
const shortRows = 60

// rows cuts a table with a header to what is printed, and says what was left out.
func (r *printer) rows(rows [][]string, what string) {
	left := len(rows) - 1 - shortRows
	if r.full || left <= 0 {
		r.table(rows)
		return
	}
	r.table(rows[:1+shortRows])
	r.line("  and %d more %s (--full)", left, what)
}

func (r *printer) line(format string, args ...any) { fmt.Fprintf(&r.out, format+"\n", args...) }

// table prints rows aligned, numbers to the right of their columns.
func (r *printer) table(rows [][]string) {
	t := tabwriter.NewWriter(&r.out, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, row := range rows {
		fmt.Fprintln(t, "  "+strings.Join(row, "\t")+"\t")
	}
	t.Flush() // writing to a buffer cannot fail
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

func (r *printer) legs() {
	p := r.p
	r.line("LEGS (lengths along the ground at the site's height; bearings at the start)")
	rows := [][]string{{"leg", "length m", "true deg", "magnetic deg", "fall %", "speed m/s", "coast m", "stopping m", "standoff m", "at start m"}}
	for _, l := range p.Route.Legs {
		compass, fall := "-", "-"
		if p.Site.Magnetic.Err == nil {
			compass = fmt.Sprintf("%.1f", p.Site.Magnetic.Field.MagneticBearingDeg(l.TrueAzimuthDeg))
		}
		if l.HasSlope {
			fall = fmt.Sprintf("%.2f", 100*l.Downhill)
		}
		rows = append(rows, []string{l.ID, fmt.Sprintf("%.3f", l.GroundM), fmt.Sprintf("%.2f", l.TrueAzimuthDeg), compass,
			fall, metres2(l.SpeedMMPerS), fmt.Sprintf("%.2f", l.CoastMM/1000), metres2(l.Stopping.TotalMM), metres2(l.Line.TotalMM), atStart(l)})
	}
	r.rows(rows, "legs")
	r.line("")
}

func (r *printer) waypoints() {
	p := r.p
	r.line("WAYPOINTS (bounds at %g %%, at one instant)", p.Confidence*100)
	rows := [][]string{{"waypoint", "tolerance m", "position m", "timing m", "coast m", "steering m", "closest m", "cut m", "speed m/s", "highest m/s"}}
	for i, w := range p.Route.Waypoints {
		in := p.Arriving(i)
		row := []string{w.ID, metres2(w.ToleranceMM), metres3(w.Budget.TotalMM)}
		if in == nil {
			row = append(row, "-", "-", "-", "-", "-", "-", "-")
		} else {
			cut := "-"
			if w.Stops {
				cut = metres2(in.CutMM)
			}
			row = append(row, metres3(w.Arrival.TimingMM), metres3(w.Arrival.CoastMM), metres3(w.Arrival.SteeringMM), metres3(w.Arrival.ClosestMM), cut, metres2(in.SpeedMMPerS), metres2(w.Arrival.HighestMMPerS))
		}
		rows = append(rows, row)
	}
	r.rows(rows, "waypoints")
	r.line("")
}

func (r *printer) holds() {
	p := r.p
	r.line("HOLDS (stop category 0: power is taken away; at worst %d ms from letting go to the drive without power)", p.Board.Timing.HoldMS)
	r.keepAway()
	if len(p.Holds.List) == 0 {
		r.line("  none")
		r.line("")
		return
	}
	header := []string{"hold", "kind", "pins", "faults tried"}
	outcomes := circuit.Outcomes()
	outcomes = outcomes[1 : len(outcomes)-1] // the first and the last are of no fault
	for _, o := range outcomes {
		header = append(header, o.String())
	}
	rows := [][]string{append(header, "found late or never")}
	add := func(name, kind, pins string, faults []circuit.Row) {
		count, late := circuit.Count(faults), 0
		row := []string{name, kind, pins, fmt.Sprint(count.Faults)}
		for _, o := range outcomes {
			row = append(row, fmt.Sprint(count.Of[o]))
			for found, n := range count.When[o] {
				if found > circuit.ByStartUpTest {
					late += n
				}
			}
		}
		rows = append(rows, append(row, fmt.Sprint(late)))
	}
	for _, h := range p.Holds.List {
		var pins []string
		for _, c := range h.Circuit.Channels {
			pins = append(pins, fmt.Sprint(c.Pin))
		}
		add(h.Circuit.Name, h.Circuit.Kind.String(), strings.Join(pins, "+"), p.Holds.Faults.ToldWith(h.Circuit.Name))
	}
	if p.Holds.FaultsErr == nil {
		add("drive path", fmt.Sprintf("%d parts", len(p.Holds.Path.Parts)), "-", p.Holds.Faults.OfPath())
	}
	r.table(rows)
	r.running()
	r.tried()
	r.line("  A fault that touches several holds is counted with the first of them. Found late: by the written test or a meter only.")
	r.line("  No conformity with any standard is claimed; a risk assessment and local codes come first.")
	r.line("")
}

// running names the faults that leave the drive running.
func (r *printer) running() {
	const few = 8
	var list []string
	for _, row := range r.p.Holds.Faults.Rows {
		if row.Outcome.Dangerous() {
			list = append(list, row.Fault.String())
		}
	}
	if n := len(list); n > few {
		list = append(list[:few], fmt.Sprintf("and %d more (--full)", n-few))
	}
	if len(list) > 0 {
		r.line("  keeps running: %s", strings.Join(list, "; "))
	}
}

// tried says what the record of the commissioning says.
func (r *printer) tried() {
	c := r.p.Commissioning
	passed, steps := r.p.PassedSteps()
	switch {
	case steps == 0:
	case !c.Said:
		r.line("  no record says that this machine was tried")
	default:
		r.line("  tried on %s: %d of the %d steps of the written test passed, to be repeated by %s", c.Date.Format(time.DateOnly), passed, steps, c.RepeatBy.Format(time.DateOnly))
	}
}

// halted says how far the rover goes on while nobody steers it, when the program halts with
// drive_enable high. It is in no standoff.
func (r *printer) halted(speed int64) {
	path, latest := r.p.Holds.Path, int64(-1)
	for _, part := range path.Parts {
		if part.Watchdog && (latest < 0 || part.OffMS < latest) {
			latest = part.OffMS
		}
	}
	if latest < 0 {
		r.line("  if the program halts, nothing but a hold stops the rover: no part of the drive path is opened by a watchdog")
		return
	}
	ms := path.WatchdogMS + latest
	r.line("  if the program halts, the watchdog takes the power away within %d ms: %.3f m, which no standoff has in it", ms, plan.Metres(motion.TravelMM(speed, ms)))
}

// keepAway prints the distance to keep, part by part.
func (r *printer) keepAway() {
	keep := r.p.KeepAway()
	if keep.TotalMM == 0 {
		return
	}
	r.line("  distance to keep on every side, on leg %s; in front, none is enough:", r.p.Route.Legs[keep.Leg].ID)
	hold := r.p.Board.Timing.HoldMS
	part := func(name string, ms, mm int64, how string) []string {
		return []string{name, fmt.Sprint(ms), metres3(mm), how}
	}
	r.table([][]string{{"part", "ms", "m", "of"},
		part("the holder sees and lets go", plan.HolderMS, keep.HolderMM, "rover"),
		part("until the drive is without power", hold, keep.ReactionMM, "rover"),
		part("coast, at worst", keep.RestMS, keep.CoastMM, "rover"),
		part(fmt.Sprintf("somebody who walks at %.1f m/s", plan.Metres(plan.WalkMMPerS)), plan.HolderMS+hold+keep.RestMS, keep.WalkMM, "person"),
		{"together", "", metres3(keep.TotalMM), ""},
	})
	r.halted(r.p.Route.Legs[keep.Leg].SpeedMMPerS)
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

func (r *printer) faults() error {
	if r.p.Holds.FaultsErr != nil || len(r.p.Holds.List) == 0 {
		return nil
	}
	r.line("WIRING, ITS FAULTS AND THE WRITTEN TEST")
	return r.p.Holds.Faults.Text(&r.out)
}

func dash(mm float64) string {
	if mm == 0 {
		return "-"
	}
	return fmt.Sprintf("%.1f", mm)
}

func metres2(mm int64) string { return fmt.Sprintf("%.2f", plan.Metres(mm)) }
func metres3(mm int64) string { return fmt.Sprintf("%.3f", plan.Metres(mm)) }

// atStart is the standoff that a leg needs until the rover is on its line.
func atStart(l plan.Leg) string {
	if !l.Join.Needed {
		return "same"
	}
	return metres2(l.Join.TotalMM)
}
