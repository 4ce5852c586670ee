// The reader of fixes: what it takes, and what it says of what it does not.
package shift

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadRows(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []Row
	}{
		{"all columns, comment and blank line",
			"# taken on the way in\nname,latitude,longitude,height,uncertainty\n" +
				"C1,45.301204417,6.123399812,412.61 m,2 cm\n\nC2, 45.3005 , 6.1241 ,,\n",
			[]Row{
				{Line: 3, Name: "C1", Latitude: "45.301204417", Longitude: "6.123399812", Uncertainty: "2 cm"},
				{Line: 5, Name: "C2", Latitude: "45.3005", Longitude: "6.1241"},
			}},
		{"other order, byte order mark, CR LF, no last newline",
			"\ufefflongitude,name,latitude\r\n6.1,C1,45.3\r\n6.2,C1,45.4",
			[]Row{
				{Line: 2, Name: "C1", Latitude: "45.3", Longitude: "6.1"},
				{Line: 3, Name: "C1", Latitude: "45.4", Longitude: "6.2"},
			}},
		{"quoted values, kept to the last digit",
			"name,latitude,longitude\n\"gate, left\",\"45°18'04.4412\"\"N\",0.000000000000000000001\n",
			[]Row{{Line: 2, Name: "gate, left", Latitude: `45°18'04.4412"N`, Longitude: "0.000000000000000000001"}}},
	} {
		got, err := ReadRows(strings.NewReader(c.text))
		require.NoError(t, err, c.name)
		assert.Equal(t, c.want, got, c.name)
	}
}

func TestReadRowsRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"nothing", "", "line 1: the file is empty; the first line must name the columns, at least name,latitude,longitude"},
		{"comments only", "# a\n# b\n", "line 1: the file is empty; the first line must name the columns, at least name,latitude,longitude"},
		{"header only", "name,latitude,longitude\n", "line 1: no fix follows the header"},
		{"no header", "C1,45.3,6.1\n", "line 1: unknown column \"C1\"; the columns are name, latitude, longitude, height, uncertainty\n" +
			"line 1: unknown column \"45.3\"; the columns are name, latitude, longitude, height, uncertainty\n" +
			"line 1: unknown column \"6.1\"; the columns are name, latitude, longitude, height, uncertainty\n" +
			"line 1: column name is missing\nline 1: column latitude is missing\nline 1: column longitude is missing"},
		{"column missing", "name,latitude\nC1,45.3\n", "line 1: column longitude is missing"},
		{"column twice", "# c\nname,latitude,longitude,name\n", "line 2: column name is there twice"},
		{"value missing", "name,latitude,longitude\nC1,45.3\n", "line 2: 2 values where the header names 3 columns"},
		{"decimal comma", "name,latitude,longitude\nC1,45,3,6,1\n", "line 2: 5 values where the header names 3 columns"},
		{"empty values", "name,latitude,longitude\n,45.3,6.1\nC1,,6.1\nC1,45.3,  \n",
			"line 2: name is empty\nline 3: latitude is empty\nline 4: longitude is empty"},
		{"stray quote", "name,latitude,longitude\nC1,45.3,6.1\nC1,45\"3,6.1\nC1,45.3\n", `line 3: bare " in non-quoted-field`},
		{"open quote in the header", "name,\"latitude\n", `line 1: extraneous or missing " in quoted-field`},
	} {
		rows, err := ReadRows(strings.NewReader(c.text))
		assert.EqualError(t, err, c.want, c.name)
		assert.Nil(t, rows, c.name)
		var line *LineError
		assert.True(t, errors.As(err, &line), c.name)
	}
}

func TestReadRowsStopsAfterTwentyFaults(t *testing.T) {
	_, err := ReadRows(strings.NewReader("name,latitude,longitude\n" + strings.Repeat("C1,45.3\n", 100)))
	require.Error(t, err)
	assert.Len(t, strings.Split(err.Error(), "\n"), 20)
}

// endless repeats a row for ever.
type endless struct{ row, rest string }

func (e *endless) Read(p []byte) (int, error) {
	if e.rest == "" {
		e.rest = e.row
	}
	n := copy(p, e.rest)
	e.rest = e.rest[n:]
	return n, nil
}

func TestReadRowsLimits(t *testing.T) {
	_, err := ReadRows(&endless{row: "C1,45.3,6.1\n", rest: "name,latitude,longitude\n"})
	assert.EqualError(t, err, "line 440002: more than 440000 fixes")
	// One value that never ends.
	_, err = ReadRows(&endless{row: strings.Repeat("4", 1<<20), rest: "name,latitude,longitude\nC1,"})
	assert.EqualError(t, err, "no row ends within 1 MiB; is a quotation mark never closed?")
	_, err = ReadRows(&endless{row: "C1,45.3,6.1," + strings.Repeat("4", 1<<10) + "\n", rest: "name,latitude,longitude,height\n"})
	assert.EqualError(t, err, "the file is larger than 64 MiB")
}

func TestReadRowsHandsOnTheReadersError(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := ReadRows(&failing{text: strings.NewReader("name,latitude,longitude\nC1,45.3,6.1\n"), err: broken})
	assert.ErrorIs(t, err, broken)
}

// failing gives an error after its text.
type failing struct {
	text *strings.Reader
	err  error
}

func (f *failing) Read(p []byte) (int, error) {
	n, err := f.text.Read(p)
	if err != nil {
		return n, f.err
	}
	return n, nil
}

func FuzzReadRows(f *testing.F) {
	f.Add("name,latitude,longitude\nC1,45.3,6.1\n")
	f.Add("# x\nlongitude,name,latitude,uncertainty\n6.1,\"C 1\",45.3,2 cm\n")
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := ReadRows(strings.NewReader(text))
		if err != nil {
			assert.Empty(t, rows)
			return
		}
		lines := strings.Count(text, "\n") + 1
		for i, row := range rows {
			assert.NotEmpty(t, row.Name)
			assert.NotEmpty(t, row.Latitude)
			assert.NotEmpty(t, row.Longitude)
			assert.True(t, row.Line > 1 && row.Line <= lines, fmt.Sprint(row.Line, " of ", lines))
			if i > 0 {
				assert.Greater(t, row.Line, rows[i-1].Line)
			}
		}
	})
}
