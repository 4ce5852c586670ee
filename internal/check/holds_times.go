// Rule holds.times: the times of holds and of the drive path are those of such parts.
package check

import (
	"fmt"

	"merestone/internal/circuit"
	"merestone/internal/diag"
)

const (
	longestDifferMS = 500 // two contacts of one device
	longestLossMS   = 500 // IEC 60204-1, cableless control, from memory
	diodeReleaseMS  = 30  // a relay of 5 to 10 ms, several times slower with a diode
)

// timesRule: all of these are common practice without a source, save where said. A time
// beyond them is no fault of the arithmetic, which has it in; it says that something else is
// meant, or that a part was taken for another. The debounce is one of plausible.figure.
func timesRule() Rule {
	return newRule("holds.times", diag.Warning, "the times of holds and of the drive path are those of such parts", func(v *view, report func(diag.Finding)) {
		var differ, lost, quick alike
		for i, h := range v.Holds.List {
			hold := v.Subject(diag.Hold, i)
			if ms := h.Circuit.DiscrepancyMS; len(h.Circuit.Channels) == 2 && ms > longestDifferMS && !differ.told(ms, hold) {
				f := at(h.Source, "%s: its channels may differ for %d ms without being found: a fault of one shows only in a stop that lasts longer", hold, ms)
				f.Remedy = "adjust the contacts so that they move together, and write what they then differ by"
				differ.add(f, float64(ms))
			}
			if ms := h.RadioLossMS; ms > longestLossMS && !lost.told(ms, hold) {
				f := at(h.Source, "%s: without a link its contacts open after %d ms only: so long the rover drives with nobody in charge", hold, ms)
				f.Remedy = fmt.Sprintf("set the receiver to open its contacts sooner, within %d ms (IEC 60204-1, from memory)", longestLossMS)
				lost.add(f, float64(ms))
			}
		}
		for i, part := range v.Holds.Path.Parts {
			name := diag.The(diag.Key, part.Name)
			if part.Kind == circuit.Relay && part.CoilDiode && part.OffMS < diodeReleaseMS && !quick.told(part.OffMS, name) {
				f := at(v.Holds.Parts[i], "%s opens within %d ms, with a diode across its coil: such relays release several times slower than their data sheet says without one", name, part.OffMS)
				f.Remedy = "measure it from the coil switched off to the current gone; or take a diode with a Zener diode, and write coil_diode: false"
				quick.add(f, -float64(part.OffMS))
			}
		}
		for _, a := range []*alike{&differ, &lost, &quick} {
			a.report(report, "; so it is with %s", "; so it is, with times of their own, with %s")
		}
	})
}
