// Rule holds.category: every hold is of the stop category that the board carries out.
package check

import "merestone/internal/diag"

// categoryRule: the board stops in one way, by taking the drive's power away (category 0
// of IEC 60204-1, 9.2.2, from memory), and the stopping distance is proved for that way.
func categoryRule() Rule {
	return newRule("holds.category", diag.Error, "holds take the drive's power away at once", func(v *view, report func(diag.Finding)) {
		const does = "the board takes the drive's power away at once, which is category 0, and the stopping distance is proved for that; a ramp is not in it"
		means := map[int]string{
			1: ", a stop under control and power off after it",
			2: ", which leaves the drive powered",
		}
		var all alike
		for i, h := range v.Holds.List {
			if h.StopCategory == 0 || all.told(h.StopCategory, v.Subject(diag.Hold, i)) {
				continue
			}
			f := at(h.Source, "%s is of stop category %d%s: "+does, v.Subject(diag.Hold, i), h.StopCategory, means[h.StopCategory])
			f.Remedy = "write stop_category: 0, or take the key out; a stop under control takes a hardware circuit of its own, outside of this program"
			f.Want("0", h.Path+".stop_category")
			all.add(f, 0)
		}
		all.report(report, "; so it is with %s", "")
	})
}
