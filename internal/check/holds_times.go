// Rule holds.times: the times of holds and of the drive path are those of such parts.
package check

import (
	"slices"

	"merestone/internal/circuit"
	"merestone/internal/diag"
)

const (
	longestBounceMS = 100 // contacts bounce for 1 to 20 ms
	longestDifferMS = 500 // two contacts of one device
	longestLossMS   = 500 // IEC 60204-1, cableless control, from memory
	diodeReleaseMS  = 30  // a relay of 5 to 10 ms, several times slower with a diode
)

// timesRule: all of these are common practice without a source, save where said. A time
// that is longer is no fault of the arithmetic, which has it in; it says that something
// else is meant, or that a part was taken for another.
func timesRule() Rule {
	return newRule("holds.times", diag.Warning, "the times of holds and of the drive path are those of such parts", func(v *view, report func(diag.Finding)) {
		tell := func(s diag.Source, remedy, format string, args ...any) {
			f := at(s, format, args...)
			f.Remedy = remedy
			report(f)
		}
		for i, h := range v.Holds.List {
			hold := v.Subject(diag.Hold, i)
			if h.DebounceMS > longestBounceMS {
				tell(h.Source, "measure it with an oscilloscope, or take the data sheet's", "%s: no sound contact bounces for %d ms: each millisecond is in the way to rest", hold, h.DebounceMS)
			}
			if len(h.Circuit.Channels) == 2 && h.Circuit.DiscrepancyMS > longestDifferMS {
				tell(h.Source, "adjust the contacts so that they move together, and write what they then differ by", "%s: its channels may differ for %d ms without being found: a fault of one shows only in a stop that lasts longer", hold, h.Circuit.DiscrepancyMS)
			}
			if h.RadioLossMS > longestLossMS {
				tell(h.Source, "set the receiver to open its contacts sooner, within 500 ms (IEC 60204-1, from memory)", "%s: without a link its contacts open after %d ms only: so long the rover drives with nobody in charge", hold, h.RadioLossMS)
			}
		}
		for i, part := range v.Holds.Path.Parts {
			if part.Kind == circuit.Relay && part.CoilDiode && part.OffMS < diodeReleaseMS && slices.Contains([]bool{part.Enable, part.Watchdog, len(part.Holds) > 0}, true) {
				f := at(v.Holds.Parts[i], "%s opens within %d ms, with a diode across its coil: such relays release several times slower than their data sheet says without one", diag.The(diag.Key, part.Name), part.OffMS)
				f.Remedy = "measure it from the coil switched off to the current gone; or take a diode with a Zener diode, and write coil_diode: false"
				report(f)
			}
		}
	})
}
