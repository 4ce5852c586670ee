// Findings that appeared and disappeared. Two findings are the same when they are
// of one rule and severity, about the same things, and say the same of them,
// whatever the figures and wherever in the file they point. Things are the same
// by the pairings of marks, obstacles, holds, waypoints and legs, whatever their
// names; where one of the missions has no plan, by their names.
//
// They are neutral: the numbers behind them are judged above. But an error that comes or
// goes is to be looked at, and so is a warning that goes where an uncertainty grew in the
// same change: it can go because a hold was mended, or because less is asked of the
// coordinates.
package diff

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/fence"
	"merestone/internal/plan"
)

// findings comes after the comparison of the plans: it needs all their pairings.
// What is said anew of the thing that a finding is mainly about is no other
// finding, but is reported.
func (b *builder) findings(before, after []diag.Finding) (errors []Standing) {
	was, is := b.things()
	oldSaid, oldAbout := was.keys(before)
	newSaid, newAbout := is.keys(after)
	for i, q := range match(oldSaid, newSaid, oldAbout, newAbout).pairs {
		c, at, in := Change{What: "says"}, diag.Finding{}, "both"
		if q.old >= 0 {
			at, c.Before = before[q.old], before[q.old].Message()
		}
		if q.new >= 0 {
			at, c.After = after[q.new], after[q.new].Message()
		}
		switch {
		case q.new < 0:
			in = "old"
		case q.old < 0:
			in = "new"
		}
		if at.Severity == diag.Error {
			errors = append(errors, Standing{in, string(at.Rule), cmp.Or(c.After, c.Before)})
		}
		switch {
		case q.both() && oldSaid[q.old] == newSaid[q.new]:
			continue
		case q.new < 0:
			c.What = "disappeared"
			if at.Severity == diag.Warning && b.uncertaintyGrew() {
				c.Kind = Look
			}
		case q.old < 0:
			c.What = "appeared"
		}
		c.Subject = fmt.Sprintf("%v %s", at.Severity, at.Rule)
		if at.Severity == diag.Error && !q.both() {
			c.Kind = Look
		}
		// Errors first.
		b.effect(order{section: findingSection, index: int(diag.Error) - int(at.Severity), name: string(at.Rule), rank: i}, c, nil)
	}
	return errors
}

// uncertaintyGrew reports whether something is said to be less sure than it was, which
// asks for more room but lets a check of coordinates against each other pass.
func (b *builder) uncertaintyGrew() bool {
	for k, n := range b.causes {
		if n.change.Kind == Tightens && (strings.Contains(k.what, "uncertainty") || k.what == "marks.NAME.last_digit" || k.what == "confidence") {
			return true
		}
	}
	return false
}

// things says which thing of one mission is which of the other: an id for each
// index in the plan's lists, the same in both missions for the same thing, and -1
// for what only this one has.
type things struct {
	plan                                               *plan.Plan // nil: things are known by their names
	marks, obstacles, overhead, holds, legs, waypoints []int
}

func (b *builder) things() (was, is things) {
	if b.old == nil || b.new == nil {
		return things{}, things{}
	}
	was.plan, is.plan = b.old, b.new
	was.marks, is.marks = idsOf(len(b.old.Survey.Marks), len(b.new.Survey.Marks), b.markIDs.pairs)
	was.obstacles, is.obstacles = idsOf(len(b.old.Fence.Obstacles), len(b.new.Fence.Obstacles), b.obstacleIDs.pairs)
	was.overhead, is.overhead = idsOf(len(b.old.Site.Overhead), len(b.new.Site.Overhead), b.overheadIDs.pairs)
	was.holds, is.holds = idsOf(len(b.old.Holds.List), len(b.new.Holds.List), b.holdIDs.pairs)
	was.legs, is.legs = idsOf(len(b.old.Route.Legs), len(b.new.Route.Legs), b.routes.legs)
	was.waypoints, is.waypoints = idsOf(len(b.old.Route.Waypoints), len(b.new.Route.Waypoints), b.routes.both())
	return was, is
}

func idsOf(before, after int, pairs []pair) (was, is []int) {
	was, is = slices.Repeat([]int{-1}, before), slices.Repeat([]int{-1}, after)
	for _, q := range pairs {
		if q.both() {
			was[q.old], is[q.new] = q.new, q.new
		}
	}
	return was, is
}

// keys are two keys for each finding: of what it says, and of what it is mainly
// about.
func (t things) keys(findings []diag.Finding) (said, about []string) {
	said, about = make([]string, len(findings)), make([]string, len(findings))
	for i, f := range findings {
		rule := fmt.Sprintf("%s %v", f.Rule, f.Severity)
		if len(f.About) > 0 {
			rule += " " + t.subject(f.About[0])
			about[i] = rule
		}
		said[i] = rule + " " + t.argument(f.Phrase)
	}
	return said, about
}

// argument is one argument of a finding as a key. Figures and asides are left
// out. A list says the same in any order, for most are in that of a figure, and
// without what came or went, which is told as such.
func (t things) argument(arg any) string {
	switch a := arg.(type) {
	case diag.Subject:
		return t.subject(a)
	case diag.Name:
		return t.subject(diag.Subject(a))
	case diag.Phrase:
		return fmt.Sprintf("%q%q", a.Format, t.arguments(a.Args))
	case diag.List:
		items := t.arguments(slices.DeleteFunc(slices.Clone(a.Items), t.lone))
		slices.Sort(items)
		return fmt.Sprintf("%q", items)
	case diag.Aside:
		return ""
	case circuit.Fault:
		return faultPlace(a, t.holds)
	case error:
		return fmt.Sprintf("%T", a)
	}
	if v := reflect.ValueOf(arg); v.Kind() == reflect.String {
		return v.String()
	}
	return ""
}

func (t things) arguments(args []any) []string {
	keys := make([]string, len(args))
	for i, arg := range args {
		keys[i] = t.argument(arg)
	}
	return keys
}

// lone reports whether an argument speaks of a thing that the other mission does
// not have.
func (t things) lone(arg any) bool {
	return slices.ContainsFunc(diag.Things(arg), func(s diag.Subject) bool {
		ids := t.ids(s.Kind)
		return s.Index >= 0 && s.Index < len(ids) && ids[s.Index] < 0
	})
}

// subject is a thing as a key. An edge is known by its ring and the marks at its
// ends, a tape by the marks at its ends.
func (t things) subject(s diag.Subject) string {
	ids := t.ids(s.Kind)
	switch {
	case s.Kind == diag.File: // the two versions of one lie in two places
		return fmt.Sprint(s.Kind)
	case t.plan == nil || s.Index < 0:
	case s.Index < len(ids) && ids[s.Index] >= 0:
		return fmt.Sprintf("%s %d", s.Kind, ids[s.Index])
	case s.Kind == diag.Tape && s.Index < len(t.plan.Survey.Tapes):
		tape := t.plan.Survey.Tapes[s.Index]
		return fmt.Sprintf("%s %s", s.Kind, t.ends(tape.From, tape.To))
	case s.Kind == diag.Edge:
		ends := t.plan.Fence.Ends(fence.Edge{Part: s.Ring, Number: s.Index})
		return fmt.Sprintf("%s of %s: %s", s.Kind, t.subject(t.plan.RingSubject(s.Ring)), t.ends(ends[0].Number, ends[1].Number))
	}
	return fmt.Sprintf("%s called %s", s.Kind, s.Name)
}

func (t things) ids(kind diag.Kind) []int {
	switch kind {
	case diag.Mark:
		return t.marks
	case diag.Obstacle:
		return t.obstacles
	case diag.Canopy, diag.Roof:
		return t.overhead
	case diag.Hold:
		return t.holds
	case diag.Leg:
		return t.legs
	case diag.Waypoint:
		return t.waypoints
	default:
		return nil
	}
}

// ends are two marks, whichever comes first.
func (t things) ends(a, b int) string {
	x, y := t.subject(t.plan.Subject(diag.Mark, a)), t.subject(t.plan.Subject(diag.Mark, b))
	return min(x, y) + " and " + max(x, y)
}
