package diff

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const docsPage = "../../docs/versions.md"

// docs/versions.md prints the table of directions.
func TestTheTableInTheDocumentation(t *testing.T) {
	var table strings.Builder
	table.WriteString("| quantity | more of it | why |\n| --- | --- | --- |\n")
	seen := map[string]bool{}
	for _, d := range directions() {
		assert.False(t, seen[d.name], "%s twice", d.name)
		seen[d.name] = true
		fmt.Fprintf(&table, "| `%s` | %v | %s |\n", d.name, d.more, d.why)
	}
	page, err := os.ReadFile(docsPage)
	require.NoError(t, err)
	assert.True(t, strings.Contains(string(page), table.String()), "the table of %s is to be\n%s", docsPage, table.String())
}

// What docs/versions.md shows for git is what the scripts try with real git.
func TestTheLinesForGitInTheDocumentation(t *testing.T) {
	page, err := os.ReadFile(docsPage)
	require.NoError(t, err)
	script, err := txtar.ParseFile("../../testdata/script/diff-driver.txtar")
	require.NoError(t, err)
	require.Len(t, script.Files, 4)
	for _, f := range script.Files {
		assert.Contains(t, string(page), "\n"+string(f.Data)+"```\n", f.Name)
	}
}

// Every name that the code judges by is in the table: one that is not would
// count as loosening, and a test of that direction would not see it.
func TestEveryNameJudgedIsInTheTable(t *testing.T) {
	b := newBuilder(nil, nil)
	assert.Equal(t, Loosens, b.judge("no such name", 1, 1))
	files, err := os.ReadDir(".")
	require.NoError(t, err)
	used := map[string]bool{}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") || f.Name() == "direction.go" {
			continue
		}
		text, err := os.ReadFile(f.Name())
		require.NoError(t, err)
		for _, d := range directions() {
			if strings.Contains(string(text), `"`+d.name+`"`) {
				used[d.name] = true
			}
		}
		for _, call := range []string{`b.judge("`, `b.appears("`, `input{"`} {
			for _, rest := range strings.Split(string(text), call)[1:] {
				name, _, _ := strings.Cut(rest, `"`)
				_, ok := b.more[name]
				assert.True(t, ok, "%s in %s", name, f.Name())
			}
		}
	}
	for _, d := range directions() {
		assert.True(t, used[d.name], "%s is in the table and nowhere else", d.name)
	}
}
