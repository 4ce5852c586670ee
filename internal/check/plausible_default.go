// Rule plausible.default: what is usual stands in no safety figure unseen.
package check

import (
	"merestone/internal/diag"
)

// defaultRule names what the mission leaves to what is usual although a proof or a
// bound of stopping, clearance or arrival reckons with it: nobody has measured that
// for this machine. One note names all of them, and where each comes in.
func defaultRule() Rule {
	return newRule("plausible.default", diag.Note, "figures that safety rests on are written, not usual", func(v *view, report func(diag.Finding)) {
		if len(v.Usual) == 0 {
			return
		}
		format := "not written, and reckoned with as usual: %s %s (%s)"
		f := at(v.Source, format, diag.The(diag.Key, v.Usual[0].Path), v.Usual[0].Value, v.Usual[0].In)
		for _, u := range v.Usual[1:] {
			f.Add("; %s %s (%s)", diag.The(diag.Key, u.Path), u.Value, u.In)
		}
		f.Remedy = "measure what belongs to this machine, and write it"
		f.Numbers = []diag.Number{{Name: "figures", Value: float64(len(v.Usual)), Unit: "1"}}
		report(f)
	})
}
