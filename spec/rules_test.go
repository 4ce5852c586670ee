package spec

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every rule that the code reports is documented, and every page is of a rule
// that the code reports.
func TestPagesAreOfTheRulesInTheCode(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	used := map[string]bool{"no-unit": true, "bad-quantity": true, "more": true} // chosen at run time
	reported := regexp.MustCompile(`\bfail\("([a-z-]+)"`)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, match := range reported.FindAllStringSubmatch(string(text), -1) {
			used[match[1]] = true
		}
	}
	documented := map[string]bool{}
	for _, p := range pages() {
		assert.Falsef(t, documented[p.id], "two pages for %s", p.id)
		documented[p.id] = true
	}
	assert.Equal(t, used, documented)
}

// The examples of each page: the wrong one breaks the rule, the right one does
// not. They are cut to what matters, so other keys may be missing.
func TestExamplesOfThePages(t *testing.T) {
	for _, p := range pages() {
		t.Run(p.id, func(t *testing.T) {
			assert.NotEmpty(t, p.title)
			assert.NotEmpty(t, p.what)
			assert.NotEmpty(t, p.why)
			if p.wrong != "" {
				assert.True(t, breaks(p, p.wrong), "the wrong example does not break the rule")
			}
			if p.right != "" && p.id != "missing-key" { // fragments always have missing keys
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
		if id == "spec."+p.id {
			return true
		}
	}
	return false
}

// Every rule is broken by a case or a test of limits.
func TestEveryRuleHasACase(t *testing.T) {
	shown := map[string]bool{"too-large": true, "too-many-marks": true} // limits_test.go
	for _, folder := range folders(t, "testdata/cases/*") {
		for _, id := range rulesOf(parseFolder(t, folder).Findings) {
			shown[strings.TrimPrefix(id, "spec.")] = true
		}
	}
	for _, p := range pages() {
		assert.Truef(t, shown[p.id], "no case for %s", p.id)
	}
}

func TestPagesAreMarkdown(t *testing.T) {
	for _, rule := range Rules() {
		assert.True(t, strings.HasPrefix(rule.Help, "# "+rule.ID+"\n\n"), rule.ID)
		assert.NotContains(t, rule.Title, "\n")
		assert.Zero(t, strings.Count(rule.Help, "```")%2, rule.ID)
	}
}
