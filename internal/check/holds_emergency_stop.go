// Rule holds.emergency-stop: an emergency stop opens a part of the drive path by itself.
package check

import (
	"merestone/internal/board"
	"merestone/internal/diag"
)

// emergencyStopRule: an emergency stop that only tells the program works as long as the
// program does. It must be effective at all times and by means that do not hang on it
// (ISO 13850 and IEC 60204-1, from memory: category 0, by removing the energy).
func emergencyStopRule() Rule {
	return newRule("holds.emergency-stop", diag.Error, "an emergency stop opens a part of the drive path by itself", func(v *view, report func(diag.Finding)) {
		var all alike
		for i, h := range v.Holds.List {
			if h.Circuit.Kind != board.EmergencyStop || v.Holds.Path.HasPole(i) || all.told("", v.Subject(diag.Hold, i)) {
				continue
			}
			f := at(h.Source, "%s only tells the program: no part of the drive_path is opened by it, so that it stops nothing when the program, the pin or the line of drive_enable does not", v.Subject(diag.Hold, i))
			f.Remedy = "lead the motors' current, or that of a relay's coil, over a contact of its own and write its name in opened_by of that part; a button that only tells the program is an interlock"
			all.add(f, 0)
		}
		all.report(report, "; so it is with %s", "")
	})
}
