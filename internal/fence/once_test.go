// Every ring of a mission is looked through for faults once: a region is only had
// by looking, so it is enough that regions are made in one place, and fences where
// a mission is resolved.
package fence

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// calls counts the calls of a function or method by file, in a folder and those
// within, outside tests: of "planar.NewRegion" by that name, of ".faults" on
// whatever it is called.
func calls(t *testing.T, folder, name string) map[string]int {
	t.Helper()
	count := map[string]int{}
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(filepath.Join(root, folder), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if s, ok := call.Fun.(*ast.SelectorExpr); ok {
				x, _ := s.X.(*ast.Ident)
				if name == "."+s.Sel.Name || x != nil && name == x.Name+"."+s.Sel.Name {
					relative, err := filepath.Rel(root, path)
					require.NoError(t, err)
					count[filepath.ToSlash(relative)]++
				}
			}
			return true
		})
		return nil
	}))
	return count
}

func TestEveryRingIsLookedThroughOnce(t *testing.T) {
	assert.Equal(t, map[string]int{"internal/planar/region.go": 1}, calls(t, "internal/planar", ".faults"), "NewRegion alone looks for faults, and nobody outside planar can")
	assert.Equal(t, map[string]int{
		"internal/fence/fence.go":   1, // New makes those of a mission
		"internal/simplify/ring.go": 1, // of rings that become one
	}, calls(t, ".", "planar.NewRegion"))
	assert.Equal(t, map[string]int{
		"internal/plan/fence.go": 1, // of a mission
		"internal/diff/frame.go": 1, // of one that is moved into the frame of another: other rings
	}, calls(t, ".", "fence.New"))
	assert.Equal(t, map[string]int{"internal/plan/resolve.go": 1}, calls(t, ".", "r.fence"), "once a mission")
}
