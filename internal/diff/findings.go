// Findings that appeared and disappeared. Two findings are the same when they
// are of one rule and say the same, whatever the figures in them and wherever in
// the file they point.
//
// They are neutral: the numbers behind them are judged above, and a finding can
// go because a hold was mended or because an uncertainty was talked down.
package diff

import (
	"regexp"
	"strings"

	"merestone/internal/diag"
)

// figure is a number standing alone, not part of a name such as L1S.
var figure = regexp.MustCompile(`(^|[\s(+\-−])\d+(\.\d+)?`)

func (b *builder) findings(before, after []diag.Finding) {
	before = b.renamedIn(before)
	left := map[string]int{}
	for _, f := range after {
		left[findingKey(f)]++
	}
	matched := map[string]int{} // of after, found in before
	var gone []diag.Finding
	for _, f := range before {
		k := findingKey(f)
		if left[k] > 0 {
			left[k]--
			matched[k]++
		} else {
			gone = append(gone, f)
		}
	}
	var come []diag.Finding
	for _, f := range after {
		if k := findingKey(f); matched[k] > 0 {
			matched[k]--
			continue
		}
		come = append(come, f)
	}
	gone, come = b.reworded(gone, come)
	for i, f := range gone {
		b.effect(findingOrder(f, i), Change{Subject: f.Severity.String() + " " + f.Rule, What: "disappeared", Before: f.Message}, nil)
	}
	for i, f := range come {
		b.effect(findingOrder(f, i), Change{Subject: f.Severity.String() + " " + f.Rule, What: "appeared", After: f.Message}, nil)
	}
}

// reworded reports findings of one rule about one thing that say something else
// now, where a message begins with the thing and a colon, and returns the rest.
func (b *builder) reworded(gone, come []diag.Finding) (restGone, restCome []diag.Finding) {
	about := func(f diag.Finding) string {
		thing, _, ok := strings.Cut(f.Message, ": ")
		if !ok {
			return ""
		}
		return f.Rule + " " + f.Severity.String() + " " + thing
	}
	was := map[string]diag.Finding{}
	for _, f := range gone {
		if k := about(f); k != "" {
			was[k] = f
		}
	}
	said := map[string]bool{}
	for i, f := range come {
		k := about(f)
		old, ok := was[k]
		if !ok || said[k] {
			restCome = append(restCome, f)
			continue
		}
		said[k] = true
		b.effect(findingOrder(f, i), Change{Subject: f.Severity.String() + " " + f.Rule, What: "says", Before: old.Message, After: f.Message}, nil)
		delete(was, k)
	}
	for _, f := range gone {
		k := about(f)
		if said[k] {
			said[k] = false // the one that was reported
			continue
		}
		restGone = append(restGone, f)
	}
	return restGone, restCome
}

// renamedIn puts the new names of what was renamed into the messages of the old
// findings, so that a new name alone makes no new finding.
func (b *builder) renamedIn(findings []diag.Finding) []diag.Finding {
	marks, others := b.renames()
	if len(marks)+len(others) == 0 {
		return findings
	}
	longer := strings.NewReplacer(others...)
	out := make([]diag.Finding, len(findings))
	for i, f := range findings {
		f.Message = word.ReplaceAllStringFunc(longer.Replace(f.Message), func(w string) string {
			if name, ok := marks[w]; ok {
				return name
			}
			return w
		})
		out[i] = f
	}
	return out
}

// word is a name of a mark as it can stand in a message.
var word = regexp.MustCompile(`[\pL\pN_-]+`)

// renames are the renamed marks, and the other renamed things as a replacer
// takes them: their names have spaces in them.
func (b *builder) renames() (marks map[string]string, others []string) {
	marks = map[string]string{}
	for _, q := range b.markIDs.pairs {
		if q.both() && b.old.Survey.Marks[q.old].Name != b.new.Survey.Marks[q.new].Name {
			marks[b.old.Survey.Marks[q.old].Name] = b.new.Survey.Marks[q.new].Name
		}
	}
	for _, q := range b.obstacleIDs.pairs {
		if q.both() && b.old.Fence.Obstacles[q.old].Name != b.new.Fence.Obstacles[q.new].Name {
			others = append(others, "obstacle "+b.old.Fence.Obstacles[q.old].Name, "obstacle "+b.new.Fence.Obstacles[q.new].Name)
		}
	}
	for _, q := range b.holdIDs.pairs {
		if q.both() && b.old.Holds.List[q.old].Circuit.Name != b.new.Holds.List[q.new].Circuit.Name {
			others = append(others, "hold "+b.old.Holds.List[q.old].Circuit.Name, "hold "+b.new.Holds.List[q.new].Circuit.Name)
		}
	}
	return marks, others
}

// findingOrder puts errors first.
func findingOrder(f diag.Finding, i int) order {
	return order{section: findingSection, index: int(diag.Error) - int(f.Severity), name: f.Rule, rank: i}
}

func findingKey(f diag.Finding) string {
	return f.Rule + " " + f.Severity.String() + " " + figure.ReplaceAllString(f.Message, "${1}#")
}
