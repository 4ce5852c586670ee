// Rule holds.single-fault: which other single faults would leave the drive running.
package check

import (
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
)

func singleFaultRule() Rule {
	return newRule("holds.single-fault", diag.Warning, "which other single faults would leave the drive running", func(v *view, report func(diag.Finding)) {
		for i, h := range v.Holds.List {
			running, shorted := diag.List{By: "; "}, diag.List{By: "; "}
			advice := map[bool]string{} // the first, by whether the drive is left running
			for _, row := range v.Holds.Faults.ToldWith(h.Circuit.Name) {
				if row.Outcome.Credited() || row.Outcome == circuit.Healthy || wireBreaks(row) {
					continue
				}
				dangerous := row.Outcome.Dangerous()
				if dangerous {
					running.Items = append(running.Items, row.Fault)
				} else {
					shorted.Items = append(shorted.Items, row.Fault)
				}
				if advice[dangerous] == "" {
					advice[dangerous] = within(row.Advice)
				}
			}
			m, n := len(running.Items), len(shorted.Items)
			if m+n == 0 {
				continue
			}
			tried, _ := v.Holds.Faults.Tally(h.Circuit.Name)
			f := at(h.Source, "%s: of %d single faults ", v.Subject(diag.Hold, i), tried)
			if m > 0 {
				f.Add("%d "+verb(m, "leave")+" the drive running (%s)", m, running)
			}
			if m > 0 && n > 0 {
				f.Add(" and ")
			}
			if n > 0 {
				f.Add("%d "+verb(n, "short")+" the supply (%s)", n, shorted)
			}
			f.Remedy = advice[m > 0]
			if m == 0 {
				f.Severity = diag.Note // a short is for the fuse
			}
			f.Numbers = []diag.Number{
				{Name: "leave running", Value: float64(m), Unit: "1"},
				{Name: "short the supply", Value: float64(n), Unit: "1"},
				{Name: "faults tried", Value: float64(tried), Unit: "1"},
			}
			report(f)
		}
	})
}

// verb is what so many faults do: one "leaves", two "leave".
func verb(n int, infinitive string) string {
	if n == 1 {
		return infinitive + "s"
	}
	return infinitive
}

// within makes a sentence part of another.
func within(sentence string) string {
	sentence = strings.TrimSuffix(sentence, ".")
	if sentence == "" || sentence[0] < 'A' || sentence[0] > 'Z' {
		return sentence
	}
	return strings.ToLower(sentence[:1]) + sentence[1:]
}
