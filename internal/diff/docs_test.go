package diff

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/figures"
)

var update = flag.Bool("update", false, "write the table of docs/versions.md")

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
	before, rest, ok := strings.Cut(string(page), "| quantity | more of it |")
	require.True(t, ok)
	_, after, ok := strings.Cut(rest, "\n\n")
	require.True(t, ok)
	want := before + table.String() + "\n" + after
	if *update {
		require.NoError(t, os.WriteFile(docsPage, []byte(want), 0o644))
		return
	}
	assert.Equal(t, want, string(page), "go test ./internal/diff -update writes the table")
}

// What docs/versions.md shows for git is what the scripts try with real git.
func TestTheLinesForGitInTheDocumentation(t *testing.T) {
	page, err := os.ReadFile(docsPage)
	require.NoError(t, err)
	script, err := txtar.ParseFile("../../testdata/script/diff-driver.txtar")
	require.NoError(t, err)
	require.Len(t, script.Files, 2) // the script takes the others from the page
	for _, f := range script.Files {
		assert.Contains(t, string(page), "\n"+string(f.Data)+"```\n", f.Name)
	}
}

// The report that docs/versions.md shows is one that a script wants of the program.
func TestTheReportInTheDocumentation(t *testing.T) {
	page, err := os.ReadFile(docsPage)
	require.NoError(t, err)
	script, err := txtar.ParseFile("../../testdata/script/diff-history.txtar")
	require.NoError(t, err)
	shown := 0
	for _, f := range script.Files {
		if f.Name == "three.txt" {
			assert.Contains(t, string(page), "\n```text\n"+string(f.Data)+"```\n")
			shown++
		}
	}
	assert.Equal(t, 1, shown)
}

// Every name that the code judges by is in the table: one that is not would
// count as loosening, and a test of that direction would not see it.
func TestEveryNameJudgedIsInTheTable(t *testing.T) {
	b := newBuilder(nil, nil)
	assert.Equal(t, Loosens, b.judge("no such name", 1, 1))
	files, err := os.ReadDir(".")
	require.NoError(t, err)
	used, figure := map[string]bool{}, map[string]bool{}
	for _, b := range figures.Blocks() {
		for _, f := range b.Figures {
			figure[f.Key] = true // compared by the list
		}
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") || f.Name() == "direction.go" {
			continue
		}
		text, err := os.ReadFile(f.Name())
		require.NoError(t, err)
		for _, d := range directions() {
			if figure[d.name] || strings.Contains(string(text), `"`+d.name+`"`) {
				used[d.name] = true
			}
		}
		for _, call := range []string{`b.judge("`, `judged(b, "`, `b.appears("`, `b.onOneSide("`} {
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
