// The text printer line by line: carets stand under what is meant, whatever the
// source line holds, and nothing from a file can move the cursor.
package diag_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
	"merestone/internal/words"
)

func text(t *testing.T, f diag.Finding, source string) []string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, diag.WriteText(&out, []diag.Finding{f}, diag.Sources{"m.yaml": []byte(source)}, diag.Terminal{}))
	return strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
}

func TestCaretsStandUnderWhatIsMeant(t *testing.T) {
	long := strings.Repeat("x", 300)
	for _, test := range []struct {
		name                string
		source              string
		line, column, width int
		shown, carets       string
	}{
		{"a word", "speed: fast\n", 1, 8, 4, "speed: fast", "       ^^^^"},
		{"no width", "speed: fast\n", 1, 8, 0, "speed: fast", "       ^"},
		{"the last line without an end", "a: 1\nb: 2", 2, 4, 1, "b: 2", "   ^"},
		{"a line ended by CR LF", "a: 1\r\nb: 2\r\n", 1, 4, 1, "a: 1", "   ^"},
		{"past the end of the line", "a:\n", 1, 3, 1, "a:", "  ^"},
		{"far past the end of the line", "a:\n", 1, 99, 9, "a:", "  ^"},
		{"wider than the line", "a: b\n", 1, 4, 99, "a: b", "   ^"},
		{"an empty line", "\na: 1\n", 1, 1, 1, "", "^"},
		{"a tab", "\ta: 1\n", 1, 2, 1, " a: 1", " ^"},
		{"accents", "é: ö\n", 1, 4, 1, "é: ö", "   ^"},
		{"combining accents take no room", "e\u0301: x\n", 1, 5, 1, "e\u0301: x", "   ^"},
		{"wide characters before", "木: x\n", 1, 4, 1, "木: x", "    ^"},
		{"wide characters meant", "a: 木木\n", 1, 4, 2, "a: 木木", "   ^^^^"},
		{"an escape code", "a: \x1b[31mred\n", 1, 9, 3, "a:  [31mred", "        ^^^"},
		{"a right-to-left override", "a: \u202ex\n", 1, 5, 1, "a:  x", "    ^"},
		{"bytes that are not UTF-8", "a: \xff\xfe b\n", 1, 7, 1, "a: \ufffd\ufffd b", "      ^"},
		// 80 columns less 9 for the number: 71.
		{"a line that just fits", long[:71], 1, 71, 1, long[:71], strings.Repeat(" ", 70) + "^"},
		{"a long line, early", long, 1, 3, 2, long[:70] + "…", "  ^^"},
		{"a long line, late", long + "!", 1, 301, 1, "…" + strings.Repeat("x", 68) + "!", strings.Repeat(" ", 69) + "^"},
		// (71 - 2 - 3)/3 = 22 columns before it, and the sign
		{"a long line, in the middle", long, 1, 150, 3, "…" + long[:69] + "…", strings.Repeat(" ", 23) + "^^^"},
		{"carets end where the shown line does", long, 1, 159, 100, "…" + long[:69] + "…", " " + strings.Repeat("^", 70)},
		{"marked to its end, and wider than the terminal", long, 1, 101, 200, "…" + long[:69] + "…", " " + strings.Repeat("^", 70)},
		{"wide characters in a long line", strings.Repeat("木", 100), 1, 50, 1, "…" + strings.Repeat("木", 34) + "…", strings.Repeat(" ", 23) + "^^"},
		{"an accent does not stand over the sign", strings.Repeat("e\u0301", 100), 1, 101, 1, "…" + strings.Repeat("e\u0301", 69) + "…", strings.Repeat(" ", 23) + "^"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := text(t, diag.Finding{Rule: "r", Severity: diag.Error, Phrase: diag.Say("m"),
				At: diag.Position{File: "m.yaml", Line: test.line, Column: test.column, Width: test.width}}, test.source)
			require.Len(t, got, 3)
			assert.Equal(t, test.shown, strings.TrimPrefix(got[1], got[1][:9]))
			assert.Equal(t, test.carets, strings.TrimPrefix(got[2], "       | "))
		})
	}
}

func TestPlacesThatAreNotThere(t *testing.T) {
	for name, at := range map[string]diag.Position{
		"the file as a whole":  {File: "m.yaml"},
		"a line past the end":  {File: "m.yaml", Line: 9, Column: 1},
		"a file never read":    {File: "other.yaml", Line: 1, Column: 1},
		"a line below nothing": {File: "m.yaml", Line: -1, Column: 1},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Len(t, text(t, diag.Finding{Phrase: diag.Say("m"), At: at}, "a: 1\n"), 1)
		})
	}
}

// Names and values of a mission end up in messages, and a mission may come from
// anybody.
func TestNothingFromAFileMovesTheCursor(t *testing.T) {
	hostile := "x\x1b[2J\r\n\u202e\u0085y"
	got := text(t, diag.Finding{
		Rule: "r", Severity: diag.Error, Phrase: diag.Say("%s", hostile), Remedy: hostile,
		At:      diag.Position{File: hostile},
		Related: []diag.Related{{At: diag.Position{File: hostile, Line: 1, Column: 1}, Message: hostile}},
	}, "")
	require.Len(t, got, 3)
	for _, line := range got {
		for _, r := range "\x1b\r\u202e\u0085" {
			assert.NotContains(t, line, string(r))
		}
	}
}

// Related places have lines and carets of their own, but for what has just been
// shown.
func TestRelatedPlacesShowTheirLines(t *testing.T) {
	at := func(line, column, width int) diag.Position {
		return diag.Position{File: "m.yaml", Line: line, Column: column, Width: width}
	}
	const source = "route: [A, B, A]\nmarks: {A: x, B: y}\n"
	for _, c := range []struct {
		name    string
		related []diag.Position
		want    []string
	}{
		{"another line", []diag.Position{at(2, 9, 1)}, []string{
			"    see m.yaml:2:9: there",
			"         2 | marks: {A: x, B: y}",
			"           |         ^",
		}},
		{"the same line, another column", []diag.Position{at(1, 15, 1)}, []string{
			"    see m.yaml:1:15: there",
			"         1 | route: [A, B, A]",
			"           |               ^",
		}},
		{"the very same place", []diag.Position{at(1, 9, 1)}, []string{"    see m.yaml:1:9: there"}},
		{"one place for two reasons", []diag.Position{at(2, 15, 1), at(2, 15, 1)}, []string{
			"    see m.yaml:2:15: there",
			"         2 | marks: {A: x, B: y}",
			"           |               ^",
			"    see m.yaml:2:15: there",
		}},
		{"a file never read", []diag.Position{{File: "other.csv", Line: 3, Column: 1}}, []string{"    see other.csv:3:1: there"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := diag.Finding{Rule: "r", Severity: diag.Error, Phrase: diag.Say("m"), At: at(1, 9, 1)}
			for _, place := range c.related {
				f.Related = append(f.Related, diag.Related{At: place, Message: "there"})
			}
			assert.Equal(t, append([]string{"m.yaml:1:9: error: m [r]", "     1 | route: [A, B, A]", "       |         ^"}, c.want...), text(t, f, source))
		})
	}
}

// What is said goes on in lines that are set in, and the first has all that an editor
// looks for.
func TestTextIsFoldedAtTheWidthOfTheTerminal(t *testing.T) {
	at := diag.Position{File: "some/folder/mission.yaml", Line: 2, Column: 30, Width: 4}
	f := diag.Finding{Rule: "geometry.clearance", Severity: diag.Error, At: at,
		Phrase: diag.Say("leg A–B passes 0.80 m from boundary edge F1–F2; it needs 1.17 m"), Remedy: "move it 0.37 m away, or drive it at 0.42 m/s or less, or both",
		Related: []diag.Related{{At: diag.Position{File: at.File, Line: 1, Column: 1, Width: 3}, Message: "boundary edge F1–F2, which is nearest to it by far"}}}
	source := "one line\nkey: {with: much, in: one, line: that, is: long, and: longer}\n"
	for columns, want := range map[int]string{
		60: `some/folder/mission.yaml:2:30: error: leg A–B passes 0.80 m
    from boundary edge F1–F2; it needs 1.17 m
    [geometry.clearance]
     2 | …much, in: one, line: that, is: long, and: longer}
       |                   ^^^^
    do: move it 0.37 m away, or drive it at 0.42 m/s or
        less, or both
    see some/folder/mission.yaml:1:1: boundary edge F1–F2,
        which is nearest to it by far
         1 | one line
           | ^^^
`,
		200: `some/folder/mission.yaml:2:30: error: leg A–B passes 0.80 m from boundary edge F1–F2; it needs 1.17 m [geometry.clearance]
     2 | key: {with: much, in: one, line: that, is: long, and: longer}
       |                              ^^^^
    do: move it 0.37 m away, or drive it at 0.42 m/s or less, or both
    see some/folder/mission.yaml:1:1: boundary edge F1–F2, which is nearest to it by far
         1 | one line
           | ^^^
`,
	} {
		var out bytes.Buffer
		require.NoError(t, diag.WriteText(&out, []diag.Finding{f}, diag.Sources{at.File: []byte(source)}, diag.Terminal{Columns: columns}))
		assert.Equal(t, want, out.String())
	}
}

// On any terminal, no line of an excerpt is longer than that, something of what is meant
// is in view, and the carets stand under it.
func TestExcerptsKeepTheCaretInView(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		line := rapid.StringOfN(rapid.SampledFrom([]rune("abc木\t")), 1, 400, -1).Draw(rt, "line")
		runes := []rune(line)
		column := rapid.IntRange(1, len(runes)).Draw(rt, "column")
		width := rapid.IntRange(1, 200).Draw(rt, "width")
		columns := rapid.IntRange(60, 120).Draw(rt, "columns")
		var out bytes.Buffer
		f := diag.Finding{Rule: "r", Severity: diag.Error, Phrase: diag.Say("m"), At: diag.Position{File: "m", Line: 1, Column: column, Width: width}}
		require.NoError(rt, diag.WriteText(&out, []diag.Finding{f}, diag.Sources{"m": []byte(line)}, diag.Terminal{Columns: columns}))
		shown := strings.Split(out.String(), "\n")
		text, carets := shown[1], shown[2]
		require.LessOrEqual(rt, words.Cells(text), columns)
		require.LessOrEqual(rt, words.Cells(carets), words.Cells(text))
		at := strings.Index(carets, "^")
		under, cells := ' ', 0
		for _, r := range text {
			if cells == at {
				under = r
				break
			}
			cells += words.RuneCells(r)
		}
		want := runes[column-1]
		if want == '\t' {
			want = ' '
		}
		require.Equal(rt, string(want), string(under))
	})
}
