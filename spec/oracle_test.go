// The tree that missions are read from, against a second YAML library of other
// authors (go.yaml.in/yaml/v3, from libyaml): the same keys, the same texts, at
// the same lines and columns.
package spec

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	other "go.yaml.in/yaml/v3"

	"merestone/internal/diag"
)

// difference compares a node with that of the other library, and says where they
// first differ.
func difference(n *node, o *other.Node, path string) string {
	for o.Kind == other.AliasNode {
		o = o.Alias
	}
	got, want := "", ""
	switch o.Kind {
	case other.ScalarNode:
		if o.Tag == "!!null" && n.kind == nullKind {
			return ""
		}
		got = fmt.Sprintf("%q at %d:%d", n.text, n.at.Line, n.at.Column)
		want = fmt.Sprintf("%q at %d:%d", o.Value, o.Line, o.Column)
		if n.kind != scalarKind {
			got = n.what()
		}
	case other.SequenceNode:
		got, want = fmt.Sprintf("%d entries", len(n.items)), fmt.Sprintf("%d entries", len(o.Content))
	case other.MappingNode:
		got, want = fmt.Sprintf("%d keys", len(n.entries)), fmt.Sprintf("%d keys", len(o.Content)/2)
	}
	if got != want {
		return fmt.Sprintf("%s: %s, and by the other library %s", path, got, want)
	}
	for i, item := range n.items {
		if found := difference(item, o.Content[i], fmt.Sprintf("%s[%d]", path, i)); found != "" {
			return found
		}
	}
	for i, e := range n.entries {
		if found := difference(e.key, o.Content[2*i], path+" key"); found != "" {
			return found
		}
		if found := difference(e.value, o.Content[2*i+1], join(path, e.key.text)); found != "" {
			return found
		}
	}
	return ""
}

// readTwice reads a text with both libraries.
func readTwice(t *testing.T, text []byte) (ours *node, theirs *other.Node) {
	d := &decoder{file: "mission.yaml", sources: diag.Sources{}, places: Places{}}
	text, ok := d.source(text)
	require.True(t, ok)
	ours, ok = d.tree(string(text))
	require.True(t, ok)
	var document other.Node
	require.NoError(t, other.Unmarshal(text, &document), "the other library refuses the text")
	return ours, document.Content[0]
}

func TestTreeAgainstAnotherLibrary(t *testing.T) {
	var files []string
	for _, pattern := range []string{"testdata/complete", "testdata/cases/*", "../examples/*", "../examples/*/*"} {
		found, err := filepath.Glob(filepath.Join(pattern, "mission.yaml"))
		require.NoError(t, err)
		require.NotEmpty(t, found)
		files = append(files, found...)
	}
	compared := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		structural := false
		for _, id := range rulesOf(Parse("mission.yaml", text, within(filepath.Dir(file))).Findings) {
			switch id {
			case "spec.yaml-syntax", "spec.not-text", "spec.empty-file", "spec.tab-indent", "spec.several-documents", "spec.too-deep",
				"spec.too-many-aliases", "spec.unknown-anchor", "spec.duplicate-key", "spec.tag":
				structural = true
			}
		}
		if structural || bytes.Contains(text, []byte("<<:")) { // merge keys are resolved in our tree and not in theirs
			continue
		}
		compared++
		ours, theirs := readTwice(t, text)
		assert.Empty(t, difference(ours, theirs, ""), file)
	}
	assert.Greater(t, compared, 60)
}
