package diag_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
)

func TestApply(t *testing.T) {
	edit := func(line, column, endLine, endColumn int, text string) diag.Edit {
		return diag.Edit{File: "m.yaml", Line: line, Column: column, EndLine: endLine, EndColumn: endColumn, Text: text}
	}
	for _, c := range []struct {
		name, text string
		edits      []diag.Edit
		want       string // "" for a refusal
	}{
		{"nothing", "a: 1\n", nil, "a: 1\n"},
		{"a word, counted in characters", "é: “1”\n", []diag.Edit{edit(1, 4, 1, 7, "2")}, "é: 2\n"},
		{"put in before", "a: b\n", []diag.Edit{edit(1, 4, 1, 4, "c")}, "a: cb\n"},
		{"put in at the end of a line", "a: b\n", []diag.Edit{edit(1, 5, 1, 5, "]")}, "a: b]\n"},
		{"a line taken out", "a: 1\nb: 2\nc: 3\n", []diag.Edit{edit(2, 1, 3, 1, "")}, "a: 1\nc: 3\n"},
		{"two, in any order", "a: 1\nb: 2\n", []diag.Edit{edit(2, 4, 2, 5, "4"), edit(1, 4, 1, 5, "3")}, "a: 3\nb: 4\n"},
		{"line ends of the file", "a: 1\r\nb: 2\r\n", []diag.Edit{edit(2, 1, 2, 1, "c: 3\n")}, "a: 1\r\nc: 3\r\nb: 2\r\n"},
		{"a byte order mark is no column", "\ufeffa: 1\n", []diag.Edit{edit(1, 1, 1, 2, "b")}, "\ufeffb: 1\n"},
		{"behind the end of a line", "a: 1\nb\n", []diag.Edit{edit(1, 6, 1, 6, "x")}, ""},
		{"behind the end of the file", "a: 1", []diag.Edit{edit(2, 1, 2, 1, "x")}, ""},
		{"backwards", "a: 1\n", []diag.Edit{edit(1, 3, 1, 2, "x")}, ""},
		{"one within another", "a: 1234\n", []diag.Edit{edit(1, 4, 1, 8, "x"), edit(1, 5, 1, 6, "y")}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := diag.Apply([]byte(c.text), c.edits)
			if c.want == "" {
				assert.Error(t, err)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, c.want, string(got))
		})
	}
}

// An edit of a single range is what slicing by characters makes of it.
func TestApplyAgainstSlicing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.SampledFrom([]rune("ab é\u00a0–\n:")), 0, 40, -1).Draw(t, "text")
		runes := []rune(text)
		from := rapid.IntRange(0, len(runes)).Draw(t, "from")
		to := rapid.IntRange(from, len(runes)).Draw(t, "to")
		put := rapid.StringOfN(rapid.SampledFrom([]rune("xé\n")), 0, 4, -1).Draw(t, "put")
		place := func(n int) (line, column int) {
			before := string(runes[:n])
			return 1 + strings.Count(before, "\n"), 1 + utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:])
		}
		e := diag.Edit{File: "m.yaml", Text: put}
		e.Line, e.Column = place(from)
		e.EndLine, e.EndColumn = place(to)
		got, err := diag.Apply([]byte(text), []diag.Edit{e})
		require.NoError(t, err)
		assert.Equal(t, string(runes[:from])+put+string(runes[to:]), string(got))
	})
}

func TestCertainFixesOfOneTime(t *testing.T) {
	at := func(column, width int) diag.Position {
		return diag.Position{File: "m.yaml", Line: 1, Column: column, Width: width}
	}
	finding := func(certain bool, edits ...diag.Edit) diag.Finding {
		return diag.Finding{Fixes: []diag.Fix{{Does: "x", Certain: certain, Edits: edits}}}
	}
	edits := diag.Certain([]diag.Finding{
		finding(true, diag.Replace(at(9, 1), "a")),
		finding(false, diag.Replace(at(20, 1), "b")),
		finding(true, diag.Replace(at(1, 1), "c")),
		finding(true, diag.Replace(at(4, 1), "d"), diag.Replace(at(10, 1), "e")), // touches the first: all of it waits
	})
	assert.Equal(t, []diag.Edit{diag.Replace(at(1, 1), "c"), diag.Replace(at(9, 1), "a")}, edits)
}
