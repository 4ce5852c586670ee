// Marks that are measured from others, beside errors: what hangs on a mark that is not
// known is not known either, and a mark that cannot be placed hides nothing else.
package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/diag"
	"merestone/internal/missiontest"
)

func TestMeasuredMarksBesideErrors(t *testing.T) {
	const sketch = "../../testdata/sketch/mission.yaml"
	pin := missiontest.Edit{"    pin: 22\n", "    pin: 23\n"}                             // holds.pin, which rests on no mark
	well := missiontest.Edit{"centre: POND, radius: 1.60 m", "centre: A, radius: 1.60 m"} // geometry.leg-obstacle: A–B goes through it
	for name, c := range map[string]struct {
		edits  []missiontest.Edit
		told   []diag.ID
		untold []diag.ID
	}{
		"all are known": {[]missiontest.Edit{pin, well}, []diag.ID{"holds.pin", "geometry.leg-obstacle"}, nil},
		"a mark that two others hang on": { // D and TREE; with D left out, C and A would be joined through the shed
			[]missiontest.Edit{{"F4: {east", "F5: {east"}, pin}, []diag.ID{"spec.unknown-mark", "holds.pin"}, []diag.ID{"geometry.leg-obstacle"}},
		"the mark that it is measured from, misread": {
			[]missiontest.Edit{{"B: {from: F2,", "B: {from: 77,"}}, []diag.ID{"spec.unknown-mark"}, []diag.ID{"geometry.leg-obstacle"}},
		"a distance, misread": {
			[]missiontest.Edit{{"bearing_uncertainty: 0.5 deg, distance: 4.24 m", "bearing_uncertainty: 0.5 deg, distance: 4.24"}}, []diag.ID{"spec.no-unit"}, []diag.ID{"geometry.leg-obstacle", "geometry.leg-outside"}},
		"the length of a ring": {
			[]missiontest.Edit{{"length: 4.00 m", "length: 40 furlongs"}}, []diag.ID{"spec.bad-quantity"}, []diag.ID{"geometry.leg-obstacle", "geometry.obstacle-outside", "geometry.ring"}},
		"the day of a magnetic bearing": { // D is not known: no leg is that goes there
			[]missiontest.Edit{{"date: 2026-06-15", "date: 15.6.26"}, {"radius: 40 cm, height: 3 m", "radius: 7 m, height: 3 m"}}, []diag.ID{"spec.bad-date"}, nil},
		"tapes that do not meet": {
			[]missiontest.Edit{{"{from: F3, distance: 12.04 m", "{from: F3, distance: 2.04 m"}, pin, {"east: 3.00 m, north: 3.00 m", "east: 3.00 m, north: -3.00 m"}},
			[]diag.ID{"measured.apart", "holds.pin", "geometry.leg-outside", ruleWaiting}, nil},
		"tapes that do not meet, beside a speed misread": {
			[]missiontest.Edit{{"{from: F3, distance: 12.04 m", "{from: F3, distance: 2.04 m"}, {"cruise: 0.60 m/s", "cruise: 0.60"}, {"east: 3.00 m, north: 3.00 m", "east: 3.00 m, north: -3.00 m"}},
			[]diag.ID{"spec.no-unit", "measured.apart", "geometry.leg-outside"}, nil},
		"tapes that do not meet, to a mark of which another is misread": {
			[]missiontest.Edit{{"{from: F3, distance: 12.04 m", "{from: F3, distance: 2.04 m"}, {"F2: {east: 25.00 m", "F2: {east: 25.00"}}, []diag.ID{"spec.no-unit"}, []diag.ID{"measured.apart"}},
		"a circle, beside a height misread": {
			[]missiontest.Edit{{"B: {from: F2, towards: F1", "B: {from: C, towards: F1"}, {"C: {from: F3", "C: {from: B"}, {"height: 168.00 m", "height: 168.00"}}, []diag.ID{"spec.no-unit", "measured.circular"}, nil},
		"one tape alone": {
			[]missiontest.Edit{{"      - {from: F3, distance: 12.04 m, uncertainty: 2 cm}\n", ""}, pin}, []diag.ID{"spec.out-of-range", "holds.pin"}, []diag.ID{"measured.apart"}},
		"a circle of measurements": {
			[]missiontest.Edit{{"B: {from: F2, towards: F1", "B: {from: C, towards: F1"}, {"C: {from: F3", "C: {from: B"}, pin}, []diag.ID{"measured.circular", "holds.pin", ruleWaiting}, []diag.ID{"geometry.leg-obstacle"}},
	} {
		m := load(missiontest.Text(t, sketch, c.edits...))
		for _, rule := range c.told {
			assert.True(t, hasRule(m.Findings, rule), "%s: %s is not told in %v", name, rule, m.Findings)
		}
		for _, rule := range c.untold {
			assert.False(t, hasRule(m.Findings, rule), "%s: %s is told in %v", name, rule, m.Findings)
		}
	}
}
