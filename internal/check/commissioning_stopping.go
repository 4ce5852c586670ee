// Rule commissioning.stopping: the machine stops as it is reckoned to.
package check

import (
	"merestone/internal/diag"
	"merestone/internal/words"
)

func measuredRule() Rule {
	return newRule("commissioning.stopping", diag.Warning, "the machine stops as it is reckoned to", func(v *view, report func(diag.Finding)) {
		c, late := v.Commissioning, v.Board.Timing.LateMS
		fastest := int64(0)
		var slowest words.MMPerS // the speed of the worst
		var worst diag.Finding   // of the stops that took longer, and the speeds of the others
		others, most := diag.List{By: ", "}, int64(0)
		for _, run := range c.Stopping {
			fastest = max(fastest, run.FromMMPerS)
			if run.MostMS == 0 {
				continue
			}
			record := diag.The(diag.Key, "commissioning")
			soon := v.keeps(limit{diag.Warning, "measured stop, time", words.Milli}, record, float64(run.MostMS), float64(run.TimeMS))
			near := v.keeps(limit{diag.Warning, "measured stop, distance", words.Millimetre}, record, float64(run.MostMM), float64(run.DistanceMM))
			if soon && near || late == 0 {
				continue
			}
			f := at(c.Source, "measured from %s: %d ms and %s from letting go to rest, where no more than %d ms and %s were expected; the plan counts %d ms more in every stop", words.MMPerS(run.FromMMPerS), run.TimeMS, words.MM(run.DistanceMM), run.MostMS, words.MM(run.MostMM), late)
			f.About = []diag.Subject{diag.The(diag.Key, "commissioning")}
			f.Remedy = "find out what holds the drive on: off_delay of the drive_path, debounce, loop, the link of a radio, or a coast measured with another load"
			f.Numbers = []diag.Number{metre("measured", float64(run.DistanceMM)), metre("expected at most", float64(run.MostMM)), {Name: "counted more", Value: float64(late) / 1000, Unit: "s"}}
			said := words.MMPerS(run.FromMMPerS)
			if over := max(run.TimeMS-run.MostMS, run.DistanceMM-run.MostMM); worst.Format == "" || over > most {
				most, worst, f = over, f, worst
				slowest, said = said, slowest
			}
			if f.Format != "" {
				others.Items = append(others.Items, said)
			}
		}
		if worst.Format != "" {
			if len(others.Items) > 0 {
				worst.Add("; so it is from %s", others)
				worst.About = []diag.Subject{diag.The(diag.Key, "commissioning")}
			}
			report(worst)
		}
		if top := v.TopSpeedMMPerS(); c.Said && !v.chosen(limit{diag.Warning, "measured stop, speed", words.PerSecond}, diag.The(diag.Key, "commissioning"), float64(fastest), float64(top)) {
			f := at(c.Source, "no stop was measured from more than %s, and the rover drives at up to %s: a stop from there is not covered by a measurement", words.MMPerS(fastest), words.MMPerS(top))
			f.About = []diag.Subject{diag.The(diag.Key, "commissioning")}
			f.Remedy = "measure one from full speed, on the worst ground, with nobody near"
			report(f)
		}
	})
}
