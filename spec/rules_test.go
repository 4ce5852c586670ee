package spec

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

// Every rule that the code reports is a constant of this package and documented,
// and every constant is one that the code reports.
func TestPagesAreOfTheRulesInTheCode(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	chosen := []string{"rule", "ruleMore"} // at run time: the first is ruleNoUnit or ruleBadQuantity
	used := map[string]bool{"ruleNoUnit": true, "ruleBadQuantity": true, "ruleMore": true}
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
		for _, c := range regexp.MustCompile(`\t(rule\w+) +diag\.ID = "(.+)"`).FindAllStringSubmatch(string(text), -1) {
			declared[c[1]] = true
			ids = append(ids, diag.ID(c[2]))
		}
	}
	for _, p := range pages() {
		documented = append(documented, p.id)
	}
	assert.Equal(t, declared, used)
	assert.Equal(t, ids, documented)
}

// The examples of each page: the wrong one breaks the rule, the right one does
// not. They are cut to what matters, so other keys may be missing.
func TestExamplesOfThePages(t *testing.T) {
	for _, p := range pages() {
		t.Run(string(p.id), func(t *testing.T) {
			assert.NotEmpty(t, p.title)
			assert.NotEmpty(t, p.what)
			assert.NotEmpty(t, p.why)
			if p.wrong != "" {
				assert.True(t, breaks(p, p.wrong), "the wrong example does not break the rule")
			}
			if p.right != "" && p.id != ruleMissingKey { // fragments always have missing keys
				assert.False(t, breaks(p, p.right), "the right example breaks the rule")
			}
		})
	}
}

func breaks(p page, example string) bool {
	mission, marks := example, ""
	if p.csv {
		mission, marks = "marks_file: marks.csv", example
	}
	result := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(marks), nil })
	for _, id := range rulesOf(result.Findings) {
		if id == p.id {
			return true
		}
	}
	return false
}

// Every rule is broken by a case or a test of limits.
func TestEveryRuleHasACase(t *testing.T) {
	shown := map[diag.ID]bool{ruleTooLarge: true, ruleTooManyMarks: true} // limits_test.go
	for _, folder := range folders(t, "testdata/cases/*") {
		for _, id := range rulesOf(parseFolder(t, folder).Findings) {
			shown[id] = true
		}
	}
	for _, p := range pages() {
		assert.Truef(t, shown[p.id], "no case for %s", p.id)
	}
}

func TestPagesAreMarkdown(t *testing.T) {
	for _, rule := range Rules() {
		assert.True(t, strings.HasPrefix(rule.Help, "# "+string(rule.ID)+"\n\n"), rule.ID)
		assert.NotContains(t, rule.Title, "\n")
		assert.Zero(t, strings.Count(rule.Help, "```")%2, rule.ID)
	}
}
