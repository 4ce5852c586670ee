// One cause is one finding, whatever rule tells it. Rules that know how bad each place is
// choose the worst themselves (alike, in check.go); of all others more than a few findings
// that say the same of several things become the first of them here, which names the rest.
// Findings that name several things point to some of their places, too.
package check

import (
	"strings"

	"merestone/internal/diag"
	"merestone/internal/plan"
)

// together makes one finding of more than a few of one rule that say the same of different
// things, but for their figures.
func together(findings []diag.Finding) []diag.Finding {
	type kind struct {
		severity diag.Severity
		says     string
	}
	of := func(f diag.Finding) kind {
		says, _, _ := strings.Cut(f.Format, "; ") // behind it stands what is added of one of them
		return kind{f.Severity, says}
	}
	things := map[kind]map[diag.Subject]bool{}
	for _, f := range findings {
		k := of(f)
		if things[k] == nil {
			things[k] = map[diag.Subject]bool{}
		}
		things[k][f.About[0]] = true
	}
	var list []diag.Finding
	first := map[kind]int{}
	others := map[kind][]diag.Subject{}
	for _, f := range findings {
		k := of(f)
		if len(things[k]) <= few {
			list = append(list, f)
			continue
		}
		i, told := first[k]
		if !told {
			first[k] = len(list)
			list = append(list, f)
			continue
		}
		list[i].Related = addPlace(list[i], diag.Related{At: f.At, Message: f.About[0].String()})
		if f.About[0] != list[i].About[0] {
			others[k] = append(others[k], f.About[0])
		}
	}
	for k, i := range first {
		list[i].Add("; so it is, by figures of their own, with %s", diag.Names(others[k], ", "))
		list[i].Numbers = append(list[i].Numbers, diag.Number{Name: "places", Value: float64(len(things[k])), Unit: "1"})
	}
	return list
}

// pointing is a finding with the places of the first few things of one kind that it names. A
// note is worth no more lines than it has.
func pointing(p *plan.Plan, f diag.Finding) diag.Finding {
	if f.Severity == diag.Note || len(f.About) == 0 {
		return f
	}
	for _, thing := range f.About[1:] {
		if thing.Kind != f.About[0].Kind || thing.Index < 0 {
			continue
		}
		if source, ok := p.SourceOf(thing); ok {
			f.Related = addPlace(f, diag.Related{At: source.At, Message: thing.String()})
		}
	}
	return f
}

// addPlace are the places that a finding points to, with another one: a few, each once.
func addPlace(f diag.Finding, another diag.Related) []diag.Related {
	if len(f.Related) >= few || another.At == f.At {
		return f.Related
	}
	for _, r := range f.Related {
		if r.At == another.At {
			return f.Related
		}
	}
	return append(f.Related[:len(f.Related):len(f.Related)], another)
}
