// Package pipeline takes a mission through every stage: what is written (spec),
// what it means (plan), whether it can be driven (check). Every command that
// takes a mission goes through Load, so that all of them find the same wrong with
// the same bytes.
//
// All that can be told is told in one run, and nothing that may follow from what an
// earlier stage found wrong:
//
//   - spec reads all of the file. Where that gives no mission, nothing follows; where a
//     block has a fault of the notation, the others are read, and there is no plan.
//   - plan resolves whatever mission there is, as far as it goes, since an old
//     version is still worth comparing. Where spec found errors, the plan is marked
//     incomplete.
//   - check runs on every plan of a mission in which spec found no error, so also
//     on one that is incomplete by what plan found, and reported.
//   - Where spec found errors, or plan no place to resolve the mission in, both run on
//     the mission without what is not known (untold.go), and what rests on known keys
//     alone is reported (reads.go). Which rules wait for the rest is one note.
//
// A mission is refused where a finding is an error, or the plan is incomplete or
// missing: nothing is to be made of its plan but a comparison.
package pipeline

import (
	"cmp"
	"maps"
	"slices"

	"merestone/docs"
	"merestone/internal/check"
	"merestone/internal/diag"
	"merestone/internal/occupy"
	"merestone/internal/plan"
	"merestone/internal/shift"
	"merestone/internal/source"
	"merestone/spec"
)

// Mission is a mission after every stage that could run.
type Mission struct {
	Name     string         // of its source
	Plan     *plan.Plan     // as far as it resolved; nil when not at all
	Findings []diag.Finding // of every stage, sorted
	Reserves []diag.Reserve // of the limits that check compared, in the order of its rules
	Sources  diag.Sources   // what the findings point into
	path     string         // that of its own file among them
}

// Load takes a source through the stages.
func Load(s source.Source) Mission {
	m, _ := stages(s)
	return m
}

// LoadWithFixes is Load, and finds the places of what rules would have written, each of
// which it tries: that takes several times as long, and is for reports that carry fixes.
func LoadWithFixes(s source.Source) Mission {
	m, written := stages(s)
	if written != nil {
		m.grant(s, written)
	}
	return m
}

// stages takes a source through the stages.
func stages(s source.Source) (Mission, *spec.Mission) {
	parsed := spec.Parse(s.Path, s.Text, s.Open)
	m := Mission{Name: s.Name, Findings: parsed.Findings, Sources: parsed.Sources, path: s.Path}
	switch {
	case parsed.Mission != nil:
		m.resolve(parsed.Mission)
	case parsed.Rest != nil:
		m.Findings = told(parsed.Rest, m.Findings)
	default:
		m.Findings = append(m.Findings, waiting(diag.Position{File: s.Path}, []string{""})...)
	}
	diag.Sort(m.Findings)
	// Those of the mission's own file come first, whatever it is called.
	slices.SortStableFunc(m.Findings, func(a, b diag.Finding) int { return m.rank(a) - m.rank(b) })
	return m, parsed.Mission
}

func (m *Mission) rank(f diag.Finding) int {
	if f.At.File == m.path {
		return 0
	}
	return 1
}

// resolve takes a mission that was read through plan and check.
func (m *Mission) resolve(read *spec.Mission) {
	resolved, findings := plan.Resolve(read)
	m.Plan = resolved
	switch sound := diag.Worst(m.Findings) != diag.Error; {
	case sound && resolved != nil:
		checked, reserves := check.Examine(resolved)
		m.Findings, m.Reserves = slices.Concat(m.Findings, findings, checked), reserves
	case sound:
		m.Findings = told(read, slices.Concat(m.Findings, findings))
	default:
		m.Findings = told(read, m.Findings)
		if resolved != nil {
			resolved.Incomplete = append(resolved.Incomplete, plan.Gap{Part: "mission", Reason: "the file has errors"})
		}
	}
}

// Files are the names of the files that the mission was read from: its own first. The
// parser records each file that it opens among the sources, for findings to point into.
func (m Mission) Files() []string {
	others := slices.DeleteFunc(slices.Sorted(maps.Keys(m.Sources)), func(name string) bool { return name == m.path })
	return slices.Insert(others, 0, m.path)
}

// Comparable are the findings that may be held against those of another version: not the
// note on what waits, which is of the run and not of the mission.
func (m Mission) Comparable() []diag.Finding {
	return slices.DeleteFunc(slices.Clone(m.Findings), func(f diag.Finding) bool { return f.Rule == ruleWaiting })
}

// Whole says that the plan was resolved in every part.
func (m Mission) Whole() bool { return m.Plan != nil && m.Plan.Complete() }

// Refused says that nothing may be made of the mission.
func (m Mission) Refused() bool { return !m.Whole() || diag.Worst(m.Findings) == diag.Error }

// Rules are the rules of all stages, of a site shift and of an occupation, in the order of their ids,
// each with its page.
func Rules() []diag.Rule {
	rules := slices.Concat(spec.Rules(), plan.Rules(), check.Rules(), shift.Rules(), occupy.Rules(), []diag.Rule{waitingRule()})
	for i := range rules {
		rules[i].Help = docs.Page(string(rules[i].ID))
	}
	slices.SortFunc(rules, func(a, b diag.Rule) int { return cmp.Compare(a.ID, b.ID) })
	return rules
}
