// Rule holds.category: stop categories suit the holds.
package check

import (
	"merestone/internal/board"
	"merestone/internal/diag"
)

// categoryRule: an emergency stop is of category 0 or 1 (ISO 13850, 4.1.4, and
// IEC 60204-1, 9.2.3.4.2, from memory).
func categoryRule() Rule {
	return newRule("holds.category", diag.Error, "stop categories suit the holds", func(v *view, report func(diag.Finding)) {
		for i, h := range v.Holds.List {
			if h.Circuit.StopCategory != 2 {
				continue
			}
			f := at(h.Source, "%s is of stop category 2, which leaves the drive powered", v.Subject(diag.Hold, i))
			f.Remedy = "write stop_category: 0 (power off at once) or 1 (stop, then power off)"
			if h.Circuit.Kind != board.EmergencyStop {
				f.Severity = diag.Warning
			}
			report(f)
		}
	})
}
