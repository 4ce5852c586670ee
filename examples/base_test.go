// What is said of bases, control marks and set-ups, to the limits of the rules: the yard
// with a change or two.
package examples

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFactsOfBases(t *testing.T) {
	// mark writes a mark by hand; nanodegrees of latitude are 0.111 mm each.
	mark := func(line string) Change { return written("marks:\n", "marks:\n  "+line+"\n") }
	control := func(names string) Change { return written(yardBase, averaged(names)) }
	base := func(text string) Change { return written(yardBase, "base: {"+text+"}") }
	const d = "latitude: 51.620534816, longitude: 25.913772193"
	again := func(latitude, more string) Change {
		return mark("D2: {latitude: " + latitude + ", longitude: 25.913772193, uncertainty: 1 cm, " + more + "}")
	}
	for _, c := range []struct {
		fact, rule, want string
		changes          []Change
	}{
		{"two control marks at the ends", "base.control-marks", "", []Change{control("[A, C]")}},
		{"one of them twice", "base.control-marks", "error", []Change{control("[A, C, A]")}},
		{"twice alone", "base.control-marks", "error", []Change{control("[A, A]")}},
		{"another name at the same coordinates", "base.control-marks", "error", []Change{mark("D2: {" + d + "}"), control("[D, A, D2]")}},
		{"a millimetre off it", "base.control-marks", "", []Change{mark("D2: {latitude: 51.620534829, longitude: 25.913772193}"), control("[D, A, D2]")}},
		{"which is near", "base.control-near", "warning", []Change{mark("D2: {latitude: 51.620534829, longitude: 25.913772193}"), control("[D, A, D2]")}},
		{"the same point from another set-up", "base.control-marks", "error", []Change{again("51.620535816", "setup: june, same_as: D"), control("[D, A, D2]")}},
		{"with a base whose position is entered, too", "base.control-marks", "error", []Change{base("mark: BASE, position: entered, uncertainty: 1 mm, control_marks: [BASE, A]")}},
		{"a corner of an obstacle is a place to stand at", "base.control-marks", "", []Change{control("[S1, A]")}},
		{"a rotation by two marks 10 m apart", "base.control-marks", "", []Change{base("mark: BASE, position: averaged, uncertainty: 0.8 m, control_marks: [A, D], rotation: true")}},
		{"by two neighbours", "base.control-marks", "error", []Change{moved("D2", 5, 14), base("mark: BASE, position: averaged, uncertainty: 0.8 m, control_marks: [D2, D], rotation: true")}},

		{"4.99 m apart", "base.control-near", "warning", []Change{moved("K1", 5, 10.01), control("[K1, D]")}},
		{"5.01 m apart", "base.control-near", "", []Change{moved("K1", 5, 9.99), control("[K1, D]")}},

		{"a mark that is itself", "base.setup", "error", []Change{mark("D2: {" + d + ", same_as: D2}")}},
		{"a mark of the same set-up", "base.setup", "error", []Change{mark("D2: {" + d + ", same_as: D}")}},
		{"whatever the base", "base.setup", "error", []Change{base("position: network, uncertainty: 1 cm"), mark("D2: {" + d + ", same_as: D}")}},
		// k·hypot(sqrt(2)·800, sqrt(200)) = 2769.5 mm are 24 891 nanodegrees.
		{"a point that is as far from itself as two averages", "base.setup", "", []Change{again("51.620559600", "setup: june, same_as: D"), control("[A, C]")}},
		{"and farther", "base.setup", "warning", []Change{again("51.620559800", "setup: june, same_as: D"), control("[A, C]")}},
		{"and twice as far", "base.setup", "error", []Change{again("51.620584800", "setup: june, same_as: D"), control("[A, C]")}},
		// Two points, k·sqrt(4·100) = 48.95 mm are 440 nanodegrees.
		{"two points that agree", "base.setup", "", []Change{again("51.620544816", "setup: june, same_as: D"), mark("A2: {latitude: 51.620455370, longitude: 25.913772193, uncertainty: 1 cm, setup: june, same_as: A}"), control("[B, C]")}},
		{"that do not", "base.setup", "warning", []Change{again("51.620544816", "setup: june, same_as: D"), mark("A2: {latitude: 51.620455390, longitude: 25.913772193, uncertainty: 1 cm, setup: june, same_as: A}"), control("[B, C]")}},
		{"not at all", "base.setup", "error", []Change{again("51.620544816", "setup: june, same_as: D"), mark("A2: {latitude: 51.620455830, longitude: 25.913772193, uncertainty: 1 cm, setup: june, same_as: A}"), control("[B, C]")}},
		{"set-ups without control marks are weighed by the shift", "base.setup", "", []Change{base("mark: BASE, position: averaged, uncertainty: 0.5 m"), yardJune}},

		{"a set-up where the base does not average", "keys.unused", "warning", []Change{yardJune}},
		{"a rotation without control marks", "keys.unused", "warning", []Change{base("mark: BASE, position: entered, uncertainty: 1 mm, rotation: true")}},
		{"a mark under a service's station", "keys.unused", "warning", []Change{base("mark: BASE, position: network, uncertainty: 1 mm")}},
		{"a network", "keys.unused", "", []Change{base("position: network, uncertainty: 1 mm")}},

		{"a base with entered coordinates that is metres off", "arrival.tolerance", "error", []Change{base("position: entered, uncertainty: 1.5 m")}},
		{"a service that is", "geometry.clearance", "error", []Change{base("position: network, uncertainty: 1.5 m")}},
		{"decimetres are too much for 30 cm", "arrival.tolerance", "error", []Change{base("position: network, uncertainty: 10 cm")}},
		{"centimetres are not", "arrival.tolerance", "", []Change{base("position: network, uncertainty: 2 cm")}},
	} {
		assert.Equal(t, c.want, said(t, c.rule, c.changes...), "%s (%s)", c.fact, c.rule)
	}
}

// No base that is worse, and no survey, turns a refusal into an acceptance.
func TestWorseBasesNeverHelp(t *testing.T) {
	accepted := func(changes ...Change) bool { return !changed(t, changes...).Refused() }
	worse := []string{"1 mm", "1 cm", "3 cm", "6 cm", "10 cm", "30 cm", "60 cm", "1 m", "1.2 m", "1.5 m", "3 m", "30 m"}
	for _, kind := range []string{
		"position: entered, uncertainty: %", "position: network, uncertainty: %", "position: averaged, uncertainty: %",
		"position: averaged, uncertainty: %, control_marks: [A, C]", "position: averaged, uncertainty: %, control_marks: [A, C], rotation: true",
	} {
		last := true
		for _, u := range worse {
			now := accepted(written(yardBase, "base: {"+replaced(kind, u)+"}"))
			assert.False(t, now && !last, "%s is accepted at %s and not before", kind, u)
			last = now
		}
		last = true
		for _, u := range worse { // of a corner of the fence that was surveyed from another set-up
			now := accepted(written(yardBase, "base: {"+replaced(kind, u)+"}"), yardJune)
			assert.False(t, now && !last, "%s and a set-up is accepted at %s and not before", kind, u)
			last = now
		}
	}
	// The fewer control marks, and the worse, the less is accepted.
	for _, lists := range [][2]string{{"[A, B, C, D]", "[A, C]"}, {"[A, C]", "[A]"}} {
		for _, tolerance := range []string{"13 cm", "14 cm", "15 cm", "16 cm", "17 cm", "18 cm", "19 cm", "20 cm", "25 cm"} {
			more := accepted(written(yardBase, averaged(lists[0])), written("arrival_tolerance: 30 cm", "arrival_tolerance: "+tolerance))
			less := accepted(written(yardBase, averaged(lists[1])), written("arrival_tolerance: 30 cm", "arrival_tolerance: "+tolerance))
			assert.False(t, less && !more, "%v at %s", lists, tolerance)
		}
	}
	for _, u := range []string{"1 mm", "1 cm", "3 cm", "20 cm", "80 cm"} { // none at all
		for _, tolerance := range []string{"13 cm", "15 cm", "17 cm", "20 cm", "30 cm", "80 cm", "3 m"} {
			base := "base: {mark: BASE, position: averaged, uncertainty: " + u
			one := accepted(written(yardBase, base+", control_marks: [A]}"), written("arrival_tolerance: 30 cm", "arrival_tolerance: "+tolerance))
			none := accepted(written(yardBase, base+"}"), written("arrival_tolerance: 30 cm", "arrival_tolerance: "+tolerance))
			if none && !one { // a base that is better than the receiver on a mark
				assert.Contains(t, []string{"1 mm", "1 cm"}, u, "no control mark at %s and %s", u, tolerance)
			}
		}
	}
}

func replaced(kind, uncertainty string) string {
	before, after, _ := strings.Cut(kind, "%")
	return before + uncertainty + after
}
