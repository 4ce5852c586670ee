// Rule holds.wire-break: a broken wire stops the drive.
//
// From the single-fault table that internal/circuit works out; what the other
// faults do is in holds_single_fault.go.
package check

import (
	"merestone/internal/circuit"
	"merestone/internal/diag"
)

// wireBreakRule makes one finding of all wires of a hold whose breaks look the same
// to the board: they have it from one way of wiring.
func wireBreakRule() Rule {
	return newRule("holds.wire-break", diag.Error, "a broken wire stops the drive", func(v *view, report func(diag.Finding)) {
		var wires alike
		remedies := remedies{}
		for i, h := range v.Holds.List {
			hold, same := v.Subject(diag.Hold, i), map[string]diag.List{}
			var rows []circuit.Row // of each sentence the first
			for _, row := range v.Holds.Faults.ToldWith(h.Circuit.Name) {
				if !wireBreaks(row) {
					continue
				}
				faults, told := same[row.Sentence]
				if !told {
					rows = append(rows, row)
				}
				same[row.Sentence] = diag.List{Items: append(faults.Items, row.Fault), By: "; "}
			}
			for _, row := range rows {
				faults, why := same[row.Sentence], diag.Aside(within(row.Sentence))
				f := at(h.Source, "%s: %s: %s", hold, faults, why)
				if row.Outcome == circuit.Indistinct {
					f = at(h.Source, "%s cannot work: %s", hold, why)
				}
				remedies[hold] = func() string { return v.remedy(hold, wireUsual) }
				f.Numbers = []diag.Number{{Name: "faults", Value: float64(len(faults.Items)), Unit: "1"}}
				wires.add(f, float64(len(faults.Items)))
			}
		}
		wires.report(remedies.with(report), "", "; so it is, by wires of their own, with %s: see the table of faults")
	})
}

// wireUsual is what is commonly done.
const wireUsual = "wire it so that to stop is to open a contact: a hold-to-run normally open, an emergency stop normally closed, and a pull that draws the pin the other way"

// wireBreaks reports whether a row is of a broken wire that leaves the drive
// running, or of a circuit that cannot work at all.
func wireBreaks(row circuit.Row) bool {
	wire := row.Fault.Kind == circuit.SignalOpen || row.Fault.Kind == circuit.ReturnOpen
	return row.Outcome == circuit.Indistinct || wire && row.Outcome.Dangerous()
}
