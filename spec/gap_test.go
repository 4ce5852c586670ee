// Gaps: each is one finding, at its place, and brings no other.
package spec

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
	"merestone/internal/yaml"
)

// flow writes a tree on one line, with a gap in place of some of its nodes, which are
// numbered as they are written. Gaps within gaps are none.
func flow(n *yaml.Node, number *int, gaps map[int]bool) string {
	*number++
	if gaps[*number] {
		end := *number + nodes(n) - 1
		*number = end
		return Gap
	}
	var parts []string
	switch n.Kind {
	case yaml.Mapping:
		for i := 0; i < len(n.Within); i += 2 {
			parts = append(parts, n.Within[i].Text+": "+flow(n.Within[i+1], number, gaps))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case yaml.List:
		for _, within := range n.Within {
			parts = append(parts, flow(within, number, gaps))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case yaml.Null:
		return ""
	}
	if n.Quoted || strings.ContainsAny(n.Text, ",[]{}#") {
		return `"` + strings.ReplaceAll(n.Text, `"`, `\"`) + `"`
	}
	return n.Text
}

// nodes counts a node and the values within it.
func nodes(n *yaml.Node) int {
	count := 1
	for i, within := range n.Within {
		if n.Kind != yaml.Mapping || i%2 == 1 {
			count += nodes(within)
		}
	}
	return count
}

// complete is the mission with every key, and how it reads with gaps.
func complete(t *testing.T) (root *yaml.Node, parse func(text string) Result) {
	t.Helper()
	text, err := os.ReadFile("testdata/complete/mission.yaml")
	require.NoError(t, err)
	document, fault := yaml.Read(string(text))
	require.Nil(t, fault)
	marks, err := os.ReadFile("testdata/complete/marks.csv")
	require.NoError(t, err)
	return document.Root, func(text string) Result {
		return Parse("mission.yaml", []byte(text), func(string) ([]byte, error) { return marks, nil })
	}
}

// told are the rules of findings, one for each.
func told(findings []diag.Finding) []diag.ID {
	ids := make([]diag.ID, len(findings))
	for i, f := range findings {
		ids[i] = f.Rule
	}
	return ids
}

func TestAGapAnywhereIsOneFinding(t *testing.T) {
	root, parse := complete(t)
	whole := flow(root, new(int), nil)
	require.Empty(t, printed(t, parse(whole)))
	for gap := 2; gap <= nodes(root); gap++ {
		text := flow(root, new(int), map[int]bool{gap: true})
		findings := parse(text).Findings
		require.Equal(t, []diag.ID{ruleGap}, told(findings), "%d: %s", gap, text)
		at := findings[0].At
		assert.Equal(t, strings.Index(text, Gap)+1, len(string([]rune(text)[:at.Column-1]))+1, text)
		assert.Equal(t, len(Gap), at.Width)
		assert.Contains(t, findings[0].Message(), " is to be filled in: ")
		assert.Contains(t, findings[0].Remedy, "write it in place of ___: ")
	}
}

func TestGapsAreEachOneFinding(t *testing.T) {
	root, parse := complete(t)
	rapid.Check(t, func(r *rapid.T) {
		gaps := map[int]bool{}
		for _, gap := range rapid.SliceOfN(rapid.IntRange(2, nodes(root)), 1, 40).Draw(r, "gaps") {
			gaps[gap] = true
		}
		text := flow(root, new(int), gaps)
		want := slices.Repeat([]diag.ID{ruleGap}, strings.Count(text, Gap))
		if got := told(parse(text).Findings); !slices.Equal(want, got) {
			r.Fatalf("%v, want %d gaps\n%s", got, len(want), text)
		}
	})
}

func TestWhatIsAGap(t *testing.T) {
	gaps := func(text string) int {
		count := 0
		for _, id := range told(Parse("mission.yaml", []byte(text), func(string) ([]byte, error) {
			return []byte("name,latitude,longitude\nQ,51,___\n"), nil
		}).Findings) {
			if id == ruleGap {
				count++
			}
		}
		return count
	}
	for written, want := range map[string]int{
		"rover: {width: ___}":            1,
		"rover: {width: ___, length: 1}": 1,
		"rover:\n  width: ___ # a guess": 1,
		"rover: ___":                     1,
		"rover: {width: \"___\"}":        0, // a text
		"rover: {width: __}":             0,
		"rover: {width: _}":              0,
		"rover: {width: ____}":           0,
		"rover: {width: ___ m}":          0,
		"board: {covered: '___'}":        0,
		"board: {covered: ___}":          1,
		"mission: ___":                   1,
		"route: {waypoints: [___, ___]}": 2,
		"geofence: {boundary: ___}":      1,
		"holds: [___]":                   1,
		"rover: {coast: [___]}":          1,
		"rover: {colour: ___}":           0, // no key
		"marks: {P: ___}":                1,
		"marks_file: marks.csv":          1,
		"rover: {width: &gap ___, length: *gap, cross_track: *gap}": 1,
	} {
		assert.Equal(t, want, gaps(written), written)
	}
}

// Of every key that must be written, or that a new mission asks for, what is told of its
// gap is all that a reader needs: no meaning is left empty.
func TestEveryKeySaysWhatItIs(t *testing.T) {
	walk(missionKeys(&Mission{}), "", func(path string, k key) {
		assert.NotEmpty(t, k.meaning, path)
		assert.NotEmpty(t, k.value.due(), path)
	})
}
