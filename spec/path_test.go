package spec

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

const onePart = "{name: motor driver, kind: semiconductor, opened_by: [drive_enable], off_delay: 20 ms}"

// withPath is a small good mission with another path to the motors.
func withPath(t *testing.T, parts string) []diag.ID {
	t.Helper()
	text, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(t, err)
	require.Equal(t, 1, strings.Count(string(text), onePart))
	return rulesOf(Parse("mission.yaml", []byte(strings.Replace(string(text), onePart, parts, 1)), nil).Findings)
}

func TestPartsAndTextsAtTheirLimits(t *testing.T) {
	parts := func(n int) string {
		list := []string{onePart}
		for i := 1; i < n; i++ {
			list = append(list, strings.Replace(onePart, "motor driver", fmt.Sprintf("part %d", i), 1))
		}
		return strings.Join(list, ", ")
	}
	covered := func(text string) string {
		return strings.Replace(onePart, "}", ", covered: \""+text+"\"}", 1)
	}
	for _, c := range []struct {
		name, parts string
		want        []diag.ID
	}{
		{"as many parts as there may be", parts(maxParts), nil},
		{"one more", parts(maxParts + 1), []diag.ID{ruleOutOfRange}},
		{"the longest text", covered(strings.Repeat("x", maxText)), nil},
		{"one character more", covered(strings.Repeat("x", maxText+1)), []diag.ID{ruleBadName}},
		{"every plain character", covered(" !#$%&'()*+,-./0123456789:;<=>?@ABYZ[]^_`abyz{|}~ "), nil},
		{"a comment that begins", covered("a /* b"), []diag.ID{ruleBadName}},
		{"a comment that ends", covered("a */ b"), []diag.ID{ruleBadName}},
		{"a line that goes on", covered(`a \\`), []diag.ID{ruleBadName}},
		{"the same as a trigraph", covered("a ??/ b"), []diag.ID{ruleBadName}},
		{"nothing but spaces", covered("  "), []diag.ID{ruleBadName}},
		{"a tab", covered(`a\tb`), []diag.ID{ruleBadName}},
	} {
		assert.Equal(t, c.want, withPath(t, c.parts), c.name)
	}
}

// What opens a part is asked where all else of it can be read, and only there.
func TestWhatOpensAPart(t *testing.T) {
	for _, c := range []struct {
		parts string
		want  []diag.ID
	}{
		{"{name: a, kind: relay, opened_by: [drive_enable, thumb switch], off_delay: 0 s, coil_diode: false}", nil},
		{"{name: a, kind: relay, opened_by: [thumb switch], off_delay: 0 s, coil_diode: false}", []diag.ID{ruleMissingKey}},
		{"{name: a, kind: semiconductor, opened_by: [drive_enable, thumb switch], off_delay: 0 s, pulled_off: true}", nil},
		{"{name: a, kind: semiconductor, opened_by: [drive_enable, thumb switch], off_delay: 0 s, pulled_off: false}", []diag.ID{ruleMissingKey}},
		{"{name: a, kind: semiconductor, opened_by: [drive_enable, thumb switch], off_delay: 0 s}", []diag.ID{ruleMissingKey}},
		{"{name: a, kind: contact, opened_by: [thumb switch], off_delay: 0 s}, " + onePart, nil},
		{"{name: a, kind: contact, opened_by: [watchdog], off_delay: 0 s}, " + onePart, []diag.ID{ruleUnknownWord}},
		{"{name: a, kind: relay, opened_by: [watchdog], off_delay: 0 s, coil_diode: true}, " + onePart, []diag.ID{ruleMissingKey}},
		{"{name: a, kind: relay, opened_by: [drive_enable, drive_enable], off_delay: 0 s, coil_diode: true}", []diag.ID{ruleListedTwice}},
		{"{name: a, kind: rely, opened_by: [drive_enable], off_delay: 0 s}", []diag.ID{ruleUnknownWord}},
		{"{name: a, kind: relay, opened_by: drive_enable, off_delay: 0 s, coil_diode: true}", []diag.ID{ruleWrongType}},
		{"{name: a, kind: relay, opened_by: [[drive_enable]], off_delay: 0 s, coil_diode: true}", []diag.ID{ruleWrongType}},
		{"drive_enable", []diag.ID{ruleWrongType}},
	} {
		assert.Equal(t, c.want, withPath(t, c.parts), c.parts)
	}
}
