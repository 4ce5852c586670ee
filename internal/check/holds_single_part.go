// Rule holds.single-part: no single part leaves the drive on against every hold.
//
// The parts are those behind the pins: the processor, the line drive_enable, and what lies
// between the battery and the motors. What they do when they fail is worked out by
// internal/circuit.
package check

import (
	"fmt"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
)

func singlePartRule() Rule {
	return newRule("holds.single-part", diag.Error, "no single part leaves the drive on against every hold", func(v *view, report func(diag.Finding)) {
		bare := diag.List{By: "; "}
		covered := map[string]diag.List{} // faults, by what is said of them
		var sayings []string
		for _, row := range v.Holds.Faults.OfPath() {
			if !row.AgainstEvery(len(v.Holds.List)) {
				continue
			}
			said := v.Holds.Path.CoveredBy(row.Fault)
			if said == "" {
				bare.Items = append(bare.Items, row.Fault)
				continue
			}
			if len(covered[said].Items) == 0 {
				sayings = append(sayings, said)
			}
			covered[said] = diag.List{Items: append(covered[said].Items, row.Fault), By: "; "}
		}
		for _, said := range sayings {
			format := "%s leaves the drive on against every hold; the mission says how that is covered: %s"
			if len(covered[said].Items) > 1 {
				format = "%s: each of these leaves the drive on against every hold; the mission says how that is covered: %s"
			}
			f := at(v.Holds.PathAt, format, covered[said], diag.Aside(said))
			f.About, f.Severity = []diag.Subject{diag.The(diag.Key, "drive_path")}, diag.Note
			f.Remedy = "see to it that it is so: nothing here proves it"
			report(f)
		}
		if n := len(bare.Items); n > 0 {
			f := at(v.Holds.PathAt, "one fault alone leaves the drive on against every hold: %s", bare)
			f.About = []diag.Subject{diag.The(diag.Key, "drive_path")}
			f.Remedy = v.remedy(diag.The(diag.Key, "drive_path"), "put a second part in series that something else opens, such as a contact of the emergency stop in the motors' current; or write, with covered, how the failure is covered")
			f.Numbers = []diag.Number{{Name: "faults", Value: float64(n), Unit: "1"}}
			report(f)
		}
	})
}

// remedy is what the search for a cure of the wiring found, in words, for a finding about
// the given thing. It is one list for the whole mission, and told in full once. Where
// nothing cures it, usual is said.
func (v *view) remedy(about diag.Subject, usual string) string {
	if v.Holds.FaultsErr != nil {
		return usual
	}
	if v.cure == nil {
		cure := circuit.Advise(v.Board.Inputs.Electrical, v.circuits(), v.Holds.Path, v.room())
		v.cure = &cure
	}
	switch {
	case len(v.cure.Edits) == 0:
		return usual
	case v.cureTold != "" && v.cureTold != about.String():
		return "the edits that are told with " + v.cureTold + "; otherwise " + usual
	}
	v.cureTold = about.String()
	edits := strings.Join(v.cure.Edits, "; ")
	if v.cure.Clean {
		return "with these edits the model finds no fault left that wiring can cure: " + edits
	}
	return fmt.Sprintf("these edits leave %d of %d faults that wiring could cure, the best of %d wirings tried: %s", v.cure.After, v.cure.Before, v.cure.Tried, edits)
}

// remedies are those of findings by what they are about. They are asked for when a finding
// is reported, since the edits are told in full with the first, and not every finding that
// is made is reported.
type remedies map[diag.Subject]func() string

// with reports findings with their remedies.
func (r remedies) with(report func(diag.Finding)) func(diag.Finding) {
	return func(f diag.Finding) {
		if remedy := r[f.About[0]]; remedy != nil {
			f.Remedy = remedy()
		}
		report(f)
	}
}

// circuits lists those of the holds.
func (v *view) circuits() []circuit.Circuit {
	var list []circuit.Circuit
	for _, h := range v.Holds.List {
		list = append(list, h.Circuit)
	}
	return list
}

// room is what edits of the wiring may use.
func (v *view) room() circuit.Room {
	in := v.Board.Inputs
	taken := map[int]bool{in.DriveEnable: true}
	for _, h := range v.Holds.List {
		for _, c := range h.Circuit.Channels {
			taken[c.Pin] = true
		}
	}
	room := circuit.Room{PullUp: in.PullUp, PullDown: in.PullDown}
	for _, pin := range in.Pins {
		if !taken[pin] {
			room.FreePins = append(room.FreePins, pin)
		}
	}
	return room
}
