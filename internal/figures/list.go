// The list of figures, block by block in the order of a mission file.
//
// Three principles give what more of a figure does to safety:
//
//   - What the rover is told to do or allowed: more of it loosens. Speed,
//     tolerances, ground it may enter, delays that are chosen (debounce,
//     stale_after, loop, fix interval).
//   - What is stated about the machine and the survey: a better figure loosens,
//     because the checks lean on it and asks for less room. Uncertainties,
//     coast, size, latency.
//   - What protects: less of it loosens. Holds, channels, control marks, taped
//     checks.
//
// And what has no sign is to be looked at: where the coordinates come from, what is
// wired to what, what was read off.
package figures

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"merestone/internal/circuit"
	"merestone/internal/fence"
	"merestone/internal/motion"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// Why more of a figure does what it does, where several say the same.
const (
	leaned   = "a better figure is leaned on when it shrinks"
	lessRoom = "less room is asked for when it shrinks"
	byFaults = "judged by the single-fault table"
	wiring   = "what is wired to what only the machine can tell; faults are judged by the single-fault table"
	bySky    = "for the view of the sky only"
	moreSky  = "less of the sky counts as hidden when it shrinks"
	byShape  = "judged by the ground that it gives or takes"
	usedBy   = "judged by the legs and the fence that use it"
)

// Blocks lists every figure of the language, block by block.
func Blocks() []Block {
	return []Block{
		block("", "mission", missionFigures()),
		block("site", "site", siteFigures()),
		list("site.overhead[]", "overhead area", overheadFigures(), overheadItems),
		block("base", "base", baseFigures()),
		block("receiver", "receiver", receiverFigures()),
		block("rover", "rover", roverFigures()),
		list("rover.coast[]", "roll-out", coastFigures(), coastItems),
		list("marks.NAME", "mark", append(markFigures(), measuredFigures()...), markItems),
		list("rows[]", "row", rowFigures(), rowItems),
		list("rings[]", "ring", cornerFigures(), ringItems),
		list("tape[]", "tape", tapeFigures(), tapeItems),
		block("route", "route", []Figure{
			truth("route.closed", "closed", Neutral, "the leg that it adds is judged", onPlan(func(p *plan.Plan) bool { return p.Route.Closed })),
		}),
		list("route.waypoints[]", "waypoint", waypointFigures(), waypointItems),
		block("geofence", "boundary", boundaryFigures()),
		list("geofence.obstacles[]", "obstacle", obstacleFigures(), obstacleItems),
		list("holds[]", "hold", holdFigures(), holdItems),
		list("drive_path[]", "part", partFigures(), partItems),
		block("board", "board", boardFigures()),
		{"commissioning", "commissioning", commissioningFigures(), func(p *plan.Plan) []Item { return when(p.Commissioning.Said) }},
		list("commissioning.stopping[]", "measured stop", stoppingFigures(), stoppingItems),
		list("commissioning.coast[]", "measured roll-out", measuredCoastFigures(), func(p *plan.Plan) []Item { return runItems(p.Commissioning.Coast) }),
	}
}

func block(key, noun string, figures []Figure) Block {
	return Block{key, noun, figures, func(*plan.Plan) []Item { return when(true) }}
}

func when(there bool) []Item {
	if there {
		return []Item{{}}
	}
	return nil
}

// list is a block of entries, whose figures are named behind the entry's name.
func list(key, noun string, figures []Figure, items func(p *plan.Plan) []Item) Block {
	for i := range figures {
		figures[i].name = strings.TrimPrefix(figures[i].Key, key+".")
	}
	return Block{key, noun, figures, items}
}

func itemsOf[T any](list []T, name func(T) string) []Item {
	items := make([]Item, len(list))
	for i, thing := range list {
		items[i] = Item{name(thing), i}
	}
	return items
}

// The makers of figures. What is usual is a kept value where it is a constant.

type getter[T any] func(p *plan.Plan, i int) T

func onPlan[T any](get func(p *plan.Plan) T) getter[T] {
	return func(p *plan.Plan, _ int) T { return get(p) }
}

type amount interface{ ~int | ~int64 | ~float64 }

func number[T amount](key, what string, unit words.Unit, more Effect, why string, get getter[T], usual ...T) Figure {
	f := Figure{Key: key, What: what, Unit: unit, More: more, Why: why, get: func(p *plan.Plan, i int) Value { return amountOf(get(p, i)) }}
	if len(usual) > 0 {
		f.usual = func(*plan.Plan) Value { return amountOf(usual[0]) }
	}
	return f
}

func amountOf[T amount](v T) Value { return Value{Said: true, Number: float64(v)} }

// truth is yes or no, or the two words that stand for them; no is usual.
func truth(key, what string, more Effect, why string, get getter[bool], yesNo ...string) Figure {
	if yesNo == nil {
		yesNo = []string{"yes", "no"}
	}
	value := func(yes bool) Value {
		if yes {
			return Value{Said: true, Number: 1, Word: yesNo[0]}
		}
		return Value{Said: true, Word: yesNo[1]}
	}
	return Figure{Key: key, What: what, More: more, Why: why,
		get:   func(p *plan.Plan, i int) Value { return value(get(p, i)) },
		usual: func(*plan.Plan) Value { return value(false) }}
}

func word(key, what, why string, get getter[string], usual ...string) Figure {
	f := Figure{Key: key, What: what, Why: why, get: func(p *plan.Plan, i int) Value { w := get(p, i); return Value{Said: w != "", Word: w} }}
	if len(usual) > 0 {
		f.usual = func(*plan.Plan) Value { return Value{Said: true, Word: usual[0]} }
	}
	return f
}

// unless says nothing where a figure has the value that stands for that.
func (f Figure) unless(nothing float64) Figure {
	get := f.get
	f.get = func(p *plan.Plan, i int) Value {
		if v := get(p, i); v.Number != nothing {
			return v
		}
		return Value{}
	}
	return f
}

// onlyIf says nothing where a condition does not hold.
func (f Figure) onlyIf(holds func(p *plan.Plan, i int) bool) Figure {
	get := f.get
	f.get = func(p *plan.Plan, i int) Value {
		if holds(p, i) {
			return get(p, i)
		}
		return Value{}
	}
	return f
}

// apart is a place, a ring or an order, which diff compares as a whole.
func (f Figure) apart() Figure { f.Apart = true; return f }

// look is a figure without a sign, at which a person is to look.
func (f Figure) look() Figure { f.More = Look; return f }

// names is a list of marks.
func names(key, what, why string, get getter[[]string]) Figure {
	return Figure{Key: key, What: what, Why: why, Apart: true, get: func(p *plan.Plan, i int) Value {
		list := get(p, i)
		return Value{Said: len(list) > 0, List: list}
	}}
}

func missionFigures() []Figure {
	return []Figure{
		word("mission", "name", "a name", onPlan(func(p *plan.Plan) string { return p.Mission })),
		number("confidence", "confidence", words.Percentage, Tightens, "bounds hold with greater probability", onPlan(func(p *plan.Plan) float64 { return p.Confidence }), plan.UsualConfidence),
	}
}

func siteFigures() []Figure {
	const moved = "every coordinate on the board is another; the ground is the same"
	return []Figure{
		number("site.origin.latitude", "origin", words.Nanodegree, Neutral, moved, onPlan(func(p *plan.Plan) int64 { return int64(p.Site.Origin.Latitude) })).apart(),
		number("site.origin.longitude", "origin", words.Nanodegree, Neutral, moved, onPlan(func(p *plan.Plan) int64 { return int64(p.Site.Origin.Longitude) })).apart(),
		number("site.origin.height", "height of the origin", words.Metre, Neutral, moved, onPlan(func(p *plan.Plan) float64 { return p.Site.Origin.HeightM })),
		word("site.date", "date", "for the declination", onPlan(func(p *plan.Plan) string { return p.Site.Date.Format(time.DateOnly) })),
		{Key: "site.slope", What: "steepest ground", Unit: words.Percentage, More: Tightens, Why: leaned, Inferred: true, get: func(p *plan.Plan, _ int) Value {
			return Value{Said: p.Route.Slope.Said, Number: p.Route.Slope.Steepest}
		}},
	}
}

// overheadFigures are those of what the rover drives beneath. More of it hides more of
// the sky, and site.sky asks for open sky.
func overheadFigures() []Figure {
	of := func(get func(o plan.Overhead) int64) getter[int64] {
		return func(p *plan.Plan, i int) int64 { return get(p.Site.Overhead[i]) }
	}
	round := func(p *plan.Plan, i int) bool { return p.Site.Overhead[i].IsCircle }
	kind := truth("site.overhead[].kind", "kind", Tightens, "a canopy lets something through", func(p *plan.Plan, i int) bool { return p.Site.Overhead[i].Roof }, "roof", "canopy")
	kind.usual = nil
	return []Figure{
		kind,
		word("site.overhead[].centre", "centre", byShape, func(p *plan.Plan, i int) string { return p.Site.Overhead[i].Marks[0].Name }).onlyIf(round).apart(),
		number("site.overhead[].radius", "radius", words.Millimetre, Tightens, moreSky, of(func(o plan.Overhead) int64 { return o.Circle.RadiusMM })).onlyIf(round).apart(),
		names("site.overhead[].ring", "corners", byShape, func(p *plan.Plan, i int) []string {
			if p.Site.Overhead[i].IsCircle {
				return nil
			}
			return markNames(&p.Site.Overhead[i].Part)
		}),
		number("site.overhead[].height", "height", words.Millimetre, Tightens, moreSky, of(func(o plan.Overhead) int64 { return o.HeightMM })),
		number("site.overhead[].headroom", "headroom", words.Millimetre, Loosens, "less of the sky counts as hidden when it grows", of(func(o plan.Overhead) int64 { return o.HeadroomMM }), 0),
	}
}

func overheadItems(p *plan.Plan) []Item {
	return itemsOf(p.Site.Overhead, func(o plan.Overhead) string { return o.Name })
}

// markNames are those of a part's marks, as listed.
func markNames(p *fence.Part) []string {
	var list []string
	for _, m := range p.Marks {
		list = append(list, m.Name)
	}
	return list
}

func baseFigures() []Figure {
	of := func(get func(b plan.Base) float64) getter[float64] {
		return onPlan(func(p *plan.Plan) float64 { return get(p.Survey.Base) })
	}
	position := Figure{Key: "base.position", What: "position", More: Tightens, Why: "averaged: the shift of each set-up is taken off or added in full",
		get: func(p *plan.Plan, _ int) Value {
			b := p.Survey.Base
			v := Value{Said: b.Position != "", Word: string(b.Position)}
			if b.Averaged() {
				v.Number = 1
			}
			return v
		},
		usual: func(*plan.Plan) Value { return Value{Said: true, Number: 1, Word: "averaged"} }} // before it had to be written
	return []Figure{
		word("base.mark", "mark", "where it stands: the whole drive moves with it", onPlan(func(p *plan.Plan) string {
			if m := p.Survey.Base.Mark; m >= 0 {
				return p.Survey.Marks[m].Name
			}
			return ""
		})).apart().look(),
		position,
		number("base.averaged_for", "averaged for", words.Second, Tightens, "a longer average is asked for", of(func(b plan.Base) float64 { return b.AveragedForS })).unless(0),
		number("base.uncertainty", "uncertainty", words.Millimetre, Tightens, leaned, of(func(b plan.Base) float64 { return b.StdMM })).unless(0),
		names("base.control_marks", "control mark", "one more check of the shift before a drive", onPlan(func(p *plan.Plan) []string {
			var list []string
			for _, m := range p.Survey.Base.ControlMarks {
				list = append(list, p.Survey.Marks[m].Name)
			}
			slices.Sort(list) // their order means nothing
			return list
		})),
		truth("base.rotation", "rotation of the site shift", Loosens, "a mark that is wrong may pass for a rotation", onPlan(func(p *plan.Plan) bool { return p.Survey.Base.Rotation })),
	}
}

func receiverFigures() []Figure {
	of := func(get func(r plan.Receiver) float64) getter[float64] {
		return onPlan(func(p *plan.Plan) float64 { return get(p.Machine.Receiver) })
	}
	stale := number("receiver.stale_after", "fix counts as stale after", words.Milli, Loosens, "the rover drives longer without a fix", of(func(r plan.Receiver) float64 { return float64(r.StaleAfterMS) }))
	stale.usual = func(p *plan.Plan) Value { return amountOf(p.Machine.Receiver.UsualStaleAfterMS()) }
	return []Figure{
		number("receiver.fix_rate", "time between fixes", words.Milli, Loosens, "the rover goes farther between fixes", of(func(r plan.Receiver) float64 { return float64(r.FixIntervalMS) })),
		number("receiver.latency", "latency", words.Milli, Tightens, leaned, of(func(r plan.Receiver) float64 { return float64(r.LatencyMS) })),
		stale,
		number("receiver.uncertainty.fixed", "uncertainty, fixed", words.Millimetre, Tightens, leaned, of(func(r plan.Receiver) float64 { return r.FixedStdMM })),
		number("receiver.uncertainty.float", "uncertainty, float", words.Millimetre, Tightens, leaned, of(func(r plan.Receiver) float64 { return r.FloatStdMM })).unless(0),
		{Key: "receiver.required", What: "required solution", More: Tightens, Why: "drives only on better fixes", get: func(p *plan.Plan, _ int) Value {
			q := p.Machine.Receiver.Required
			return Value{Said: true, Number: float64(q), Word: q.String()}
		}},
	}
}

func roverFigures() []Figure {
	of := func(get func(r plan.Rover) int64) getter[int64] {
		return onPlan(func(p *plan.Plan) int64 { return get(p.Machine.Rover) })
	}
	angle := func(get func(r plan.Rover) float64) getter[float64] {
		return onPlan(func(p *plan.Plan) float64 { return get(p.Machine.Rover) })
	}
	arm := func(key, what string, get func(r plan.Rover) int64) Figure {
		f := number(key, what, words.Millimetre, Tightens, lessRoom+"; the side alone is neutral", of(get), 0)
		f.Magnitude = true
		return f
	}
	return []Figure{
		number("rover.width", "width", words.Millimetre, Tightens, lessRoom, of(func(r plan.Rover) int64 { return r.WidthMM })),
		number("rover.length", "length", words.Millimetre, Tightens, lessRoom, of(func(r plan.Rover) int64 { return r.LengthMM })),
		number("rover.speed.cruise", "cruise speed", words.PerSecond, Loosens, "more energy, longer way to rest", of(func(r plan.Rover) int64 { return r.CruiseMMPerS })),
		number("rover.speed.minimum", "minimum speed", words.PerSecond, Tightens, leaned, of(func(r plan.Rover) int64 { return r.MinimumMMPerS })),
		number("rover.turn_radius", "turn radius", words.Millimetre, Tightens, lessRoom, of(func(r plan.Rover) int64 { return r.TurnRadiusMM }), 0),
		number("rover.turning_centre", "turning centre forward of the middle", words.Millimetre, Look, "where it turns about hangs on it, and how far the antenna swings: the one may grow as the other shrinks", of(func(r plan.Rover) int64 { return r.TurningCentreMM }), 0),
		number("rover.cross_track", "cross-track allowance", words.Millimetre, Loosens, "the rover may stray farther from the line", of(func(r plan.Rover) int64 { return r.CrossTrackMM })),
		number("rover.motor_lag", "motor lag", words.Milli, Tightens, leaned, of(func(r plan.Rover) int64 { return r.MotorLagMS }), 0),
		number("rover.heading_uncertainty", "heading uncertainty", words.Degree, Tightens, leaned, angle(func(r plan.Rover) float64 { return r.HeadingStdDeg }), 0),
		number("rover.tilt", "tilt", words.Degree, Tightens, leaned, angle(func(r plan.Rover) float64 { return r.TiltDeg }), 0),
		number("rover.antenna.forward", "antenna forward of the middle", words.Millimetre, Look, "the more it is forward, the less of the body is ahead of it when the rover stops, and the farther it may swing in a turn", of(func(r plan.Rover) int64 { return r.AntennaForwardMM }), 0),
		arm("rover.antenna.right", "antenna right of the middle", func(r plan.Rover) int64 { return r.AntennaRightMM }),
		number("rover.antenna.height", "antenna height", words.Millimetre, Tightens, "less tilt error is asked for when it shrinks", of(func(r plan.Rover) int64 { return r.AntennaHeightMM }), 0),
		number("rover.compass.from_antenna", "compass from the antenna", words.Millimetre, Neutral, "no bound rests on it", of(func(r plan.Rover) int64 { return r.CompassFromAntennaMM })).
			onlyIf(func(p *plan.Plan, _ int) bool { return p.Machine.Rover.HasCompass }),
	}
}

func coastFigures() []Figure {
	of := func(get func(r motion.Run) float64) getter[float64] {
		return func(p *plan.Plan, i int) float64 { return get(p.Machine.Rover.Coast[i]) }
	}
	return []Figure{
		number("rover.coast[].from", "speed that the coast was measured from", words.PerSecond, Loosens, "the same roll-out is claimed from a higher speed", of(func(r motion.Run) float64 { return float64(r.FromMMPerS) })),
		number("rover.coast[].distance", "coast", words.Millimetre, Tightens, leaned, of(func(r motion.Run) float64 { return float64(r.DistanceMM) })),
		number("rover.coast[].downhill", "fall of the ground along the coast", words.Percentage, Loosens, "the same roll-out is claimed for steeper ground", of(func(r motion.Run) float64 { return r.Fall }), 0.0),
	}
}

// coastItems are the roll-outs in the order of their speeds, since that in which they
// are written means nothing.
func coastItems(p *plan.Plan) []Item {
	runs := p.Machine.Rover.Coast
	return runItems(runs[:len(runs)-len(p.Commissioning.Coast)]) // those behind are the commissioning's
}

func runItems(runs motion.Coast) []Item {
	items := itemsOf(runs, func(motion.Run) string { return "" })
	slices.SortStableFunc(items, func(a, b Item) int {
		r, s := runs[a.Index], runs[b.Index]
		return cmp.Or(cmp.Compare(r.FromMMPerS, s.FromMMPerS), cmp.Compare(r.Fall, s.Fall), cmp.Compare(r.DistanceMM, s.DistanceMM))
	})
	for i := range items {
		items[i].Name = strconv.Itoa(i + 1)
	}
	return items
}

func markFigures() []Figure {
	of := func(get func(m plan.Mark) float64) getter[float64] {
		return func(p *plan.Plan, i int) float64 { return get(p.Survey.Marks[i]) }
	}
	surveyed := func(p *plan.Plan, i int) bool { return p.Survey.Marks[i].Measured.Form == plan.Surveyed }
	uncertainty := number("marks.NAME.uncertainty", "uncertainty", words.Millimetre, Tightens, leaned, of(func(m plan.Mark) float64 {
		if m.Measured.Form == plan.Surveyed {
			return m.OwnStdMM
		}
		return m.Measured.Given.StdMM
	})).onlyIf(func(p *plan.Plan, i int) bool {
		m := p.Survey.Marks[i].Measured
		return m.Form == plan.Surveyed || m.Given.StdMM > 0
	})
	uncertainty.usual = func(p *plan.Plan) Value { return amountOf(p.Machine.Receiver.FixedStdMM) }
	return []Figure{
		number("marks.NAME.latitude", "latitude", words.Nanodegree, Neutral, usedBy, of(func(m plan.Mark) float64 { return float64(m.Geodetic.Latitude) })).onlyIf(surveyed).apart(),
		number("marks.NAME.longitude", "longitude", words.Nanodegree, Neutral, usedBy, of(func(m plan.Mark) float64 { return float64(m.Geodetic.Longitude) })).onlyIf(surveyed).apart(),
		number("marks.NAME.last_digit", "last written digit", words.Nanodegree, Tightens, leaned, of(func(m plan.Mark) float64 { return float64(m.Resolution) }), 1).onlyIf(surveyed),
		number("marks.NAME.height", "height", words.Metre, Look, "the slope of the ground, and taped distances, hang on it", of(func(m plan.Mark) float64 { return m.Geodetic.HeightM })).
			onlyIf(func(p *plan.Plan, i int) bool { return p.Survey.Marks[i].HasHeight }),
		uncertainty,
		named("marks.NAME.setup", "set-up of the base", Tightens, "more stands between its marks and the others", func(p *plan.Plan, i int) string {
			m := p.Survey.Marks[i]
			if m.Setup < len(p.Survey.Setups) && !m.Measured.Form.FromOthers() {
				return p.Survey.Setups[m.Setup].Name
			}
			return ""
		}),
		named("marks.NAME.same_as", "same point as", Loosens, "the tie between two set-ups is leaned on", func(p *plan.Plan, i int) string {
			if same := p.Survey.Marks[i].SameAs; same >= 0 && len(p.Survey.Setups) > 0 {
				return p.Survey.Marks[same].Name
			}
			return ""
		}),
	}
}

// named is a name that is written or not, of which being there counts.
func named(key, what string, more Effect, why string, get getter[string]) Figure {
	return Figure{Key: key, What: what, More: more, Why: why, Inferred: true, get: func(p *plan.Plan, i int) Value {
		if w := get(p, i); w != "" {
			return Value{Said: true, Number: 1, Word: w}
		}
		return Value{}
	}}
}

// markItems are all marks but those of rows and rings, which say what these are.
func markItems(p *plan.Plan) []Item {
	items := slices.DeleteFunc(itemsOf(p.Survey.Marks, func(m plan.Mark) string { return m.Name }), func(i Item) bool {
		return p.Survey.Marks[i.Index].Measured.Listed != ""
	})
	return byName(items)
}

func tapeFigures() []Figure {
	of := func(get func(t plan.Tape) float64) getter[float64] {
		return func(p *plan.Plan, i int) float64 { return get(p.Survey.Tapes[i]) }
	}
	return []Figure{
		number("tape[].measured", "measured", words.Millimetre, Look, "a reading: what is on the ground only the tape can tell", of(func(t plan.Tape) float64 { return t.MeasuredMM })),
		number("tape[].uncertainty", "uncertainty", words.Millimetre, Loosens, "the check accepts a larger difference", of(func(t plan.Tape) float64 { return t.StdMM })),
	}
}

// tapeItems are named by the marks at both ends, the lesser first, since a tape
// has no direction; tapes between the same marks by what they read.
func tapeItems(p *plan.Plan) []Item {
	items := itemsOf(p.Survey.Tapes, func(t plan.Tape) string {
		from, to := p.Survey.Marks[t.From].Name, p.Survey.Marks[t.To].Name
		return min(from, to) + "–" + max(from, to)
	})
	slices.SortStableFunc(items, func(a, b Item) int {
		s, t := p.Survey.Tapes[a.Index], p.Survey.Tapes[b.Index]
		return cmp.Or(strings.Compare(a.Name, b.Name), cmp.Compare(s.MeasuredMM, t.MeasuredMM), cmp.Compare(s.StdMM, t.StdMM))
	})
	return items
}

func waypointFigures() []Figure {
	of := func(get func(w plan.Waypoint) int64) getter[int64] {
		return func(p *plan.Plan, i int) int64 { return get(p.Route.Waypoints[i]) }
	}
	speed := number("route.waypoints[].speed", "speed", words.PerSecond, Loosens, "more energy, longer way to rest", func(p *plan.Plan, i int) int64 { return p.Arriving(i).SpeedMMPerS })
	speed.usual = func(p *plan.Plan) Value { return amountOf(p.Machine.Rover.CruiseMMPerS) }
	return []Figure{
		number("route.waypoints[].arrival_tolerance", "arrival tolerance", words.Millimetre, Loosens, "counts as reached from farther off", of(func(w plan.Waypoint) int64 { return w.ToleranceMM })),
		speed.onlyIf(func(p *plan.Plan, i int) bool { return p.Arriving(i) != nil }).apart(), // of the leg
		number("route.waypoints[].dwell", "dwell", words.Milli, Neutral, "the rover is at rest", of(func(w plan.Waypoint) int64 { return w.DwellMS }), 0),
	}
}

func waypointItems(p *plan.Plan) []Item {
	return itemsOf(p.Route.Waypoints, func(w plan.Waypoint) string { return w.ID })
}

// ringFigures are those of the boundary (index -1) and of an obstacle's ring.
func ringFigures(ringKey, heightKey, reflectsKey string, of func(p *plan.Plan, i int) *fence.Part) []Figure {
	height := number(heightKey, "height", words.Millimetre, Tightens, moreSky, func(p *plan.Plan, i int) int64 { return of(p, i).HeightMM }).unless(0)
	height.Inferred = true // none is no height
	return []Figure{
		names(ringKey, "corners", byShape, func(p *plan.Plan, i int) []string {
			if r := of(p, i); !r.IsCircle {
				return markNames(r)
			}
			return nil
		}),
		height,
		truth(reflectsKey, "reflects satellite signals", Neutral, bySky, func(p *plan.Plan, i int) bool { return of(p, i).Reflects }),
	}
}

func boundaryFigures() []Figure {
	return ringFigures("geofence.boundary", "geofence.boundary_height", "geofence.boundary_reflects", func(p *plan.Plan, _ int) *fence.Part { return &p.Fence.Boundary })
}

func obstacleFigures() []Figure {
	round := func(p *plan.Plan, i int) bool { return p.Fence.Obstacles[i].IsCircle }
	return append([]Figure{
		word("geofence.obstacles[].centre", "centre", byShape, func(p *plan.Plan, i int) string { return p.Fence.Obstacles[i].Marks[0].Name }).onlyIf(round).apart(),
		number("geofence.obstacles[].radius", "radius", words.Millimetre, Tightens, "the rover must stay out of more ground", func(p *plan.Plan, i int) int64 { return p.Fence.Obstacles[i].Circle.RadiusMM }).onlyIf(round).apart(),
	}, ringFigures("geofence.obstacles[].ring", "geofence.obstacles[].height", "geofence.obstacles[].reflects", func(p *plan.Plan, i int) *fence.Part { return &p.Fence.Obstacles[i] })...)
}

func obstacleItems(p *plan.Plan) []Item {
	return itemsOf(p.Fence.Obstacles, func(o fence.Part) string { return o.Name })
}

func holdFigures() []Figure {
	of := func(get func(h plan.Hold) int64) getter[int64] {
		return func(p *plan.Plan, i int) int64 { return get(p.Holds.List[i]) }
	}
	two := func(p *plan.Plan, i int) bool { return len(p.Holds.List[i].Circuit.Channels) > 1 }
	figures := []Figure{word("holds[].kind", "kind", "judged by the duties that are lost and won", func(p *plan.Plan, i int) string { return p.Holds.List[i].Circuit.Kind.Word() }).apart()}
	figures = append(figures, channelFigures("holds[]", "", 0)...)
	figures = append(figures, channelFigures("holds[].second_channel", "second channel, ", 1)...)
	return append(figures,
		number("holds[].debounce", "debounce", words.Milli, Loosens, "the contact may bounce for as long before it stops", of(func(h plan.Hold) int64 { return h.DebounceMS })),
		number("holds[].stop_filter", "stop filter", words.Milli, Loosens, "the stop comes later", of(func(h plan.Hold) int64 { return h.FilterMS }), 0),
		number("holds[].discrepancy", "discrepancy time", words.Milli, Loosens, "a fault of one channel is found later", of(func(h plan.Hold) int64 { return h.Circuit.DiscrepancyMS }), plan.UsualDiscrepancyMS).onlyIf(two),
		number("holds[].stop_category", "stop category", words.Plain, Loosens, "power is removed later, or left on; all but 0 is refused", of(func(h plan.Hold) int64 { return int64(h.StopCategory) })),
		radio("delay", "radio, from letting go to the contact", Loosens, "the stop comes later", func(h plan.Hold) int64 { return h.RadioDelayMS }),
		radio("loss_of_signal", "radio, from the loss of the link to the contact", Loosens, "the stop comes later", func(h plan.Hold) int64 { return h.RadioLossMS }),
		common("cable", func(c circuit.CommonCause) bool { return c.Cable }),
		common("connector", func(c circuit.CommonCause) bool { return c.Connector }),
		common("supply", func(c circuit.CommonCause) bool { return c.Supply }),
		common("actuator", func(c circuit.CommonCause) bool { return c.Actuator }),
	)
}

// radio is a delay of a radio link. A wire has none, which is what stands where nothing is said.
func radio(name, what string, more Effect, why string, get func(h plan.Hold) int64) Figure {
	f := number("holds[].radio."+name, what, words.Milli, more, why, func(p *plan.Plan, i int) int64 { return get(p.Holds.List[i]) }).unless(0)
	f.Inferred = true
	return f
}

// common is something that two channels have in common.
func common(name string, get func(c circuit.CommonCause) bool) Figure {
	return truth("holds[].common_cause."+name, "two channels with one "+name, Tightens, "that one cause does not take both channels is leaned on when it goes",
		func(p *plan.Plan, i int) bool { return get(p.Holds.List[i].Circuit.CommonCause) }).
		onlyIf(func(p *plan.Plan, i int) bool { return len(p.Holds.List[i].Circuit.Channels) > 1 })
}

// inWords is what is covered in words alone.
const inWords = "a fault is taken to be covered that nothing proves"

func partFigures() []Figure {
	is := func(kind circuit.PartKind) func(p *plan.Plan, i int) bool {
		return func(p *plan.Plan, i int) bool { return p.Holds.Path.Parts[i].Kind == kind }
	}
	yes := func(get func(part circuit.Part) bool) getter[bool] {
		return func(p *plan.Plan, i int) bool { return get(p.Holds.Path.Parts[i]) }
	}
	openers := names("drive_path[].opened_by", "opened by", "one more way to open it", func(p *plan.Plan, i int) []string { return p.Openers(i) })
	openers.More = Tightens
	return []Figure{
		word("drive_path[].kind", "kind", wiring, func(p *plan.Plan, i int) string { return p.Holds.Path.Parts[i].Kind.String() }).look(),
		openers,
		number("drive_path[].off_delay", "delay until it is off", words.Milli, Tightens, leaned, func(p *plan.Plan, i int) int64 { return p.Holds.Path.Parts[i].OffMS }),
		truth("drive_path[].coil_diode", "diode across the coil", Neutral, "off_delay counts it", yes(func(part circuit.Part) bool { return part.CoilDiode })).onlyIf(is(circuit.Relay)),
		truth("drive_path[].pulled_off", "pulled off", Tightens, "it is off while nothing drives its line", yes(func(part circuit.Part) bool { return part.PulledOff })).onlyIf(is(circuit.Semiconductor)),
		named("drive_path[].covered", "its failure covered", Loosens, inWords, func(p *plan.Plan, i int) string { return p.Holds.Path.Parts[i].Covered }),
	}
}

func partItems(p *plan.Plan) []Item {
	return itemsOf(p.Holds.Path.Parts, func(part circuit.Part) string { return part.Name })
}

func channelFigures(key, what string, channel int) []Figure {
	there := func(p *plan.Plan, i int) bool { return len(p.Holds.List[i].Circuit.Channels) > channel }
	of := func(get func(c circuit.Channel) int64) getter[int64] {
		return func(p *plan.Plan, i int) int64 { return get(p.Holds.List[i].Circuit.Channels[channel]) }
	}
	say := func(get func(c circuit.Channel) fmt.Stringer) getter[string] {
		return func(p *plan.Plan, i int) string { return written(get(p.Holds.List[i].Circuit.Channels[channel])) }
	}
	resistor := func(name, said string, get func(c circuit.Channel) int64) Figure {
		return number(key+"."+name, what+said, words.Ohm, Neutral, byFaults, of(get)).unless(0).onlyIf(there) // 0 ohm stands for none
	}
	return []Figure{
		number(key+".pin", what+"pin", words.Plain, Look, wiring, of(func(c circuit.Channel) int64 { return int64(c.Pin) })).onlyIf(there),
		word(key+".contact", what+"contact", wiring, say(func(c circuit.Channel) fmt.Stringer { return c.Contact })).onlyIf(there).look(),
		word(key+".wired_to", what+"wired to", wiring, say(func(c circuit.Channel) fmt.Stringer { return c.WiredTo })).onlyIf(there).look(),
		word(key+".pull", what+"pull", wiring, say(func(c circuit.Channel) fmt.Stringer { return c.Pull })).onlyIf(there).look(),
		resistor("pull_resistor", "pull resistor", func(c circuit.Channel) int64 { return c.PullOhm }),
		resistor("series_resistor", "series resistor", func(c circuit.Channel) int64 { return c.SeriesOhm }),
		word(key+".return_wire", what+"return wire", wiring, func(p *plan.Plan, i int) string { return p.Holds.List[i].Circuit.Channels[channel].Return }).onlyIf(func(p *plan.Plan, i int) bool {
			return there(p, i) && p.Holds.List[i].Circuit.Channels[channel].Return != ""
		}).look(),
	}
}

// written is a word of the electrical model as the language writes it.
func written(w fmt.Stringer) string {
	if s := strings.ReplaceAll(w.String(), " ", "-"); s != "no-pull" {
		return strings.TrimPrefix(s, "pull-")
	}
	return "none"
}

func holdItems(p *plan.Plan) []Item {
	return itemsOf(p.Holds.List, func(h plan.Hold) string { return h.Circuit.Name })
}

// onlyRefuses: the tables are the same whatever they may take.
const onlyRefuses = "the board's room, not the drive"

func boardFigures() []Figure {
	of := func(get func(b plan.Board) int64) getter[int64] {
		return onPlan(func(p *plan.Plan) int64 { return get(p.Board) })
	}
	usual := circuit.DefaultBoard()
	logic := func(name, what string, unit words.Unit, get func(c circuit.Board) int64) Figure {
		return number("board.logic."+name, "logic, "+what, unit, Neutral, byFaults, of(func(b plan.Board) int64 { return get(b.Inputs.Electrical) }), get(usual))
	}
	return []Figure{
		word("board.input_pins", "input pins", byFaults, onPlan(func(p *plan.Plan) string {
			var pins []string
			for _, pin := range p.Board.Inputs.Pins {
				pins = append(pins, fmt.Sprint(pin))
			}
			return strings.Join(pins, ", ")
		})),
		word("board.pulls", "internal pulls", byFaults, onPlan(func(p *plan.Plan) string {
			in := p.Board.Inputs
			return map[[2]bool]string{{true, true}: "up, down", {true, false}: "up", {false, true}: "down", {false, false}: "none"}[[2]bool{in.PullUp, in.PullDown}]
		}), "up, down"),
		number("board.outputs.drive_enable", "drive enable pin", words.Plain, Look, wiring, of(func(b plan.Board) int64 { return int64(b.Inputs.DriveEnable) })).unless(-1),
		number("board.integer_bits", "integer bits", words.Plain, Neutral, "the header needs 32 at least", of(func(b plan.Board) int64 { return int64(b.Inputs.IntegerBits) }), 32),
		word("board.float", "floating point", "the board computes in integers", onPlan(func(p *plan.Plan) string { return p.Board.Inputs.Float }), "software"),
		number("board.loop", "longest time between two turns of the loop", words.Milli, Loosens, "the board looks less often", of(func(b plan.Board) int64 { return b.Timing.LoopMS }), plan.UsualLoopMS),
		number("board.watchdog", "watchdog", words.Milli, Loosens, "a processor that does not answer is found later", onPlan(func(p *plan.Plan) int64 { return p.Holds.Path.WatchdogMS })).unless(0),
		named("board.covered", "drive_enable held on, covered", Loosens, inWords, onPlan(func(p *plan.Plan) string { return p.Holds.Path.Covered })),
		number("board.resistor_tolerance", "tolerance of resistors", words.Millionths, Neutral, byFaults, of(func(b plan.Board) int64 { return b.Inputs.Electrical.ResistorPPM }), usual.ResistorPPM),
		number("board.flash", "flash for the tables", words.Kilobyte, Neutral, onlyRefuses, of(func(b plan.Board) int64 { return b.Allowed.FlashBytes })).unless(0),
		number("board.instructions", "instructions for a step", words.Plain, Neutral, onlyRefuses, of(func(b plan.Board) int64 { return b.Allowed.Instructions })).unless(0),
		logic("supply", "supply", words.Millivolt, func(c circuit.Board) int64 { return c.SupplyMV }),
		logic("low_below", "low below", words.Millivolt, func(c circuit.Board) int64 { return c.LowBelowMV }),
		logic("high_above", "high above", words.Millivolt, func(c circuit.Board) int64 { return c.HighAboveMV }),
		logic("pull_least", "least pull", words.Ohm, func(c circuit.Board) int64 { return c.PullMinOhm }),
		logic("pull_most", "greatest pull", words.Ohm, func(c circuit.Board) int64 { return c.PullMaxOhm }),
	}
}

// onRecord: rules of check hold the record against what is claimed.
const onRecord = "a record of what was measured: only who measured can tell"

func commissioningFigures() []Figure {
	return []Figure{
		word("commissioning.date", "date", onRecord, onPlan(func(p *plan.Plan) string { return p.Commissioning.Date.Format(time.DateOnly) })).look(),
		word("commissioning.repeat_by", "to be repeated by", onRecord, onPlan(func(p *plan.Plan) string { return p.Commissioning.RepeatBy.Format(time.DateOnly) })).look(),
		word("commissioning.passed", "tests passed", onRecord, onPlan(func(p *plan.Plan) string {
			return strings.Join(slices.Sorted(slices.Values(p.Commissioning.Passed)), ", ") // their order means nothing
		})).look(),
	}
}

func stoppingFigures() []Figure {
	of := func(get func(s plan.StoppingRun) float64) getter[float64] {
		return func(p *plan.Plan, i int) float64 { return get(p.Commissioning.Stopping[i]) }
	}
	return []Figure{
		number("commissioning.stopping[].from", "let go at", words.PerSecond, Look, onRecord, of(func(s plan.StoppingRun) float64 { return float64(s.FromMMPerS) })),
		number("commissioning.stopping[].time", "time to rest", words.Milli, Look, onRecord, of(func(s plan.StoppingRun) float64 { return float64(s.TimeMS) })),
		number("commissioning.stopping[].distance", "distance to rest", words.Millimetre, Look, onRecord, of(func(s plan.StoppingRun) float64 { return float64(s.DistanceMM) })),
		number("commissioning.stopping[].downhill", "fall of the ground", words.Percentage, Look, onRecord, of(func(s plan.StoppingRun) float64 { return s.Fall }), 0.0),
	}
}

// stoppingItems are in the order of their speeds, as coastItems.
func stoppingItems(p *plan.Plan) []Item {
	runs := p.Commissioning.Stopping
	items := itemsOf(runs, func(plan.StoppingRun) string { return "" })
	slices.SortStableFunc(items, func(a, b Item) int {
		r, s := runs[a.Index], runs[b.Index]
		return cmp.Or(cmp.Compare(r.FromMMPerS, s.FromMMPerS), cmp.Compare(r.Fall, s.Fall), cmp.Compare(r.DistanceMM, s.DistanceMM), cmp.Compare(r.TimeMS, s.TimeMS))
	})
	for i := range items {
		items[i].Name = strconv.Itoa(i + 1)
	}
	return items
}

func measuredCoastFigures() []Figure {
	of := func(get func(r motion.Run) float64) getter[float64] {
		return func(p *plan.Plan, i int) float64 { return get(p.Commissioning.Coast[i]) }
	}
	return []Figure{
		number("commissioning.coast[].from", "drive cut at", words.PerSecond, Look, onRecord, of(func(r motion.Run) float64 { return float64(r.FromMMPerS) })),
		number("commissioning.coast[].distance", "coast", words.Millimetre, Look, onRecord, of(func(r motion.Run) float64 { return float64(r.DistanceMM) })),
		number("commissioning.coast[].downhill", "fall of the ground", words.Percentage, Look, onRecord, of(func(r motion.Run) float64 { return r.Fall }), 0.0),
	}
}
