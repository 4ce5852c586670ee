// One fault is told once: one slip in a sound mission, and all that is said of it.
// Beside each slip stands one that looks alike and is two faults, which are both
// told.
package spec

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOneFaultIsToldOnce(t *testing.T) {
	const hold = "  - {name: thumb switch, kind: hold-to-run, pin: 22, contact: normally-open, wired_to: ground, pull: up, debounce: 20 ms, stop_category: 0}\n"
	block := "  - name: thumb switch\n    kind: hold-to-run\n    pin: 22\n    contact: normally-open\n    wired_to: ground\n    pull: up\n    debounce: 20 ms\n    stop_category: 0\n"
	second := strings.NewReplacer("thumb switch", "grip", "22", "24").Replace(block)
	for _, c := range []struct {
		name     string
		from, to string
		want     []string
	}{
		{"a word where an obstacle is due", "holds:\n", "  obstacles: [A]\nholds:\n", []string{
			`geofence.obstacles[0] should be a block of keys (name, centre, radius, ring, height, reflects), and is the single value "A"`,
		}},
		{"an obstacle without a shape is no such word", "holds:\n", "  obstacles: [{name: well, centre: 5 m}]\nholds:\n", []string{
			"this obstacle has a centre and no radius", `there is no mark "5 m"`,
		}},
		{"the entry of another list", hold, "  - {from: A, to: B, measured: 2 m, uncertainty: 1 cm}\n" + hold, []string{
			`holds[0] has no keys "from", "to", "measured", "uncertainty"`,
		}},
		{"one key right, and the others are missing", hold, "  - {pin: 22, from: A, to: B, measured: 2 m}\n" + hold, []string{
			"holds[0] has no key contact", "holds[0] has no key debounce", "holds[0] has no key kind", "holds[0] has no key name",
			"holds[0] has no key pull", "holds[0] has no key wired_to", `holds[0] has no keys "from", "to", "measured"`,
		}},
		{"two keys that belong in two places", "mission: small\n", "mission: small\nloop: 20 ms\nwidth: 0.4 m\n", []string{`a mission has no key "loop"`, `a mission has no key "width"`}},
		{"the dash of the second hold is lost", hold, block + strings.Replace(second, "  - name: grip\n", "", 1), []string{
			`the keys "kind", "pin", "contact", "wired_to" and 3 more are already in this block`,
		}},
		{"two keys written twice in two places", "  length: 0.60 m\n", "  width: 0.44 m\n  length: 0.60 m\n  cross_track: 8 cm\n  width: 0.42 m\n", []string{
			`the key "width" is already in this block`, `the key "width" is already in this block`, `the key "cross_track" is already in this block`,
		}},
		{"a ring with one width too many", "route:\n", "rings: [{name: Q, from: A, towards: B, widths: [1 m, 1 m, 1 m], side: left, uncertainty: 1 cm}]\ntape: [{from: Q1, to: Q4, measured: 1 m, uncertainty: 1 cm}]\nroute:\n", []string{
			`rings[0].widths has 3 entries; it must have from 1 to 2`,
		}},
		{"semicolons between waypoints", "[A, B]", "[A; B]", []string{`there is no mark "A; B"`}},
		{"a mark is not written", "route:\n", "tape: [{from: F1, to: Q, measured: 31 m, uncertainty: 1 cm}, {from: F2, to: Q, measured: 31 m, uncertainty: 1 cm}]\nroute:\n", []string{
			`there is no mark "Q", which is used in 2 places`,
		}},
		{"two marks are not written", "[A, B]", "[A, B, C, D]", []string{`there is no mark "C"`, `there is no mark "D"`}},
		{"marks that are all named otherwise", "[A, B]", "[M1, M2, M3, M4, M5, M6, M7, M8, M9]", []string{
			`there is no mark "M1"; nor are there M2, M3, M4, M5 and 4 more`,
		}},
		{"a key misspelt in every entry", "route:\n", "tape:\n  - {from: F1, to: F2, mesured: 31 m, uncertainty: 1 cm}\n  - {from: F2, to: F3, mesured: 31 m, uncertainty: 1 cm}\nroute:\n", []string{
			`tape[0] has no key "mesured"; so it is with tape[1]`,
		}},
		{"two keys misspelt, each in one entry", "route:\n", "tape:\n  - {from: F1, to: F2, mesured: 31 m, uncertainty: 1 cm}\n  - {from: F2, to: F3, measured: 31 m, uncertanty: 1 cm}\nroute:\n", []string{
			`tape[0] has no key "mesured"`, `tape[1] has no key "uncertanty"`,
		}},
		{"no unit in any tape", "route:\n", "tape:\n" + strings.Repeat("  - {from: F1, to: F2, measured: 31, uncertainty: 1 cm}\n", 40) + "route:\n", []string{
			"tape[0].measured: 31 has no unit, and a length needs one; so it is with tape[1].measured, tape[2].measured, tape[3].measured, tape[4].measured and 35 more",
		}},
		{"no unit in two tapes, and another figure", "route:\n", "tape:\n  - {from: F1, to: F2, measured: 31, uncertainty: 1 cm}\n  - {from: F1, to: F2, measured: 32, uncertainty: 1 cm}\nroute:\n", []string{
			"tape[0].measured: 31 has no unit, and a length needs one", "tape[1].measured: 32 has no unit, and a length needs one",
		}},
		{"a key twice in every entry", "route:\n", "tape:\n" + strings.Repeat("  - {from: F1, to: F2, measured: 31 m, from: F1, uncertainty: 1 cm}\n", 40) + "route:\n", []string{
			`the key "from" is already in this block; so it is on lines 22 to 60`,
		}},
		{"a sign in every name that no name may have", "holds:\n", "  obstacles:\n" + strings.Repeat("    - {name: tree#1, centre: A, radius: 1 m}\n", 40) + "holds:\n", []string{
			`the name "tree#1" has '#' in it; so it is on lines 27 to 65`,
		}},
		{"a sign in the name of a mark that is used", "  A: {", "  A!: {", []string{`the name "A!" has '!' in it`}},
		{"the head of the marks is lost", "marks:\n", "", []string{`rover has no keys "A", "B", "F1", "F2" and 2 more`, `there is no mark "A", and no other one`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := small(t)
			require.Equal(t, 1, strings.Count(text, c.from))
			said := []string{}
			for _, f := range Parse("mission.yaml", []byte(strings.Replace(text, c.from, c.to, 1)), nil).Findings {
				said = append(said, f.Message())
			}
			assert.Equal(t, c.want, said)
		})
	}
}
