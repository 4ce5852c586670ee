// Rule holds.none: a hold-to-run or an emergency stop is there.
//
// Terms here and in the other rules of holds as in ISO 12100, ISO 13850 and
// IEC 60204-1; passing these rules is no claim of conformity with any of them.
package check

import (
	"strings"

	"merestone/internal/board"
	"merestone/internal/circuit"
	"merestone/internal/diag"
)

func noHoldRule() Rule {
	return newRule("holds.none", diag.Error, "a hold-to-run or an emergency stop is there", func(v *view, report func(diag.Finding)) {
		tell := func(severity diag.Severity, remedy, format string, args ...any) {
			f := at(v.Holds.Source, format, args...)
			f.About, f.Severity, f.Remedy = []diag.Subject{diag.The(diag.Holds, "")}, severity, remedy
			report(f)
		}
		run, stop := false, false
		for _, h := range v.Holds.List {
			run = run || h.Circuit.Kind == board.HoldToRun
			stop = stop || h.Circuit.Kind == board.EmergencyStop
		}
		switch {
		case !run && !stop:
			tell(diag.Error, v.proposal(),
				"nobody can stop the rover: the mission has neither a hold-to-run nor an emergency stop")
		case !run && len(v.leavesByItself()) > 0: // holds.dwell says it
		case !run:
			tell(diag.Warning, "keep everybody out of the reach of the rover, or add a hold-to-run",
				"the rover drives with nobody holding a switch: there is an emergency stop but no hold-to-run")
		case !stop:
			tell(diag.Note, "add one with a pole in the drive_path, within reach of a bystander",
				"there is a hold-to-run but no emergency stop on the rover itself")
		}
	})
}

// proposal is a first hold, and what else it takes, that every rule of holds accepts: found
// by trying.
func (v *view) proposal() string {
	const usual = "add a hold-to-run and an emergency stop that opens a part of the drive_path"
	if v.Holds.FaultsErr != nil {
		return usual
	}
	found := circuit.Propose(v.Board.Inputs.Electrical, v.circuits(), v.Holds.Path, v.room())
	if !found.Clean || len(found.Edits) == 0 {
		return usual
	}
	return "add a hold; by the model no fault is left that wiring can cure with: " + strings.Join(found.Edits, "; ")
}
