package spec

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"merestone/internal/words"
)

func TestNames(t *testing.T) {
	for _, c := range []struct{ what, name, fault string }{
		{"mark", "A", ""},
		{"mark", "7", ""},
		{"mark", "north gate-2_b", ""},
		{"mark", strings.Repeat("a", 40), ""},
		{"mark", "mere", ""},
		{"mark", "interval", ""},
		{"mark", "int8", ""},
		{"mark", strings.Repeat("a", 41), "at most 40"},
		{"mark", "", "empty"},
		{"mark", " a", "begins with"},
		{"mark", "_a", "begins with"},
		{"mark", "-a", "begins with"},
		{"mark", "a.b", `'.' in it`},
		{"mark", "a[1]", `'[' in it`},
		{"mark", "a\tb", `'\t' in it`},
		{"mark", "a\nb", "line end"},
		{"mark", "x*/y", "comment"},
		{"mark", "Größe", "not ASCII"},
		{"mark", "\u2028", "not ASCII"},
		{"mark", "While", "keyword"},
		{"mark", "static-assert", "keyword"},
		{"mark", "NULL", "keyword"},
		{"mark", "bool", "keyword"},
		{"hold", "uint fast8-t", "<stdint.h>"},
		{"hold", "INT32_MAX", "<stdint.h>"},
		{"mission", "a1", ""},
		{"mission", "merely", ""},
		{"mission", "1a", "digit"},
		{"mission", "Mere-field", "guidance"},
		{"mission", "merestone", "guidance"},
	} {
		message, _ := nameFault(c.what, c.name, maxName)
		if c.fault == "" {
			assert.Empty(t, message.Format, c.name)
			continue
		}
		assert.Contains(t, message.String(), c.fault, "%q", c.name)
	}
}

func TestNearest(t *testing.T) {
	keys := keyNames(roverKeys(&Rover{}))
	for word, want := range map[string]string{
		"widt": "width", "lenght": "length", "Width": "width", "turn-radius": "turn_radius", "turning_radius": "turn_radius",
		"crosstrack": "cross_track", "motor": "motor_lag", "colour": "", "w": "", "": "",
	} {
		got, ok := words.Nearest(word, keys)
		assert.Equal(t, want, got, word)
		assert.Equal(t, want != "", ok, word)
	}
}
