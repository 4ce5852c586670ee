// The tables of the drive: its legs, how the rover comes to rest on them and what room it
// needs, how near it comes to its waypoints, how long all of it takes, and what is left of
// each limit.
package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

func (r *printer) legs() {
	p := r.p
	r.line("LEGS")
	rows := [][]string{{"leg", "length\nm", "true\ndeg", "magnetic\ndeg", "fall\n%", "speed\nm/s"}}
	for _, l := range p.Route.Legs {
		compass, fall := "-", "-"
		if p.Site.Magnetic.Err == nil {
			compass = fmt.Sprintf("%.1f", p.Site.Magnetic.Field.MagneticBearingDeg(l.TrueAzimuthDeg))
		}
		if l.HasSlope {
			fall = fmt.Sprintf("%.2f", 100*l.Downhill)
		}
		rows = append(rows, []string{l.ID, fmt.Sprintf("%.3f", l.GroundM), fmt.Sprintf("%.2f", l.TrueAzimuthDeg), compass, fall, metres2(l.SpeedMMPerS)})
	}
	r.rows(rows, "legs")
	r.says("Lengths are along the ground at the site's height; true and magnetic are the bearings at the start; fall is by the heights of the marks.")
	r.line("")
}

// rests is how the rover comes to rest, and the room that it needs for that.
func (r *printer) rests() {
	p := r.p
	r.line("COMING TO REST, AND ROOM")
	rows := [][]string{{"leg", "expected\ncoast m", "cut\nm", "longest\ncoast m", "stopping\nm", "standoff\nm", "at start\nm", "clearance\nm"}}
	for _, l := range p.Route.Legs {
		cut := "-"
		if p.Route.Waypoints[l.To].Stops {
			cut = metres2(l.CutMM)
		}
		clearance := "-"
		if l.Line.Needed {
			clearance = metres2(l.Line.ClearanceMM)
		}
		rows = append(rows, []string{l.ID, fmt.Sprintf("%.2f", l.CoastMM/1000), cut, metres2(l.Stopping.CoastMM), metres2(l.Stopping.TotalMM), metres2(l.Line.TotalMM), atStart(l), clearance})
	}
	r.rows(rows, "legs")
	r.says("Expected coast: of one roll-out on the leg's slope; the drive is cut so far before the waypoint (cut) that it ends there. " +
		"Longest coast: on the steepest ground, with the least friction. Stopping: from a reason to stop to rest, by the slower of holds and fixes, and the longest coast. " +
		"Standoff: the clearance that the leg needs, along its line and at its start; clearance: what it has along its line where the least is to spare.")
	r.line("")
}

func (r *printer) waypoints() {
	p := r.p
	r.line("WAYPOINTS")
	rows := [][]string{{"waypoint", "tolerance\nm", "closest\nm", "position\nm", "timing\nm", "coast\nerror m", "steering\nm", "highest\nm/s"}}
	for i, w := range p.Route.Waypoints {
		row := []string{w.ID, metres2(w.ToleranceMM)}
		if p.Arriving(i) == nil {
			row = append(row, "-", metres3(w.Budget.TotalMM), "-", "-", "-", "-")
		} else {
			a := w.Arrival
			row = append(row, metres3(a.ClosestMM), metres3(a.PositionMM), metres3(a.TimingMM), metres3(a.CoastMM), metres3(a.SteeringMM), metres2(a.HighestMMPerS))
		}
		rows = append(rows, row)
	}
	r.rows(rows, "waypoints")
	r.says(fmt.Sprintf("Closest: the least tolerance that can be met at %g %%, at one instant: position + √((timing + coast error)² + steering²). "+
		"Position: the error of the fix against the mark. Timing: how far either side the cut may fall. Coast error: by how much a roll-out may differ from the expected coast. "+
		"Steering: how far beside the line it may arrive. Highest: the speed up to which the tolerance is met.", p.Confidence*100))
	r.line("")
}

// duration is how long the drive takes.
func (r *printer) duration() {
	d := r.p.Duration()
	if len(d.Legs) == 0 {
		return
	}
	r.line("HOW LONG THE DRIVE TAKES: %s for %.1f m", minutes(d.TotalMS()), plan.Metres(d.TotalMM))
	rows := [][]string{{"leg", "length\nm", "travel\ns", "stop\ns", "dwell\ns", "since start\nmin:s"}}
	for i, l := range r.p.Route.Legs {
		one := d.Legs[i]
		rows = append(rows, []string{l.ID, fmt.Sprintf("%.1f", l.LengthMM/1000), seconds(one.TravelMS), seconds(one.StopMS), seconds(one.DwellMS), minutes(one.UntilMS)})
	}
	r.rows(rows, "legs", "together", fmt.Sprintf("%.1f", plan.Metres(d.TotalMM)), seconds(d.TravelMS), seconds(d.StopMS), seconds(d.DwellMS), minutes(d.TotalMS()))
	turns := "turns"
	if d.Turns > 0 {
		turns = fmt.Sprintf("%s on the spot, %.0f deg together, at a rate that a mission does not say", words.Plural(d.Turns, "turn"), d.TurnDeg)
	}
	r.says("Travel: at the leg's speed, with the motors' lag, up to the cut. Stop: from the cut until two fixes have shown where it rests, after the time that the board waits for that. " +
		"Left out: " + turns + "; slowing down in bends; roll-outs that end short; waiting for holds, fixes and people.")
	r.line("")
}

// reserves is what is left of the limits, the least first.
func (r *printer) reserves() {
	if len(r.Reserves) == 0 {
		return
	}
	r.line("RESERVES")
	switch nearest, ok := diag.Nearest(r.Reserves, diag.Leg, diag.Waypoint); {
	case !ok:
	case nearest.Kept():
		r.line("  nearest to being refused is %s, by %s: %s left of %s (%s)", r.leg(nearest.At), nearest.Limit, amount(nearest, nearest.Left()), amount(nearest, nearest.Has), percent(nearest))
	default:
		r.line("  farthest beyond a limit is %s, by %s: it has %s and needs %s", r.leg(nearest.At), nearest.Limit, amount(nearest, nearest.Has), amount(nearest, nearest.Needs))
	}
	list := slices.Clone(r.Reserves)
	slices.SortStableFunc(list, diag.ByShare)
	rows, left := [][]string{{"limit", "least is left at", "has", "needs", "left", "", "%"}}, 0
	for _, one := range list {
		if one.Severity != diag.Error && one.Kept() && !r.full {
			left++
			continue
		}
		limit := one.Limit
		if one.Severity != diag.Error {
			limit += " *"
		}
		share := percent(one)
		if one.Chosen {
			share = "set"
		}
		rows = append(rows, []string{limit, one.At.String(), number(one, one.Has), number(one, one.Needs), number(one, one.Left()), one.Unit.Name, strings.TrimSuffix(share, " %")})
	}
	r.table(rows, 1, 5)
	if left > 0 {
		r.line("  and %s, kept (--full)", words.Count(left, "more limit that warns", "more limits that warn"))
	}
	text := "Has: what there is, or is allowed. Needs: what is needed or taken of it. Left: the one less the other, and in % of what there is; below zero the rule refuses."
	if r.full || left < len(list) {
		text += " *: it warns, or is told in a note. Set: both are written in the mission."
	}
	r.says(text)
	r.line("")
}

// leg names the leg that ends at a waypoint along with it.
func (r *printer) leg(s diag.Subject) string {
	if s.Kind == diag.Waypoint && s.Index >= 0 {
		if in := r.p.Arriving(s.Index); in != nil {
			return fmt.Sprintf("leg %s at its end, %v", in.ID, s)
		}
	}
	return s.String()
}

// number is a kept number of a reserve as it is shown: of metres to the millimetre, cut so
// that what is left is never shown as more.
func number(r diag.Reserve, v float64) string {
	decimals := map[string]int{"m": 3, "m/s": 2, "m/s²": 1, "%": 1, "kB": 3, "mm": 1}[r.Unit.Name]
	shown := r.Unit.Shown(v)
	if math.IsInf(shown, 0) || math.IsNaN(shown) {
		return "-"
	}
	return fmt.Sprintf("%.*f", decimals, shown)
}

func amount(r diag.Reserve, v float64) string {
	return strings.TrimSpace(number(r, v) + " " + r.Unit.Name)
}

// percent is the part that is left, rounded down.
func percent(r diag.Reserve) string {
	share := r.Share()
	if math.IsInf(share, 0) {
		return "-"
	}
	return fmt.Sprintf("%.0f %%", math.Floor(float64(share*100)+1e-9))
}

// seconds is a time in seconds, minutes one in minutes and seconds.
func seconds(ms int64) string { return fmt.Sprintf("%.1f", float64(ms)/1000) }

func minutes(ms int64) string {
	s := (ms + 500) / 1000
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// atStart is the standoff that a leg needs until the rover is on its line.
func atStart(l plan.Leg) string {
	if !l.Join.Needed {
		return "same"
	}
	return metres2(l.Join.TotalMM)
}
