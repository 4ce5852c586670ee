// What is told beside errors of the language is so, and as much as can be told is.
package pipeline

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
	"merestone/internal/source"
	"merestone/internal/yaml"
)

// leaf is a single value of a mission's text.
type leaf struct {
	path           string
	text           string
	line, from, to int // bytes of the line
}

// leavesOf lists the single values of a text.
func leavesOf(t require.TestingT, text string) (all []leaf) {
	document, fault := yaml.Read(text)
	require.Nil(t, fault)
	lines := strings.SplitAfter(text, "\n")
	var walk func(n *yaml.Node, path string)
	walk = func(n *yaml.Node, path string) {
		switch n.Kind {
		case yaml.Mapping:
			for pair := range slices.Chunk(n.Within, 2) {
				walk(pair[1], path+"."+pair[0].Text)
			}
		case yaml.List:
			for i, item := range n.Within {
				walk(item, fmt.Sprintf("%s[%d]", path, i))
			}
		case yaml.Scalar:
			if strings.HasSuffix(path, ".covered") {
				return // in words, whatever they are
			}
			l := leaf{path: strings.TrimPrefix(path, "."), text: n.Text, line: int(n.At.Line) - 1}
			line := []rune(lines[l.line])
			l.from = len(string(line[:n.At.Column-1]))
			l.to = l.from + len(string(line[n.At.Column-1:n.At.Column-1+n.At.Width]))
			all = append(all, l)
		}
	}
	walk(document.Root, "")
	return all
}

// with is a text with other values in place of leaves, as long as these, so that all else
// stays where it is.
func with(text string, values map[leaf]string) string {
	lines := strings.SplitAfter(text, "\n")
	for l, value := range values {
		if missing := l.to - l.from - len(value); missing > 0 {
			value += strings.Repeat(" ", missing)
		}
		lines[l.line] = lines[l.line][:l.from] + value + lines[l.line][l.to:]
	}
	return strings.Join(lines, "")
}

// exchangeable are words of the language that may stand for each other.
var exchangeable = [][]string{
	{"true", "false"}, {"normally-open", "normally-closed"}, {"ground", "supply"}, {"up", "down"}, {"fixed", "float"},
	{"entered", "averaged", "network"}, {"relay", "contact", "semiconductor"}, {"canopy", "roof"}, {"hold-to-run", "emergency-stop", "interlock"},
}

var (
	number  = regexp.MustCompile(`^[0-9]+(\.[0-9]+)?`)
	degrees = regexp.MustCompile(`(latitude|longitude)$`)
)

// other is a value that may stand in the place of a leaf, no longer than it.
func other(l leaf, pick func(n int) int) string {
	for _, words := range exchangeable {
		if slices.Contains(words, l.text) {
			if word := words[pick(len(words))]; len(word) <= l.to-l.from {
				return word
			}
			return l.text
		}
	}
	digits := number.FindString(l.text)
	if digits == "" || strings.HasPrefix(l.path, "site.date") {
		return l.text
	}
	if degrees.MatchString(l.path) { // some metres away
		last := len(l.text) - 4
		return l.text[:last-1] + strconv.Itoa(pick(10)) + l.text[last:]
	}
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return l.text
	}
	_, decimals, _ := strings.Cut(digits, ".")
	for _, factor := range []float64{[]float64{0.1, 0.5, 1.5, 3, 20}[pick(5)], 0.5} {
		if changed := strconv.FormatFloat(value*factor, 'f', len(decimals), 64) + l.text[len(digits):]; len(changed) <= l.to-l.from {
			return changed
		}
	}
	return l.text
}

// broken is what cannot be read in the place of a leaf.
func broken(l leaf) string { return strings.Repeat("(", l.to-l.from) }

// texts are the missions that are broken, with their folders.
func texts(t testing.TB) map[string]string {
	all := map[string]string{}
	for _, pattern := range []string{"../../examples/*/mission.yaml", "../../examples/refused/*/mission.yaml", "../../examples/warned/*/mission.yaml", "../../testdata/every-key/mission.yaml"} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, found)
		for _, path := range found {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			if len(text) < 40_000 && !strings.Contains(path, "spec-") {
				all[path] = string(text)
			}
		}
	}
	return all
}

func loadAt(t require.TestingT, path, text string) Mission {
	s := source.Source{Name: path, Path: path, Text: []byte(text), Open: func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(path), name)) }}
	return Load(s)
}

// later are the findings of plan and check, of all but the notes on what waits.
func later(findings []diag.Finding) (list []diag.Finding) {
	for _, f := range findings {
		if !strings.HasPrefix(string(f.Rule), "spec.") && f.Rule != ruleWaiting {
			list = append(list, f)
		}
	}
	return list
}

// same reports whether a finding was made, too: of the same rule, and about all that it is
// about. Which of several things it names first, and with what others it tells them, may
// hang on those.
func same(f diag.Finding, among []diag.Finding) bool {
	return slices.ContainsFunc(among, func(g diag.Finding) bool {
		if f.Rule != g.Rule {
			return false
		}
		if f.Message() == g.Message() {
			return true
		}
		named := map[[2]string]bool{}
		for _, s := range g.About {
			named[[2]string{string(s.Kind), s.Name}] = true
		}
		return !slices.ContainsFunc(f.About, func(s diag.Subject) bool { return !named[[2]string{string(s.Kind), s.Name}] })
	})
}

// Nothing that is told beside errors of the language is a false alarm: with the errors
// mended, by the values that stood there or by others, it is told again.
func TestNothingIsToldThatIsNotSo(t *testing.T) {
	all := texts(t)
	var paths []string
	leaves := map[string][]leaf{}
	for path, text := range all {
		paths = append(paths, path)
		leaves[path] = leavesOf(t, text)
	}
	slices.Sort(paths)
	told, tried := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		path := rapid.SampledFrom(paths).Draw(r, "mission")
		text := all[path]
		breaks, mends := map[leaf]string{}, map[leaf]string{}
		for range rapid.IntRange(1, 3).Draw(r, "errors") {
			l := rapid.SampledFrom(leaves[path]).Draw(r, "leaf")
			breaks[l] = broken(l)
			mends[l] = other(l, func(n int) int { return rapid.IntRange(0, n-1).Draw(r, "other") })
		}
		bad := loadAt(r, path, with(text, breaks))
		if !slices.ContainsFunc(bad.Findings, func(f diag.Finding) bool { return f.Rule == ruleWaiting }) {
			r.Fatalf("%s: nothing is wrong with %v", path, breaks)
		}
		for _, mended := range []string{text, with(text, mends)} {
			good := loadAt(r, path, mended)
			if slices.ContainsFunc(good.Findings, func(f diag.Finding) bool { return strings.HasPrefix(string(f.Rule), "spec.") }) {
				continue // the other values do not go together
			}
			tried++
			for _, f := range later(bad.Findings) {
				told++
				if !same(f, good.Findings) {
					var names []string
					for l := range breaks {
						names = append(names, l.path+": "+l.text+" / "+mends[l])
					}
					r.Fatalf("%s with %q not known: %v\nand not once that is mended: %v", path, names, f, later(good.Findings))
				}
			}
		}
	})
	t.Logf("%d findings told beside errors, in %d missions", told, tried)
	assert.NotZero(t, told)
}
