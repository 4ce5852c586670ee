// Rule commissioning.record: the machine was tried, on this wiring and not too long ago.
package check

import (
	"slices"
	"time"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// days are those from one day to another.
func days(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }

// recordRule compares the record with the written test that is made from the wiring. The
// name of a step changes with what the step says, so one that was passed on other wiring,
// or with other times, does not count (validation by test as in ISO 13849-2, from memory).
func recordRule() Rule {
	return newRule("commissioning.record", diag.Warning, "the machine was tried, on this wiring and not too long ago", func(v *view, report func(diag.Finding)) {
		c, steps := v.Commissioning, v.Holds.Faults.Tests
		if len(steps) == 0 {
			return // what is wrong with the holds comes first
		}
		tell := func(s diag.Source, remedy, format string, args ...any) {
			f := at(s, format, args...)
			if f.About == nil {
				f.About = []diag.Subject{diag.The(diag.Key, "commissioning")}
			}
			f.Remedy = remedy
			report(f)
		}
		if !c.Said {
			tell(v.Source, "do the written test (merestone check --full), stop it from full speed with a tape and a watch, and write commissioning",
				"nothing says that this machine was tried: its %d steps of the written test, and the way and the time in which it stops, are expectations", len(steps))
			return
		}
		day := func(t time.Time) string { return t.Format(time.DateOnly) }
		switch drive := v.Site.Date; {
		case drive.Before(c.Date):
			tell(c.Source, "correct one of the two days", "the commissioning of %s is after the drive of %s", day(c.Date), day(drive))
		case !v.keeps(limit{diag.Warning, "days to the next test", words.Unit{Name: "d", Scale: 1}}, diag.The(diag.Key, "commissioning"), days(c.Date, c.RepeatBy), days(c.Date, drive)):
			tell(c.Source, "do the written test again, measure a stop, and write the new days", "the commissioning of %s was to be repeated by %s; the drive is on %s", day(c.Date), day(c.RepeatBy), day(drive))
		}
		missing, other := diag.List{By: ", "}, diag.List{By: ", "}
		known := map[string]bool{}
		for _, s := range steps {
			if known[s.ID] = true; !slices.Contains(c.Passed, s.ID) {
				missing.Items = append(missing.Items, s.ID)
			}
		}
		for _, id := range c.Passed {
			if !known[id] {
				other.Items = append(other.Items, id)
			}
		}
		if n := len(missing.Items); n > 0 {
			tell(c.Source, "do them, and add their names to passed", "%d of the %d steps of the written test are not among those passed: %s", n, len(steps), missing)
		}
		if len(other.Items) > 0 {
			tell(c.Source, "take them out: the wiring or its times have changed since", "passed names steps that the written test does not have: %s", other)
		}
	})
}
