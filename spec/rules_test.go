package spec

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/docs"
	"merestone/internal/diag"
	"merestone/internal/yaml"
)

// Every rule that the code reports is a constant of this package and documented,
// and every constant is one that the code reports.
func TestRulesAreThoseInTheCode(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	chosen := []string{"rule", "ruleMore"}                                                                                                // at run time: the first is ruleNoUnit or ruleBadQuantity, or that of a fault of the notation
	used := map[string]bool{"ruleNoUnit": true, "ruleBadQuantity": true, "ruleMore": true, "ruleAccuracy": true, "ruleExtraColumn": true} // the last two are notes
	declared := map[string]bool{}
	var ids, documented []diag.ID
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, call := range regexp.MustCompile(`\.fail(?:Key)?\(([^,]+),`).FindAllStringSubmatch(string(text), -1) {
			if !slices.Contains(chosen, call[1]) && call[0] != ".fail(rule," {
				used[call[1]] = true
			}
		}
		for _, fault := range regexp.MustCompile(`yaml\.\w+: +(rule\w+)`).FindAllStringSubmatch(string(text), -1) {
			used[fault[1]] = true
		}
		for _, c := range regexp.MustCompile(`\t(rule\w+) +diag\.ID = "(.+)"`).FindAllStringSubmatch(string(text), -1) {
			declared[c[1]] = true
			ids = append(ids, diag.ID(c[2]))
		}
	}
	for _, rule := range Rules() {
		documented = append(documented, rule.ID)
	}
	assert.Equal(t, declared, used)
	assert.Equal(t, ids, documented)
}

// The examples of each page: what is printed of the first breaks the rule, the one
// of what to do does not. They are cut to what matters, so other keys may be
// missing.
func TestExamplesOfThePages(t *testing.T) {
	examples := regexp.MustCompile("(?s)```(yaml|csv)\n(.*?)\n```\n")
	shown := 0
	for _, rule := range Rules() {
		before, after, found := strings.Cut(docs.Page(string(rule.ID)), "\n## What to do\n")
		require.True(t, found, rule.ID)
		for _, wrong := range examples.FindAllStringSubmatch(before, -1) {
			assert.True(t, breaks(rule.ID, wrong[1], wrong[2]), "%s: the wrong example does not break the rule", rule.ID)
			shown++
		}
		for _, right := range examples.FindAllStringSubmatch(after, -1) {
			if rule.ID != ruleMissingKey { // fragments always have missing keys
				assert.False(t, breaks(rule.ID, right[1], right[2]), "%s: the right example breaks the rule", rule.ID)
			}
			shown++
		}
	}
	assert.Equal(t, 2*30, shown)
}

func breaks(rule diag.ID, language, example string) bool {
	mission, marks := example, ""
	if language == "csv" {
		mission, marks = "marks_file: marks.csv", example
	}
	result := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(marks), nil })
	return slices.Contains(rulesOf(result.Findings), rule)
}

// The limits that the pages name are those of the code.
func TestLimitsOnThePages(t *testing.T) {
	for rule, limits := range map[diag.ID][]string{
		ruleTooLarge: {
			fmt.Sprintf("A mission file has at most %d MiB, a marks_file at most %d MiB", MaxFileBytes>>20, MaxMarksFileBytes>>20),
			fmt.Sprintf("more than %d keys and values", yaml.MaxNodes),
		},
		ruleTooDeep:        {fmt.Sprintf("More than %d levels", yaml.MaxDepth)},
		ruleTooManyAliases: {fmt.Sprintf("More than %d aliases", maxAliases), fmt.Sprintf("more than %d keys", maxAliasedNodes)},
		ruleBadName:        {fmt.Sprintf("at most %d characters", maxName), fmt.Sprintf("letter and has at most %d.", maxMissionName)},
		ruleTooManyMarks:   {fmt.Sprintf("at most %d marks", maxMarks)},
		ruleBadCSV:         {fmt.Sprintf("at most %d bytes, and no more than %d fields", maxMarksLine, maxMarksFields)},
		ruleMore:           {fmt.Sprintf("The first %d errors of a mission file and the first %d of a marks_file", maxFindings, maxMarksFindings)},
	} {
		page := strings.Join(strings.Fields(docs.Page(string(rule))), " ")
		for _, limit := range limits {
			assert.Contains(t, page, limit, rule)
		}
	}
}

// Every rule is broken by a case or a test of limits.
func TestEveryRuleHasACase(t *testing.T) {
	shown := map[diag.ID]bool{ruleTooLarge: true, ruleTooManyMarks: true} // limits_test.go
	for _, folder := range folders(t, "testdata/cases/*") {
		for _, id := range rulesOf(parseFolder(t, folder).Findings) {
			shown[id] = true
		}
	}
	for _, rule := range Rules() {
		assert.Truef(t, shown[rule.ID], "no case for %s", rule.ID)
	}
}
