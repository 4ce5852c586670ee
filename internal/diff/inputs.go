// Changes of the mission's own figures: name, site, base, receiver, rover,
// board.
package diff

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"merestone/internal/circuit"
	"merestone/internal/plan"
)

// input is one figure of a block: what it is called in the table of directions
// and in the report, and where it is written.
type input struct {
	name string // in directions()
	what string
	path string
	unit unit
}

// number compares one figure. The key under which it can be a cause is its
// name. It returns nil when the figure is the same.
func (b *builder) number(o order, subject string, in input, before, after float64) *node {
	if before == after {
		return nil
	}
	return b.cause(key{in.name, 0}, o, Change{
		Kind: b.judge(in.name, before, after), Subject: subject, What: in.what,
		Before: in.unit.words(before), After: in.unit.words(after), Number: in.unit.number(before, after), Path: in.path,
	})
}

// text compares two values in words that have no more or less.
func (b *builder) text(k key, o order, c Change, before, after string) *node {
	if before == after {
		return nil
	}
	c.Before, c.After = before, after
	return b.cause(k, o, c)
}

func (b *builder) mission() {
	o := order{section: missionSection}
	b.text(key{"mission.name", 0}, o, Change{Subject: "mission", What: "name", Path: "mission"}, b.old.Mission, b.new.Mission)
	o.rank = 1
	b.number(o, "mission", input{"confidence", "confidence", "confidence", percent}, b.old.Confidence, b.new.Confidence)
}

func (b *builder) site() {
	before, after := b.old.Site.Origin, b.new.Site.Origin
	o := order{section: siteSection}
	c := Change{Subject: "site", What: "origin moved", Path: "site.origin"}
	if before.Latitude != after.Latitude || before.Longitude != after.Longitude {
		c.Before, c.After = coordinates(before), coordinates(after)
		c.Move = b.moved(before, after)
		b.cause(key{"site.origin", 0}, o, c)
	}
	o.rank = 1
	if before.HeightM != after.HeightM {
		b.cause(key{"site.height", 0}, o, Change{
			Subject: "site", What: "height of the origin", Path: "site.origin",
			Before: metre.words(before.HeightM), After: metre.words(after.HeightM), Number: metre.number(before.HeightM, after.HeightM),
		})
	}
	o.rank = 2
	const day = time.DateOnly
	n := b.text(key{"site.date", 0}, o, Change{Subject: "site", What: "date", Path: "site.date"},
		b.old.Site.Date.Format(day), b.new.Site.Date.Format(day))
	if n != nil {
		n.change.Number = plainDays(b.old.Site.Date, b.new.Site.Date)
	}
	b.declination()
}

func plainDays(before, after time.Time) *Number {
	days := after.Sub(before).Hours() / 24
	return &Number{Before: 0, After: days, Delta: days, Unit: "d"}
}

// declination follows from origin and date.
func (b *builder) declination() {
	words := func(m plan.Magnetic) string {
		if m.Err != nil {
			return "not known: " + m.Err.Error()
		}
		return fmt.Sprintf("%.2f deg", m.Field.DeclinationDeg)
	}
	before, after := words(b.old.Site.Magnetic), words(b.new.Site.Magnetic)
	if before == after {
		return
	}
	c := Change{Subject: "site", What: "declination", Before: before, After: after}
	if b.old.Site.Magnetic.Err == nil && b.new.Site.Magnetic.Err == nil {
		hundredths := func(deg float64) float64 { return round(deg, 2) }
		c.Number = degree.number(hundredths(b.old.Site.Magnetic.Field.DeclinationDeg), hundredths(b.new.Site.Magnetic.Field.DeclinationDeg))
	}
	b.effect(order{section: siteSection, rank: 3}, c, b.present(key{"site.origin", 0}, key{"site.height", 0}, key{"site.date", 0}))
}

func (b *builder) base() {
	before, after := b.old.Survey.Base, b.new.Survey.Base
	o := order{section: baseSection}
	switch {
	case before == nil && after == nil:
		return
	case before == nil || after == nil:
		c := Change{Kind: b.appears("base", before != nil, after != nil), Subject: "base", What: "added", After: "spoken of", Path: "base"}
		if after == nil {
			c.What, c.Before, c.After = "removed", "spoken of", ""
		}
		n := b.cause(key{"base", 0}, o, c)
		b.controlMarks(o, before, after)
		b.alias(key{"base.control_mark", 0}, n)
		return
	}
	b.text(key{"base.mark", 0}, o, Change{Subject: "base", What: "mark", Path: "base.mark"},
		markOrNone(b.old, before.Mark), markOrNone(b.new, after.Mark))
	words := map[bool]string{true: "averaged anew at each set-up", false: "entered"}
	o.rank = 1
	b.text(key{"base.averaged", 0}, o, Change{
		Kind: b.appears("base.averaged", before.Averaged, after.Averaged), Subject: "base", What: "position", Path: "base.position",
	}, words[before.Averaged], words[after.Averaged])
	o.rank = 2
	b.number(o, "base", input{"base.averaged_for", "averaged for", "base.averaged_for", second}, before.AveragedForS, after.AveragedForS)
	o.rank = 3
	b.number(o, "base", input{"base.uncertainty", "uncertainty", "base.uncertainty", millimetre}, before.StdMM, after.StdMM)
	b.controlMarks(o, before, after)
}

// markOrNone is a mark's name. A renamed mark that stays the base is reported
// with the marks and here.
func markOrNone(p *plan.Plan, mark int) string {
	if mark < 0 || mark >= len(p.Survey.Marks) {
		return "not said"
	}
	return p.Survey.Marks[mark].Name
}

func (b *builder) controlMarks(o order, before, after *plan.Base) {
	names := func(p *plan.Plan, base *plan.Base) []string {
		var out []string
		if base != nil {
			for _, m := range base.ControlMarks {
				out = append(out, p.Survey.Marks[m].Name)
			}
		}
		return out
	}
	was, is := names(b.old, before), names(b.new, after)
	b.ensureMarks()
	for _, q := range match(was, is, b.markPlaces(b.old, before), b.markPlaces(b.new, after)).pairs {
		if q.both() {
			continue
		}
		c := Change{Kind: b.appears("base.control_mark", q.old >= 0, q.new >= 0), Path: "base.control_marks"}
		o.rank = 10
		if q.old >= 0 {
			c.Subject, c.What, c.Before, o.name = "control mark "+was[q.old], "removed", "occupied before a drive", was[q.old]
		} else {
			c.Subject, c.What, c.After, o.name = "control mark "+is[q.new], "added", "occupied before a drive", is[q.new]
		}
		b.cause(key{"base.control_mark", 0}, o, c)
	}
}

// markPlaces gives control marks the ids of their marks as places, so that a
// renamed mark is the same control mark.
func (b *builder) markPlaces(p *plan.Plan, base *plan.Base) []string {
	var out []string
	if base != nil {
		for _, m := range base.ControlMarks {
			if p == b.old {
				out = append(out, fmt.Sprint(b.markIDs.oldID[m]))
			} else {
				out = append(out, fmt.Sprint(b.markIDs.newID[m]))
			}
		}
	}
	return out
}

func (b *builder) receiver() {
	before, after := b.old.Machine.Receiver, b.new.Machine.Receiver
	rows := []struct {
		in            input
		before, after float64
	}{
		{input{"receiver.fix_interval", "time between fixes", "receiver.fix_rate", milli}, float64(before.FixIntervalMS), float64(after.FixIntervalMS)},
		{input{"receiver.latency", "latency", "receiver.latency", milli}, float64(before.LatencyMS), float64(after.LatencyMS)},
		{input{"receiver.stale_after", "fix counts as stale after", "receiver.stale_after", milli}, float64(before.StaleAfterMS), float64(after.StaleAfterMS)},
		{input{"receiver.uncertainty.fixed", "uncertainty, fixed", "receiver.uncertainty.fixed", millimetre}, before.FixedStdMM, after.FixedStdMM},
	}
	for i, r := range rows {
		b.number(order{section: receiverSection, rank: i}, "receiver", r.in, r.before, r.after)
	}
	o := order{section: receiverSection, rank: len(rows)}
	if before.FloatStdMM == 0 || after.FloatStdMM == 0 { // not said on one side
		said := func(mm float64) string {
			if mm == 0 {
				return "not said"
			}
			return millimetre.words(mm)
		}
		b.text(key{"receiver.uncertainty.float", 0}, o, Change{Subject: "receiver", What: "uncertainty, float", Path: "receiver.uncertainty.float"},
			said(before.FloatStdMM), said(after.FloatStdMM))
	} else {
		b.number(o, "receiver", input{"receiver.uncertainty.float", "uncertainty, float", "receiver.uncertainty.float", millimetre}, before.FloatStdMM, after.FloatStdMM)
	}
	o.rank++
	b.text(key{"receiver.required", 0}, o, Change{
		Kind: b.judge("receiver.required", float64(before.Required), float64(after.Required)), Subject: "receiver", What: "required solution", Path: "receiver.required",
	}, before.Required.String(), after.Required.String())
}

func (b *builder) rover() {
	before, after := b.old.Machine.Rover, b.new.Machine.Rover
	rows := []struct {
		in            input
		before, after float64
	}{
		{input{"rover.width", "width", "rover.width", millimetre}, float64(before.WidthMM), float64(after.WidthMM)},
		{input{"rover.length", "length", "rover.length", millimetre}, float64(before.LengthMM), float64(after.LengthMM)},
		{input{"rover.speed.cruise", "cruise speed", "rover.speed.cruise", perSecond}, float64(before.CruiseMMPerS), float64(after.CruiseMMPerS)},
		{input{"rover.speed.minimum", "minimum speed", "rover.speed.minimum", perSecond}, float64(before.MinimumMMPerS), float64(after.MinimumMMPerS)},
		{input{"rover.coast.from", "speed that the coast was measured from", "rover.coast.from", perSecond}, float64(before.CoastFromMMPerS), float64(after.CoastFromMMPerS)},
		{input{"rover.coast.distance", "coast", "rover.coast.distance", millimetre}, float64(before.CoastMM), float64(after.CoastMM)},
		{input{"rover.turn_radius", "turn radius", "rover.turn_radius", millimetre}, float64(before.TurnRadiusMM), float64(after.TurnRadiusMM)},
		{input{"rover.cross_track", "cross-track allowance", "rover.cross_track", millimetre}, float64(before.CrossTrackMM), float64(after.CrossTrackMM)},
		{input{"rover.motor_lag", "motor lag", "rover.motor_lag", milli}, float64(before.MotorLagMS), float64(after.MotorLagMS)},
		{input{"rover.heading_uncertainty", "heading uncertainty", "rover.heading_uncertainty", degree}, before.HeadingStdDeg, after.HeadingStdDeg},
		{input{"rover.tilt", "tilt", "rover.tilt", degree}, before.TiltDeg, after.TiltDeg},
		{input{"rover.antenna.height", "antenna height", "rover.antenna.height", millimetre}, float64(before.AntennaHeightMM), float64(after.AntennaHeightMM)},
		{input{"rover.compass.from_antenna", "compass from the antenna", "rover.compass", millimetre}, float64(before.CompassFromAntennaMM), float64(after.CompassFromAntennaMM)},
	}
	for i, r := range rows {
		b.number(order{section: roverSection, rank: i}, "rover", r.in, r.before, r.after)
	}
	// An arm is judged by its length; which side it is on changes nothing.
	arms := []struct {
		in            input
		before, after int64
	}{
		{input{"rover.antenna.forward", "antenna forward of the middle", "rover.antenna.forward", millimetre}, before.AntennaForwardMM, after.AntennaForwardMM},
		{input{"rover.antenna.right", "antenna right of the middle", "rover.antenna.right", millimetre}, before.AntennaRightMM, after.AntennaRightMM},
	}
	for i, r := range arms {
		if n := b.number(order{section: roverSection, rank: len(rows) + i}, "rover", r.in, float64(r.before), float64(r.after)); n != nil {
			n.change.Kind = b.judge(r.in.name, math.Abs(float64(r.before)), math.Abs(float64(r.after)))
		}
	}
}

func (b *builder) board() {
	before, after := b.old.Board.Inputs, b.new.Board.Inputs
	o := order{section: boardSection}
	b.number(o, "board", input{"board.loop", "longest time between two turns of the loop", "board.loop", milli},
		float64(b.old.Board.Timing.LoopMS), float64(b.new.Board.Timing.LoopMS))
	o.rank++
	b.number(o, "board", input{"board.output_delay", "output delay", "board.output_delay", milli},
		float64(b.old.Board.Timing.OutputDelayMS), float64(b.new.Board.Timing.OutputDelayMS))
	rows := []struct {
		what, path    string
		before, after string
	}{
		{"input pins", "board.input_pins", pins(before.Pins), pins(after.Pins)},
		{"internal pulls", "board.pulls", pulls(before), pulls(after)},
		{"drive enable pin", "board.outputs.drive_enable", driveEnable(before), driveEnable(after)},
		{"integer bits", "board.integer_bits", fmt.Sprint(before.IntegerBits), fmt.Sprint(after.IntegerBits)},
		{"floating point", "board.float", before.Float, after.Float},
		{"logic levels", "board.logic", logic(before.Electrical), logic(after.Electrical)},
	}
	for _, r := range rows {
		o.rank++
		kind := Neutral
		if r.before != r.after {
			kind = b.appears("board.wiring", false, true)
		}
		b.text(key{"board.wiring", 0}, o, Change{Kind: kind, Subject: "board", What: r.what, Path: r.path}, r.before, r.after)
	}
}

func pins(list []int) string {
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	words := make([]string, len(sorted))
	for i, p := range sorted {
		words[i] = fmt.Sprint(p)
	}
	return strings.Join(words, ", ")
}

func pulls(in plan.Inputs) string {
	switch {
	case in.PullUp && in.PullDown:
		return "up, down"
	case in.PullUp:
		return "up"
	case in.PullDown:
		return "down"
	default:
		return "none"
	}
}

func driveEnable(in plan.Inputs) string {
	if in.DriveEnable < 0 {
		return "not said"
	}
	return fmt.Sprint(in.DriveEnable)
}

func logic(e circuit.Board) string {
	return fmt.Sprintf("supply %d mV, low below %d mV, high above %d mV, pulls %d to %d ohm",
		e.SupplyMV, e.LowBelowMV, e.HighAboveMV, e.PullMinOhm, e.PullMaxOhm)
}
