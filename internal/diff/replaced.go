// Legs that came or went with a change of the route. They are compared with each other by
// their place along it: between two waypoints that stayed, the way that was driven there
// before and the way that is driven there now are laid side by side, and each part is
// compared with the part beside it. A leg that is slowed here and another that is
// quickened there are then two findings, and not none.
//
// A leg that came has no history, whatever it replaces: nobody has seen that ground driven
// over, and what was once there may have gone in an earlier change. It is always to be
// looked at.
package diff

import (
	"math"
	"slices"

	"merestone/internal/plan"
	"merestone/internal/words"
)

// stretchOfRoute is a part of both routes that begins and ends at waypoints that stayed,
// or at the ends: the legs there, in order.
type stretchOfRoute struct {
	gap int // in routes.gaps
	was []int
	is  []int
}

// stretches takes both routes apart at the waypoints that stayed.
func (b *builder) stretches(r *routes) []stretchOfRoute {
	if r.reversed {
		return nil // every leg is on both
	}
	legs := func(from, to int) []int { // those that leave the waypoints from .. to-1
		out := make([]int, 0, max(to-from, 0))
		for i := from; i < to; i++ {
			out = append(out, i)
		}
		return out
	}
	closing := func(p *plan.Plan) []int { // back to the start
		if n := len(p.Route.Legs); n > 0 && n == len(p.Route.Waypoints) {
			return []int{n - 1}
		}
		return nil
	}
	first, last := pair{0, 0}, pair{len(b.old.Route.Waypoints) - 1, len(b.new.Route.Waypoints) - 1}
	if n := len(r.kept); n > 0 {
		first, last = r.kept[0], r.kept[n-1]
	} else {
		first = last
	}
	var list []stretchOfRoute
	head := stretchOfRoute{0, legs(0, first.old), legs(0, first.new)}
	tail := stretchOfRoute{len(r.gaps) - 1,
		slices.Concat(legs(last.old, len(b.old.Route.Waypoints)-1), closing(b.old)),
		slices.Concat(legs(last.new, len(b.new.Route.Waypoints)-1), closing(b.new))}
	if len(closing(b.old)) > 0 && len(closing(b.new)) > 0 { // over the start
		tail.was, tail.is = slices.Concat(tail.was, head.was), slices.Concat(tail.is, head.is)
	} else {
		list = append(list, head)
	}
	for k := 1; k < len(r.kept); k++ {
		from, to := r.kept[k-1], r.kept[k]
		if to.old-from.old == 1 && to.new-from.new == 1 {
			continue // one leg that stayed
		}
		list = append(list, stretchOfRoute{k, legs(from.old, to.old), legs(from.new, to.new)})
	}
	return append(list, tail)
}

// otherLegs reports legs on one route only, under the change of the route that made them
// come and go, and compares what came with what went.
func (b *builder) otherLegs(r *routes) {
	var changed []*node
	for i, l := range b.old.Route.Legs {
		if !r.oldLeg[i] {
			causes := b.legCauses(r.oldGap, r.gaps, l)
			b.effect(b.legOrder(pair{i, -1}, 4), Change{Subject: "leg " + l.Name, What: "removed", Before: b.legWords(0, i)}, causes)
			changed = append(changed, firstOf(causes)...)
		}
	}
	for j, l := range b.new.Route.Legs {
		if !r.newLeg[j] {
			causes := b.legCauses(r.newGap, r.gaps, l)
			b.effect(b.legOrder(pair{-1, j}, 4), Change{Kind: b.appears("leg", false, true), Subject: "leg " + l.Name, What: "added", After: b.legWords(1, j), Path: l.Path}, causes)
			changed = append(changed, firstOf(causes)...)
		}
	}
	worst := map[[2]int]surplus{}
	for _, s := range b.stretches(r) {
		causes := r.gaps[s.gap]
		if len(causes) == 0 {
			causes = b.present(key{"route.closed", 0})
		}
		switch {
		case len(s.was) > 0 && len(s.is) > 0:
			b.sideBySide(r, s, causes)
		case len(s.was)+len(s.is) > 0:
			b.oneSided(s, causes, worst)
		}
	}
	if len(changed) > 0 {
		b.total(changed)
	}
}

// legCauses are the changes of the route that a leg from one waypoint to another
// came or went with: those of the gap that it is in or spans.
func (b *builder) legCauses(gapOf []int, gaps [][]*node, l plan.Leg) []*node {
	causes := gaps[gapOf[l.From]]
	if l.To < l.From { // back to the start of a closed route
		causes = merge(causes, gaps[0], b.present(key{"route.closed", 0}))
	}
	if len(causes) == 0 {
		causes = b.present(key{"route.closed", 0}, key{"route.reversed", 0})
	}
	return causes
}

func firstOf(causes []*node) []*node { return causes[:min(len(causes), 1)] }

// part is a part of a leg of each route, side by side.
type part struct {
	was, is           int
	wasFrom, wasTo    float64 // fractions of the leg
	isFrom, isTo      float64
	endOfWas, endOfIs bool // the leg's end is here
}

// maxCut is how many legs of either route are cut into parts. Where more were replaced at
// once, each is compared as a whole with those that it lies beside.
const maxCut = 32

// laidSideBySide pairs the legs one by one where there are as many, and else by how far
// along the whole they lie.
func (b *builder) laidSideBySide(s stretchOfRoute) []part {
	var parts []part
	if len(s.was) == len(s.is) {
		for i := range s.was {
			parts = append(parts, part{was: s.was[i], is: s.is[i], wasTo: 1, isTo: 1, endOfWas: true, endOfIs: true})
		}
		return parts
	}
	was, is := ends(b.old, s.was), ends(b.new, s.is)
	cut := len(was) <= maxCut && len(is) <= maxCut
	at := 0.0
	for i, j := 0, 0; i < len(was) && j < len(is); {
		to := min(was[i], is[j])
		p := part{was: s.was[i], is: s.is[j], wasTo: 1, isTo: 1, endOfWas: was[i] == to, endOfIs: is[j] == to}
		if cut {
			p.wasFrom, p.wasTo = fractions(was, i, at, to)
			p.isFrom, p.isTo = fractions(is, j, at, to)
		}
		parts = append(parts, p)
		if p.endOfWas {
			i++
		}
		if p.endOfIs {
			j++
		}
		at = to
	}
	return parts
}

// ends are where the legs end, as fractions of the length of all of them; the last is 1.
func ends(p *plan.Plan, legs []int) []float64 {
	sum, out := 0.0, make([]float64, len(legs))
	for i, leg := range legs {
		sum += max(p.Route.Legs[leg].LengthMM, 1)
		out[i] = sum
	}
	for i := range out {
		out[i] /= sum
	}
	out[len(out)-1] = 1
	return out
}

// fractions turns a part of the whole into a part of leg i.
func fractions(ends []float64, i int, from, to float64) (legFrom, legTo float64) {
	begin := 0.0
	if i > 0 {
		begin = ends[i-1]
	}
	length := ends[i] - begin
	if length <= 0 {
		return 0, 1
	}
	return max(0, (from-begin)/length), min(1, (to-begin)/length)
}

// cutSlackMM is what rounding a cut to the millimetre may make of a surplus.
const cutSlackMM = 2

// most is the greatest change one way of one quantity, by nothing where there is none.
type most struct {
	by     float64
	change Change
}

// sideBySide compares what came with what went, part by part: of each quantity the
// greatest change each way.
func (b *builder) sideBySide(r *routes, s stretchOfRoute, causes []*node) {
	var speed, tolerance, spare [2]most
	keep := func(m *[2]most, by float64, change func() Change) {
		way := 0
		if by < 0 {
			way, by = 1, -by
		}
		if by > m[way].by {
			m[way] = most{by, change()}
		}
	}
	for _, p := range b.laidSideBySide(s) {
		if r.oldLeg[p.was] && r.newLeg[p.is] {
			continue // each is compared with itself
		}
		before, after := b.old.Route.Legs[p.was], b.new.Route.Legs[p.is]
		here := func(c Change) Change {
			c.Subject = "leg " + after.Name + " in place of " + before.Name
			return c
		}
		keep(&speed, float64(after.SpeedMMPerS-before.SpeedMMPerS), func() Change {
			return here(judged(b, "route.waypoints[].speed", "", "speed", words.PerSecond, before.SpeedMMPerS, after.SpeedMMPerS))
		})
		x, y := b.old.Route.Waypoints[before.To].ToleranceMM, b.new.Route.Waypoints[after.To].ToleranceMM
		if p.endOfWas && p.endOfIs && r.toNew[before.To] != after.To { // one waypoint in place of another
			keep(&tolerance, float64(y-x), func() Change {
				return here(judged(b, "route.waypoints[].arrival_tolerance", "", "arrival tolerance at the end", words.Millimetre, x, y))
			})
		}
		if !b.grounds.compared() {
			continue
		}
		whole := p.wasFrom <= 0 && p.wasTo >= 1 && p.isFrom <= 0 && p.isTo >= 1
		t := b.grounds.table(func(ground, route int) surplus {
			if route == 0 {
				return b.grounds.part(ground, 0, p.was, p.wasFrom, p.wasTo)
			}
			return b.grounds.part(ground, 1, p.is, p.isFrom, p.isTo)
		})
		kind := b.judgeTable(t)
		if kind != Loosens && kind != Tightens {
			continue
		}
		by := t.gained()
		if !whole && math.Abs(by) <= cutSlackMM {
			continue
		}
		keep(&spare, by, func() Change {
			return here(Change{Kind: kind, What: "surplus", Before: t[0][0].words() + t[0][0].from(b.old), After: t[1][1].words() + t[1][1].from(b.new), Number: surplusNumber(t[0][0], t[1][1])})
		})
	}
	for rank, m := range []most{speed[0], speed[1], tolerance[0], tolerance[1], spare[0], spare[1]} {
		if m.by > 0 {
			b.effect(order{section: routeSection, index: -1, rank: 10 + rank}, m.change, causes)
		}
	}
}

// oneSided compares legs that only came, or only went, with the other route as a whole:
// the least surplus and the highest speed anywhere on it. They are worse than all of that
// or are nothing to speak of.
func (b *builder) oneSided(s stretchOfRoute, causes []*node, worst map[[2]int]surplus) {
	side, subject, legs := 0, "legs removed", s.was
	if len(s.is) > 0 {
		side, subject, legs = 1, "legs added", s.is
	}
	o := order{section: routeSection, index: -1, rank: 6}
	here, there := fastest(b.plan(side), legs), fastest(b.plan(1-side), nil)
	if here > there {
		before, after := there, here
		if side == 0 {
			before, after = here, there
		}
		b.effect(o, judged(b, "route.waypoints[].speed", subject, "highest speed", words.PerSecond, before, after), causes)
	}
	if !b.grounds.compared() {
		return
	}
	least := func(ground, route int, legs []int) surplus {
		out := surplus{known: true, mm: math.MaxInt64}
		for _, leg := range orAll(b.plan(route), legs) {
			out = out.or(b.grounds.leg(ground, route, leg))
		}
		return out
	}
	t := b.grounds.table(func(ground, route int) surplus {
		if route == side {
			return least(ground, route, legs)
		}
		k := [2]int{ground, route}
		if _, ok := worst[k]; !ok {
			worst[k] = least(ground, route, nil)
		}
		return worst[k]
	})
	worse := Loosens
	if side == 0 {
		worse = Tightens
	}
	if kind := b.judgeTable(t); kind == worse {
		o.rank = 7
		b.effect(o, Change{Kind: kind, Subject: subject, What: "least surplus", Before: t[0][0].words(), After: t[1][1].words(), Number: surplusNumber(t[0][0], t[1][1])}, causes)
	}
}

// fastest is the highest speed of the legs named, of all for nil.
func fastest(p *plan.Plan, legs []int) (v int64) {
	for _, i := range orAll(p, legs) {
		v = max(v, p.Route.Legs[i].SpeedMMPerS)
	}
	return v
}

// orAll are the legs named, all of the route for nil.
func orAll(p *plan.Plan, legs []int) []int {
	if legs == nil {
		for i := range p.Route.Legs {
			legs = append(legs, i)
		}
	}
	return legs
}

// total is the length of the whole route, where legs came or went.
func (b *builder) total(causes []*node) {
	length := func(p *plan.Plan) (mm float64) {
		for _, l := range p.Route.Legs {
			mm += l.LengthMM
		}
		return math.Round(mm)
	}
	if before, after := length(b.old), length(b.new); before != after {
		b.measure(order{section: routeSection, index: math.MaxInt, rank: 9}, "route", "length", words.Millimetre, before, after, firstCauses(causes))
	}
}
