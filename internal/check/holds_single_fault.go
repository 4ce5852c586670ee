// Rule holds.single-fault: which other single faults would leave the drive running.
package check

import (
	"fmt"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/words"
)

func singleFaultRule() Rule {
	return newRule("holds.single-fault", diag.Warning, "which other single faults would leave the drive running", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, h := range v.Holds.List {
			var running, shorted []string
			advice := map[bool]string{} // the first, by whether the drive is left running
			tried := 0
			for _, row := range v.rowsOf(h.Circuit.Name) {
				if row.Fault.Kind != circuit.NoFault {
					tried++
				}
				if row.Outcome.Credited() || row.Outcome == circuit.Healthy || wireBreaks(row) {
					continue
				}
				dangerous := row.Outcome.Dangerous()
				if dangerous {
					running = append(running, row.Fault.String())
				} else {
					shorted = append(shorted, row.Fault.String())
				}
				if advice[dangerous] == "" {
					advice[dangerous] = within(row.Advice)
				}
			}
			if len(running)+len(shorted) == 0 {
				continue
			}
			var parts []string
			if len(running) > 0 {
				parts = append(parts, fmt.Sprintf("%s the drive running (%s)", verb(len(running), "leave"), words.Few(running, "; ")))
			}
			if len(shorted) > 0 {
				parts = append(parts, fmt.Sprintf("%s the supply (%s)", verb(len(shorted), "short"), words.Few(shorted, "; ")))
			}
			f := at(h.Source, "hold %s: of %d single faults %s", h.Circuit.Name, tried, strings.Join(parts, " and "))
			f.Remedy = advice[len(running) > 0]
			if len(running) == 0 {
				f.Severity = diag.Note // a short is for the fuse
			}
			f.Numbers = []diag.Number{
				{Name: "leave running", Value: float64(len(running)), Unit: "1"},
				{Name: "short the supply", Value: float64(len(shorted)), Unit: "1"},
				{Name: "faults tried", Value: float64(tried), Unit: "1"},
			}
			findings = append(findings, f)
		}
		return findings
	})
}

// verb is a number with what that many do: "1 leaves", "2 leave".
func verb(n int, infinitive string) string {
	if n == 1 {
		return "1 " + infinitive + "s"
	}
	return fmt.Sprintf("%d %s", n, infinitive)
}

// rowsOf lists the rows that are told of with a hold: a fault that touches
// several circuits is told of with the first.
func (v *view) rowsOf(hold string) []circuit.Row {
	var rows []circuit.Row
	for _, row := range v.Holds.Faults.RowsOf(hold) {
		if len(row.Circuits) > 0 && row.Circuits[0] == hold {
			rows = append(rows, row)
		}
	}
	return rows
}

// within makes a sentence part of another.
func within(sentence string) string {
	sentence = strings.TrimSuffix(sentence, ".")
	if sentence == "" || sentence[0] < 'A' || sentence[0] > 'Z' {
		return sentence
	}
	return strings.ToLower(sentence[:1]) + sentence[1:]
}
