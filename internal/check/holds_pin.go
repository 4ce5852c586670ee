// Rule holds.pin: the holds' pins are free, inputs, and have the pulls asked for.
package check

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
)

func pinRule() Rule {
	return newRule("holds.pin", diag.Error, "the holds' pins are free, inputs, and have the pulls asked for", func(v *view, report func(diag.Finding)) {
		refuse := func(s diag.Source, remedy, format string, args ...any) {
			f := at(s, format, args...)
			f.Remedy = remedy
			report(f)
		}
		var notInputs, noPulls alike
		users := map[int]int{} // holds, by the pins that they read
		for i, h := range v.Holds.List {
			hold := v.Subject(diag.Hold, i)
			relies := map[circuit.Pull]bool{}
			for _, c := range h.Circuit.Channels {
				if other, taken := users[c.Pin]; taken {
					refuse(h.Source, "give every channel a pin of its own", "%s reads %s, which %s reads already", hold, pin(c.Pin), v.Subject(diag.Hold, other))
				}
				users[c.Pin] = i
				switch {
				case c.Pin == v.Board.Inputs.DriveEnable:
					refuse(h.Source, "use another input", "%s reads %s, which is the output drive_enable", hold, pin(c.Pin))
				case !slices.Contains(v.Board.Inputs.Pins, c.Pin):
					f := at(h.Source, "%s reads %s, which is not one of board.input_pins %v", hold, pin(c.Pin), v.Board.Inputs.Pins)
					f.Remedy = "use one of board.input_pins, or add the pin there if the board has it"
					notInputs.add(f, 0)
				}
				if internal := c.PullOhm == 0; internal && (c.Pull == circuit.PullUp && !v.Board.Inputs.PullUp || c.Pull == circuit.PullDown && !v.Board.Inputs.PullDown) && !relies[c.Pull] {
					if relies[c.Pull] = true; !noPulls.told(c.Pull, hold) {
						f := at(h.Source, "%s relies on an internal %s, which board.pulls does not list", hold, c.Pull.String())
						f.Remedy = "fit an external resistor and write pull_resistor, or turn the circuit the other way up"
						noPulls.add(f, 0)
					}
				}
			}
		}
		notInputs.report(report, "", "; nor are those of %s")
		noPulls.report(report, "; so it is with %s", "")
		out := v.Board.Inputs.DriveEnable
		if _, told := users[out]; !told && slices.Contains(v.Board.Inputs.Pins, out) {
			refuse(v.Board.Inputs.Source, "take it out of board.input_pins, or correct drive_enable", "board.input_pins lists %s, which is the output drive_enable", pin(out))
		}
		v.notModelled(func(s diag.Source, of diag.Subject, e *circuit.InputError) {
			refuse(s, "correct what is named", "%s: %s: %s", of, missionKey(e.Field), diag.Aside(e.Reason))
		})
	})
}

func pin(number int) diag.Subject { return diag.The(diag.Pin, strconv.Itoa(number)) }

// notModelled visits the figures that the electrical model of the holds refuses, but
// for what other findings say: pins.
func (v *view) notModelled(visit func(diag.Source, diag.Subject, *circuit.InputError)) {
	all := []error{v.Holds.FaultsErr}
	if joined, ok := v.Holds.FaultsErr.(interface{ Unwrap() []error }); ok {
		all = joined.Unwrap()
	}
	for _, err := range all {
		var input *circuit.InputError
		switch {
		case err == nil:
		case !errors.As(err, &input): // Analyse makes no other errors
		case input.Field == "Pin" || input.Field == "Outputs":
		case input.Circuit < 0 || input.Circuit >= len(v.Holds.List):
			visit(v.Board.Inputs.Source, diag.The(diag.Board, ""), input)
		default:
			visit(v.Holds.List[input.Circuit].Source, v.Subject(diag.Hold, input.Circuit), input)
		}
	}
}

// missionKey is what a field of the electrical model is called in a mission.
func missionKey(field string) string {
	switch field {
	case "PullOhm":
		return "pull_resistor"
	case "SeriesOhm":
		return "series_resistor"
	case "Return":
		return "return_wire"
	case "ResistorPPM":
		return "resistor_tolerance"
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
