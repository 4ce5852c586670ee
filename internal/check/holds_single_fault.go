// Rule holds.single-fault: which single faults would leave the drive running.
package check

import (
	"slices"
	"strings"

	"merestone/internal/circuit"
	"merestone/internal/diag"
)

// singleFaultRule counts what the table counts: each fault once, with the first hold that
// it touches, or with the drive path. What leaves the drive running against every hold is
// told by holds.single-part, and a broken wire by holds.wire-break, but counted here, too.
func singleFaultRule() Rule {
	return newRule("holds.single-fault", diag.Warning, "which single faults would leave the drive running", func(v *view, report func(diag.Finding)) {
		var runs, jams, shorts alike
		remedies := remedies{}
		for i, h := range v.Holds.List {
			c := collect(v.Holds.Faults.ToldWith(h.Circuit.Name), func(r circuit.Row) bool { return wireBreaks(r) })
			if c.empty() {
				continue
			}
			f := at(h.Source, "%s: of %d single faults ", v.Subject(diag.Hold, i), c.tried)
			c.say(&f)
			to := &runs
			hold := v.Subject(diag.Hold, i)
			remedies[hold] = func() string { return v.remedy(hold, c.otherwise) }
			switch {
			case c.worth > 0:
			case len(c.running.Items) > 0: // an actuator that jams, which no wiring cures
				f.Severity, to = diag.Note, &jams
				remedies[hold] = func() string {
					if len(c.shorted.Items) == 0 {
						return c.otherwise
					}
					return c.otherwise + "; for the shorts, " + v.remedy(hold, "a fuse, or a resistor at the board's end of the wire")
				}
			default:
				f.Severity, to = diag.Note, &shorts // a short is for the fuse
			}
			to.add(f, float64(len(c.running.Items)+len(c.shorted.Items)))
		}
		for _, a := range []*alike{&runs, &jams, &shorts} {
			a.report(remedies.with(report), "", "; so it is, by faults of their own, with %s: see the table of faults")
		}
		n := len(v.Holds.List)
		if c := collect(v.Holds.Faults.OfPath(), func(r circuit.Row) bool { return r.AgainstEvery(n) }); c.worth > 0 {
			f := at(v.Holds.PathAt, "%s: of %d single faults ", diag.The(diag.Key, "drive_path"), c.tried)
			c.say(&f)
			against := diag.List{By: " or "}
			for i, h := range v.Holds.List {
				if slices.ContainsFunc(v.Holds.Faults.OfPath(), func(r circuit.Row) bool {
					return !r.AgainstEvery(n) && slices.Contains(r.Unstopped, h.Circuit.Name)
				}) {
					against.Items = append(against.Items, v.Subject(diag.Hold, i))
				}
			}
			if len(against.Items) > 0 {
				f.Add(" when %s asks for stop", against)
			}
			f.Remedy = v.remedy(diag.The(diag.Key, "drive_path"), c.otherwise)
			report(f)
		}
	})
}

// collected are the faults of one hold, or of the drive path, that are not credited.
type collected struct {
	running, shorted diag.List
	tried            int
	// worth counts those that leave the drive running, that no other finding tells, and
	// that are not an actuator that jams.
	worth     int
	otherwise string // what is commonly done of the first
}

// collect counts rows. told says which other findings tell.
func collect(rows []circuit.Row, told func(circuit.Row) bool) collected {
	c := collected{running: diag.List{By: "; "}, shorted: diag.List{By: "; "}}
	rest, otherwise := 0, map[bool]string{} // of the first, by whether the drive keeps running
	for _, row := range rows {
		if row.Fault.Kind == circuit.NoFault {
			continue
		}
		c.tried++
		switch {
		case row.Outcome.Dangerous():
			c.running.Items = append(c.running.Items, row.Fault)
			if !told(row) {
				if rest++; row.Fault.Kind != circuit.ActuatorJammed {
					c.worth++
				}
			}
		case !row.Outcome.Credited():
			rest++
			c.shorted.Items = append(c.shorted.Items, row.Fault)
		}
		if dangerous := row.Outcome.Dangerous(); otherwise[dangerous] == "" && !row.Outcome.Credited() && !told(row) {
			otherwise[dangerous] = row.Otherwise
		}
	}
	if c.otherwise = otherwise[true]; c.otherwise == "" {
		c.otherwise = otherwise[false]
	}
	if rest == 0 {
		return collected{} // all are told elsewhere
	}
	return c
}

func (c collected) empty() bool { return len(c.running.Items)+len(c.shorted.Items) == 0 }

// say puts the counts into a finding.
func (c collected) say(f *diag.Finding) {
	m, n := len(c.running.Items), len(c.shorted.Items)
	if m > 0 {
		f.Add("%d "+verb(m, "leave")+" the drive running (%s)", m, c.running)
	}
	if m > 0 && n > 0 {
		f.Add(" and ")
	}
	if n > 0 {
		f.Add("%d "+verb(n, "short")+" the supply (%s)", n, c.shorted)
	}
	f.Numbers = []diag.Number{
		{Name: "leave running", Value: float64(m), Unit: "1"},
		{Name: "short the supply", Value: float64(n), Unit: "1"},
		{Name: "faults tried", Value: float64(c.tried), Unit: "1"},
	}
}

// verb is what so many faults do: one "leaves", two "leave".
func verb(n int, infinitive string) string {
	if n == 1 {
		return infinitive + "s"
	}
	return infinitive
}

// within makes a sentence part of another.
func within(sentence string) string {
	sentence = strings.TrimSuffix(sentence, ".")
	if sentence == "" || sentence[0] < 'A' || sentence[0] > 'Z' {
		return sentence
	}
	return strings.ToLower(sentence[:1]) + sentence[1:]
}
