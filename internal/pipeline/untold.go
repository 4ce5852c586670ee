// What plan and check can tell of a mission that is not known in every part: all that
// rests on known keys alone, and which rules wait for the others.
package pipeline

import (
	"maps"
	"slices"
	"strings"

	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/plan"
	"merestone/spec"
)

// ruleWaiting is the rule of this package.
const ruleWaiting diag.ID = "mission.waiting"

func waitingRule() diag.Rule {
	return diag.Rule{ID: ruleWaiting, Severity: diag.Note, Title: "what is judged once the errors before it are mended"}
}

// mostResolved is how often a mission is resolved anew without what was found to have no
// place in it: marks too far away, then the origin.
const mostResolved = 3

// told adds what plan and check tell on known keys alone to what was found, and the rules
// that wait. Notes are for a mission that has nothing worse.
func told(m *spec.Mission, found []diag.Finding) []diag.Finding {
	more, doubts := onKnown(m, found)
	more = slices.DeleteFunc(more, func(f diag.Finding) bool { return f.Severity == diag.Note })
	return slices.Concat(found, more, waiting(m.Where(""), doubts))
}

// onKnown are the findings of plan and check on known keys alone, but for those that were
// made, and what is not known. What plan refused to resolve, such as a mark too far away,
// counts as not known.
func onKnown(m *spec.Mission, found []diag.Finding) (told []diag.Finding, doubts []string) {
	doubts = m.Doubts(blamed(m, found)...)
	for range mostResolved {
		p, findings := plan.Resolve(m.Known(doubts))
		if p != nil {
			findings = append(findings, check.All(p)...)
		}
		told = append(told, newOnes(slices.Concat(found, told), known(doubts, findings))...)
		more := m.Doubts(slices.Concat(doubts, blamed(m, findings))...)
		if p != nil || len(more) == len(doubts) {
			break
		}
		doubts = more
	}
	return told, doubts
}

// blamed are the paths of what plan refused to resolve a mission in.
func blamed(m *spec.Mission, findings []diag.Finding) (paths []string) {
	marks := map[string]bool{}
	for _, f := range findings {
		switch {
		case f.Severity != diag.Error:
		case f.Rule == "geometry.pole", f.Rule == "geometry.extent" && f.About[0].Kind == diag.Site:
			paths = append(paths, "site.origin")
		case f.Rule == "measured.declination": // told of the first magnetic bearing, for all
			for _, mark := range m.Marks {
				marks[mark.Name] = marks[mark.Name] || mark.Measured != nil && mark.Measured.MagneticBearing != nil
			}
		case f.Rule == "geometry.extent", f.Rule == "geometry.exchanged", f.Rule == "measured.circular":
			for _, thing := range f.About {
				marks[thing.Name] = true
			}
		case strings.HasPrefix(string(f.Rule), "measured."):
			marks[f.About[0].Name] = true // the others are those that it is measured from
		}
	}
	for _, mark := range m.Marks {
		if marks[mark.Name] {
			paths = append(paths, mark.Path)
		}
	}
	return paths
}

// known are the findings that read nothing that is doubted.
func known(doubts []string, findings []diag.Finding) (list []diag.Finding) {
	doubted, table := allSteps(doubts), reads()
	for _, f := range findings {
		if !touchesAny(readBy(table, f), doubted) {
			list = append(list, f)
		}
	}
	return list
}

// allSteps are doubted paths as steps, each once.
func allSteps(paths []string) []string {
	all := map[string]bool{}
	for _, path := range paths {
		all[doubtSteps(path)] = true
	}
	return slices.Sorted(maps.Keys(all))
}

func touchesAny(paths, doubted []string) bool {
	return slices.ContainsFunc(paths, func(path string) bool {
		path = steps(path)
		return slices.ContainsFunc(doubted, func(doubt string) bool { return touches(path, doubt) })
	})
}

// newOnes are the findings that were not made before.
func newOnes(before, findings []diag.Finding) (list []diag.Finding) {
	type said struct {
		rule    diag.ID
		at      diag.Position
		message string
	}
	told := map[said]bool{}
	for _, f := range before {
		told[said{f.Rule, f.At, f.Message()}] = true
	}
	for _, f := range findings {
		if !told[said{f.Rule, f.At, f.Message()}] {
			list = append(list, f)
		}
	}
	return list
}

// waiting says which rules of plan and check were not asked, if there are some.
func waiting(at diag.Position, doubts []string) []diag.Finding {
	doubted, table := allSteps(doubts), reads()
	wait, of := diag.List{By: ", "}, 0
	for _, r := range slices.Concat(plan.Rules(), check.Rules()) {
		of++
		if touchesAny(readBy(table, diag.Finding{Rule: r.ID}), doubted) {
			wait.Items = append(wait.Items, r.ID)
		}
	}
	if len(wait.Items) == 0 {
		return nil
	}
	f := diag.New(at, "%d of %d rules are asked once the errors here are mended", len(wait.Items), of)
	if len(wait.Items) < of {
		f.Add(": %s", wait)
	}
	f.Rule, f.Severity = ruleWaiting, diag.Note
	f.Remedy = "mend the errors and run again; nothing that is told here beside them rests on what they leave unknown"
	f.About = []diag.Subject{diag.The(diag.File, at.File)}
	f.Numbers = []diag.Number{{Name: "rules that wait", Value: float64(len(wait.Items)), Unit: "1"}, {Name: "rules", Value: float64(of), Unit: "1"}}
	return []diag.Finding{f}
}
