package diag

import (
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Lines and columns, found by blocks, are those that are found by counting from the
// beginning of the file.
func TestLinesAreThoseThatAreCounted(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, most := range []int{3, 80, 900, 20_000} { // characters of a line
		var b strings.Builder
		for b.Len() < 5*lineBlock {
			for range random.IntN(most) {
				b.WriteString([]string{"a", "b", "é", "中", "\U0001F600", " "}[random.IntN(6)])
			}
			b.WriteString([]string{"\n", "\r\n"}[random.IntN(2)])
		}
		b.WriteString("the last, without an end")
		text := b.String()
		l := linesOf([]byte(text))
		counted := strings.Split(text, "\n")
		for i, want := range counted {
			want = strings.TrimSuffix(want, "\r")
			start, end, ok := l.line(i + 1)
			require.True(t, ok)
			require.Equal(t, want, text[start:end])

			runes := []rune(want)
			column := 1 + random.IntN(len(runes)+3)
			shown := l.around(start, end, column, 80)
			at := shown.column
			if got := []rune(shown.text); column <= len(runes) {
				require.Equal(t, string(runes[column-1:min(column+80, len(runes))]), string(got[at-1:min(at+80, len(got))]))
				require.Equal(t, string(runes[max(0, column-80):column]), string(got[max(0, at-80):at]))
				require.Equal(t, at < column, shown.cutBefore)
				require.Equal(t, column-at+len(got) < len(runes), shown.cutBehind)
			} else {
				require.Equal(t, len(got)+1, at, "behind the end of the line")
			}
		}
		_, _, ok := l.line(len(counted) + 1)
		require.False(t, ok)
		_, _, ok = l.line(0)
		require.False(t, ok)
	}
	for _, text := range []string{"", "\n", "a", "a\n", "\n\n", strings.Repeat("x", lineBlock), strings.Repeat("x", lineBlock-1) + "\n", strings.Repeat("x", lineBlock) + "\ny"} {
		l := linesOf([]byte(text))
		for i, want := range strings.Split(text, "\n") {
			start, end, ok := l.line(i + 1)
			require.True(t, ok, "%.10q", text)
			require.Equal(t, want, text[start:end], "%.10q", text)
		}
		_, _, ok := l.line(strings.Count(text, "\n") + 2)
		require.False(t, ok, "%.10q", text)
	}
}

// A finding in every line of a large file, or all in one line of 4 MiB: by counting from
// the beginning, either took minutes; now some 0.4 s.
func TestManyFindingsOfALargeFile(t *testing.T) {
	const findings = 60_000
	for what, line := range map[string]string{"lines": strings.Repeat("x", 68) + "\n", "one line": strings.Repeat("x", 69)} {
		source := strings.Repeat(line, findings)
		var all []Finding
		for i := range findings {
			at := Position{File: "m.yaml", Line: i + 1, Column: 3, Width: 5}
			if what == "one line" {
				at = Position{File: "m.yaml", Line: 1, Column: 69 * i, Width: 5}
			}
			all = append(all, New(at, "here"))
		}
		began := time.Now()
		require.NoError(t, WriteText(io.Discard, all, Sources{"m.yaml": []byte(source)}, Terminal{}))
		assert.Less(t, time.Since(began), 10*time.Second, what)
	}
}
