// Rule: every leg and every turn keeps its standoff from the fence. Decided
// exactly on the board's integers; the clearance is rounded down to whole
// millimetres, the parts of the standoff are whole and rounded up.
package check

import (
	"fmt"
	"slices"

	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/plan"
	"merestone/internal/words"
)

func clearanceRule() Rule {
	return newRule("geometry.clearance", diag.Error, "legs and turns keep their standoff from the fence", func(v *view, report func(diag.Finding)) {
		if !v.Fence.Boundary.Sound() {
			return
		}
		var short shortages
		said := make([][]fence.Edge, len(v.Route.Waypoints)) // by a leg that begins or ends there
		for i, l := range v.Route.Legs {
			if !v.legs[i].Clear() {
				continue // reported by their own rules
			}
			line, join := l.Line, l.Join
			if v.turnAlone(i) {
				join = plan.Stretch{} // arrival.turn
			}
			leg := v.Subject(diag.Leg, i)
			along, onto := !v.roomFor("clearance along a leg", leg, line), !v.roomFor("clearance onto a leg", leg, join)
			if along && onto && line.Edge == join.Edge { // told once, by the greater lack
				along = line.SpareMM() <= join.SpareMM()
				onto = !along
			}
			if along {
				short.add(v.Subject(diag.Leg, i), l.Source, alongLeg, i, line)
				said[l.From], said[l.To] = append(said[l.From], line.Edge), append(said[l.To], line.Edge)
			}
			if onto {
				short.add(v.Subject(diag.Leg, i), l.Source, ontoLeg, i, join)
				said[l.From] = append(said[l.From], join.Edge)
			}
		}
		for i, w := range v.Route.Waypoints {
			if v.places[i].Clear() && !v.roomFor("clearance, turn on spot", v.Subject(diag.Waypoint, i), w.Pivot) && !slices.Contains(said[i], w.Pivot.Edge) {
				short.add(v.Subject(diag.Waypoint, i), w.Source, onTheSpot, i, w.Pivot)
			}
		}
		for _, group := range short.together() {
			report(v.tooNear(group))
		}
	})
}

// roomFor asks for the room of a stretch that needs some.
func (v *view) roomFor(name string, at diag.Subject, s plan.Stretch) bool {
	return !s.Needed || v.keeps(limit{diag.Error, name, words.Millimetre}, at, float64(s.ClearanceMM), float64(s.TotalMM))
}

// manner is how the rover moves on a stretch.
type manner uint8

const (
	alongLeg  manner = iota // on its line
	ontoLeg                 // at its beginning, onto its line
	onTheSpot               // turning at a waypoint
)

// shortage is a stretch with less room than it needs.
type shortage struct {
	subject diag.Subject
	source  diag.Source
	index   int // of the leg or the waypoint
	plan.Stretch
}

// shortages are those with the same need, figure for figure, in one group each: what
// they lack has one cause. The one that lacks the most comes first in its group.
type shortages struct {
	groups []shortageGroup
	known  map[any]int
}

type shortageGroup struct {
	manner manner
	all    []shortage
	mixed  bool // the others have needs of their own
}

// together are the groups, or where there are more than a few, one of all: the cause is
// something that all have in common.
func (s *shortages) together() []shortageGroup {
	worst, total := 0, 0
	for _, group := range s.groups {
		total += len(group.all)
	}
	if len(s.groups) < 2 || total <= few {
		return s.groups
	}
	for g, group := range s.groups {
		if group.all[0].SpareMM() < s.groups[worst].all[0].SpareMM() {
			worst = g
		}
	}
	one := s.groups[worst]
	one.mixed = true
	for g, group := range s.groups {
		if g != worst {
			one.all = append(one.all, group.all...)
		}
	}
	return []shortageGroup{one}
}

func (s *shortages) add(subject diag.Subject, source diag.Source, how manner, index int, stretch plan.Stretch) {
	key := struct {
		manner
		plan.Standoff
	}{how, stretch.Standoff}
	if s.known == nil {
		s.known = map[any]int{}
	}
	g, seen := s.known[key]
	if !seen {
		g = len(s.groups)
		s.known[key] = g
		s.groups = append(s.groups, shortageGroup{manner: how})
	}
	all := append(s.groups[g].all, shortage{subject, source, index, stretch})
	if last := len(all) - 1; all[last].SpareMM() < all[0].SpareMM() {
		all[0], all[last] = all[last], all[0]
	}
	s.groups[g].all = all
}

func (v *view) tooNear(group shortageGroup) diag.Finding {
	worst := group.all[0]
	var f diag.Finding
	position, body, off := words.BareMM(worst.PositionMM), v.Machine.Rover.Body, words.BareMM(worst.OffLineMM)
	switch group.manner {
	case onTheSpot:
		f = at(worst.source, "%s is %s from %s; turning on the spot it needs %s (position %s + arrival %s + body %s: %s from the antenna to the turning centre, and from there to the farthest corner)",
			worst.subject, words.MM(worst.ClearanceMM), v.part(worst.Edge), words.MM(worst.TotalMM), position, off, words.BareMM(worst.ReachMM), words.BareMM(body.ArmMM))
	case ontoLeg:
		f = at(worst.source, "%s begins %s from %s; until it is on its line, %s on, it needs %s (position %s + arrival and turn %s + body until rest %s: stopping distance %s, the front %s ahead, half-width %s)",
			worst.subject, words.MM(worst.ClearanceMM), v.part(worst.Edge), words.MM(v.Route.Legs[worst.index].Joining.WayMM), words.MM(worst.TotalMM),
			position, off, words.BareMM(worst.ReachMM), words.BareMM(worst.StoppingMM), words.BareMM(body.FrontMM), words.BareMM(body.HalfWidthMM))
	default:
		f = at(worst.source, "%s passes %s from %s; it needs %s (position %s + cross-track %s + body until rest %s: stopping distance %s, the front %s ahead, half-width %s)",
			worst.subject, words.MM(worst.ClearanceMM), v.part(worst.Edge), words.MM(worst.TotalMM),
			position, off, words.BareMM(worst.ReachMM), words.BareMM(worst.StoppingMM), words.BareMM(body.FrontMM), words.BareMM(body.HalfWidthMM))
	}
	f.Remedy = fmt.Sprintf("move it %s away", words.MM(-worst.SpareMM()))
	if group.manner != onTheSpot {
		if highest := v.HighestClear(worst.index); highest >= max(v.Machine.Rover.MinimumMMPerS, 1) {
			f.Remedy += fmt.Sprintf(", or drive it at %s or less", words.MMPerS(highest))
		}
	}
	f.Remedy += v.largest(group.manner, worst)
	f.Related = []diag.Related{{At: v.Fence.Where(worst.Edge), Message: v.part(worst.Edge).String()}}
	if others := group.all[1:]; len(others) > 0 {
		var names []diag.Subject
		named := map[diag.Subject]bool{worst.subject: true}
		for _, o := range others {
			if !named[o.subject] { // a leg may be short of both its needs
				names = append(names, o.subject)
				named[o.subject] = true
			}
			if len(f.Related) < few && o.Edge != worst.Edge {
				f.Related = append(f.Related, diag.Related{At: v.Fence.Where(o.Edge), Message: fmt.Sprintf("%v: %v, %v", o.subject, v.part(o.Edge), words.MM(o.ClearanceMM))})
			}
		}
		switch {
		case len(names) == 0:
		case group.mixed:
			f.Add("; too near for what they need are also %s", diag.Names(names, ", "))
		default:
			f.Add("; too near for the same need: %s", diag.Names(names, ", "))
		}
	}
	f.Numbers = []diag.Number{
		metre("clearance", float64(worst.ClearanceMM)), metre("standoff", float64(worst.TotalMM)),
		metre("position", float64(worst.PositionMM)), metre("off line", float64(worst.OffLineMM)),
		metre("stopping", float64(worst.StoppingMM)), metre("body until rest", float64(worst.ReachMM)),
	}
	return f
}

// largest says what takes the most of a need, where that is something to mend other
// than the way: the body is what it is, and speed has been spoken of.
func (v *view) largest(how manner, s shortage) string {
	still := v.Machine.Rover.ReachMM(0)
	if how == onTheSpot {
		still = s.ReachMM
	}
	moving, turn := s.ReachMM-still, int64(0)
	if how == ontoLeg {
		turn = v.Route.Legs[s.index].Joining.TurnMM
	}
	allowed := s.OffLineMM - turn
	most := max(still, moving, turn, allowed, s.PositionMM)
	switch most {
	case still, moving:
		return ""
	case s.PositionMM:
		return fmt.Sprintf("; the error of position takes the most, most of it %s", v.PositionParts(s.Edge).Largest().Name)
	case turn:
		if v.Machine.Rover.Pivots {
			return "; how far the turn carries the antenna takes the most, which is its distance from the turning centre"
		}
		return "; the turn takes the most: split it over several waypoints"
	}
	if how == alongLeg || allowed <= v.Machine.Rover.CrossTrackMM {
		return "; rover.cross_track takes the most"
	}
	return "; the arrival tolerance takes the most"
}
