// Package check holds every rule that a mission must pass. Each rule has a file
// of its own, an id, and a page in docs/rules; each reads the plan and returns
// findings with the numbers that it compared.
//
// This file: the list of rules, and running them. To add a rule, write its file
// with a function that returns a Rule, add it to the list, write its page.
package check

import (
	"math"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/plan"
)

// Rule is one rule: its documentation and its code.
type Rule struct {
	diag.Rule
	run func(v *view, report func(diag.Finding))
}

// view is what rules look at: the plan, and what several rules need of it, worked
// out once for all.
type view struct {
	*plan.Plan
	legs   []fence.Passage // of every leg
	places []fence.Passage // of every waypoint
	// beneath are, for every leg, the areas with something overhead that it passes
	// beneath.
	beneath [][]int
	// cure is of the holds' wiring, once it was looked for.
	cure *circuit.Remedy
	// cureTold is the thing with which its edits are told.
	cureTold string
	asked    reserves // of the rule that runs
}

func newView(p *plan.Plan) *view {
	v := &view{Plan: p}
	for _, l := range p.Route.Legs {
		v.legs = append(v.legs, p.Fence.Passage(l.Segment))
	}
	for _, w := range p.Route.Waypoints {
		v.places = append(v.places, p.Fence.Passage(place(p.Survey.Marks[w.Mark])))
	}
	v.beneath = beneath(p)
	return v
}

// list returns every rule, in the order of the report.
func list() []Rule {
	return []Rule{
		ringRule(), obstacleOutsideRule(),
		legOutsideRule(), legObstacleRule(), clearanceRule(),
		zeroLegRule(), duplicateLegRule(), shortLegRule(),
		rollsRule(), slopeBoundRule(), tiltRule(), tapedRule(), runsRule(),
		conversionRule(), decimalsRule(), heightRule(),
		toleranceRule(), coastRule(), turnRule(), speedRule(), staleRule(), crossTrackRule(),
		tapeRule(),
		budgetRule(), noHoldRule(), pinRule(), categoryRule(), wireBreakRule(), emergencyStopRule(), singlePartRule(), singleFaultRule(), timesRule(), stoppingRule(), dwellRule(), recordRule(), measuredRule(),
		baseShiftRule(), controlMarksRule(), controlNearRule(), setupRule(),
		declinationRule(), compassRule(),
		skyRule(), headroomRule(), reflectionRule(),
		unusedRule(), figureRule(), defaultRule(),
	}
}

// Rules documents every rule.
func Rules() []diag.Rule {
	var rules []diag.Rule
	for _, r := range list() {
		rules = append(rules, r.Rule)
	}
	return rules
}

// All is the findings of Examine alone.
func All(p *plan.Plan) []diag.Finding {
	findings, _ := Examine(p)
	return findings
}

// Examine runs every rule over the plan. It sorts the findings by place; what is left of
// each limit stands in the order of the rules.
func Examine(p *plan.Plan) ([]diag.Finding, []diag.Reserve) {
	v := newView(p)
	var findings []diag.Finding
	var left []diag.Reserve
	for _, r := range list() {
		v.asked = reserves{}
		var told []diag.Finding
		r.run(v, func(f diag.Finding) {
			f.Rule = r.ID
			if f.Severity == 0 {
				f.Severity = r.Severity
			}
			told = append(told, f)
		})
		for _, f := range together(told) {
			findings = append(findings, pointing(p, f))
		}
		for _, one := range v.asked.list {
			one.Rule = r.ID
			left = append(left, one)
		}
	}
	diag.Sort(findings)
	return findings, left
}

// newRule makes a rule of what it says of a plan.
func newRule(id diag.ID, severity diag.Severity, title string, run func(v *view, report func(diag.Finding))) Rule {
	return Rule{Rule: diag.Rule{ID: id, Severity: severity, Title: title}, run: run}
}

// at begins a finding at a place, with what it says.
func at(s diag.Source, format string, args ...any) diag.Finding {
	return diag.New(s.At, format, args...)
}

// alike collects findings of one severity that have one cause. Those that would say
// the same of several things, figure for figure, are one: most often these have them
// from one key of the mission. The first is made, and names the others. Of more than a
// few that differ in their figures one is made, too: the worst.
type alike struct {
	findings []diag.Finding
	others   [][]diag.Subject // of each finding
	worse    []float64        // how bad each is
	figures  map[any]int      // the finding that has them
}

// few are so many findings that each may be a slip of its own.
const few = 3

// told reports whether a finding has these figures. It then names the thing, too;
// else one is to be added.
func (a *alike) told(figures any, thing diag.Subject) bool {
	if k, ok := a.figures[figures]; ok {
		a.others[k] = append(a.others[k], thing)
		return true
	}
	if a.figures == nil {
		a.figures = map[any]int{}
	}
	a.figures[figures] = len(a.findings)
	return false
}

// add adds a finding, mainly about one thing, and how bad it is.
func (a *alike) add(f diag.Finding, worse float64) {
	a.findings, a.others, a.worse = append(a.findings, f), append(a.others, nil), append(a.worse, worse)
}

// report reports the findings. The other things are named by the first format where
// their figures are the same, and by the second where they are not.
func (a *alike) report(report func(diag.Finding), same, different string) {
	about := map[diag.Subject]bool{}
	for _, f := range a.findings {
		about[f.About[0]] = true
	}
	if len(about) <= few {
		for k, f := range a.findings {
			if others := a.others[k]; len(others) > 0 {
				f.Wishes = nil // one key does not mend all of them
				f.Add(same, diag.Names(others, ", "))
			}
			report(f)
		}
		return
	}
	worst := 0
	for k, w := range a.worse {
		if w > a.worse[worst] {
			worst = k
		}
	}
	f := a.findings[worst]
	f.Wishes = nil
	told := map[diag.Subject]bool{f.About[0]: true}
	var others []diag.Subject
	for k := range a.findings {
		for _, thing := range append([]diag.Subject{a.findings[k].About[0]}, a.others[k]...) {
			if !told[thing] {
				told[thing] = true
				others = append(others, thing)
			}
		}
	}
	f.Add(different, diag.Names(others, ", "))
	f.Numbers = append(f.Numbers, diag.Number{Name: "places", Value: float64(1 + len(others)), Unit: "1"})
	report(f)
}

// ceilMM rounds millimetres up, and bounds what is absurd or infinite.
func ceilMM(mm float64) int64 { return int64(math.Ceil(min(mm, 1e12))) }

// metre is a Number in metres.
func metre(name string, mm float64) diag.Number {
	return diag.Number{Name: name, Value: mm / 1000, Unit: "m"}
}
