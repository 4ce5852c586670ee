package guidance

// What the C header and the Go twin both say and the vectors cannot compare: the
// limits and the words.

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/templates"
)

func header(t *testing.T) string {
	t.Helper()
	text, err := templates.Files.ReadFile("merestone_guidance.h")
	require.NoError(t, err)
	return string(text)
}

func TestLimitsAgree(t *testing.T) {
	text := header(t)
	numbers := map[string]int{
		"RECORD_FORMAT": RecordFormat, "MAX_HOLDS": board.MaxHolds, "MAX_COORDINATE_MM": board.MaxCoordinateMM,
		"MAX_DOMAIN_MM": MaxDomainMM, "MAX_SHIFT_MM": board.MaxShiftMM, "MAX_ROTATION_Q30": MaxRotationQ30,
		"MAX_SPEED_MM_S": board.MaxSpeedMMPerS, "PUSHED_MM_S": pushedMMPerS, "MAX_COAST_UNIT_MM": maxCoastUnitMM, "REASON_COUNT": reasonCount,
	}
	for _, kind := range board.HoldKinds() {
		numbers[strings.TrimPrefix(kind.Enumerator(), "MERE_")] = int(kind)
	}
	for quality := board.QualityNone; quality <= board.QualityFixed; quality++ {
		numbers["QUALITY_"+strings.ToUpper(quality.String())] = int(quality)
	}
	for name, want := range numbers {
		found := regexp.MustCompile(`MERE_` + name + ` = (\d+)`).FindStringSubmatch(text)
		require.NotNil(t, found, name)
		got, err := strconv.Atoi(found[1])
		require.NoError(t, err)
		assert.Equal(t, want, got, name)
	}
	assert.Contains(t, text, fmt.Sprintf("char mission[%d];", board.MissionNameSize))
	assert.Contains(t, text, fmt.Sprintf("char tool[%d];", board.ToolSize))
}

func TestReasonsAgree(t *testing.T) {
	text := header(t)
	list := regexp.MustCompile(`(?s)texts\[MERE_REASON_COUNT\] = \{\n(.*?)\n    \};`).FindStringSubmatch(text)
	require.NotNil(t, list)
	var words []string
	for _, quoted := range regexp.MustCompile(`"([^"]*)"`).FindAllStringSubmatch(list[1], -1) {
		words = append(words, quoted[1])
	}
	assert.Equal(t, reasonTexts[:], words)
	longest := slices.MaxFunc(words, func(a, b string) int { return len(a) - len(b) })
	assert.Contains(t, text, fmt.Sprintf("of up to %d ASCII characters", len(longest)), longest)
}

// No macro but the include guard, nothing included but the two, no digit separators
// or other things that one of the languages lacks.
func TestHeaderIsPlain(t *testing.T) {
	text := header(t)
	for _, directive := range regexp.MustCompile(`(?m)^[ \t]*#.*$`).FindAllString(text, -1) {
		assert.Regexp(t, `^#(ifndef MERESTONE_GUIDANCE_H|define MERESTONE_GUIDANCE_H|include <std(bool|int)\.h>|ifdef __cplusplus|endif.*)$`, directive)
	}
	assert.NotRegexp(t, `\b(float|double|malloc|goto)\b\s*[(*a-z;]`, regexp.MustCompile(`(?s)/\*.*?\*/`).ReplaceAllString(text, ""))
	for _, line := range regexp.MustCompile(`(?m)^.{131,}$`).FindAllString(text, -1) {
		assert.Fail(t, "line longer than 130 characters", line)
	}
}
