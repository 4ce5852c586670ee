// Rules: there is a hold, its pins are free and fit, its stop category is one
// that its kind may have, and the stopping time and distance from letting go.
// What single faults do is in faults.go. Terms as in ISO 12100, ISO 13850 and
// IEC 60204-1; passing these rules is no claim of conformity with any of them.
package check

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
	"merestone/internal/plan"
)

func noHoldRule() Rule {
	return newRule("holds.none", diag.Error, "a hold-to-run or an emergency stop is there", func(v *view) []diag.Finding {
		run, stop := false, false
		for _, h := range v.Holds {
			run = run || h.Circuit.Kind == circuit.HoldToRun
			stop = stop || h.Circuit.Kind == circuit.EmergencyStop
		}
		switch {
		case !run && !stop:
			f := diag.Finding{At: v.HoldsSource.At, Message: "nobody can stop the rover: the mission has neither a hold-to-run nor an emergency stop"}
			f.Remedy = "add a hold, such as {name: thumb switch, kind: hold-to-run, pin: 22, contact: normally-open, wired_to: ground, pull: up, debounce: 20 ms, stop_category: 0}"
			return []diag.Finding{f}
		case !run:
			f := diag.Finding{At: v.HoldsSource.At, Severity: diag.Warning, Message: "the rover drives with nobody holding a switch: there is an emergency stop but no hold-to-run"}
			f.Remedy = "keep everybody out of the reach of the rover, or add a hold-to-run"
			return []diag.Finding{f}
		case !stop:
			f := diag.Finding{At: v.HoldsSource.At, Severity: diag.Note, Message: "there is a hold-to-run but no emergency stop on the rover itself"}
			f.Remedy = "add one that breaks the drive supply, within reach of a bystander"
			return []diag.Finding{f}
		}
		return nil
	})
}

func pinRule() Rule {
	return newRule("holds.pin", diag.Error, "the holds' pins are free, inputs, and have the pulls asked for", func(v *view) []diag.Finding {
		var findings []diag.Finding
		report := func(s plan.Source, remedy, format string, args ...any) {
			f := at(s, format, args...)
			f.Remedy = remedy
			findings = append(findings, f)
		}
		users := map[int]string{}
		for _, h := range v.Holds {
			for _, c := range h.Circuit.Channels {
				if other, taken := users[c.Pin]; taken {
					report(h.Source, "give every channel a pin of its own", "hold %s reads pin %d, which hold %s reads already", h.Circuit.Name, c.Pin, other)
				}
				users[c.Pin] = h.Circuit.Name
				switch {
				case c.Pin == v.Inputs.DriveEnable:
					report(h.Source, "use another input", "hold %s reads pin %d, which is the output drive_enable", h.Circuit.Name, c.Pin)
				case !slices.Contains(v.Inputs.Pins, c.Pin):
					report(h.Source, "use one of board.input_pins, or add the pin there if the board has it", "hold %s reads pin %d, which is not one of board.input_pins %v", h.Circuit.Name, c.Pin, v.Inputs.Pins)
				}
				if internal := c.PullOhm == 0; internal && (c.Pull == circuit.PullUp && !v.Inputs.PullUp || c.Pull == circuit.PullDown && !v.Inputs.PullDown) {
					report(h.Source, "fit an external resistor and write pull_resistor, or turn the circuit the other way up", "hold %s relies on an internal %v, which board.pulls does not list", h.Circuit.Name, c.Pull)
				}
			}
		}
		for i, pin := range v.Inputs.Pins {
			if pin == v.Inputs.DriveEnable || slices.Contains(v.Inputs.Pins[:i], pin) {
				report(v.Inputs.Source, "list every pin once", "board.input_pins lists pin %d, which is listed twice or is the output drive_enable", pin)
			}
		}
		for _, f := range v.notModelled() {
			report(f.source, "correct what is named", "%s: %s: %s", f.of, f.key, f.reason)
		}
		return findings
	})
}

// modelError is a figure that the electrical model of the holds refuses.
type modelError struct {
	source          plan.Source
	of, key, reason string
}

// notModelled lists what keeps the holds from being modelled, in the words of
// the mission file, but for what other findings say: pins, and stop categories.
func (v *view) notModelled() []modelError {
	all := []error{v.FaultsErr}
	if joined, ok := v.FaultsErr.(interface{ Unwrap() []error }); ok {
		all = joined.Unwrap()
	}
	var list []modelError
	for _, err := range all {
		var input *circuit.InputError
		switch {
		case err == nil:
		case !errors.As(err, &input):
			list = append(list, modelError{v.HoldsSource, "holds", "circuits", err.Error()})
		case input.Field == "Pin" || input.Field == "Outputs":
		case input.Circuit < 0 || input.Circuit >= len(v.Holds):
			list = append(list, modelError{v.Inputs.Source, "board", missionKey(input.Field), input.Reason})
		default:
			h := v.Holds[input.Circuit]
			if c := h.Circuit; c.StopCategory == 2 && c.Kind == circuit.EmergencyStop && (input.Field == "StopCategory" || input.Field == "BreaksDriveSupply") {
				continue
			}
			list = append(list, modelError{h.Source, "hold " + h.Circuit.Name, missionKey(input.Field), input.Reason})
		}
	}
	return list
}

// missionKey is what a field of the electrical model is called in a mission.
func missionKey(field string) string {
	switch field {
	case "Name":
		return "name"
	case "DiscrepancyMS":
		return "discrepancy"
	case "StopCategory":
		return "stop_category"
	case "BreaksDriveSupply":
		return "breaks_drive_supply"
	case "PullOhm":
		return "pull_resistor"
	case "SupplyMV":
		return "logic.supply"
	case "LowBelowMV, HighAboveMV":
		return "logic.low_below, high_above"
	case "PullMinOhm, PullMaxOhm":
		return "logic.pull_least, pull_most"
	default:
		return strings.ToLower(field)
	}
}

// categoryRule: an emergency stop is of category 0 or 1 (ISO 13850, 4.1.4, and
// IEC 60204-1, 9.2.3.4.2, from memory).
func categoryRule() Rule {
	return newRule("holds.category", diag.Error, "stop categories suit the holds", func(v *view) []diag.Finding {
		var findings []diag.Finding
		for _, h := range v.Holds {
			if h.Circuit.StopCategory != 2 {
				continue
			}
			f := at(h.Source, "hold %s is of stop category 2, which leaves the drive powered", h.Circuit.Name)
			f.Remedy = "write stop_category: 0 (power off at once) or 1 (stop, then power off)"
			if h.Circuit.Kind != circuit.EmergencyStop {
				f.Severity = diag.Warning
			}
			findings = append(findings, f)
		}
		return findings
	})
}

// stoppingRule states how long and how far the rover goes on after a hold is
// let go, at its fastest leg.
func stoppingRule() Rule {
	return newRule("holds.stopping", diag.Note, "the stopping time and distance from letting go", func(v *view) []diag.Finding {
		if len(v.Holds) == 0 || len(v.Legs) == 0 {
			return nil
		}
		fastest := v.Legs[0]
		for _, l := range v.Legs {
			if l.SpeedMMPerS > fastest.SpeedMMPerS {
				fastest = l
			}
		}
		s := fastest.Stopping
		f := diag.Finding{At: v.HoldsSource.At, Message: fmt.Sprintf(
			"from letting go of a hold to rest: %d ms until the drive is without power, then a coast of %s; %s in all at %s (leg %s)",
			v.Timing.HoldMS, metres(s.CoastMM), metres(s.FromHoldMM), speed(s.SpeedMMPerS), fastest.Name)}
		f.Remedy = fmt.Sprintf("keep everybody at least %s ahead of its front, and more for the holder's own reaction and for a person who walks towards it", metres(s.FromHoldMM))
		f.Numbers = []diag.Number{{Name: "reaction", Value: float64(v.Timing.HoldMS) / 1000, Unit: "s"}, metre("coast", float64(s.CoastMM)), metre("stopping distance", float64(s.FromHoldMM))}
		return []diag.Finding{f}
	})
}
