// What follows from the changes: lengths, bearings and clearances of the legs,
// standoffs, cut distances, what can be reached at the waypoints, the reaction
// times and the bound of the board's conversion.
//
// All but clearance is neutral here, because it was judged at its cause.
package diff

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// globals are the causes that act on every leg, looked up once.
type globals struct {
	body, turn, position, crossTrack, stopping, cut, origin, timing []*node
}

func (b *builder) globals() globals {
	names := func(list ...string) []*node {
		keys := make([]key, len(list))
		for i, name := range list {
			keys[i] = key{name, 0}
		}
		return b.present(keys...)
	}
	coast := []string{"rover.coast.from", "rover.coast.distance"}
	reaction := []string{"receiver.fix_rate", "receiver.latency", "board.loop", "drive_path", "drive_path[].off_delay", "drive_path[].opened_by"}
	hold := []string{"holds[].debounce", "holds[].stop_filter", "holds[].radio.delay", "holds[].radio.loss_of_signal", "hold"}
	return globals{
		body: names("rover.width", "rover.length", "rover.antenna.forward", "rover.antenna.right"),
		turn: names("rover.turning_centre", "rover.turn_radius", "rover.antenna.forward", "rover.antenna.right"),
		position: names("confidence", "site.origin", "site.origin.height", "receiver.uncertainty.fixed", "receiver.uncertainty.float", "receiver.required",
			"rover.heading_uncertainty", "rover.tilt", "rover.antenna.forward", "rover.antenna.right", "rover.antenna.height",
			"base.position", "base.uncertainty", "base.control_marks", "base.rotation", "marks.NAME.uncertainty", "marks.NAME.setup", "marks.NAME.same_as", "marks.NAME.last_digit", "boundary",
			"marks.NAME.bearing_uncertainty", "marks.NAME.distance_uncertainty", "marks.NAME.tapes", "rows[].uncertainty", "rings[].uncertainty"),
		crossTrack: names("rover.cross_track"),
		stopping:   names(slices.Concat(coast, reaction, hold)...),
		cut:        names(slices.Concat(coast, reaction)...),
		origin:     names("site.origin", "site.origin.height"),
		timing:     names(slices.Concat(reaction, hold)...),
	}
}

func (b *builder) follow(r *routes) {
	g := b.globals()
	for _, q := range r.legs {
		before, after := b.old.Route.Legs[q.old], b.new.Route.Legs[q.new]
		ends := b.markCauses(after.From, after.To)
		b.lengths(r, q, merge(ends, g.origin))
		b.legClearance(r, q, ends)
		b.standoff(q, g)
		if before.CutMM != after.CutMM {
			b.measure(b.legOrder(q, 14), "leg "+after.Name, "cut distance", words.Millimetre, float64(before.CutMM), float64(after.CutMM),
				merge(b.present(key{"speed", q.old}), g.cut))
		}
	}
	for _, q := range r.both() {
		b.waypointFollows(r, q, g)
	}
}

// measure puts a neutral number under its causes.
func (b *builder) measure(o order, subject, what string, u words.Unit, before, after float64, causes []*node) {
	b.effect(o, measured(subject, what, u, before, after), causes)
}

// markCauses are the changes of the marks of two waypoints of the new route.
func (b *builder) markCauses(waypoints ...int) []*node {
	var keys []key
	for _, w := range waypoints {
		keys = append(keys, key{"mark", b.markIDs.newID[b.new.Route.Waypoints[w].Mark]})
	}
	return b.present(keys...)
}

func (b *builder) lengths(r *routes, q pair, causes []*node) {
	before, after := b.old.Route.Legs[q.old], b.new.Route.Legs[q.new]
	subject := "leg " + after.Name
	if l, m := math.Round(before.LengthMM), math.Round(after.LengthMM); l != m {
		b.measure(b.legOrder(q, 10), subject, "length", words.Millimetre, l, m, causes)
	}
	// Hundredths of a degree are what the board holds.
	cdeg := func(deg float64) float64 { return math.Mod(math.Round(deg*100), 36000) / 100 }
	if d, e := cdeg(before.BearingDeg), cdeg(after.BearingDeg); d != e && !r.reversed {
		c := Change{Subject: subject, What: "bearing", Before: fmt.Sprintf("%06.2f deg", d), After: fmt.Sprintf("%06.2f deg", e), Number: number(words.Degree, d, e)}
		c.Number.Delta = words.Round(math.Remainder(e-d, 360), 9)
		b.effect(b.legOrder(q, 11), c, causes)
	}
}

// legClearance compares the clearance of a leg that is on both routes, and judges its
// surplus. Where only the fence moved, the ground that it gave or took was judged. Where
// the standoff is as it was, the clearance alone says it all.
func (b *builder) legClearance(r *routes, q pair, ends []*node) {
	before, after := b.old.Route.Legs[q.old], b.new.Route.Legs[q.new]
	o, subject, moved := b.legOrder(q, 12), "leg "+after.Name, before.Segment != after.Segment
	var c, d clearance
	causes := ends
	if moved || !b.sameFence {
		c, d = b.clear(0, q.old), b.clear(1, q.new)
	}
	if c.known && d.known {
		causes = merge(ends, b.fenceCauses(b.old, c.edge, b.markIDs.oldID, b.obstacleIDs.oldID), b.fenceCauses(b.new, d.edge, b.markIDs.newID, b.obstacleIDs.newID))
	}
	if !b.grounds.compared() {
		kind := Neutral
		if c.known && d.known && (moved || b.apart) {
			kind = b.judge("leg.clearance", float64(c.mm), float64(d.mm))
		}
		b.clearanceChange(o, kind, subject, c, d, causes)
		b.legKinds[q.new] = kind
		return
	}
	legs := [2]int{q.old, q.new}
	if moved {
		b.otherGround(q, o, subject, ends)
	}
	line := b.grounds.table(func(ground, route int) surplus { return b.grounds.line(ground, route, legs[route]) })
	whole := b.grounds.table(func(ground, route int) surplus { return b.grounds.leg(ground, route, legs[route]) })
	if b.judgeTable(whole) == Neutral { // what is nearest to the line must not hide what becomes of the start
		whole = b.grounds.starts(legs, whole)
	}
	kind := b.judgeTable(line)
	if moved && b.sameFence && line.changes(d.mm-c.mm) && c.mm >= 0 && d.mm >= 0 {
		b.clearanceChange(o, kind, subject, c, d, causes) // which says it all
	} else {
		b.clearanceChange(o, Neutral, subject, c, d, causes)
		if !moved {
			causes = b.turnCauses(r, q)
		}
		if moved || kind != Neutral && !b.speedSays(q, kind) {
			o.rank = 15
			kind = b.surplusChange(o, subject, "surplus", line, moved, causes)
		}
	}
	b.legKinds[q.new] = kind
	if start := b.judgeTable(whole); start != Neutral && start != kind && (moved || !b.speedSays(q, start)) {
		o.rank = 18
		b.legKinds[q.new] = max(kind, b.surplusChange(o, subject, "surplus, with its start", whole, moved, b.turnCauses(r, q)))
	}
}

// otherGround reports a leg that leads over ground that was not driven over: it is like
// one that came, and what surplus it has in all does not tell what lies beside it now. So
// far as cross-track and body reach, the ground is known from the leg as it was:
//
//	corridor = off line + reach, of the less of the two versions
//
// A segment lies within the corridor of another when both of its ends do, since what is
// within a distance of a segment is convex.
func (b *builder) otherGround(q pair, o order, subject string, ends []*node) {
	before, after := &b.old.Route.Legs[q.old], &b.new.Route.Legs[q.new]
	corridor := func(s plan.Standoff) int64 { return s.OffLineMM + s.ReachMM }
	away := int64(0)
	for _, end := range []planar.Point{after.Segment.A, after.Segment.B} {
		away = max(away, before.Segment.FloorDistanceMM(planar.Segment{A: end, B: end}))
	}
	if away > min(corridor(before.Line.Standoff), corridor(after.Line.Standoff)) {
		o.rank = 16
		b.effect(o, Change{Kind: b.appears("leg", false, true), Subject: subject, What: otherGround, After: "up to " + words.Millimetre.Words(float64(away)) + " from where it was"}, ends)
	}
}

// otherGround is said one way round: a leg that grew leads over ground that it did not, one
// that shrank does not.
const otherGround = "leads over other ground"

// turnCauses are the changes that a leg can need more or less by although it lies where it
// did: of its speed, and of what comes before it.
func (b *builder) turnCauses(r *routes, q pair) []*node {
	before, after := b.old.Route.Legs[q.old], b.new.Route.Legs[q.new]
	return merge(r.nearby(q.new, b.new), b.present(key{"speed", q.old}, key{"route.waypoints[].arrival_tolerance", before.From + 1}), b.markCauses(b.around(after.From)...))
}

// speedSays reports whether a leg's speed, that of the leg before it, or the tolerance at
// its start has been judged already to do what its surplus does.
func (b *builder) speedSays(q pair, kind Kind) bool {
	before, after := &b.old.Route.Legs[q.old], &b.new.Route.Legs[q.new]
	return b.speedIs(before, after, kind) || b.speedIs(b.old.Arriving(before.From), b.new.Arriving(after.From), kind) ||
		b.judge("route.waypoints[].arrival_tolerance", float64(b.old.Route.Waypoints[before.From].ToleranceMM), float64(b.new.Route.Waypoints[after.From].ToleranceMM)) == kind
}

// speedIs reports whether the speeds of two legs, where there are two, are judged so.
func (b *builder) speedIs(before, after *plan.Leg, kind Kind) bool {
	return before != nil && after != nil && b.judge("route.waypoints[].speed", float64(before.SpeedMMPerS), float64(after.SpeedMMPerS)) == kind
}

// around are a waypoint of the new route and those before and after it.
func (b *builder) around(waypoint int) []int {
	list := []int{waypoint}
	for _, i := range []int{waypoint - 1, waypoint + 1} {
		if i >= 0 && i < len(b.new.Route.Waypoints) {
			list = append(list, i)
		}
	}
	return list
}

// clearanceChange reports two clearances of one thing, where they differ or are judged.
func (b *builder) clearanceChange(o order, kind Kind, subject string, c, d clearance, causes []*node) {
	if !c.known || !d.known || c.mm == d.mm && kind == Neutral {
		return
	}
	b.effect(o, Change{
		Kind: kind, Subject: subject, What: "clearance", Before: c.words() + c.from(b.old), After: d.words() + d.from(b.new), Number: clearanceNumber(c, d),
	}, causes)
}

// clearanceNumber has no value for a side that is outside.
func clearanceNumber(before, after clearance) *Number {
	if before.mm < 0 || after.mm < 0 {
		return nil
	}
	return number(words.Millimetre, float64(before.mm), float64(after.mm))
}

// fenceCauses are the changes of the part of the fence that a clearance is
// measured to.
func (b *builder) fenceCauses(p *plan.Plan, e fence.Edge, markIDs, obstacleIDs []int) []*node {
	part := key{"boundary", 0}
	if e.Part != fence.Boundary {
		part = key{"obstacle", obstacleIDs[e.Part]}
	}
	ends := p.Fence.Ends(e)
	return b.present(key{"mark", markIDs[ends[0].Number]}, key{"mark", markIDs[ends[1].Number]}, part)
}

// standoff compares what a leg needs, and puts it under the causes of the parts
// that differ.
func (b *builder) standoff(q pair, g globals) {
	before, after := b.old.Route.Legs[q.old], b.new.Route.Legs[q.new]
	b.standoffChange(b.legOrder(q, 13), q, "leg "+after.Name, "standoff needed", before.Line, after.Line, before.From, g)
	if before.Join.Needed && after.Join.Needed {
		b.standoffChange(b.legOrder(q, 13), q, "leg "+after.Name, "standoff needed at its start", before.Join, after.Join, before.From, g)
	}
}

func (b *builder) standoffChange(o order, q pair, subject, what string, before, after plan.Stretch, from int, g globals) {
	was, is := before.Standoff, after.Standoff
	if was.TotalMM == is.TotalMM {
		return
	}
	var causes []*node
	if was.ReachMM != is.ReachMM {
		causes = merge(causes, g.body)
	}
	if was.PositionMM != is.PositionMM {
		causes = merge(causes, g.position)
	}
	if was.OffLineMM != is.OffLineMM {
		causes = merge(causes, g.crossTrack, g.turn, b.present(key{"route.waypoints[].arrival_tolerance", from + 1}))
	}
	if was.StoppingMM != is.StoppingMM {
		causes = merge(causes, g.stopping, b.present(key{"speed", q.old}))
	}
	b.measure(o, subject, what, words.Millimetre, float64(was.TotalMM), float64(is.TotalMM), causes)
}

// waypointFollows compares what follows at a waypoint that is on both routes.
func (b *builder) waypointFollows(r *routes, q pair, g globals) {
	before, after := b.old.Route.Waypoints[q.old], b.new.Route.Waypoints[q.new]
	m, n := b.old.Survey.Marks[before.Mark], b.new.Survey.Marks[after.Mark]
	o := order{section: routeSection, index: q.index(), name: lesser(m.Name, n.Name), rank: 20}
	subject := "waypoint " + n.Name
	own := b.markCauses(q.new)
	b.waypointSurplus(r, q, o, subject, own)
	if before.Stops != after.Stops && b.old.Arriving(q.old) != nil && b.new.Arriving(q.new) != nil {
		o.rank = 21
		b.effect(o, Change{Subject: subject, What: "the rover stops there", Before: words.YesNo(before.Stops), After: words.YesNo(after.Stops)},
			merge(b.present(key{"route.waypoints[].dwell", q.old + 1}, key{"rover.turn_radius", 0}), r.near(q), own))
	}
	if x, y := before.Arrival.ClosestMM, after.Arrival.ClosestMM; x != y && x != 0 && y != 0 {
		o.rank = 22
		speed := b.present(key{"speed", q.old - 1})
		b.measure(o, subject, "least tolerance that can be met", words.Millimetre, float64(x), float64(y),
			merge(b.present(key{"marks.NAME.uncertainty", b.markIDs.newID[after.Mark] + 1}, key{"marks.NAME.last_digit", b.markIDs.newID[after.Mark] + 1}), g.position, g.cut, speed))
	}
}

// waypointSurplus judges what a waypoint has left itself: a leg's surplus is that of its
// tightest place, so that one end can come near to the fence unseen while the other is as
// near. What the legs that meet there say already is not said again.
func (b *builder) waypointSurplus(r *routes, q pair, o order, subject string, own []*node) {
	moved := b.old.Survey.Marks[b.old.Route.Waypoints[q.old].Mark].Point != b.new.Survey.Marks[b.new.Route.Waypoints[q.new].Mark].Point
	if !b.grounds.compared() || !moved && (b.grounds.sameAround(q) || !slices.ContainsFunc(b.legsAt(q.new), func(leg int) bool { return r.newLeg[leg] })) { // else each leg there came, and is looked at
		return
	}
	t := b.grounds.table(func(ground, route int) surplus { return b.grounds.waypoint(ground, route, [2]int{q.old, q.new}[route]) })
	kind := b.judgeTable(t)
	before, after := b.old.Route.Waypoints[q.old], b.new.Route.Waypoints[q.new]
	said := b.judge("route.waypoints[].arrival_tolerance", float64(before.ToleranceMM), float64(after.ToleranceMM)) == kind ||
		b.speedIs(b.old.Arriving(q.old), b.new.Arriving(q.new), kind) ||
		slices.ContainsFunc(b.legsAt(q.new), func(leg int) bool { return b.legKinds[leg] == kind })
	causes := merge(own, r.near(q), b.present(key{"route.waypoints[].dwell", q.old + 1}, key{"route.waypoints[].arrival_tolerance", q.old + 1}, key{"speed", q.old - 1}))
	const what = "own surplus"
	switch {
	case kind == Neutral && !moved:
	case kind == Neutral || !said:
		b.surplusChange(o, subject, what, t, moved, causes)
	case moved && b.lessWhereItIs(t, kind): // which the legs do not say
		b.surplusLine(o, Change{Kind: Look, Subject: subject, What: what + whereItIs}, t[0][0], t[1][1], b.old, b.new, causes)
	}
}

// legsAt are the legs of the new route that meet a waypoint, by their places.
func (b *builder) legsAt(waypoint int) (legs []int) {
	for _, leg := range []*plan.Leg{b.new.Arriving(waypoint), b.new.Leaving(waypoint)} {
		if leg != nil {
			legs = append(legs, leg.From)
		}
	}
	return legs
}

// near are the changes of the route on either side of a waypoint.
func (r *routes) near(q pair) []*node {
	if r.reversed {
		return nil
	}
	found := r.beside(r.oldGap[q.old])
	if at := r.newGap[q.new]; at != r.oldGap[q.old] { // it changed places
		found = merge(found, r.beside(at))
	}
	return found
}

// beside are the changes in a gap and in the one before it, merged once.
func (r *routes) beside(gap int) []*node {
	if r.merged == nil {
		r.merged = make([][]*node, len(r.gaps))
	}
	if r.merged[gap] == nil {
		r.merged[gap] = merge(r.gaps[max(gap-1, 0)], r.gaps[gap])
	}
	return r.merged[gap]
}

// nearby are the changes of the route at the start of a leg of the new route.
func (r *routes) nearby(leg int, p *plan.Plan) []*node {
	if r.reversed {
		return nil
	}
	return r.beside(r.newGap[p.Route.Legs[leg].From])
}

// consequences are those for the mission as a whole.
func (b *builder) consequences() {
	g := b.globals()
	o := order{section: limitSection}
	rows := []struct {
		what          string
		unit          words.Unit
		before, after float64
		causes        []*node
	}{
		{"reaction to a hold, slowest", words.Milli, float64(b.old.Board.Timing.HoldMS), float64(b.new.Board.Timing.HoldMS), g.timing},
		{"reaction to a fix, slowest", words.Milli, float64(b.old.Board.Timing.FixMS), float64(b.new.Board.Timing.FixMS), g.timing},
		{"bound of the conversion on the board", words.Micrometre, float64(b.old.Board.Tables.Conversion.BoundUM), float64(b.new.Board.Tables.Conversion.BoundUM), b.domainCauses()},
		{"shift between two set-ups of the base", words.Millimetre, math.Round(b.old.BaseShiftMM()), math.Round(b.new.BaseShiftMM()),
			b.present(key{"base.position", 0}, key{"base.uncertainty", 0}, key{"confidence", 0})},
	}
	for i, r := range rows {
		if r.before != r.after {
			o.rank = i
			b.measure(o, "mission", r.what, r.unit, r.before, r.after, r.causes)
		}
	}
}

// domainCauses are the changes that can have moved the limits of the domain in
// which the board converts fixes: marks of the fence and the route, and the
// coast that is added as a margin.
func (b *builder) domainCauses() []*node {
	keys := []key{{"site.origin", 0}, {"site.origin.height", 0}, {"rover.coast.distance", 0}, {"boundary", 0}}
	for _, m := range outermost(b.old) {
		keys = append(keys, key{"mark", b.markIDs.oldID[m]})
	}
	for _, m := range outermost(b.new) {
		keys = append(keys, key{"mark", b.markIDs.newID[m]})
	}
	return b.present(keys...)
}

// outermost are the marks of the fence and the route that reach farthest west,
// south, east and north.
func outermost(p *plan.Plan) []int {
	var used []int
	for _, m := range p.Fence.Marks() {
		used = append(used, m.Number)
	}
	for _, w := range p.Route.Waypoints {
		used = append(used, w.Mark)
	}
	if len(used) == 0 {
		return nil
	}
	byEast := func(m, n int) int { return cmp.Compare(p.Survey.Marks[m].Point.E, p.Survey.Marks[n].Point.E) }
	byNorth := func(m, n int) int { return cmp.Compare(p.Survey.Marks[m].Point.N, p.Survey.Marks[n].Point.N) }
	return []int{slices.MinFunc(used, byEast), slices.MinFunc(used, byNorth), slices.MaxFunc(used, byEast), slices.MaxFunc(used, byNorth)}
}
