// The route: waypoints added, removed and moved in the order; tolerances,
// dwells, speeds; and the legs that come and go with them.
package diff

import (
	"fmt"
	"math"
	"slices"

	"merestone/internal/plan"
	"merestone/internal/words"
)

// routes is the matching of the two routes.
type routes struct {
	alignment
	// gaps holds the changes between each two waypoints that stayed, those
	// before the first in front; oldGap and newGap say in which gap each
	// waypoint is, or which it stands before.
	gaps           [][]*node
	merged         [][]*node // each with the one before it
	oldGap, newGap []int
	toNew          []int  // which waypoint each of the old ones is, -1 for none
	legs           []pair // legs on both
	oldLeg, newLeg []bool // legs that are on both
}

// both are the pairs of waypoints that are on both routes.
func (r *routes) both() []pair { return slices.Concat(r.kept, r.moved) }

func (b *builder) route() {
	b.prepareClearances()
	b.prepareGrounds()
	was, is := b.visits(b.old, b.markIDs.oldID), b.visits(b.new, b.markIDs.newID)
	r := &routes{
		alignment: align(was, is),
		gaps:      make([][]*node, 1),
		oldGap:    make([]int, len(was)), newGap: make([]int, len(is)),
		oldLeg: make([]bool, len(b.old.Route.Legs)), newLeg: make([]bool, len(b.new.Route.Legs)),
	}
	b.routes = r
	b.block(order{section: routeSection, index: -1}, b.blocks["route"])
	b.order(r)
	b.waypoints(r)
	b.matchLegs(r)
	b.speeds(r)
	b.otherLegs(r)
	b.follow(r)
}

// visits is a route as ids of marks.
func (b *builder) visits(p *plan.Plan, ids []int) []int {
	out := make([]int, len(p.Route.Waypoints))
	for i, w := range p.Route.Waypoints {
		out[i] = ids[w.Mark]
	}
	return out
}

// order reports waypoints that came, went, or changed places. Runs between two
// waypoints that stayed are reported together.
func (b *builder) order(r *routes) {
	if r.reversed {
		b.cause(key{"route.reversed", 0}, order{section: routeSection, index: -1, rank: 1}, Change{
			Subject: "route", What: "driven the other way",
			Before: list(waypointNames(b.old, b.old.Route.Waypoints)), After: list(waypointNames(b.new, b.new.Route.Waypoints)), Path: "route.waypoints",
		})
		return
	}
	moved := b.movedWaypoints(r)
	widest := [2]int64{widest(b.old.Route.Waypoints), widest(b.new.Route.Waypoints)}
	r.gaps = make([][]*node, 0, len(r.kept)+1)
	last := pair{-1, -1}
	for _, p := range append(r.kept[:len(r.kept):len(r.kept)], pair{len(b.old.Route.Waypoints), len(b.new.Route.Waypoints)}) {
		r.gaps = append(r.gaps, b.gap(r, moved, widest, last, p))
		last = p
	}
}

// movedWaypoints reports waypoints that changed places, those next to each other
// together, and returns the change of each, by its place in old and in new.
func (b *builder) movedWaypoints(r *routes) [2]map[int]*node {
	moved := [2]map[int]*node{{}, {}}
	for i := 0; i < len(r.moved); {
		n := 1
		for i+n < len(r.moved) && r.moved[i+n].old == r.moved[i].old+n && r.moved[i+n].new == r.moved[i].new+n {
			n++
		}
		first := r.moved[i]
		node := b.cause(key{"route.order", i}, order{section: routeSection, index: first.index(), name: lesser(waypointName(b.old, first.old), waypointName(b.new, first.new))}, Change{
			Subject: plural("waypoint", waypointNames(b.new, b.new.Route.Waypoints[first.new:first.new+n])), What: "order",
			Before: between(b.old, first.old-1, first.old+n), After: between(b.new, first.new-1, first.new+n), Path: b.new.Route.Waypoints[first.new].Path,
		})
		for k := range n {
			moved[0][first.old+k], moved[1][first.new+k] = node, node
		}
		i += n
	}
	return moved
}

// gap reports what stands on either route between two waypoints that stayed, and
// returns all changes there.
func (b *builder) gap(r *routes, moved [2]map[int]*node, widest [2]int64, from, to pair) []*node {
	var gone, come []int
	var here []*node
	for i := from.old + 1; i < to.old; i++ {
		r.oldGap[i] = len(r.gaps)
		if n := moved[0][i]; n != nil {
			here = append(here, n)
		} else {
			gone = append(gone, i)
		}
	}
	for j := from.new + 1; j < to.new; j++ {
		r.newGap[j] = len(r.gaps)
		if n := moved[1][j]; n != nil {
			here = append(here, n)
		} else {
			come = append(come, j)
		}
	}
	if to.old < len(r.oldGap) { // it stands before the next gap
		r.oldGap[to.old], r.newGap[to.new] = len(r.gaps)+1, len(r.gaps)+1
	}
	if len(gone)+len(come) == 0 {
		return firstCauses(here)
	}
	was, is := waypointNames(b.old, pick(b.old.Route.Waypoints, gone)), waypointNames(b.new, pick(b.new.Route.Waypoints, come))
	o := order{section: routeSection, index: min(from.old, from.new) + 1}
	c := Change{Kind: b.appears("waypoint", len(gone) > 0, len(come) > 0)}
	switch {
	case len(come) == 0:
		c.Subject, c.What, c.Before = plural("waypoint", was), "removed", between(b.old, from.old, to.old)
		c.Path, o.name = b.old.Route.Waypoints[gone[0]].Path, was[0]
	case len(gone) == 0:
		c.Subject, c.What, c.After = plural("waypoint", is), "added", between(b.new, from.new, to.new)
		c.Path, o.name = b.new.Route.Waypoints[come[0]].Path, is[0]
	default:
		c.Subject, c.What = "route "+between(b.new, from.new, to.new), "visits"
		c.Before, c.After, c.Path = list(was), list(is), b.new.Route.Waypoints[come[0]].Path
		o.name = lesser(was[0], is[0])
	}
	n := b.cause(key{"route.gap", from.old + 1}, o, c)
	if len(gone) == 0 || len(come) == 0 { // else leg by leg
		b.tolerances(n, widest, pick(b.old.Route.Waypoints, gone), pick(b.new.Route.Waypoints, come))
	}
	return firstCauses(append(here, n))
}

// widest is the widest arrival tolerance.
func widest(waypoints []plan.Waypoint) (mm int64) {
	for _, w := range waypoints {
		mm = max(mm, w.ToleranceMM)
	}
	return mm
}

// tolerances judges waypoints that only came, or only went: the widest tolerance of them
// against the whole of the other route. They are wider or are nothing to speak of.
func (b *builder) tolerances(n *node, ofAll [2]int64, gone, come []plan.Waypoint) {
	before, after := widest(gone), widest(come)
	if len(gone) == 0 {
		before = min(after, ofAll[0])
	} else {
		after = min(before, ofAll[1])
	}
	if before != after {
		c := judged(b, "route.waypoints[].arrival_tolerance", n.change.Subject, "widest arrival tolerance", words.Millimetre, before, after)
		b.effect(order{section: routeSection, index: -1, rank: 8}, c, []*node{n})
	}
}

// waypoints compares those that are on both routes.
func (b *builder) waypoints(r *routes) {
	for _, q := range r.both() {
		mark := waypointName(b.new, q.new)
		o := order{section: routeSection, index: q.index(), name: lesser(waypointName(b.old, q.old), mark)}
		for rank, f := range b.blocks["route.waypoints[]"].Figures {
			o.rank = 1 + rank
			if !f.Apart {
				b.alias(key{f.Key, q.old + 1}, b.figure(o, "waypoint "+mark, b.new.Route.Waypoints[q.new].Path, f, q.old, q.new)) // 0 is any waypoint's
			}
		}
	}
}

// matchLegs finds the legs that are on both routes: those between the same two
// visits.
func (b *builder) matchLegs(r *routes) {
	r.toNew = slices.Repeat([]int{-1}, len(b.old.Route.Waypoints))
	for _, q := range r.both() {
		r.toNew[q.old] = q.new
	}
	ends := make(map[[2]int]int, len(b.new.Route.Legs))
	for j, l := range b.new.Route.Legs {
		ends[[2]int{l.From, l.To}] = j
	}
	for i, l := range b.old.Route.Legs {
		want := [2]int{r.toNew[l.From], r.toNew[l.To]}
		if r.reversed {
			want = [2]int{r.toNew[l.To], r.toNew[l.From]}
		}
		if want[0] < 0 || want[1] < 0 {
			continue
		}
		if j, ok := ends[want]; ok {
			r.legs = append(r.legs, pair{i, j})
			r.oldLeg[i], r.newLeg[j] = true, true
		}
	}
}

// speeds compares the speeds of legs on both routes. A leg that is driven at
// cruise speed, before and after, follows that.
func (b *builder) speeds(r *routes) {
	for _, q := range r.legs {
		before, after := b.old.Route.Legs[q.old], b.new.Route.Legs[q.new]
		if before.SpeedMMPerS == after.SpeedMMPerS {
			continue
		}
		c := judged(b, "route.waypoints[].speed", "leg "+after.Name, "speed", words.PerSecond, before.SpeedMMPerS, after.SpeedMMPerS)
		c.Path = after.Path
		var causes []*node
		if before.SpeedMMPerS == b.old.Machine.Rover.CruiseMMPerS && after.SpeedMMPerS == b.new.Machine.Rover.CruiseMMPerS {
			causes = b.present(key{"rover.speed.cruise", 0})
		}
		n := b.effect(b.legOrder(q, 3), c, causes)
		if len(causes) > 0 {
			n = causes[0]
		}
		b.alias(key{"speed", q.old}, n)
	}
}

func (b *builder) legOrder(q pair, rank int) order {
	p, i := b.only(q)
	o := order{section: routeSection, index: q.index(), name: p.Route.Legs[i].Name, rank: rank}
	if q.both() {
		o.name = lesser(b.old.Route.Legs[q.old].Name, o.name)
	}
	return o
}

// legWords is a leg that only one of the routes has.
func (b *builder) legWords(side, leg int) string {
	p := b.plan(side)
	l := p.Route.Legs[leg]
	spare := surplusOf(p, l.Line)
	if b.grounds.compared() {
		spare = b.grounds.line(side, side, leg)
	}
	return fmt.Sprintf("%s on %s at %s, surplus %s", words.Millimetre.Words(math.Round(l.LengthMM)), bearing(l.BearingDeg), words.PerSecond.Words(float64(l.SpeedMMPerS)), spare.words())
}

func waypointNames(p *plan.Plan, waypoints []plan.Waypoint) []string {
	out := make([]string, len(waypoints))
	for i, w := range waypoints {
		out[i] = p.Survey.Marks[w.Mark].Name
	}
	return out
}

func waypointName(p *plan.Plan, i int) string { return p.Survey.Marks[p.Route.Waypoints[i].Mark].Name }

// pick takes the things of a list that are numbered.
func pick[T any](list []T, at []int) []T {
	out := make([]T, len(at))
	for k, i := range at {
		out[k] = list[i]
	}
	return out
}

// between says where on a route something is, by the waypoints before and after
// it.
func between(p *plan.Plan, before, after int) string {
	n := len(p.Route.Waypoints)
	switch {
	case before < 0 && after >= n:
		return "as the whole route"
	case before < 0:
		return "at the start, before " + waypointName(p, after)
	case after >= n:
		return "at the end, after " + waypointName(p, before)
	default:
		return "between " + waypointName(p, before) + " and " + waypointName(p, after)
	}
}

func plural(noun string, names []string) string {
	if len(names) == 1 {
		return noun + " " + names[0]
	}
	return noun + "s " + list(names)
}
