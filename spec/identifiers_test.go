package spec

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNamesThatAreOneInC(t *testing.T) {
	marks := func(names ...string) string {
		text := "marks:\n"
		for _, n := range names {
			text += "  " + n + ": {latitude: 45.1, longitude: 6.1}\n"
		}
		return text
	}
	long := "mission: " + strings.Repeat("m", 48) + "\n" // before names of waypoints 58 characters stand then
	for _, c := range []struct{ name, text, want string }{
		{"apart", marks("A", "B", "A1", "A 1"), ""},
		{"two", marks("gate-1", "Gate 1"), `error: the names "gate-1" and "Gate 1" of two marks both become gate_1 in C`},
		{"three in one", marks("gate-1", "Gate 1", "GATE_1"), `error: the names "gate-1", "Gate 1", "GATE_1" of 3 marks all become gate_1 in C`},
		{"the number of a visit", marks("A", "A 2") + "route: {waypoints: [A, A 2, A]}", `error: the mark "A 2" and visit 2 of the mark that becomes a would both become a_2 in C`},
		{"no such visit", marks("A", "A 2") + "route: {waypoints: [A, A 2]}", ""},
		{"no number that is written so", marks("A", "A 02") + "route: {waypoints: [A, A 02, A]}", ""},
		{"a third visit", marks("A", "B", "A 3") + "route: {waypoints: [A, B, A, A 3, B, A]}", `error: the mark "A 3" and visit 3 of the mark that becomes a would both become a_3 in C`},
		{"alike in 63 characters", long + marks("north gate", "north wall") + "route: {waypoints: [north gate, north wall]}",
			`warning: the names "north gate" and "north wall" become identifiers in C that begin with the same 63 characters, ` + strings.Repeat("m", 48) + `_waypoint_north, and no compiler need look at more`},
		{"apart within 63 characters", long + marks("gate north", "wall north") + "route: {waypoints: [gate north, wall north]}", ""},
		{"not visited", long + marks("north gate", "north wall") + "route: {waypoints: [north gate]}", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			said := ""
			for _, f := range Parse("m.yaml", []byte(c.text), nil).Findings {
				if f.Rule == ruleNameClash {
					said += f.Severity.String() + ": " + f.Message()
				}
			}
			assert.Equal(t, c.want, said)
		})
	}
}

// What is offered for slips, in the order in which it is offered; an exclamation mark
// behind what is certain.
func TestChangesForSlips(t *testing.T) {
	const marks = "marks:\n  F1: {latitude: 51.62, longitude: 25.91}\n  P1: {latitude: 51.62, longitude: 25.91}\n  P2: {latitude: 51.63, longitude: 25.91}\n"
	for _, c := range []struct{ text, want string }{
		{"rover: {width: 40 ft 6 in}", "write 12.3444 m"},
		{"rover: {width: 4.2e-1 m}", "write 0.42 m!"},
		{"rover: {width: 0.42}", "write 0.42 m"},
		{"rover: {width: 0.42 M}", "write 0.42 m!"},
		{"rover: {width: &w 0.42 M, length: *w}", "write 0.42 m | write 0.42 m"}, // told of both places; it stands in both
		{"rover: {Width: 0.42 m}", "write width!"},
		{"rover: {widht: 0.42 m}", "write width"},
		{"rover:\n  width: 0.42 m\n  widht: 0.42 m\n", `take out "widht: 0.42 m"`},
		{"rover:\n  width: 0.42 m\n  width: 0.42 m\n", `take out "width: 0.42 m"!`},
		{"rover:\n  width: 0.42 m\n  width: 0.43 m\n", `take out "width: 0.43 m" | take out "width: 0.42 m"`},
		{"rover: {cross_track: 8 cm, motor_lag: , width: 1 m}", `take out "motor_lag:"`},
		{"rover:\n  motor_lag:\n  width: 1 m\n", `take out "motor_lag:"`},
		{"site: {date: 10.05.2026}", "write 2026-05-10"},
		{"site: {date: 23.05.2026}", "write 2026-05-23!"},
		{"site: {date: 05/10/2026}", "write 2026-10-05 | write 2026-05-10"},
		{"site: {date: 05/23/2026}", "write 2026-05-23!"},
		{"site: {date: 10 May 2026}", "write 2026-05-10!"},
		{"site: {date: May 10 2026}", "write 2026-05-10!"},
		{"site: {date: 2026/05/10}", "write 2026-05-10!"},
		{"site: {date: 20260510}", "write 2026-05-10!"},
		{"site: {date: 31.06.2026}", ""},
		{"site:\n  date: 2026-05-10,\n", "write 2026-05-10!"},
		{"rover:\n  width: 0.4 m,\n", "write 0.4 m!"},
		{"base:\n  position: entered,\n", "write entered!"},
		{"base:\n  rotation: true;\n", "write true!"},
		{"holds: [{contact: NO}]", "write normally-open"},
		{"holds: [{contact: Normally_Closed}]", "write normally-closed!"},
		{"holds: [{wired_to: GND}]", "write ground"},
		{"holds: [{pull: pull-up}]", "write up"},
		{"base: {rotation: yes}", "write true!"},
		{"base: {rotation: 'true'}", "write true!"},
		{"base: {rotation: y}", "write true"},
		{"base: {uncertainty: 5 cm (95 %)}", "write 5 cm (95 % radial) | write 5 cm (95 % per axis)"},
		{"base: {uncertainty: 5 cm CEP}", "write 5 cm (50 % radial)"},
		{"base: {uncertainty: 5 cm (95 %, radial)}", "write 5 cm (95 % radial)!"},
		{"board: {input_pins: [\"22\"]}", "write 22!"},
		{"board: {input_pins: [022]}", "write 22"},
		{"board: {input_pins: [22, 24, 22]}", `take out "22"!`},
		{"board: {pulls: up}", "write [up]!"},
		{marks + "route: {waypoints: [P3]}", "write P1 | write P2"}, // and F1 is two letters away
		{marks + "route: {waypoints: [f1, f1]}", "write F1"},        // in both places
		{marks + "route: {waypoints: [P1 P2]}", "write P1, P2"},
		{marks + "route: {waypoints: [P1, \"\u00a0P2\"]}", "write P2!"},
		{marks + "geofence: {boundary: [F1, P1, P2, F1]}", `take out "F1"!`},
		{marks + "geofence:\n  boundary: F1, P1, P2\n", "write [F1, P1, P2]!"},
		{marks + "geofence:\n  boundary: F1 P1 P2\n", ""}, // names may have spaces in them
		{"site: {origin: {latitude: \"52 06.0019412 N\"}}", "write 52°06.0019412'N!"},
		{"site: {origin: {latitude: 5206.0019412N}}", "write 52°06.0019412'N!"},
		{"site: {origin: {latitude: 6°07'E, longitude: 52°06'N}}", "write latitude: 52°06'N and longitude: 6°07'E!"},
		{"marks: {A: {latitude: 126.1, longitude: 52.1}, B: {latitude: 126.2, longitude: 52.2}}\nsite: {origin: {latitude: 52.1, longitude: 126.1}}", "exchange 2 pairs"},
		{"marks: {A: {latitude: 126.1, longitude: 52.1}}\nsite: {origin: {latitude: 52.1, longitude: 6.1}}", ""}, // a digit too many
		{"rover: {width:0.4 m}", "put a space in!"},
		{"rover:{width: 0.4 m}", "put a space in!"},
		{"rover: {width: 0,42 m}", "write a decimal point!"},
		{"base: {averaged_for: 1,000 s}", "write a decimal point"},
		{"rover:\n  width:\t0.4 m", "put a space in its place!"},
		{"rover:\n  width: 1\t8 cm", "put a space in its place"},
		{"rover:\n\twidth: 0.4 m\n", "put two spaces in place of each tab!"},
		{"rover:\n\twidth: 0.4 m\n  length: 1 m\n", "put two spaces in place of each tab"},
		{"tape:\n  -from: A\n", "put a space in!"},
		{"tape:\n  – from: A\n", "write -!"},
	} {
		t.Run(c.text, func(t *testing.T) {
			var offered []string
			for _, f := range Parse("m.yaml", []byte(c.text), nil).Findings {
				for _, fix := range f.Fixes {
					does := fix.Does
					if fix.Certain {
						does += "!"
					}
					offered = append(offered, does)
				}
			}
			assert.Equal(t, c.want, strings.Join(offered, " | "))
		})
	}
}
