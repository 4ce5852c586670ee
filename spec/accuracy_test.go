package spec

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/quantity"
)

// What the readers of uncertainties take, the schema's pattern takes, and the other way
// round.
func TestSchemaOfAccuracies(t *testing.T) {
	var length quantity.Length
	plane, line := horizontal(&length), uncertainty(&length, deviation(), quantity.PerAxis, "")
	for _, c := range []struct {
		text        string
		plane, line bool
	}{
		{"5 cm", true, true},
		{"5 cm (95 %, radial)", true, false},
		{"5 cm (95 % radial)", true, false},
		{"5cm(95%,radial)", true, false},
		{"5 cm (95 %, per axis)", true, true},
		{"5 cm (95 %)", false, true},
		{"5 cm (95.45 %, per axis)", true, true},
		{"5 cm (95 %, square)", false, false},
		{"5 cm 95 %", false, false},
		{"(95 %, radial)", false, false},
	} {
		for value, want := range map[*value]bool{&plane: c.plane, &line: c.line} {
			d := &decoder{file: "m.yaml", places: Places{}, unread: map[string]bool{}}
			value.read(d, &node{kind: scalarKind, text: c.text, at: diag.Position{File: "m.yaml"}}, "uncertainty")
			assert.Equal(t, want, len(d.findings.report()) == 0, c.text)
			pattern, err := regexp.Compile(value.schema()["pattern"].(string))
			require.NoError(t, err)
			assert.Equal(t, want, pattern.MatchString(c.text), "%s: %s", c.text, pattern)
		}
	}
}
