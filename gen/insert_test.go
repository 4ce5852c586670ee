// Marks that are entered into random missions in random spellings: they read as they were
// asked for, nothing else reads otherwise, and of the text nothing else is touched.
package gen_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/internal/insert"
	"merestone/internal/mend"
	"merestone/internal/source"
	"merestone/spec"
)

func TestRandomMarksGoIntoRandomMissions(t *testing.T) {
	for _, seed := range seeds(t) {
		r := rand.New(rand.NewPCG(seed, 9))
		entered, renewed, refused := 0, 0, map[string]int{}
		for number := range *missions / 2 {
			mo := newModel(r, number)
			text, table := mo.spell(&speller{r: r})
			s := source.Source{Name: "mission.yaml", Path: "mission.yaml", Text: text, Open: func(string) ([]byte, error) { return table, nil }}
			before := spec.Parse(s.Path, s.Text, s.Open).Mission
			require.NotNil(t, before)

			fresh := []insert.Mark{mark(r, "new mark"), mark(r, "N2")}
			fresh[0].Comment = []string{"occupied: 600 fixes {of them"}
			files, err := insert.Into(s, insert.Change{Marks: fresh})
			if err != nil {
				require.NotContains(t, err.Error(), "fault of merestone", "seed %d:\n%s", seed, text)
				refused[kindOf(err)]++
			} else {
				entered++
				after := textOf(files, "", text)
				require.True(t, isWithin(text, after), "seed %d: something of the text is gone:\n%s\n---\n%s", seed, text, after)
				requireMark(t, after, table, fresh...)
			}

			old := mark(r, before.Marks[r.IntN(len(before.Marks))].Name)
			files, err = insert.Into(s, insert.Change{Marks: []insert.Mark{old}})
			if err != nil {
				require.NotContains(t, err.Error(), "fault of merestone", "seed %d: %s\n%s", seed, old.Name, text)
				refused[kindOf(err)]++
				continue
			}
			renewed++
			after, rows := textOf(files, "", text), textOf(files, "marks.csv", table)
			requireMark(t, after, rows, old)
			file, was, is := "mission.yaml", text, after
			place := "marks." + old.Name
			if before.Where(place).File != file {
				file, was, is = "marks.csv", table, rows
				require.Equal(t, string(text), string(after))
			} else {
				require.Equal(t, string(table), string(rows))
			}
			// Nothing is touched before the line of the mark, nor behind its block.
			line := before.Where(place).Line
			first, last := firstLine(was, is), len(lines(was))-firstLine(backwards(was), backwards(is))+1
			require.GreaterOrEqual(t, first, line, "seed %d: %s\n%s\n---\n%s", seed, old.Name, was, is)
			end := max(line, before.Where(place+".latitude").Line, before.Where(place+".longitude").Line)
			if before.Written(place+".latitude") && before.Where(place+".latitude").Line >= line && before.Where(place+".longitude").Line >= line {
				require.LessOrEqual(t, last, end, "seed %d: %s in %s\n%s\n---\n%s", seed, old.Name, file, was, is)
			}
		}
		t.Logf("seed %d: %d times entered, %d marks renewed, refused %v", seed, entered, renewed, refused)
		require.Greater(t, entered+renewed, *missions/2, "most of %d are made", *missions)
	}
}

func mark(r *rand.Rand, name string) insert.Mark {
	return insert.Mark{Name: name, Keys: []insert.Key{
		{Name: "latitude", Text: fmt.Sprintf("45.30%07d", r.IntN(10_000_000))}, {Name: "longitude", Text: fmt.Sprintf("6.12%05d", r.IntN(100_000))},
	}}
}

// requireMark reads the mission again.
func requireMark(t *testing.T, text, table []byte, marks ...insert.Mark) {
	t.Helper()
	read := spec.Parse("mission.yaml", text, func(string) ([]byte, error) { return table, nil }).Mission
	require.NotNil(t, read)
	for _, wanted := range marks {
		found := 0
		for _, m := range read.Marks {
			if m.Name == wanted.Name {
				found++
				require.Equal(t, wanted.Keys[0].Text, decimals(int64(m.Latitude.Value), 9))
				require.Equal(t, wanted.Keys[1].Text+"00", decimals(int64(m.Longitude.Value), 9))
			}
		}
		require.Equal(t, 1, found)
	}
}

func decimals(v int64, n int) string {
	text := fmt.Sprint(v)
	return text[:len(text)-n] + "." + text[len(text)-n:]
}

func textOf(files []mend.File, name string, otherwise []byte) []byte {
	for _, f := range files {
		if f.Name == name {
			return f.After
		}
	}
	return otherwise
}

// isWithin reports whether a text is there in another one, which has something put in between.
func isWithin(text, other []byte) bool {
	i := 0
	for _, c := range other {
		if i < len(text) && text[i] == c {
			i++
		}
	}
	return i == len(text)
}

func lines(text []byte) []string { return strings.Split(string(text), "\n") }

// firstLine is the number of the first line in which two texts differ.
func firstLine(a, b []byte) int {
	one, other := lines(a), lines(b)
	for i := range one {
		if i >= len(other) || one[i] != other[i] {
			return i + 1
		}
	}
	return len(one) + 1
}

// backwards is a text with its lines in the opposite order.
func backwards(text []byte) []byte {
	all := lines(text)
	for i, k := 0, len(all)-1; i < k; i, k = i+1, k-1 {
		all[i], all[k] = all[k], all[i]
	}
	return []byte(strings.Join(all, "\n"))
}

// kindOf is a refusal without what it is about.
func kindOf(err error) string {
	for _, kind := range []string{"named by an anchor", "comes in by an alias", "by the alias", "make the mission wrong"} {
		if strings.Contains(err.Error(), kind) {
			return kind
		}
	}
	return err.Error()
}
