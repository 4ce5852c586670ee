// docs/architecture.md is true: its drawing of the packages against `go list`,
// its table of imports, and every file and function that its walks name.
// `go test . -run Architecture -update` rewrites the table.
package main

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const architecturePage = "docs/architecture.md"

// imports are the packages of the module by short name, each with those of the
// module that it imports. Folders with tests alone have no package.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,GoFiles,Imports", "./...").Output()
	require.NoError(t, err)
	short := func(path string) string {
		return strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(path, "merestone"), "/"), "internal/")
	}
	all := map[string][]string{}
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var p struct {
			ImportPath       string
			GoFiles, Imports []string
		}
		require.NoError(t, d.Decode(&p))
		if len(p.GoFiles) == 0 {
			continue
		}
		list := []string{}
		for _, i := range p.Imports {
			if strings.HasPrefix(i, "merestone") {
				list = append(list, short(i))
			}
		}
		name := short(p.ImportPath)
		if name == "" {
			name = "main"
		}
		all[name] = list
	}
	return all
}

// drawing is the rows of the page's drawing, from the top. What stands behind a #
// is said of the row.
func drawing(t *testing.T, page string) [][]string {
	t.Helper()
	_, rest, ok := strings.Cut(page, "<!-- drawing:begin -->\n```\n")
	require.True(t, ok)
	text, _, ok := strings.Cut(rest, "```\n<!-- drawing:end -->")
	require.True(t, ok)
	var rows [][]string
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		names, _, _ := strings.Cut(line, "#")
		rows = append(rows, strings.Fields(names))
	}
	return rows
}

func TestArchitectureDrawing(t *testing.T) {
	page, err := os.ReadFile(architecturePage)
	require.NoError(t, err)
	row := map[string]int{}
	for i, names := range drawing(t, string(page)) {
		for _, name := range names {
			_, twice := row[name]
			assert.False(t, twice, "%s is drawn twice", name)
			row[name] = i
		}
	}
	packages := imports(t)
	for name := range row {
		_, there := packages[name]
		assert.True(t, there, "%s is drawn and is no package", name)
	}
	for name, list := range packages {
		from, drawn := row[name]
		require.True(t, drawn, "the package %s is not drawn", name)
		for _, to := range list {
			assert.Less(t, from, row[to], "%s imports %s, which is not drawn below it", name, to)
		}
	}
}

// What is written, compared or drawn is read from the plan alone: neither from
// the mission file nor by checking again.
func TestEmittersReadOnlyThePlan(t *testing.T) {
	packages := imports(t)
	for _, emitter := range []string{"gen", "diff", "verify", "report", "figures"} {
		require.NotEmpty(t, packages[emitter], emitter)
		assert.NotContains(t, packages[emitter], "spec", emitter)
		assert.NotContains(t, packages[emitter], "check", emitter)
	}
}

func TestArchitectureImports(t *testing.T) {
	page, err := os.ReadFile(architecturePage)
	require.NoError(t, err)
	packages := imports(t)
	table := "| package | imports |\n| --- | --- |\n"
	for _, names := range drawing(t, string(page)) {
		for _, name := range names {
			slices.Sort(packages[name])
			table += fmt.Sprintf("| %s | %s |\n", name, strings.Join(packages[name], ", "))
		}
	}
	want := block(t, string(page), "imports", table)
	if *update {
		require.NoError(t, os.WriteFile(architecturePage, []byte(want), 0o644))
		return
	}
	assert.Equal(t, want, string(page), "go test . -run Architecture -update writes the table")
}

var (
	quoted     = regexp.MustCompile("`([^`\n]+)`")
	fileName   = regexp.MustCompile(`^(internal|spec|gen|templates|docs|examples|testdata)/[\w./*-]+$`)
	identifier = regexp.MustCompile(`^([a-z]+)\.([A-Za-z]\w*)(\.(\w+))?(\(\))?$`)
)

// Every file, and every function, type or method of a package that the documents
// for contributors name, is there.
func TestArchitectureNames(t *testing.T) {
	declared := declarations(t)
	found := 0
	for _, page := range []string{architecturePage, "DEVELOPERS.md", "docs/promises.md", "docs/glossary.md"} {
		text, err := os.ReadFile(page)
		require.NoError(t, err)
		for _, m := range quoted.FindAllStringSubmatch(string(text), -1) {
			name := m[1]
			if fileName.MatchString(name) {
				found++
				matches, err := filepath.Glob(name)
				assert.True(t, err == nil && len(matches) > 0, "%s names the file %s", page, name)
			}
			if id := identifier.FindStringSubmatch(name); id != nil && declared[id[1]] != nil {
				found++
				assert.True(t, declared[id[1]][id[2]], "%s names %s", page, name)
				if id[4] != "" {
					assert.True(t, declared[id[1]][id[4]], "%s names %s", page, name)
				}
			}
		}
	}
	assert.Greater(t, found, 40)
}

// declarations are the names that each package declares, methods and fields
// among them.
func declarations(t *testing.T) map[string]map[string]bool {
	t.Helper()
	all := map[string]map[string]bool{}
	files, err := filepath.Glob("internal/*/*.go")
	require.NoError(t, err)
	for _, pattern := range []string{"spec/*.go", "gen/*.go"} {
		more, err := filepath.Glob(pattern)
		require.NoError(t, err)
		files = append(files, more...)
	}
	for _, file := range files {
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		require.NoError(t, err)
		names := all[f.Name.Name]
		if names == nil {
			names = map[string]bool{}
			all[f.Name.Name] = names
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch d := n.(type) {
			case *ast.FuncDecl:
				names[d.Name.Name] = true
			case *ast.TypeSpec:
				names[d.Name.Name] = true
			case *ast.ValueSpec:
				for _, name := range d.Names {
					names[name.Name] = true
				}
			case *ast.Field:
				for _, name := range d.Names {
					names[name.Name] = true
				}
			}
			return true
		})
	}
	return all
}
