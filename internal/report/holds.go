// The tables of the holds: how far to keep from the rover, what single faults do, and
// whether the machine was tried.
package report

import (
	"fmt"
	"strings"
	"time"

	"merestone/internal/circuit"
	"merestone/internal/motion"
	"merestone/internal/plan"
)

func (r *printer) holds() {
	p := r.p
	r.line("HOLDS")
	r.line("  stop category 0: power is taken away, at most %d ms after letting go", p.Board.Timing.HoldMS)
	r.keepAway()
	if len(p.Holds.List) == 0 {
		r.line("  none")
		r.line("")
		return
	}
	rows := [][]string{{"hold", "kind", "pins"}}
	for _, h := range p.Holds.List {
		var pins []string
		for _, c := range h.Circuit.Channels {
			pins = append(pins, fmt.Sprint(c.Pin))
		}
		rows = append(rows, []string{h.Circuit.Name, h.Circuit.Kind.String(), strings.Join(pins, "+")})
	}
	if p.Holds.FaultsErr == nil {
		rows = append(rows, []string{"drive path", fmt.Sprintf("%d parts", len(p.Holds.Path.Parts)), "-"})
	}
	r.table(rows, 1)
	r.counts()
	r.running()
	r.tried()
	r.says("A fault that touches several holds is counted with the first of them. Found late: by the written test or a meter only. " +
		"No conformity with any standard is claimed; a risk assessment and local codes come first.")
	r.line("")
}

// counts counts the faults of each hold by what the drive does.
func (r *printer) counts() {
	p := r.p
	header := []string{"single faults\nof", "\ntried"}
	outcomes := circuit.Outcomes()
	outcomes = outcomes[1 : len(outcomes)-1] // the first and the last are of no fault
	for _, o := range outcomes {
		does := o.String()
		if at := strings.LastIndex(does, " "); at >= 0 {
			does = does[:at] + "\n" + does[at+1:]
		}
		header = append(header, does)
	}
	rows := [][]string{append(header, "found late\nor never")}
	add := func(name string, faults []circuit.Row) {
		count, late := circuit.Count(faults), 0
		row := []string{name, fmt.Sprint(count.Faults)}
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
		add(h.Circuit.Name, p.Holds.Faults.ToldWith(h.Circuit.Name))
	}
	if p.Holds.FaultsErr == nil {
		add("drive path", p.Holds.Faults.OfPath())
	}
	r.table(rows)
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
		part("longest coast", keep.RestMS, keep.CoastMM, "rover"),
		part(fmt.Sprintf("somebody who walks at %.1f m/s", plan.Metres(plan.WalkMMPerS)), plan.HolderMS+hold+keep.RestMS, keep.WalkMM, "person"),
		{"together", "", metres3(keep.TotalMM), ""},
	}, 3)
	r.halted(r.p.Route.Legs[keep.Leg].SpeedMMPerS)
}

func (r *printer) faults() error {
	if r.p.Holds.FaultsErr != nil || len(r.p.Holds.List) == 0 {
		return nil
	}
	r.line("WIRING, ITS FAULTS AND THE WRITTEN TEST")
	return r.p.Holds.Faults.Text(&r.out)
}
