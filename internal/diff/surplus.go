// Surplus: what is left of the clearance of a leg or a waypoint when its standoff is
// taken off. It joins all that the route asks of the ground: where the legs lie, how fast
// they are driven, how wide the tolerances are, how the turns fall out.
//
// What is judged is what the route alone did. Therefore each of the two routes is taken
// over the ground of each of the two missions, with the fence, the survey, the machine
// and the board of that mission:
//
//	                   old route   new route
//	old mission's ground     s00         s01
//	new mission's ground     s10         s11
//
// Less on both rows loosens, more on both tightens. Where the rows disagree, it hangs on
// which of the two fences is the true one: that is to be looked at. So is a leg that was
// moved and has less where it is than it had where it was (s11 < s00), although neither
// row has less: an obstacle came nearer at the same time.
//
// With these three, two changes of which neither loosens nor is to be looked at do not
// loosen together. Let a, b, c be one leg in three missions A, B, C. Neither fence gives
// ground and no figure is better, or that would be said, so that any leg has on C at most
// what it has on B, and there at most what it has on A. Moved in both: A(a) ≤ B(b) ≤ C(c)
// ≤ A(c). Moved in the second alone: C(a) = C(b) ≤ C(c). In the first alone: A(a) ≤ A(b)
// = A(c). In each case one row of the table from A to C does not have less.
package diff

import (
	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// outsideMM is the surplus of what is outside the boundary or in an obstacle: less than
// any other.
const outsideMM = -1 << 40

// surplus is what is left of the clearance; not known where a ring has faults.
type surplus struct {
	known bool
	mm    int64
	edge  fence.Edge
}

func (s surplus) words() string {
	switch {
	case !s.known:
		return "not known"
	case s.mm == outsideMM:
		return "outside"
	default:
		return words.Millimetre.Words(float64(s.mm))
	}
}

// or is the lesser of two; not known when one is not.
func (s surplus) or(t surplus) surplus {
	if !s.known || t.known && s.mm <= t.mm {
		return s
	}
	return t
}

// surplusOf is that of a stretch by a plan.
func surplusOf(p *plan.Plan, s plan.Stretch) surplus {
	if !p.Fence.Sound() || !s.Needed {
		return surplus{}
	}
	spare := surplus{known: true, mm: s.SpareMM(), edge: s.Edge}
	asked := s.Segment
	if spare.mm >= 0 {
		asked.B = asked.A // it meets nothing, so that one end speaks for all
	}
	if !p.Fence.Passage(asked).Clear() {
		spare.mm = outsideMM
	}
	return spare
}

// grounds is the table above.
type grounds struct {
	plans [2][2]*plan.Plan // by ground and route
	same  bool             // the two grounds are the same, so that each route is on its own
	lines [2][2][]*surplus // of the legs, and at their starts
	start [2][2][]*surplus
}

// prepareGrounds takes each route over the other's ground; it leaves them nil where that
// cannot be done, or where both routes are the same.
func (b *builder) prepareGrounds() {
	g := &b.grounds
	if b.apart || !b.old.Complete() || !b.new.Complete() || len(b.old.Route.Legs) == 0 || len(b.new.Route.Legs) == 0 || sameRoute(b.old, b.new) {
		return
	}
	g.same = b.sameFence && b.sameMachine() && b.old.Route.Slope.Steepest == b.new.Route.Slope.Steepest
	own := func(p *plan.Plan) *plan.Plan {
		if b.slackMM > 0 { // it may be in another frame than it was measured in
			return p.Driving(p)
		}
		return p
	}
	if g.same {
		g.plans[0] = [2]*plan.Plan{own(b.old), own(b.new)}
		g.plans[1] = g.plans[0]
	} else {
		g.plans[0] = [2]*plan.Plan{own(b.old), b.old.Driving(b.new)}
		g.plans[1] = [2]*plan.Plan{b.new.Driving(b.old), own(b.new)}
	}
	for ground := range g.lines {
		for route := range g.lines[ground] {
			g.lines[ground][route] = make([]*surplus, len(b.plan(route).Route.Legs))
			g.start[ground][route] = make([]*surplus, len(b.plan(route).Route.Legs))
		}
	}
}

// sameMachine reports whether nothing but names and places of marks on which no other
// coordinate hangs was found to differ so far, before the route. The fence is compared
// apart from this.
func (b *builder) sameMachine() bool {
	if b.knownOtherwise {
		return false
	}
	for k, n := range b.causes {
		if k.what != "mark" && k.what != "renamed" || n.change.Kind != Neutral {
			return false
		}
	}
	return true
}

// sameRoute reports whether two routes are driven in the same way.
func sameRoute(p, q *plan.Plan) bool {
	if len(p.Route.Waypoints) != len(q.Route.Waypoints) || len(p.Route.Legs) != len(q.Route.Legs) {
		return false
	}
	for i, v := range p.Route.Waypoints {
		w := q.Route.Waypoints[i]
		if v.ToleranceMM != w.ToleranceMM || v.DwellMS != w.DwellMS || p.Survey.Marks[v.Mark].Point != q.Survey.Marks[w.Mark].Point {
			return false
		}
	}
	for i, l := range p.Route.Legs {
		if l.SpeedMMPerS != q.Route.Legs[i].SpeedMMPerS {
			return false
		}
	}
	return true
}

// compared reports whether the table could be made.
func (g *grounds) compared() bool { return g.plans[0][0] != nil }

// line is the surplus of a leg of one of the routes on one of the grounds, once it is on
// its line.
func (g *grounds) line(ground, route, leg int) surplus {
	return g.once(&g.lines, ground, route, leg, func(l *plan.Leg) plan.Stretch { return l.Line })
}

// leg is the same with its start, where it may need more.
func (g *grounds) leg(ground, route, leg int) surplus {
	line := g.line(ground, route, leg)
	if !g.plans[ground][route].Route.Legs[leg].Join.Needed {
		return line
	}
	return line.or(g.atStart(ground, route, leg))
}

// atStart is that of a leg's start alone.
func (g *grounds) atStart(ground, route, leg int) surplus {
	return g.once(&g.start, ground, route, leg, func(l *plan.Leg) plan.Stretch { return l.Join })
}

// starts is the table of a leg's start alone, where all four need it, or else another.
func (g *grounds) starts(legs [2]int, other table) table {
	for ground := range g.plans {
		for route, leg := range legs {
			if !g.plans[ground][route].Route.Legs[leg].Join.Needed {
				return other
			}
		}
	}
	return g.table(func(ground, route int) surplus { return g.atStart(ground, route, legs[route]) })
}

// once works out a surplus once.
func (g *grounds) once(known *[2][2][]*surplus, ground, route, leg int, of func(l *plan.Leg) plan.Stretch) surplus {
	if g.same {
		ground = 0
	}
	at := &known[ground][route][leg]
	if *at == nil {
		p := g.plans[ground][route]
		s := surplusOf(p, of(&p.Route.Legs[leg]))
		*at = &s
	}
	return **at
}

// part is the surplus of a part of a leg, between two fractions of its length.
func (g *grounds) part(ground, route, leg int, from, to float64) surplus {
	if from <= 0 && to >= 1 {
		return g.leg(ground, route, leg)
	}
	p := g.plans[ground][route]
	l := p.Route.Legs[leg]
	s := surplusOf(p, p.On(leg, planar.Segment{A: pointAlong(l.Segment, from), B: pointAlong(l.Segment, to)}))
	if l.Join.Needed && from <= 0 {
		s = s.or(g.atStart(ground, route, leg))
	}
	return s
}

// pointAlong is the point at a fraction of a segment, in whole millimetres.
func pointAlong(s planar.Segment, fraction float64) planar.Point {
	d := s.B.Sub(s.A)
	return planar.Point{E: s.A.E + int64(fraction*float64(d.E)), N: s.A.N + int64(fraction*float64(d.N))}
}

// sameAround reports whether nothing that counts at a waypoint differs between the routes.
func (g *grounds) sameAround(q pair) bool {
	around := func(route, waypoint int) (s [2]plan.Standoff, at planar.Point, mm int64) {
		p := g.plans[0][route]
		w := p.Route.Waypoints[waypoint]
		if leg := p.Meeting(waypoint); leg != nil {
			s[0] = leg.Line.Standoff
		}
		s[0].PositionMM, s[0].TotalMM, s[1] = 0, 0, w.Pivot.Standoff
		return s, p.Survey.Marks[w.Mark].Point, w.ToleranceMM
	}
	s, at, mm := around(0, q.old)
	t, now, is := around(1, q.new)
	return s == t && at == now && mm == is
}

// waypoint is the surplus of a waypoint itself.
func (g *grounds) waypoint(ground, route, waypoint int) surplus {
	p := g.plans[ground][route]
	return surplusOf(p, p.Around(waypoint))
}

// table is one thing of both routes on both grounds.
type table [2][2]surplus

func (g *grounds) table(of func(ground, route int) surplus) (t table) {
	t[0] = [2]surplus{of(0, 0), of(0, 1)}
	t[1] = t[0]
	if !g.same {
		t[1] = [2]surplus{of(1, 0), of(1, 1)}
	}
	return t
}

func (t table) known() bool { return t[0][0].known && t[0][1].known && t[1][0].known && t[1][1].known }

// changes reports whether both grounds say that it changes by so much.
func (t table) changes(mm int64) bool {
	return t.known() && t[0][1].mm-t[0][0].mm == mm && t[1][1].mm-t[1][0].mm == mm
}

// gained is what the new route has more, or less, on both grounds at least.
func (t table) gained() float64 {
	onOld, onNew := float64(t[0][1].mm-t[0][0].mm), float64(t[1][1].mm-t[1][0].mm)
	if onOld < 0 {
		return max(onOld, onNew)
	}
	return min(onOld, onNew)
}

// judgeTable is what the route did to one thing: more on both grounds tightens, less on
// both loosens.
func (b *builder) judgeTable(t table) Kind {
	if !t.known() {
		return Neutral
	}
	onOld, onNew := b.judgeSurplus(t[0][0], t[0][1]), b.judgeSurplus(t[1][0], t[1][1])
	switch {
	case onOld == onNew:
		return onOld
	case onOld == Loosens || onNew == Loosens:
		return Look
	default:
		return Neutral
	}
}

func (b *builder) judgeSurplus(before, after surplus) Kind {
	if delta := after.mm - before.mm; delta >= -b.slackMM && delta <= b.slackMM {
		return Neutral
	}
	return b.judge("leg.surplus", float64(before.mm), float64(after.mm))
}

// surplusChange reports what the route did to one thing that both routes have: a line
// with what is left where it was and where it is, and, where that alone is not the
// judgement, lines with what each ground says.
func (b *builder) surplusChange(o order, subject, what string, t table, moved bool, causes []*node) Kind {
	kind := b.judgeTable(t)
	report := func(kind Kind, what string, before, after surplus, was, is *plan.Plan) {
		b.surplusLine(o, Change{Kind: kind, Subject: subject, What: what}, before, after, was, is, causes)
		o.rank++
	}
	switch {
	case kind == Look:
		report(Look, what+" by the old mission's fence and figures", t[0][0], t[0][1], b.old, b.old)
		report(Look, what+" by the new mission's fence and figures", t[1][0], t[1][1], b.new, b.new)
	case kind != Neutral:
		report(kind, what, t[0][0], t[1][1], b.old, b.new)
	}
	if moved && b.lessWhereItIs(t, kind) {
		report(Look, what+whereItIs, t[0][0], t[1][1], b.old, b.new)
		return Look
	}
	return kind
}

// surplusLine is one line of them.
func (b *builder) surplusLine(o order, c Change, before, after surplus, was, is *plan.Plan, causes []*node) {
	c.Before, c.After, c.Number = before.words()+before.from(was), after.words()+after.from(is), surplusNumber(before, after)
	b.effect(o, c, causes)
}

// whereItIs is said one way round: only what has less now is to be looked at.
const whereItIs = " where it was and is"

// lessWhereItIs reports whether a thing that was moved has less where it is than it had
// where it was, although its judgement does not say so.
func (b *builder) lessWhereItIs(t table, kind Kind) bool {
	return t.known() && b.judgeSurplus(t[0][0], t[1][1]) == Loosens && kind != Look && kind != Loosens
}

// from says which part of the fence leaves the least.
func (s surplus) from(p *plan.Plan) string {
	if s.mm == outsideMM {
		return ""
	}
	return clearance{known: s.known, edge: s.edge}.from(p)
}

// surplusNumber has no value for a side that is outside.
func surplusNumber(before, after surplus) *Number {
	if before.mm == outsideMM || after.mm == outsideMM {
		return nil
	}
	return number(words.Millimetre, float64(before.mm), float64(after.mm))
}
