// Nothing is exported that only tests use.
package main

import (
	"go/ast"
	"go/token"
	"go/types"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/go/packages"
)

// keptFor are exported names without a caller in the program, and why they stay.
var keptFor = map[string]string{
	"merestone/internal/guidance.Start":            "the twin of a function of the header",
	"merestone/internal/guidance.Step":             "the twin of a function of the header",
	"merestone/internal/guidance.SetShift":         "the twin of a function of the header",
	"merestone/internal/guidance.ClearShift":       "the twin of a function of the header",
	"merestone/internal/guidance.Remember":         "the twin of a function of the header",
	"merestone/internal/guidance.Recall":           "the twin of a function of the header",
	"merestone/internal/guidance.QualityFromGGA":   "the twin of a function of the header",
	"merestone/internal/guidance.SteerCdeg":        "the twin of a function of the header",
	"merestone/internal/shift.SiteShift":           "what that twin is given",
	"merestone/spec.Reference":                     "prints the table of the README",
	"merestone/internal/board.QualityDifferential": "an enumerator of the header",
	"merestone/internal/export.MarshalXML":         "called by the library that writes KML",
	"merestone/internal/check.All":                 "of Examine the findings alone, which tests of many packages ask for",
}

// byInterface are methods that are called by way of an interface of the library.
var byInterface = map[string]bool{"String": true, "Error": true, "Unwrap": true, "MarshalText": true, "Write": true, "Read": true, "ReadByte": true, "Next": true, "Enumerator": true, "Dimension": true,
	"Len": true, "Less": true, "Swap": true, "Push": true, "Pop": true} // of container/heap

// forTests are packages that no program uses.
func forTests(path string) bool {
	return strings.HasSuffix(path, "/missiontest") || strings.HasSuffix(path, "/tooltest") || strings.HasSuffix(path, "/drivetest") || strings.HasSuffix(path, "/logtest")
}

func TestNothingExportedIsUnused(t *testing.T) {
	loaded, err := packages.Load(&packages.Config{Mode: packages.LoadSyntax | packages.NeedDeps | packages.NeedImports}, "./...")
	require.NoError(t, err)
	used := map[token.Pos]bool{} // by where it is declared
	for _, p := range loaded {
		require.Empty(t, p.Errors)
		for _, o := range p.TypesInfo.Uses {
			if f, ok := o.(*types.Func); ok {
				o = f.Origin()
			}
			used[o.Pos()] = true
		}
	}
	seen := 0
	for _, p := range loaded {
		if p.Name == "main" || forTests(p.PkgPath) {
			continue
		}
		for id, o := range p.TypesInfo.Defs {
			if o == nil || !ast.IsExported(id.Name) || byInterface[id.Name] {
				continue
			}
			f, function := o.(*types.Func)
			method := function && f.Signature().Recv() != nil
			if o.Parent() != p.Types.Scope() && !method {
				continue // a field, or local
			}
			seen++
			name := p.PkgPath + "." + id.Name
			if keptFor[name] == "" {
				assert.True(t, used[o.Pos()], "%s: %s has no caller but tests: delete it, or say in keptFor why it stays", p.Fset.Position(id.Pos()), name)
			}
		}
	}
	assert.Greater(t, seen, 300)
}
