// Changes as tables: what stood there, what is asked, what stands there then.
package insert_test

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/insert"
	"merestone/internal/mend"
	"merestone/internal/source"
)

func mission(text, table string) source.Source {
	return source.Source{Name: "mission.yaml", Path: "mission.yaml", Text: []byte(text), Open: func(name string) ([]byte, error) {
		if table == "" || name != "more.csv" {
			return nil, fs.ErrNotExist
		}
		return []byte(table), nil
	}}
}

func position(latitude, longitude string) []insert.Key {
	return []insert.Key{{Name: "latitude", Text: latitude}, {Name: "longitude", Text: longitude}}
}

func surveyed(name, latitude, longitude string, more ...string) insert.Mark {
	m := insert.Mark{Name: name, Keys: position(latitude, longitude)}
	for i := 0; i < len(more); i += 2 {
		m.Keys = append(m.Keys, insert.Key{Name: more[i], Text: more[i+1]})
	}
	return m
}

func marks(all ...insert.Mark) insert.Change { return insert.Change{Marks: all} }

// after is a file as it is then, the same if it was not changed.
func after(files []mend.File, name, before string) string {
	for _, f := range files {
		if f.Name == name {
			return string(f.After)
		}
	}
	return before
}

func TestChanges(t *testing.T) {
	one := surveyed("C", "45.301500000", "6.123500000")
	again := surveyed("A", "45.301500000", "6.123500000")
	said := one
	said.Comment = []string{"occupied 2026-05-03, 600 fixes"}
	saidAgain := again
	saidAgain.Comment = said.Comment
	for _, c := range []struct {
		name   string
		change insert.Change
		before string
		after  string
	}{
		{"no marks at all", marks(one), "mission: m\n", "mission: m\nmarks:\n  C: {latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"no line end at the end", marks(one), "mission: m", "mission: m\nmarks:\n  C: {latitude: 45.301500000, longitude: 6.123500000}"},
		{"behind the rover, with a blank line as between the others", marks(one),
			"mission: m\n\nrover:\n    width: 1 m # taped\n               # twice\n\n# where to\nroute: {}\n",
			"mission: m\n\nrover:\n    width: 1 m # taped\n               # twice\n\nmarks:\n    C: {latitude: 45.301500000, longitude: 6.123500000}\n\n# where to\nroute: {}\n"},
		{"an empty block", marks(one), "marks: # to be surveyed\n  # all of them\nmission: m\n", "marks: # to be surveyed\n  # all of them\n  C: {latitude: 45.301500000, longitude: 6.123500000}\nmission: m\n"},
		{"empty braces", marks(one), "marks: {} # none\nmission: m\n", "marks: # none\n  C: {latitude: 45.301500000, longitude: 6.123500000}\nmission: m\n"},
		{"a gap", marks(one), "marks: ___\n", "marks:\n  C: {latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"behind the last, before a comment of the block", marks(one),
			"marks:\n  A: {latitude: 45.3, longitude: 6.1} # gate\n  # end\n",
			"marks:\n  A: {latitude: 45.3, longitude: 6.1} # gate\n  C: {latitude: 45.301500000, longitude: 6.123500000}\n  # end\n"},
		{"braces below each other", marks(one, surveyed("LONGER", "45.3", "6.1")),
			"marks:\n  START: {latitude: 45.3, longitude: 6.1}\n  B:     {latitude: 45.3, longitude: 6.2}\n",
			"marks:\n  START: {latitude: 45.3, longitude: 6.1}\n  B:     {latitude: 45.3, longitude: 6.2}\n  C:     {latitude: 45.301500000, longitude: 6.123500000}\n  LONGER: {latitude: 45.3, longitude: 6.1}\n"},
		{"keys on lines", marks(one), "marks:\n    A:\n       latitude: 45.3\n       longitude: 6.1\nroute:\n", "marks:\n    A:\n       latitude: 45.3\n       longitude: 6.1\n    C:\n       latitude: 45.301500000\n       longitude: 6.123500000\nroute:\n"},
		{"in braces on one line", marks(one), "marks: {A: {latitude: 45.3, longitude: 6.1}}\n", "marks: {A: {latitude: 45.3, longitude: 6.1}, C: {latitude: 45.301500000, longitude: 6.123500000}}\n"},
		{"in braces on lines", marks(one), "marks: {\n  A: {latitude: 45.3, longitude: 6.1} # gate\n  }\n", "marks: {\n  A: {latitude: 45.3, longitude: 6.1}, # gate\n  C: {latitude: 45.301500000, longitude: 6.123500000}\n  }\n"},
		{"in braces on lines, with a comma at the end", marks(one), "marks: {\n  A: {latitude: 45.3, longitude: 6.1}, # gate\n  }\n", "marks: {\n  A: {latitude: 45.3, longitude: 6.1}, # gate\n  C: {latitude: 45.301500000, longitude: 6.123500000},\n  }\n"},
		{"the whole mission in braces", marks(one), "{mission: m}\n", "{mission: m, marks: {C: {latitude: 45.301500000, longitude: 6.123500000}}}\n"},
		{"with a comment", marks(said), "marks:\n  A: {latitude: 45.3, longitude: 6.1}\n", "marks:\n  A: {latitude: 45.3, longitude: 6.1}\n  # occupied 2026-05-03, 600 fixes\n  C: {latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"a name that needs quotation marks", marks(surveyed("A  B", "45.3", "6.1")), "mission: m\n", "mission: m\nmarks:\n  'A  B': {latitude: 45.3, longitude: 6.1}\n"},

		{"new values, the rest stays", marks(again), "marks:\n  A: {longitude: 6.1, height: 3 m, latitude: '45.3'} # gate\n", "marks:\n  A: {longitude: 6.123500000, height: 3 m, latitude: '45.301500000'} # gate\n"},
		{"columns stay", marks(again),
			"marks:\n  A: {latitude: 45.3,      longitude: 6.1,      height: 3 m} # gate\n  B: {latitude: 45.312345, longitude: 6.112345, height: 3 m} # tree\n",
			"marks:\n  A: {latitude: 45.301500000, longitude: 6.123500000, height: 3 m} # gate\n  B: {latitude: 45.312345, longitude: 6.112345, height: 3 m} # tree\n"},
		{"columns stay where there is room", marks(surveyed("A", "45.30150", "6.123")),
			"marks:\n  A: {latitude: 45.3,      longitude: 6.1,      height: 3 m} # gate\n  B: {latitude: 45.312345, longitude: 6.112345, height: 3 m} # tree\n",
			"marks:\n  A: {latitude: 45.30150,  longitude: 6.123,    height: 3 m} # gate\n  B: {latitude: 45.312345, longitude: 6.112345, height: 3 m} # tree\n"},
		{"a key more", marks(surveyed("A", "45.3", "6.1", "setup", "may 3")), "marks:\n  A: {latitude: 45.3, longitude: 6.1} # gate\n", "marks:\n  A: {latitude: 45.3, longitude: 6.1, setup: may 3} # gate\n"},
		{"a key more on a line", marks(surveyed("A", "45.3", "6.1", "setup", "may 3")), "marks:\n  A:\n    latitude: 45.3\n    longitude: 6.1 # gate\n", "marks:\n  A:\n    latitude: 45.3\n    longitude: 6.1 # gate\n    setup: may 3\n"},
		{"gaps", marks(again), "marks:\n  A: {latitude: ___, longitude: ___}\n", "marks:\n  A: {latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"no values", marks(again), "marks:\n  A:\n    latitude: # north\n    longitude: ~\n", "marks:\n  A:\n    latitude: 45.301500000 # north\n    longitude: 6.123500000\n"},
		{"nothing behind the name", marks(again), "marks:\n  A: # gate\n", "marks:\n  A: {latitude: 45.301500000, longitude: 6.123500000} # gate\n"},
		{"the comment of an earlier visit", marks(saidAgain), "marks:\n  # the gate\n  # occupied 2025-01-01, 3 fixes\n  A: {latitude: 45.3, longitude: 6.1}\n", "marks:\n  # the gate\n  # occupied 2026-05-03, 600 fixes\n  A: {latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"a comment with a line end in it", marks(insert.Mark{Name: "C", Keys: one.Keys, Comment: []string{"occupied by a\nB: {latitude: 1, longitude: 2}"}}), "marks: {}\n", "marks:\n  # occupied by a\\nB: {latitude: 1, longitude: 2}\n  C: {latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"a comment that may be of another mark", marks(saidAgain), "# occupied 2025-01-01, 3 fixes\nmarks: {A: {latitude: 45.3, longitude: 6.1}}\n", "# occupied 2025-01-01, 3 fixes\n# occupied 2026-05-03, 600 fixes\nmarks: {A: {latitude: 45.301500000, longitude: 6.123500000}}\n"},
		{"a merge key stays", marks(again), "marks:\n  B: &b {latitude: 45.3, longitude: 6.1, height: 3 m}\n  A: {<<: *b}\n", "marks:\n  B: &b {latitude: 45.3, longitude: 6.1, height: 3 m}\n  A: {<<: *b, latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"an alias becomes a merge key", marks(again), "marks:\n  B: &b {latitude: 45.3, longitude: 6.1, height: 3 m}\n  A: *b\n", "marks:\n  B: &b {latitude: 45.3, longitude: 6.1, height: 3 m}\n  A: {<<: *b, latitude: 45.301500000, longitude: 6.123500000}\n"},
		{"line ends and byte order mark", marks(one), "\ufeffmarks:\r\n  A: {latitude: 45.3, longitude: 6.1}\r\n", "\ufeffmarks:\r\n  A: {latitude: 45.3, longitude: 6.1}\r\n  C: {latitude: 45.301500000, longitude: 6.123500000}\r\n"},

		{"a boundary", insert.Change{Boundary: []string{"A", "B", "A  B"}}, "mission: m\n", "mission: m\ngeofence:\n  boundary: [A, B, 'A  B']\n"},
		{"another boundary", insert.Change{Boundary: []string{"C", "D", "E"}}, "geofence: {boundary: [A, B, C], boundary_height: 1 m} # walls\n", "geofence: {boundary: [C, D, E], boundary_height: 1 m} # walls\n"},
		{"another boundary on lines", insert.Change{Boundary: []string{"C", "D", "E", "F"}}, "geofence:\n  boundary:\n  - A\n  - B\n  - C # gate\n", "geofence:\n  boundary:\n  - C\n  - D\n  - E\n  - F # gate\n"},
		{"an obstacle", insert.Change{Obstacles: []insert.Obstacle{{"pond", []string{"A", "B", "C"}}}}, "geofence:\n  boundary: [D, E, F]\n", "geofence:\n  boundary: [D, E, F]\n  obstacles:\n    - {name: pond, ring: [A, B, C]}\n"},
		{"an obstacle where there are none", insert.Change{Obstacles: []insert.Obstacle{{"pond", []string{"A", "B", "C"}}}}, "geofence:\n  obstacles: [] # none\n", "geofence:\n  obstacles: # none\n    - {name: pond, ring: [A, B, C]}\n"},
		{"an obstacle beside others", insert.Change{Obstacles: []insert.Obstacle{{"pond", []string{"A", "B", "C"}}}}, "geofence:\n  obstacles:\n  - name: tree\n    centre: T\n    radius: 1 m\n", "geofence:\n  obstacles:\n  - name: tree\n    centre: T\n    radius: 1 m\n  - name: pond\n    ring: [A, B, C]\n"},
		{"another ring of an obstacle", insert.Change{Obstacles: []insert.Obstacle{{"pond", []string{"A", "B", "C"}}}}, "geofence:\n  obstacles: [{name: pond, height: 1 m, ring: [X, Y, Z]}]\n", "geofence:\n  obstacles: [{name: pond, height: 1 m, ring: [A, B, C]}]\n"},
		{"a route", insert.Change{Route: []string{"A", "B"}}, "route:\n  closed: true\n  waypoints: ___\n", "route:\n  closed: true\n  waypoints: [A, B]\n"},
		{"a long list is folded", insert.Change{Route: strings.Split(strings.Repeat("LONGNAME ", 12)+"LONGNAME", " ")}, "route: {waypoints: [A, B]}\n", "route: {waypoints: [" + strings.Repeat("LONGNAME, ", 6) + "LONGNAME,\n                    " + strings.Repeat("LONGNAME, ", 5) + "LONGNAME]}\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mission(withMarks(c.before, c.change), "")
			files, err := insert.Into(s, c.change)
			require.NoError(t, err)
			assert.Equal(t, withMarks(c.after, c.change), after(files, "", string(s.Text)))
		})
	}
}

// withMarks gives a text the marks that lists name: without them a list is refused.
func withMarks(text string, c insert.Change) string {
	if c.Marks != nil {
		return text
	}
	block := "marks:\n"
	for _, name := range []string{"A", "B", "C", "D", "E", "F", "T", "X", "Y", "Z", "LONGNAME", "'A  B'"} {
		block += "  " + name + ": {latitude: 45.3, longitude: 6.1}\n"
	}
	return block + text
}

const table = "# surveyed in May\r\nlatitude, name ,longitude,setup\r\n# occupied 2025-01-01\r\n45.3,A,6.1,\r\n\"45.3\", B ,\"6.2\",may\r\n"

func TestMarksOfATable(t *testing.T) {
	said := surveyed("A", "45.301500000", "6.123500000", "setup", "june 2")
	said.Comment = []string{"occupied 2026-05-03"}
	s := mission("marks_file: more.csv\n", "\ufeff"+table)
	files, err := insert.Into(s, marks(said, surveyed("B", "45.301600000", "6.123600000"), surveyed("C", "45.3017", "6.1237")))
	require.NoError(t, err)
	assert.Equal(t, "\ufeff# surveyed in May\r\nlatitude, name ,longitude,setup\r\n# occupied 2026-05-03\r\n45.301500000,A,6.123500000,june 2\r\n\"45.301600000\", B ,\"6.123600000\",may\r\n",
		after(files, "more.csv", ""))
	assert.Equal(t, "marks_file: more.csv\nmarks:\n  C: {latitude: 45.3017, longitude: 6.1237}\n", after(files, "", ""), "a new mark stands in the mission")
}

func TestRefusedChanges(t *testing.T) {
	a := surveyed("A", "45.301500000", "6.123500000")
	for _, c := range []struct {
		name   string
		change insert.Change
		text   string
		says   string
	}{
		{"measured", marks(a), "marks:\n  A: {east: 1 m, north: 2 m, uncertainty: 1 cm}\n", `mission.yaml:2: the mark "A" is measured from others`},
		{"of a row", marks(surveyed("T1", "45.3", "6.1")), "marks: {A: {latitude: 45.3, longitude: 6.1}, B: {latitude: 45.3, longitude: 6.2}}\nrows:\n  - {name: T, count: 2, from: A, towards: B, first: 1 m, step: 1 m, uncertainty: 1 cm}\n", `mission.yaml:3: the mark "T1" is one of a row or ring`},
		{"no column for it", marks(surveyed("A", "45.3", "6.1", "height", "3 m")), "marks_file: more.csv\n", `more.csv:4: the mark "A" stands in this table, which has no column height (more.csv:2)`},
		{"a coordinate that is none", marks(surveyed("A", "45,3", "6.1")), "mission: m\n", `45,3`},
		{"a length that is none", marks(surveyed("A", "45.3", "6.1", "height", "3 ft 2")), "mission: m\n", `height`},
		{"a name that is none", marks(surveyed("A:B", "45.3", "6.1")), "mission: m\n", `the name "A:B"`},
		{"two of one name in C", marks(surveyed("a-b", "45.3", "6.1")), "marks: {a_b: {latitude: 45.3, longitude: 6.1}}\nmission: m\n", `a_b`},
		{"half a place", marks(insert.Mark{Name: "A", Keys: position("45.3", "6.1")[:1]}), "mission: m\n", `has no longitude`},
		{"no key", marks(insert.Mark{Name: "A"}), "mission: m\n", `without any key`},
		{"a key that is measured", marks(insert.Mark{Name: "A", Keys: []insert.Key{{Name: "east", Text: "1 m"}}}), "mission: m\n", `"east"`},
		{"twice", marks(a, a), "mission: m\n", `twice`},
		{"a gap", marks(surveyed("A", "___", "6.1")), "mission: m\n", `no value`},
		{"what an alias stands for elsewhere", marks(a), "marks:\n  A: {latitude: &l 45.3, longitude: 6.1}\n  B: {latitude: *l, longitude: 6.2}\n", `an anchor (&l)`},
		{"a block that is merged elsewhere", marks(a), "marks:\n  A: &a {latitude: 45.3, longitude: 6.1}\n  B: {<<: *a, longitude: 6.2}\n", `an anchor (&a)`},
		{"marks that stand elsewhere", marks(a), "x: &m {B: {latitude: 45.3, longitude: 6.1}}\nmarks: *m\n", `by the alias *m`},
		{"a mark that comes in by a merge key", marks(a), "x: &m {A: {latitude: 45.3, longitude: 6.1}}\nmarks: {<<: *m}\n", `comes in by an alias`},
		{"no YAML", marks(a), "marks: {\n", `cannot be read well enough`},
		{"no block", marks(a), "marks: 3\n", `no block of keys`},
		{"a boundary of marks that are not there", insert.Change{Boundary: []string{"A", "B", "C"}}, "mission: m\n", `"A"`},
		{"a waypoint that says more", insert.Change{Route: []string{"A", "B"}}, "route:\n  waypoints:\n    - A\n    - {mark: B, dwell: 3 s}\n", `mission.yaml:4: entry 2 of waypoints says more`},
		{"an obstacle without a ring", insert.Change{Obstacles: []insert.Obstacle{{"tree", []string{"A", "B", "C"}}}}, "geofence: {obstacles: [{name: tree, centre: A, radius: 1 m}]}\n", `the obstacle "tree" has no ring`},
	} {
		t.Run(c.name, func(t *testing.T) {
			files, err := insert.Into(mission(c.text, table), c.change)
			assert.ErrorContains(t, err, c.says)
			if err != nil {
				assert.NotContains(t, err.Error(), "a fault of merestone")
			}
			assert.Nil(t, files)
		})
	}
}

// Whatever the mission is, a change is made as it was meant, or refused for what is in it.
func FuzzInto(f *testing.F) {
	for _, text := range []string{
		"marks: {\n  A: {latitude: 45.3, longitude: 6.1}, # gate\n  }\n", "marks:\n  A: &a {latitude: ___}\n  B: {<<: *a}\n",
		"{mission: m}", "marks:\n  A:\n    latitude: # north\ngeofence:\n  boundary:\n  - A # gate\n  obstacles: []\n",
		"geofence: {obstacles: [{name: pond, ring: [A]} # one\n , ]}\n", "marks: &m\n  A: ~\nroute: {waypoints, closed: true}\n", "\ufeffmarks_file: more.csv\r\n",
	} {
		f.Add([]byte(text))
	}
	change := marks(surveyed("A", "45.301500000", "6.123500000", "setup", "may 3"), surveyed("C", "45.3016", "6.1235"), surveyed("D", "45.3017", "6.1236"))
	change.Marks[1].Comment = []string{"occupied"}
	change.Boundary, change.Route, change.Obstacles = []string{"A", "C", "D"}, []string{"A", "C"}, []insert.Obstacle{{"pond", []string{"A", "C", "D"}}}
	f.Fuzz(func(t *testing.T, text []byte) {
		s := mission(string(text), table)
		files, err := insert.Into(s, change)
		if err != nil {
			assert.NotContains(t, err.Error(), "a fault of merestone", "%s", text)
			return
		}
		again := mission(string(after(files, "", string(text))), after(files, "more.csv", table))
		files, err = insert.Into(again, change)
		require.NoError(t, err)
		assert.Empty(t, files, "all of it is there already: %s", text)
	})
}

// Lines that are put in are shown alone, behind a last line without an end, too.
func TestWhatIsShown(t *testing.T) {
	for _, c := range []struct{ before, diff string }{
		{"mission: m", "@@ -1,1 +1,3 @@\n mission: m\n+marks:\n+  C: {latitude: 45.3, longitude: 6.1}\n"},
		{"marks:\n  A: {latitude: 45.3, longitude: 6.1}\nroute: {}\n", "@@ -1,3 +1,4 @@\n marks:\n   A: {latitude: 45.3, longitude: 6.1}\n+  C: {latitude: 45.3, longitude: 6.1}\n route: {}\n"},
		{"marks: {\n  A: {latitude: 45.3, longitude: 6.1} # gate\n  }\n", "@@ -1,3 +1,4 @@\n marks: {\n-  A: {latitude: 45.3, longitude: 6.1} # gate\n+  A: {latitude: 45.3, longitude: 6.1}, # gate\n+  C: {latitude: 45.3, longitude: 6.1}\n   }\n"},
	} {
		files, err := insert.Into(mission(c.before, ""), marks(surveyed("C", "45.3", "6.1")))
		require.NoError(t, err)
		require.Len(t, files, 1)
		assert.Equal(t, "--- mission.yaml\n+++ mission.yaml\n"+c.diff, files[0].Diff())
	}
}
