// The page of limits is right: each number is that of its constant, and each test that
// it names exists.
package main

import (
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/go/packages"
)

// limitOf reads a number of the page: 65,000 or 4 MiB.
func limitOf(t *testing.T, text string) int64 {
	t.Helper()
	number, unit, _ := strings.Cut(text, " ")
	n, err := strconv.ParseInt(strings.ReplaceAll(number, ",", ""), 10, 64)
	require.NoError(t, err)
	shift, known := map[string]int{"": 0, "KiB": 10, "MiB": 20}[unit]
	require.True(t, known, text)
	return n << shift
}

func TestLimitsPage(t *testing.T) {
	page, err := os.ReadFile("docs/limits.md")
	require.NoError(t, err)

	loaded, err := packages.Load(&packages.Config{Mode: packages.LoadSyntax}, "./...")
	require.NoError(t, err)
	constants := map[string]int64{}
	for _, p := range loaded {
		for _, name := range p.Types.Scope().Names() {
			if c, ok := p.Types.Scope().Lookup(name).(*types.Const); ok && c.Val().Kind() == constant.Int {
				constants[p.Name+"."+name], _ = constant.Int64Val(c.Val())
			}
		}
	}
	rows := 0
	named := map[string]bool{}
	for _, m := range regexp.MustCompile("(?m)^\\| ([^|]+) \\| ([0-9][^|]*) \\| `([^`]+)` \\|").FindAllStringSubmatch(string(page), -1) {
		rows++
		value, there := constants[m[3]]
		assert.True(t, there, "%s: there is no constant %s", m[1], m[3])
		assert.Equal(t, value, limitOf(t, m[2]), "%s: %s", m[1], m[3])
		named[m[3]] = true
	}
	table, _, _ := strings.Cut(string(page), "\n## ")
	assert.Equal(t, strings.Count(table, "\n| ")-2, rows, "every row has a number and a constant")

	rules := rulesNamed(t)
	for _, m := range regexp.MustCompile("`(spec\\.[a-z-]+)`").FindAllStringSubmatch(table, -1) {
		assert.True(t, rules[m[1]], "there is no rule %s", m[1])
	}

	// Every limit beside one on the page is there, too.
	for _, file := range []string{"spec/parse.go", "spec/marksfile.go", "internal/shift/read.go", "internal/cli/verify.go", "internal/verify/memory.go", "internal/verify/elf.go", "internal/verify/hex.go", "internal/verify/ctext.go"} {
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range parsed.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				continue
			}
			for _, s := range g.Specs {
				for _, id := range s.(*ast.ValueSpec).Names {
					if strings.HasPrefix(strings.ToLower(id.Name), "max") && id.Name != "maxHeaderEntry" {
						assert.True(t, named[parsed.Name.Name+"."+id.Name], "%s: %s is not on the page of limits", file, id.Name)
					}
				}
			}
		}
	}

	tests := map[string]bool{}
	for _, file := range goFiles(t, true) {
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range parsed.Decls {
			if f, ok := d.(*ast.FuncDecl); ok {
				tests[strings.TrimSuffix(parsed.Name.Name, "_test")+" "+f.Name.Name] = true
			}
		}
	}
	found := regexp.MustCompile("`([a-z]+ Test[A-Za-z]+)`").FindAllStringSubmatch(string(page), -1)
	assert.Greater(t, len(found), rows)
	for _, m := range found {
		assert.True(t, tests[m[1]], "there is no %s", m[1])
	}
}

// rulesNamed are the names in the list of rules.
func rulesNamed(t *testing.T) map[string]bool {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), "spec/rules.go", nil, parser.SkipObjectResolution)
	require.NoError(t, err)
	found := map[string]bool{}
	ast.Inspect(parsed, func(n ast.Node) bool {
		if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
			found[strings.Trim(l.Value, "\"")] = true
		}
		return true
	})
	return found
}
