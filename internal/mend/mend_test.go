package mend

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/diag"
	"merestone/internal/missiontest"
	"merestone/internal/source"
)

const yard = "../../examples/refused/base.yaml"

// mended is what becomes of texts by name, the mission under "".
func mended(t require.TestingT, mission string, beside map[string]string) Result {
	r, err := Mend(source.Source{Name: "sites/yard.yaml", Path: "sites/yard.yaml", Text: []byte(mission), Open: func(name string) ([]byte, error) {
		if text, ok := beside[name]; ok {
			return []byte(text), nil
		}
		return nil, os.ErrNotExist
	}})
	require.NoError(t, err)
	return r
}

func TestMend(t *testing.T) {
	edit := func(from, to string) missiontest.Edit { return missiontest.Edit{from, to} }
	for _, c := range []struct {
		name  string
		slips []missiontest.Edit // what is mended becomes the yard again, or the last text
		want  string
		edits int
	}{
		{"nothing", nil, "", 0},
		{"a decimal comma", []missiontest.Edit{edit("width: 0.40 m", "width: 0,40 m")}, "", 1},
		{"two in one round", []missiontest.Edit{edit("width: 0.40 m", "width: 0,40 m"), edit("latency: 80 ms", "latency: 80 MS")}, "", 2},
		{"a fault of the notation hides another", []missiontest.Edit{edit("width: 0.40 m", "width:\t0,40 m"), edit("length: 0.50 m", "length: 0.50 M")}, "", 3},
		{"the comment behind it stays", []missiontest.Edit{edit("  width: 0.40 m\n", "  width: 0,40 m   # measured, with the bumper\n")}, "  width: 0.40 m   # measured, with the bumper\n", 1},
		{"a ring that is closed", []missiontest.Edit{edit("[F1, F2, F3, F4]", "[F1, F2, F3, F4, F1]")}, "", 1},
		{"feet are for a person", []missiontest.Edit{edit("width: 0.40 m", "width: 1 ft")}, "width: 1 ft", 0},
		{"so is a contact in short", []missiontest.Edit{edit("    pin: 22\n    contact: normally-open", "    pin: 22\n    contact: NO")}, "contact: NO", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			sound := missiontest.Text(t, yard)
			r := mended(t, missiontest.Text(t, yard, c.slips...), nil)
			assert.Equal(t, c.edits, r.Edits())
			switch {
			case c.edits == 0:
				assert.Empty(t, r.Files)
			case c.want == "":
				require.Len(t, r.Files, 1)
				assert.Equal(t, sound, string(r.Files[0].After))
				assert.False(t, r.Mission.Refused())
			default:
				assert.Contains(t, string(r.Files[0].After), c.want)
			}
		})
	}
}

// Line ends and the byte order mark stay, and a marks_file is mended where it lies.
func TestMendTouchesNothingElse(t *testing.T) {
	sound := missiontest.Text(t, yard)
	for name, as := range map[string]func(string) string{
		"as it is":     func(s string) string { return s },
		"line ends":    func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") },
		"a mark":       func(s string) string { return "\ufeff" + s },
		"no last end":  func(s string) string { return strings.TrimSuffix(s, "\n") },
		"trailing end": func(s string) string { return s + "\n\n# end\n" },
	} {
		t.Run(name, func(t *testing.T) {
			r := mended(t, as(strings.Replace(sound, "width: 0.40 m", "width: 0,40 m", 1)), nil)
			require.Len(t, r.Files, 1)
			assert.Equal(t, as(sound), string(r.Files[0].After))
		})
	}
	r := mended(t, strings.Replace(sound, "marks:\n", "marks_file: tables/marks.csv\nmarks:\n", 1), map[string]string{
		"tables/marks.csv": "name,latitude,longitude,uncertainty\n# the shed\nT1,\"51,62049\",25.91380,1 CM\n",
	})
	require.Len(t, r.Files, 1)
	assert.Equal(t, "tables/marks.csv", r.Files[0].Name)
	assert.Equal(t, "sites/tables/marks.csv", r.Files[0].Shown)
	assert.Equal(t, "name,latitude,longitude,uncertainty\n# the shed\nT1,51.62049,25.91380,1 cm\n", string(r.Files[0].After))
	assert.Equal(t, `--- sites/tables/marks.csv
+++ sites/tables/marks.csv
@@ -1,3 +1,3 @@
 name,latitude,longitude,uncertainty
 # the shed
-T1,"51,62049",25.91380,1 CM
+T1,51.62049,25.91380,1 cm
`, r.Files[0].Diff())
}

func TestMendIsBounded(t *testing.T) {
	r := mended(t, "mission: yard\n"+strings.Repeat("a:\tb\n", 3*mostRounds), nil)
	require.Len(t, r.Files, 1)
	assert.GreaterOrEqual(t, r.Files[0].Edits, mostRounds)
	assert.Less(t, r.Files[0].Edits, 3*mostRounds, "what a round does not reach is left")
}

// The diff is of both files: what it keeps and takes out is the one, what it keeps and
// puts in the other, whatever edits were made in several rounds.
func TestDiffIsOfBothFiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := rapid.SliceOfN(rapid.StringMatching(`[ab]{0,3}`), 1, 12).Draw(t, "lines")
		text := strings.Join(lines, "\n") + rapid.SampledFrom([]string{"", "\n"}).Draw(t, "end")
		f := NewFile("", "m.yaml", []byte(text))
		for range rapid.IntRange(1, 3).Draw(t, "rounds") {
			now := linesOf(f.After)
			if len(now) == 0 {
				break
			}
			n := rapid.IntRange(1, len(now)).Draw(t, "line")
			e := diag.Edit{File: "m.yaml", Line: n, Column: rapid.IntRange(1, len(now[n-1])+1).Draw(t, "column"), Text: rapid.SampledFrom([]string{"", "x", "x\ny", "z\n"}).Draw(t, "text")}
			e.EndLine = rapid.IntRange(n, len(now)).Draw(t, "to")
			e.EndColumn = rapid.IntRange(1, len(now[e.EndLine-1])+1).Draw(t, "end column")
			if e.EndLine == e.Line && e.EndColumn < e.Column {
				e.EndColumn = e.Column
			}
			require.NoError(t, f.Make([]diag.Edit{e}))
			require.Len(t, f.from, len(linesOf(f.After)), "%q after %v", f.After, e)
		}
		var before, after []string
		for _, l := range f.lines() {
			if l.sign != '+' {
				require.Equal(t, len(before), l.before)
				before = append(before, l.text)
			}
			if l.sign != '-' {
				require.Equal(t, len(after), l.after)
				after = append(after, l.text)
			}
		}
		require.Equal(t, linesOf(f.Before), before)
		require.Equal(t, linesOf(f.After), after)
	})
}

// Whatever is wrong with a mission: the changes can be made, and when they are, nothing
// certain is left that could be made.
func TestMendOfAnything(t *testing.T) {
	sound := missiontest.Text(t, yard)
	signs := []string{",", ".", ":", "-", "\t", " ", "\"", "'", "[", "]", "{", "}", "#", "&a ", "*a", "(", ")", "°", "N", "E", "e1", "5", "\u00a0", "–", "“", "\n", "\r\n", "ft", "M", "no", "~"}
	rapid.Check(t, func(t *rapid.T) {
		text := []rune(sound)
		for range rapid.IntRange(1, 4).Draw(t, "slips") {
			at := rapid.IntRange(0, len(text)).Draw(t, "at")
			to := min(at+rapid.IntRange(0, 2).Draw(t, "out"), len(text))
			put := []rune(strings.Join(rapid.SliceOfN(rapid.SampledFrom(signs), 0, 2).Draw(t, "in"), ""))
			text = append(text[:at:at], append(put, text[to:]...)...)
		}
		r := mended(t, string(text), nil)
		require.Zero(t, diag.CountCertain(r.Mission.Findings), "%v", r.Mission.Findings)
	})
}
