// One value of a mission, whatever is written there: it is either read, with the
// meaning that a second reading gives it, or refused on its own line and nowhere else.
package spec

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

// withValue is the small mission with a text in quotation marks in place of a value,
// and the line that it is in.
func withValue(t testing.TB, key, usual, text string) (mission string, line int) {
	t.Helper()
	whole, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(t, err)
	before, after, found := strings.Cut(string(whole), key+": "+usual)
	require.True(t, found, "%s: %s", key, usual)
	return before + key + ": '" + strings.ReplaceAll(text, "'", "''") + "'" + after, 1 + strings.Count(before, "\n")
}

// oneLine leaves out what is no text on one line: TestSource and FuzzParse have that.
func oneLine(text string) bool {
	return utf8.ValidString(text) && !strings.ContainsFunc(text, func(r rune) bool {
		return r < ' ' || r >= 0x7f && r < 0xa0 || r == 0x2028 || r == 0x2029 || r == 0xfeff || r == 0xfffd
	})
}

// requireOn wants all findings to be on one line, and at least one there.
func requireOn(t *testing.T, got Result, line int, text string) {
	t.Helper()
	require.NotEmpty(t, got.Findings, "%q", text)
	for _, f := range got.Findings {
		requireSound(t, got.Sources, f)
		require.Equal(t, line, f.At.Line, "%q: %s", text, f.Message())
	}
}

var threeNumbers = regexp.MustCompile(`^([0-9]{4})-([0-9][0-9])-([0-9][0-9])$`)

// dayOf is the second reading of a date, by the Gregorian calendar.
func dayOf(text string) (Date, bool) {
	m := threeNumbers.FindStringSubmatch(text)
	if m == nil {
		return Date{}, false
	}
	number := func(s string) int { n, _ := strconv.Atoi(s); return n } // digits only
	d := Date{number(m[1]), number(m[2]), number(m[3])}
	days := []int{0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	if d.Year%4 == 0 && (d.Year%100 != 0 || d.Year%400 == 0) {
		days[2]++
	}
	return d, d.Year > 0 && d.Month >= 1 && d.Month <= 12 && d.Day >= 1 && d.Day <= days[d.Month]
}

func FuzzDate(f *testing.F) {
	for _, text := range []string{"2026-05-10", "2026-02-29", "2024-02-29", "1900-02-29", "2000-02-29", "0000-01-01", "2026-5-1", "2026-13-01", "2026-04-31", "", " 2026-05-10", "2026-05-10T00:00:00Z", "٢٠٢٦-05-10", "2026-05-00", "9999-12-31"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if !oneLine(text) {
			return
		}
		mission, line := withValue(t, "date", "2026-05-10", text)
		got := Parse("mission.yaml", []byte(mission), nil)
		want, ok := dayOf(text)
		if !ok {
			requireOn(t, got, line, text)
			return
		}
		require.Empty(t, got.Findings, "%q", text)
		require.Equal(t, want, got.Mission.Site.Date)
	})
}

var plainName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9 _-]*$`)

// A name that is read is plain, short, and as it was written; one that is refused is
// not plain, too long, or one that C would take for something else.
func FuzzName(f *testing.F) {
	for _, text := range []string{"small", "int", "INT", "a b", "a-b_c", "-a", "", "ä", "a*/b", "int8_t", "mere", "mere x", "9a", "a\u202eb", strings.Repeat("x", 48), strings.Repeat("x", 49), "a  b", "a ", "null", "true", "~"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if !oneLine(text) {
			return
		}
		mission, line := withValue(t, "mission", "small", text)
		got := Parse("mission.yaml", []byte(mission), nil)
		if len(got.Findings) == 0 {
			require.Equal(t, text, got.Mission.Name)
			require.Regexp(t, plainName, text)
			require.LessOrEqual(t, len(text), maxMissionName)
			return
		}
		requireOn(t, got, line, text)
		if plainName.MatchString(text) && len(text) <= maxMissionName {
			message := got.Findings[0].Message()
			require.Regexp(t, "in C|begins", message, "%q", text)
		}
	})
}

// fields reads a marks_file by the library's reader of CSV, which is of other
// authors: the cells of every line but comments and blank ones.
func fields(text string) (rows [][]string, ok bool) {
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
	r.Comment, r.FieldsPerRecord = '#', -1
	for {
		row, err := r.Read()
		switch {
		case errors.Is(err, io.EOF):
			return rows, true
		case err != nil:
			return nil, false
		case len(row) == 1 && strings.TrimSpace(row[0]) == "":
			continue
		}
		rows = append(rows, row)
	}
}

// A marks_file that has nothing wrong has the marks that the other reader finds, in
// its order; in one that has, every finding is in the text.
func FuzzMarksFile(f *testing.F) {
	whole, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(f, err)
	mission := strings.Replace(string(whole), "marks:\n", "marks_file: marks.csv\nmarks:\n", 1)
	for _, text := range delicateTables() {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		got := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return text, nil })
		require.NotNil(t, got.Mission)
		for _, finding := range got.Findings {
			requireSound(t, got.Sources, finding)
		}
		if len(got.Findings) > 0 {
			require.LessOrEqual(t, len(got.Findings), maxFindings+maxMarksFindings+1)
			return
		}
		rows, ok := fields(string(text))
		if !ok { // spaces before a quotation mark, which is then one of the text
			return
		}
		named := -1
		for i, column := range rows[0] {
			if strings.TrimSpace(column) == "name" {
				named = i
			}
		}
		require.GreaterOrEqual(t, named, 0)
		own := len(got.Mission.Marks) - (len(rows) - 1)
		require.Equal(t, strings.Count(mission, "{latitude: ")-1, own, "marks of the mission itself")
		for i, row := range rows[1:] {
			require.Equal(t, got.Mission.Marks[own+i].Name, strings.TrimSpace(row[named]))
		}
	})
}

// delicateTables are marks_files that were, or could be, read wrongly.
func delicateTables() []string {
	const header = "name,latitude,longitude,height,uncertainty\n"
	return []string{
		header + "P,45.3012,6.1234,412.6 m,2 cm\nQ,45°18'04.4412\"N,6°07'24.2400\"E,,\n",
		header + "P,45.3012,6.1234,,\n",                         // empty fields at the end
		header + ",45.3012,6.1234,,\n",                          // a name that is empty
		header + "P,,6.1234,,\n",                                // a latitude that is empty
		header + "P,45.3012,6.1234\n",                           // fields that are missing
		header + "P,45.3012,6.1234,,,,\n",                       // more than there are columns
		header + "\"P\",\"45.3012\",\"6.1234\",\"\",\"2 cm\"\n", // all in quotation marks
		header + "P,\"45°18'04.4412\"\"N\",6.1234,,\n",          // a quotation mark written twice
		header + "\"P,45.3012,6.1234,,\n",                       // one that is not closed
		header + "\"P\"x,45.3012,6.1234,,\n",                    // text behind one
		header + "\"P\nQ\",45.3012,6.1234,,\n",                  // a field over two lines
		header + " P , 45.3012 ,\t6.1234\t, , \n",               // spaces and tabs around
		header + "P,45.3012,6.1234,,",                           // no line end
		header + strings.Repeat("P", 100_000) + ",45,6,,\n",     // an endless name
		header + "P," + strings.Repeat("4", 100_000) + ",6,,\n",
		header + strings.Repeat(",", 100_000) + "\n",
		"name,latitude,longitude,colour\nP,45.3012,6.1234,red\n", // a column that there is not
		"name,latitude,longitude,\nP,45.3012,6.1234,\n",          // a column without a name
		"Name,Latitude,Longitude\nP,45.3012,6.1234\n",            // capitals
		"name,name,latitude,longitude\nP,Q,45.3012,6.1234\n",     // a column twice
		"name;latitude;longitude\nP;45,3012;6,1234\n",
		"name\tlatitude\tlongitude\nP\t45.3012\t6.1234\n",
		"longitude,latitude,name\r\n6.1234,45.3012,P\r\n", // another order, Windows lines
		"\ufeff" + header + "P,45.3012,6.1234,,\n",
		header + "\ufeffP,45.3012,6.1234,,\n", // a byte order mark where none belongs
		header + "P,45.3012,6.1234,,\rQ,45.3012,6.1234,,\r",
		header + "P,45.3012,6.1234,,\u0085Q,45.3012,6.1234,,\n",
		header + "A,45.3012,6.1234,,\n", // a mark that the mission has
		header + "P,45.3012,6.1234,,\nP,45.3012,6.1234,,\n",
		header + "# \u202e\nP,45.3012,6.1234,,\n", // a comment that runs backwards
		header + "\n\n#\n \n",
		"# only a comment\n", "", "\n", ",", "\"", "\"\"", header,
	}
}

func TestDelicateTablesGiveFindingsInTheText(t *testing.T) {
	whole, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(t, err)
	mission := strings.Replace(string(whole), "marks:\n", "marks_file: marks.csv\nmarks:\n", 1)
	read, refused := 0, 0
	for i, text := range delicateTables() {
		got := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(text), nil })
		for _, finding := range got.Findings {
			requireSound(t, got.Sources, finding)
			require.True(t, finding.Severity == diag.Error || finding.Rule == ruleExtraColumn, fmt.Sprint(i))
		}
		if len(got.Findings) == 0 {
			read++
		} else {
			refused++
		}
	}
	require.GreaterOrEqual(t, read, 8)
	require.GreaterOrEqual(t, refused, 20)
}
