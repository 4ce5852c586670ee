// Marks that are measured from others, as they are written: the keys of one form, all of
// them, and one finding for what is wrong with that.
package spec

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

// withMarks is the small mission, whose marks are A, B and F1 to F4, with more lines
// under marks and before route.
func withMarks(t *testing.T, marks, blocks string) Result {
	t.Helper()
	text := strings.Replace(small(t), "marks:\n", "marks:\n"+marks, 1)
	text = strings.Replace(text, "route:\n", blocks+"route:\n", 1)
	return Parse("mission.yaml", []byte(text), nil)
}

func TestFormsOfAMark(t *testing.T) {
	const ray = "bearing_uncertainty: 1 deg, distance: 3 m, distance_uncertainty: 2 cm"
	const tapes = "tapes: [{from: A, distance: 3 m, uncertainty: 1 cm}, {from: B, distance: 3 m, uncertainty: 1 cm}]"
	for _, c := range []struct {
		keys string
		form Form
		rule diag.ID // of the only finding
		says string
	}{
		{"latitude: 45.3012, longitude: 6.1234", Surveyed, "", ""},
		{"east: 1 m, north: 2 m, uncertainty: 1 cm, setup: may", InFrame, "", ""},
		{"from: A, east: 1 m, north: 2 m, uncertainty: 1 cm, height: 400 m", Step, "", ""},
		{"from: A, bearing: 30 deg, " + ray, Ray, "", ""},
		{"from: A, magnetic_bearing: 30 deg, date: 2026-05-01, " + ray, Ray, "", ""},
		{tapes + ", side: left", Tapes, "", ""},
		{"from: A, towards: B, chainage: 0 m, uncertainty: 1 cm", Beside, "", ""},
		{"from: A, towards: B, chainage: -2 m, right: -1 m, uncertainty: 1 cm", Beside, "", ""},

		{"height: 400 m", 0, ruleMissingKey, "the mark P has no place"},
		{"from: A", 0, ruleMissingKey, "the mark P has no place"},
		{"latitude: 45.3012", 0, ruleMissingKey, "is given by latitude and longitude and has no longitude"},
		{"east: 1 m, uncertainty: 1 cm", 0, ruleMissingKey, "is given by east and north and has no north"},
		{"from: A, east: 1 m, north: 1 m", 0, ruleMissingKey, "has no uncertainty"},
		{"bearing: 30 deg", 0, ruleMissingKey, "has no from, bearing_uncertainty, distance and distance_uncertainty"},
		{"from: A, " + ray, 0, ruleMissingKey, "is given by a bearing and a distance and has no bearing"},
		{tapes, 0, ruleMissingKey, "is given by tapes and has no side"},
		{"from: A, towards: B, uncertainty: 1 cm", 0, ruleMissingKey, "is given by chainage along a line and has no chainage"},

		{"latitude: 45.3012, longitude: 6.1234, east: 1 m, north: 1 m", 0, ruleEitherOr, "is given by latitude and longitude and by east and north"},
		{"from: A, bearing: 30 deg, magnetic_bearing: 30 deg, " + ray, 0, ruleEitherOr, "by a bearing and a distance and by a magnetic bearing and a distance"},
		{tapes + ", side: left, chainage: 3 m", 0, ruleEitherOr, "by tapes and by chainage along a line"},

		{"latitude: 45.3012, longitude: 6.1234, distance: 3 m", 0, ruleUnknownKey, "with no use for distance"},
		{"from: A, bearing: 30 deg, date: 2026-05-01, " + ray, 0, ruleUnknownKey, "with no use for date"},
		{"from: A, east: 1 m, north: 1 m, uncertainty: 1 cm, setup: may, same_as: B", 0, ruleUnknownKey, "with no use for setup and same_as"},
		{tapes + ", side: left, uncertainty: 1 cm", 0, ruleUnknownKey, "with no use for uncertainty"},

		{"from: A, towards: A, chainage: 1 m, uncertainty: 1 cm", 0, ruleSameMark, "the line runs from"},
		{"tapes: [{from: A, distance: 3 m, uncertainty: 1 cm}, {from: A, distance: 4 m, uncertainty: 1 cm}], side: left", 0, ruleSameMark, "the first two tapes"},
		{"tapes: [{from: A, distance: 3 m, uncertainty: 1 cm}], side: left", 0, ruleOutOfRange, "has 1 entry; it must have from 2 to 12"},
		{"from: NOBODY, east: 1 m, north: 1 m, uncertainty: 1 cm", 0, ruleUnknownMark, "NOBODY"},
		{"east: 1 m, north: 2, uncertainty: 1 cm", 0, ruleNoUnit, "marks.P.north"}, // and nothing that follows
	} {
		r := withMarks(t, "  P: {"+c.keys+"}\n", "")
		if c.rule == "" {
			require.Empty(t, r.Findings, c.keys)
			assert.Equal(t, c.form, r.Mission.Marks[0].Form(), c.keys)
			continue
		}
		require.Len(t, r.Findings, 1, "%s: %v", c.keys, r.Findings)
		assert.Equal(t, c.rule, r.Findings[0].Rule, c.keys)
		assert.Contains(t, r.Findings[0].Message(), c.says, c.keys)
	}
}

func TestRowsAndRingsGiveMarks(t *testing.T) {
	const blocks = `rows:
  - {name: T, count: 3, from: A, towards: B, first: 2 m, step: 4 m, right: -1 m, uncertainty: 3 cm}
rings:
  - {name: Q, from: A, towards: B, widths: [2 m, 3 m], side: left, uncertainty: 2 cm}
  - {name: R, from: A, towards: B, chainage: 1 m, right: 5 m, length: 4 m, widths: [2 m], side: right, uncertainty: 2 cm}
`
	r := withMarks(t, "", blocks)
	require.Empty(t, r.Findings)
	var got []string
	for _, m := range r.Mission.Marks[6:] {
		assert.Equal(t, Beside, m.Form())
		by := m.Measured
		got = append(got, fmt.Sprintf("%s %s %s-%s %v %v %v", m.Path, m.Name, by.From, by.Towards, by.Chainage, by.Right, m.Uncertainty))
	}
	assert.Equal(t, []string{
		"rows[0] T1 A-B 2 m -1 m 0.03 m", "rows[0] T2 A-B 6 m -1 m 0.03 m", "rows[0] T3 A-B 10 m -1 m 0.03 m",
		"rings[0] Q1 A-B 0 m 0 m 0.02 m", "rings[0] Q2 B-A 0 m 0 m 0.02 m", "rings[0] Q3 B-A 0 m 3 m 0.02 m", "rings[0] Q4 A-B 0 m -2 m 0.02 m",
		"rings[1] R1 A-B 1 m 5 m 0.02 m", "rings[1] R2 A-B 5 m 5 m 0.02 m", "rings[1] R3 A-B 5 m 7 m 0.02 m", "rings[1] R4 A-B 1 m 7 m 0.02 m",
	}, got)
	assert.Equal(t, r.Mission.Where("rows[0].name"), r.Mission.Where("rows[0]"), "marks of a row are pointed to by its name")
}

// What is wrong with a row is told once, whatever uses its marks.
func TestRowsThatAreWrong(t *testing.T) {
	for line, rule := range map[string]diag.ID{
		"{name: T, count: 3, from: A, towards: A, first: 2 m, step: 4 m, uncertainty: 3 cm}":                               ruleSameMark,
		"{name: T, count: 3, from: NOBODY, towards: A, first: 2 m, step: 4 m, uncertainty: 3 cm}":                          ruleUnknownMark,
		"{name: T, count: 0, from: B, towards: A, first: 2 m, step: 4 m, uncertainty: 3 cm}":                               ruleOutOfRange,
		"{name: T*, count: 3, from: B, towards: A, first: 2 m, step: 4 m, uncertainty: 3 cm}":                              ruleBadName,
		"{name: F, count: 1, from: B, towards: A, first: 2 m, step: 4 m, uncertainty: 3 cm}":                               ruleDuplicateMark, // F1 is there
		"{name: " + strings.Repeat("x", 40) + ", count: 1, from: B, towards: A, first: 2 m, step: 4 m, uncertainty: 3 cm}": ruleBadName,       // x...1 is too long
		"{name: T, count: 3, from: B, towards: A, first: 2 m, step: 0 m, uncertainty: 3 cm}":                               ruleOutOfRange,
	} {
		r := withMarks(t, "  P: {from: T1, east: 1 m, north: 1 m, uncertainty: 1 cm}\n  O: {from: F1, east: 1 m, north: 1 m, uncertainty: 1 cm}\n", "rows:\n  - "+line+"\n")
		rules := map[diag.ID]int{}
		for _, f := range r.Findings {
			if f.Rule == ruleUnknownMark && strings.Contains(f.Message(), `"T1"`) && (strings.Contains(line, "name: F") || strings.Contains(line, "xxx")) {
				continue // there is no T1 then
			}
			rules[f.Rule]++
		}
		assert.Equal(t, map[diag.ID]int{rule: 1}, rules, "%s: %v", line, r.Findings)
	}
	many := "rows:\n"
	for i := range 11 {
		many += fmt.Sprintf("  - {name: R%d-, count: 10000, from: A, towards: B, first: 0 m, step: 1 mm, uncertainty: 1 cm}\n", i)
	}
	r := withMarks(t, "", many)
	require.Len(t, r.Findings, 1)
	assert.Equal(t, ruleTooManyMarks, r.Findings[0].Rule)
}

// A mark that is measured ties no set-ups, and a marks_file has none: of a table with a
// column for it that is told, as of any column that is not read.
func TestMeasuredMarksAreNoSurveyedOnes(t *testing.T) {
	r := withMarks(t, "  P: {from: A, east: 1 m, north: 1 m, uncertainty: 1 cm}\n  Q: {latitude: 45.3012, longitude: 6.1234, setup: june, same_as: P}\n", "")
	require.Len(t, r.Findings, 1)
	assert.Contains(t, r.Findings[0].Message(), "which is measured from others: it ties no set-ups")

	text := strings.Replace(small(t), "route:\n", "marks_file: marks.csv\nroute:\n", 1)
	r = Parse("mission.yaml", []byte(text), func(string) ([]byte, error) { return []byte("name,latitude,longitude,from\nP,45.3,6.1,A\n"), nil })
	require.Len(t, r.Findings, 1)
	assert.Equal(t, ruleExtraColumn, r.Findings[0].Rule)
	assert.Contains(t, r.Findings[0].Message(), `"from"`)
}
