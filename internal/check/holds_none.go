// Rule holds.none: a hold-to-run or an emergency stop is there.
//
// Terms here and in the other rules of holds as in ISO 12100, ISO 13850 and
// IEC 60204-1; passing these rules is no claim of conformity with any of them.
package check

import (
	"merestone/internal/board"
	"merestone/internal/diag"
)

func noHoldRule() Rule {
	return newRule("holds.none", diag.Error, "a hold-to-run or an emergency stop is there", func(v *view) []diag.Finding {
		run, stop := false, false
		for _, h := range v.Holds.List {
			run = run || h.Circuit.Kind == board.HoldToRun
			stop = stop || h.Circuit.Kind == board.EmergencyStop
		}
		switch {
		case !run && !stop:
			f := diag.Finding{At: v.Holds.Source.At, Message: "nobody can stop the rover: the mission has neither a hold-to-run nor an emergency stop"}
			f.Remedy = "add a hold, such as {name: thumb switch, kind: hold-to-run, pin: 22, contact: normally-open, wired_to: ground, pull: up, debounce: 20 ms, stop_category: 0}"
			return []diag.Finding{f}
		case !run:
			f := diag.Finding{At: v.Holds.Source.At, Severity: diag.Warning, Message: "the rover drives with nobody holding a switch: there is an emergency stop but no hold-to-run"}
			f.Remedy = "keep everybody out of the reach of the rover, or add a hold-to-run"
			return []diag.Finding{f}
		case !stop:
			f := diag.Finding{At: v.Holds.Source.At, Severity: diag.Note, Message: "there is a hold-to-run but no emergency stop on the rover itself"}
			f.Remedy = "add one that breaks the drive supply, within reach of a bystander"
			return []diag.Finding{f}
		}
		return nil
	})
}
