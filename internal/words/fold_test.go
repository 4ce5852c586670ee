package words_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/words"
)

func TestFold(t *testing.T) {
	for _, c := range []struct {
		name    string
		columns int
		line    string
		want    []string
	}{
		{"what fits", 10, "0123456789", []string{"0123456789"}},
		{"nothing", 10, "", []string{""}},
		{"at a space, set in", 12, "leg A–B ends here", []string{"leg A–B ends", "    here"}},
		{"an indent stays, and four more", 14, "  do: move it further", []string{"  do: move it", "      further"}},
		{"under the last column", 20, "LOOSENS  leg A is shorter now", []string{"LOOSENS  leg A is", "         shorter now"}},
		{"under the second of two columns", 40, "a.rule  note  the coast was measured at the speeds", []string{"a.rule  note  the coast was measured at", "              the speeds"}},
		{"a gap too far on is none to stand under", 20, "one two three four  five six", []string{"one two three four", "    five six"}},
		{"a path stays whole", 10, "see a/very/long/path.yaml: it", []string{"see", "    a/very/long/path.yaml:", "    it"}},
		{"a number keeps its unit", 12, "it needs 1.2 m more", []string{"it needs", "    1.2 m", "    more"}},
		{"a unit with what ends a sentence", 14, "at most 3 m/s; so", []string{"at most 3 m/s;", "    so"}},
		{"what is no unit may go on below", 10, "and all 7 marks", []string{"and all 7", "    marks"}},
		{"wide characters take two", 8, "木木 木木 x", []string{"木木", "    木木", "    x"}},
		{"colours take none", 8, "\x1b[1;31merror\x1b[0m: m", []string{"\x1b[1;31merror\x1b[0m: m"}},
	} {
		assert.Equal(t, c.want, words.Fold(c.line, c.columns), c.name)
	}
}

// Nothing is lost or moved, no line is longer than it may be but for one word or number
// alone, and what was folded stays as it is.
func TestFoldOfAnyLine(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		line := rapid.StringOfN(rapid.SampledFrom([]rune("ab木e\u03010 m%")), 0, 90, -1).Draw(rt, "line")
		columns := rapid.IntRange(8, 60).Draw(rt, "columns")
		lines := words.Fold(line, columns)
		require.Equal(rt, strings.Fields(line), strings.Fields(strings.Join(lines, " ")))
		for _, one := range lines {
			if words.Cells(one) > columns {
				fields := strings.Fields(one)
				require.True(rt, len(fields) <= 1 || len(lines) == 1 && strings.TrimSpace(line) == "" ||
					strings.ContainsAny(strings.Join(fields[:len(fields)-1], ""), "0"), "%q", one)
			}
		}
		if words.Cells(line) <= columns {
			require.Equal(rt, []string{line}, lines)
		}
	})
}

func TestWrap(t *testing.T) {
	assert.Equal(t, []string{"a bc", "def"}, words.Wrap("  a  bc\n def ", 5))
	assert.Equal(t, []string{""}, words.Wrap("", 5))
	assert.Equal(t, "one\n    two\nthree", words.FoldAll("one two\nthree", 6))
}

func TestTable(t *testing.T) {
	for _, c := range []struct {
		name    string
		columns int
		rows    [][]string
		want    []string
	}{
		{"none", 20, nil, nil},
		{"a heading of two lines", 20, [][]string{{"leg", "length\nm"}, {"A–B", "1.20"}}, []string{"     length", "leg       m", "A–B    1.20"}},
		{"a long name above its figures", 12, [][]string{{"leg", "m", "s"}, {"A–B", "1.2", "3"}, {"north gate–well", "2", "10"}},
			[]string{"leg    m   s", "A–B  1.2   3", "north", "    gate–well", "       2  10"}},
		{"a wide name", 20, [][]string{{"leg", "m"}, {"木–木", "1"}}, []string{"leg    m", "木–木  1"}},
	} {
		assert.Equal(t, c.want, words.Table(c.rows, c.columns), c.name)
	}
}
