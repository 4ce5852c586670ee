// One mission as text, for a textual diff of two: the same meaning gives the
// same bytes, whatever the order of the keys, the spelling of the units and the
// comments. It is for reading and comparing only and is no mission file.
package diff

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// WriteCanonical writes a plan, one figure a line, marks in the order of their
// names, and the findings without their places. A nil plan has findings only.
func WriteCanonical(w io.Writer, p *plan.Plan, findings []diag.Finding) error {
	c := &canonical{}
	if p != nil {
		c.plan = p
		c.figures()
		c.rover()
		c.places()
		c.route()
		c.fence()
		c.holds()
	}
	c.block("findings")
	lines := make([]string, len(findings))
	for i, f := range findings {
		lines[i] = fmt.Sprintf("%v %s: %s", f.Severity, f.Rule, f.Message)
	}
	slices.Sort(lines)
	for _, s := range lines {
		c.line("%s", s)
	}
	_, err := w.Write(c.out.Bytes())
	return err
}

type canonical struct {
	out  bytes.Buffer
	plan *plan.Plan
}

func (c *canonical) block(name string) { fmt.Fprintf(&c.out, "%s\n", printable(name)) }

func (c *canonical) line(format string, args ...any) {
	fmt.Fprintf(&c.out, "    %s\n", printable(fmt.Sprintf(format, args...)))
}

func (c *canonical) figures() {
	p := c.plan
	c.block("mission " + p.Mission)
	c.line("confidence %s", percent.words(p.Confidence))
	c.block("site")
	c.line("origin %s, height %s", coordinates(p.Site.Origin), metre.words(p.Site.Origin.HeightM))
	c.line("date %s", p.Site.Date.Format(time.DateOnly))
	if b := p.Survey.Base; b != nil {
		c.block("base")
		c.line("mark %s", markOrNone(p, b.Mark))
		c.line("averaged anew at each set-up %s, for %s", words.YesNo(b.Averaged), second.words(b.AveragedForS))
		c.line("uncertainty %s", millimetre.words(b.StdMM))
		var names []string
		for _, m := range b.ControlMarks {
			names = append(names, p.Survey.Marks[m].Name)
		}
		slices.Sort(names)
		for _, name := range names {
			c.line("control mark %s", name)
		}
	}
	r := p.Machine.Receiver
	c.block("receiver")
	c.line("time between fixes %s", milli.words(float64(r.FixIntervalMS)))
	c.line("latency %s", milli.words(float64(r.LatencyMS)))
	c.line("stale after %s", milli.words(float64(r.StaleAfterMS)))
	c.line("uncertainty fixed %s", millimetre.words(r.FixedStdMM))
	c.line("uncertainty float %s", millimetre.words(r.FloatStdMM))
	c.line("required %s", quality(r.Required))
}

func (c *canonical) rover() {
	r := c.plan.Machine.Rover
	c.block("rover")
	for _, f := range []struct {
		what string
		unit unit
		v    float64
	}{
		{"width", millimetre, float64(r.WidthMM)}, {"length", millimetre, float64(r.LengthMM)},
		{"cruise speed", perSecond, float64(r.CruiseMMPerS)}, {"minimum speed", perSecond, float64(r.MinimumMMPerS)},
		{"coast from", perSecond, float64(r.CoastFromMMPerS)}, {"coast", millimetre, float64(r.CoastMM)},
		{"turn radius", millimetre, float64(r.TurnRadiusMM)}, {"cross-track allowance", millimetre, float64(r.CrossTrackMM)},
		{"motor lag", milli, float64(r.MotorLagMS)}, {"heading uncertainty", degree, r.HeadingStdDeg}, {"tilt", degree, r.TiltDeg},
		{"antenna forward", millimetre, float64(r.AntennaForwardMM)}, {"antenna right", millimetre, float64(r.AntennaRightMM)},
		{"antenna height", millimetre, float64(r.AntennaHeightMM)}, {"compass from antenna", millimetre, float64(r.CompassFromAntennaMM)},
	} {
		c.line("%s %s", f.what, f.unit.words(f.v))
	}
}

func (c *canonical) places() {
	c.block("marks")
	marks := slices.Clone(c.plan.Survey.Marks)
	slices.SortStableFunc(marks, func(a, b plan.Mark) int { return strings.Compare(a.Name, b.Name) })
	for _, m := range marks {
		c.line("%s at %s, height %s, uncertainty %s", m.Name, coordinates(m.Geodetic), height(m), millimetre.words(m.StdMM))
	}
	c.block("tape")
	var tapes []string
	for _, t := range c.plan.Survey.Tapes {
		from, to := c.plan.Survey.Marks[t.From].Name, c.plan.Survey.Marks[t.To].Name
		tapes = append(tapes, fmt.Sprintf("%s–%s measured %s, uncertainty %s", min(from, to), max(from, to), millimetre.words(t.MeasuredMM), millimetre.words(t.StdMM)))
	}
	slices.Sort(tapes)
	for _, s := range tapes {
		c.line("%s", s)
	}
}

func (c *canonical) route() {
	p := c.plan
	words := map[bool]string{true: "route, closed", false: "route, open"}
	c.block(words[p.Route.Closed])
	for i, w := range p.Route.Waypoints {
		speed := ""
		if in := p.Arriving(i); in != nil {
			speed = " at " + perSecond.words(float64(in.SpeedMMPerS))
		}
		c.line("%s%s, arrival tolerance %s, dwell %s", p.Survey.Marks[w.Mark].Name, speed, millimetre.words(float64(w.ToleranceMM)), milli.words(float64(w.DwellMS)))
	}
}

func (c *canonical) fence() {
	for n, o := range c.plan.Fence.Parts() {
		c.block(c.plan.Fence.PartName(n))
		for _, m := range o.Marks {
			if o.IsCircle {
				c.line("around %s, radius %s", m.Name, millimetre.words(float64(o.Circle.RadiusMM)))
			} else {
				c.line("corner %s", m.Name)
			}
		}
		c.line("height %s, reflects %s", millimetre.words(float64(o.HeightMM)), words.YesNo(o.Reflects))
	}
}

func (c *canonical) holds() {
	p := c.plan
	for _, h := range p.Holds.List {
		x := h.Circuit
		c.block("hold " + x.Name)
		c.line("%v, stop category %d, debounce %s, breaks the drive's supply %s", x.Kind, x.StopCategory, milli.words(float64(h.DebounceMS)), words.YesNo(x.BreaksDriveSupply))
		for _, ch := range x.Channels {
			c.line("pin %d, %v to %v, %s", ch.Pin, ch.Contact, ch.WiredTo, pullWords(ch))
		}
		if len(x.Channels) > 1 {
			c.line("discrepancy time %s", milli.words(float64(x.DiscrepancyMS)))
		}
	}
	in := p.Board.Inputs
	c.block("board")
	c.line("input pins %s; internal pulls %s; drive enable %s", pins(in.Pins), pulls(in), driveEnable(in))
	c.line("integer bits %d; floating point %s", in.IntegerBits, in.Float)
	c.line("loop %s; output delay %s", milli.words(float64(p.Board.Timing.LoopMS)), milli.words(float64(p.Board.Timing.OutputDelayMS)))
	c.line("%s", logic(in.Electrical))
}

func pullWords(c circuit.Channel) string {
	if c.PullOhm > 0 {
		return fmt.Sprintf("%v of %d ohm", c.Pull, c.PullOhm)
	}
	return c.Pull.String()
}
