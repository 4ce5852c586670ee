// Rule site.sky: waypoints have a clear view of the sky above 15 degrees.
package check

import (
	"math"
	"slices"

	"merestone/internal/board"
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/internal/planar"
	"merestone/internal/words"
)

// From these parts of the sky on, hidden sky is a warning, and an error; common
// practice, no source. A house of two storeys hides 2 % from 15 m and a quarter from
// 3 m; leaves all over count as half of the sky, a roof all over as the whole.
const (
	narrowSky = 0.10
	shutSky   = 0.60
	hairSky   = 1e-9 // so that sums of rounded parts do not pass a limit
)

// skyRule makes one finding of all places of a grade, since among trees it is every
// one; and for each kind of cover one of the legs that pass beneath between their ends.
func skyRule() Rule {
	return newRule("site.sky", diag.Warning, "waypoints have a clear view of the sky above 15 degrees", func(v *view, report func(diag.Finding)) {
		sky := v.skyline()
		var grades [diag.Error + 1]skyGrade
		told := map[int]bool{}
		for i, w := range v.Route.Waypoints {
			if told[w.Mark] {
				continue
			}
			told[w.Mark] = true
			if len(v.places[i].Struck) > 0 {
				continue // within what stands there: geometry.leg-obstacle
			}
			if h := sky.from(v.Survey.Marks[w.Mark].Point); len(h.by) > 0 {
				place := v.Subject(diag.Waypoint, i)
				grades[v.skyGrade(place, h)].add(w.Source, place, h)
			}
		}
		beneath := slices.Clone(v.beneath)
		for i, l := range v.Route.Legs {
			if len(beneath[i]) == 0 {
				continue
			}
			if worst := v.along(sky, l.Segment, beneath[i]); !v.skySeen(v.Subject(diag.Leg, i), worst) {
				grades[diag.Error].add(l.Source, v.Subject(diag.Leg, i), worst)
				beneath[i] = nil // told
			}
		}
		for severity := diag.Error; severity >= diag.Note; severity-- {
			if g := grades[severity]; len(g.places) > 0 {
				report(v.hiddenSky(severity, g, len(told)))
			}
		}
		v.passBeneath(beneath, report)
	})
}

// skyGrade is the places of one severity.
type skyGrade struct {
	places []diag.Subject
	worst  int // of the places
	at     diag.Source
	hidden hiddenSky
}

func (g *skyGrade) add(source diag.Source, place diag.Subject, h hiddenSky) {
	if len(g.places) == 0 || h.share > g.hidden.share {
		g.worst, g.at, g.hidden = len(g.places), source, h
	}
	g.places = append(g.places, place)
}

// skyGrade is how grave hidden sky is. Who drives on float solutions has reckoned with
// leaves; what stops the rover altogether is no milder for that.
func (v *view) skyGrade(place diag.Subject, h hiddenSky) diag.Severity {
	narrow := h.share
	if v.floatWillDo() {
		narrow = h.solid
	}
	switch {
	case !v.skySeen(place, h):
		return diag.Error
	case !v.keeps(limit{diag.Warning, "hidden sky", words.Percentage}, place, narrowSky-2*hairSky, narrow):
		return diag.Warning
	default:
		return diag.Note
	}
}

// skySeen reports whether enough of the sky is seen for a fix to be had at all.
func (v *view) skySeen(place diag.Subject, h hiddenSky) bool {
	return v.keeps(limit{diag.Error, "hidden sky, fix lost", words.Percentage}, place, shutSky+hairSky, h.share)
}

// floatWillDo reports whether the rover may drive on float solutions.
func (v *view) floatWillDo() bool { return v.Machine.Receiver.Required == board.QualityFloat }

func (v *view) hiddenSky(severity diag.Severity, g skyGrade, marks int) diag.Finding {
	things := diag.List{By: ", "}
	for _, b := range g.hidden.by {
		where := diag.Say("%.0f deg high", b.deg)
		if b.overhead {
			where = diag.Say("overhead")
		}
		things.Items = append(things.Items, diag.Say("%s (%s)", b.about, where))
	}
	f := at(g.at, "%s: %s of the sky above %d deg is hidden, over at least %.0f deg of the horizon, by %s", g.places[g.worst], share(g.hidden.share), maskDeg, g.hidden.horizonDeg, things)
	f.Severity = severity
	var others []diag.Subject
	hidden := 0 // of the marks
	for i, p := range g.places {
		if p.Kind == diag.Waypoint {
			hidden++
		}
		if i != g.worst {
			others = append(others, p)
		}
	}
	if len(others) > 0 {
		f.Add("; also at %s", diag.Names(others, ", "))
	}
	switch {
	case severity == diag.Note:
		f.Remedy = "nothing, if the fix holds there on a first drive by hand"
	case severity == diag.Error:
		f.Remedy = "move the route into the open: with so little sky a fix is luck"
	case g.hidden.leaves && !v.floatWillDo():
		f.Remedy = "expect float solutions under leaves: write required: float with tolerances of a metre or more, or move marks into the open"
	default:
		f.Remedy = "drive there by hand first, at the hour of the mission, and watch the fix; move marks into the open where it is lost"
	}
	f.Numbers = []diag.Number{{Name: "hidden", Value: g.hidden.share}, {Name: "horizon", Value: g.hidden.horizonDeg, Unit: "deg"}, {Name: "highest", Value: g.hidden.by[0].deg, Unit: "deg"},
		{Name: "marks", Value: float64(marks), Unit: "1"}, {Name: "marks with hidden sky", Value: float64(hidden), Unit: "1"}, {Name: "legs with hidden sky", Value: float64(len(g.places) - hidden), Unit: "1"}}
	return f
}

// share is a part of the sky in whole hundredths, at least one.
func share(part float64) words.Percent {
	return words.Percent(max(math.Round(part*100), 1) / 100)
}

// beneath lists, for each leg, the areas with something overhead that it passes beneath.
func beneath(p *plan.Plan) [][]int {
	list := make([][]int, len(p.Route.Legs))
	for n := range p.Site.Overhead {
		o := &p.Site.Overhead[n]
		box := boxOf(&o.Part)
		for i, l := range p.Route.Legs {
			if apart(box, l.Segment) || !o.Meets(l.Segment) {
				continue
			}
			list[i] = append(list[i], n)
		}
	}
	return list
}

// apart reports whether a segment passes a box by on one side.
func apart(box, s planar.Segment) bool {
	return max(s.A.E, s.B.E) < box.A.E || min(s.A.E, s.B.E) > box.B.E || max(s.A.N, s.B.N) < box.A.N || min(s.A.N, s.B.N) > box.B.N
}

// lookEveryMM and looksAtMost are where along a leg the sky is looked at beneath an
// area: every metre, or at so many places. They lie on the leg whatever is overhead,
// so that an area that grows hides no less.
const (
	lookEveryMM = 1000
	looksAtMost = 50
)

// along is the worst of what is hidden along a leg beneath areas, at two places that
// follow each other: what is narrower than that is passed before the fix is missed.
func (v *view) along(sky *skyline, leg planar.Segment, areas []int) hiddenSky {
	var worst, last hiddenSky
	d := leg.Vector()
	looks := min(ceilMM(math.Sqrt(float64(d.Norm2())))/lookEveryMM+1, looksAtMost)
	for k := range looks + 1 {
		p := planar.Point{E: leg.A.E + d.E*k/looks, N: leg.A.N + d.N*k/looks}
		if !slices.ContainsFunc(areas, func(n int) bool { return v.Site.Overhead[n].Meets(planar.Segment{A: p, B: p}) }) {
			last = hiddenSky{}
			continue
		}
		h := sky.from(p)
		if both := min(h.share, last.share); both > worst.share {
			worst = h
			if last.share == both {
				worst = last
			}
		}
		last = h
	}
	return worst
}

// passBeneath tells of what legs pass beneath between their ends: a roof takes the fix
// on the way, and then the watchdog stops the rover (arrival.stale). Leaves may. What
// is over an end is told there.
func (v *view) passBeneath(beneath [][]int, report func(diag.Finding)) {
	var roofs, canopies passage
	for i, areas := range beneath {
		l := v.Route.Legs[i]
		ends := []planar.Segment{{A: l.Segment.A, B: l.Segment.A}, {A: l.Segment.B, B: l.Segment.B}}
		for _, n := range areas {
			o := &v.Site.Overhead[n]
			to := &canopies
			if o.Roof {
				to = &roofs
			}
			if !slices.ContainsFunc(ends, o.Meets) {
				to.add(v.Subject(diag.Leg, i), l.Source, v.OverheadSubject(n))
			}
		}
	}
	if f, ok := roofs.finding("; fixes are lost there, and after %d ms without one the rover stops", v.Machine.Receiver.StaleAfterMS); ok {
		f.Remedy = "lead the route around, or drive it by hand first and see whether the fix is kept"
		report(f)
	}
	if f, ok := canopies.finding("; solutions come down to float there, and some are lost"); ok {
		f.Severity = diag.Note
		f.Remedy = "drive it by hand first, when the trees are in leaf, and watch the fix"
		report(f)
	}
}

// passage is the legs that pass beneath areas of one kind, and these.
type passage struct {
	at    diag.Source
	legs  []diag.Subject
	areas diag.List
	told  map[diag.Subject]bool // of the areas
}

func (p *passage) add(leg diag.Subject, source diag.Source, area diag.Subject) {
	if len(p.legs) == 0 {
		p.at, p.areas.By, p.told = source, ", ", map[diag.Subject]bool{}
	}
	if n := len(p.legs); n == 0 || p.legs[n-1] != leg {
		p.legs = append(p.legs, leg)
	}
	if !p.told[area] {
		p.told[area] = true
		p.areas.Items = append(p.areas.Items, area)
	}
}

func (p *passage) finding(why string, args ...any) (diag.Finding, bool) {
	if len(p.legs) == 0 {
		return diag.Finding{}, false
	}
	f := at(p.at, "%s passes beneath %s", p.legs[0], p.areas)
	if len(p.legs) > 1 {
		f.Add(", and so on legs %s", diag.Names(p.legs[1:], ", "))
	}
	f.Add(why, args...)
	f.Numbers = []diag.Number{{Name: "legs", Value: float64(len(p.legs)), Unit: "1"}, {Name: "areas", Value: float64(len(p.areas.Items)), Unit: "1"}}
	return f, true
}
