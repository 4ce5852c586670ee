// Rules on single faults of the hold circuits, from the table that
// internal/circuit works out: a broken wire must stop the drive; what other
// faults leave it running is said.
package check

import (
	"fmt"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
)

func wireBreakRule() Rule {
	return newRule("holds.wire-break", diag.Error, "a broken wire stops the drive", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, h := range v.Holds {
			for _, row := range v.Faults.RowsOf(h.Circuit.Name) {
				wire := row.Fault.Kind == circuit.SignalOpen || row.Fault.Kind == circuit.ReturnOpen
				if row.Circuits[0] != h.Circuit.Name || !(row.Outcome == circuit.Indistinct || wire && row.Outcome.Dangerous()) {
					continue
				}
				f := at(h.Source, "hold %s: %v: %s", h.Circuit.Name, row.Fault, sentence(row.Sentence))
				if row.Outcome == circuit.Indistinct {
					f.Message = fmt.Sprintf("hold %s cannot work: %s", h.Circuit.Name, sentence(row.Sentence))
				}
				f.Remedy = row.Advice
				findings = append(findings, f)
			}
		}
		return findings
	})
}

func singleFaultRule() Rule {
	return newRule("holds.single-fault", diag.Warning, "which other single faults would leave the drive running", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, h := range v.Holds {
			var faults []string
			advice, rows := "", 0
			for _, row := range v.Faults.RowsOf(h.Circuit.Name) {
				wire := row.Fault.Kind == circuit.SignalOpen || row.Fault.Kind == circuit.ReturnOpen
				if row.Circuits[0] != h.Circuit.Name {
					continue // told at the first circuit the fault touches
				}
				rows++
				if row.Outcome.Credited() || row.Outcome == circuit.Indistinct || wire && row.Outcome.Dangerous() {
					continue
				}
				name := row.Fault.String()
				if row.Outcome == circuit.ShortCircuit {
					name += " (shorts the supply)"
				}
				faults = append(faults, name)
				if advice == "" {
					advice = row.Advice
				}
			}
			if len(faults) == 0 {
				continue
			}
			f := at(h.Source, "hold %s: %d of %d single faults leave the drive running or short the supply: %s", h.Circuit.Name, len(faults), rows, strings.Join(faults, "; "))
			f.Remedy = advice
			f.Numbers = []diag.Number{{Name: "faults", Value: float64(len(faults)), Unit: "1"}, {Name: "faults tried", Value: float64(rows), Unit: "1"}}
			findings = append(findings, f)
		}
		return findings
	})
}

func sentence(s string) string { return strings.TrimSuffix(s, ".") }
