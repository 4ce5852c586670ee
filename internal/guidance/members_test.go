package guidance

import (
	"math"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/templates"
)

// ISO/IEC 9899:2011, 6.4.4.1: a constant has no sign, and 2147483648 is no int on
// a 32-bit target, so that -2147483648 would be of a wider type.
func TestValuesAreLiteralsOfTheirType(t *testing.T) {
	values := Values(struct {
		A, B, C int32
		D       int64
		E       uint32
		F       [3]uint8
		G       bool
		H       board.HoldKind
		I       board.Quality
		_       [2]uint8
	}{20_000_000, math.MinInt32 + 1, math.MinInt32, -180_000_000_000, math.MaxUint32, [3]uint8{1, 2, 3}, true, board.EmergencyStop, board.QualityFixed, [2]uint8{}})
	assert.Equal(t, []string{"20000000", "-2147483647", "(-2147483647 - 1)", "INT64_C(-180000000000)", "4294967295u", "{1u, 2u, 3u}", "1u", "MERE_EMERGENCY_STOP", "MERE_QUALITY_FIXED", "{0u, 0u}"}, values)
}

// Every member name is that of the C header, in the order of its structs.
func TestMemberNames(t *testing.T) {
	header, err := templates.Files.ReadFile("merestone_guidance.h")
	require.NoError(t, err)
	code := regexp.MustCompile(`(?s)/\*.*?\*/`).ReplaceAllString(string(header), "")
	for _, table := range []any{Conversion{}, Rover{}, Leg{}, Edge{}, FenceCircle{}, Hold{}} {
		pattern := `(?s)typedef struct \{`
		for _, name := range Names(table) {
			if name == "" {
				name = "spare"
			}
			pattern += `\s+u?int\d+_t ` + name + `(\[\d+\])?;`
		}
		assert.True(t, regexp.MustCompile(pattern+`\s*\} mere_\w+_t;`).MatchString(code), "%T", table)
	}
}
