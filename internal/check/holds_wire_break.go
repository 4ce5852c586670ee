// Rule holds.wire-break: a broken wire stops the drive.
//
// From the single-fault table that internal/circuit works out; what the other
// faults do is in holds_single_fault.go.
package check

import (
	"merestone/internal/circuit"
	"merestone/internal/diag"
)

func wireBreakRule() Rule {
	return newRule("holds.wire-break", diag.Error, "a broken wire stops the drive", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for i, h := range v.Holds.List {
			for _, row := range v.Holds.Faults.ToldWith(h.Circuit.Name) {
				if !wireBreaks(row) {
					continue
				}
				f := at(h.Source, "%s: %v: %s", v.HoldSubject(i), row.Fault, diag.Aside(within(row.Sentence)))
				if row.Outcome == circuit.Indistinct {
					f = at(h.Source, "%s cannot work: %s", v.HoldSubject(i), diag.Aside(within(row.Sentence)))
				}
				f.Remedy = within(row.Advice)
				findings = append(findings, f)
			}
		}
		return findings
	})
}

// wireBreaks reports whether a row is of a broken wire that leaves the drive
// running, or of a circuit that cannot work at all.
func wireBreaks(row circuit.Row) bool {
	wire := row.Fault.Kind == circuit.SignalOpen || row.Fault.Kind == circuit.ReturnOpen
	return row.Outcome == circuit.Indistinct || wire && row.Outcome.Dangerous()
}
