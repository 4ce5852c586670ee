// How a line of a marks_file is taken apart, against another reader: Python's module
// csv, in strict mode. Within the limits at the top of marksfile.go both give the
// same fields, and refuse the same lines; but spaces and tabs around a field without
// quotation marks are part of it there.
package spec

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/tooltest"
)

// pythonReader answers each line, as JSON, with its fields, or null for a line that
// it refuses.
const pythonReader = `
import csv, json, sys
for line in sys.stdin.buffer:
    try:
        rows = list(csv.reader([json.loads(line)], strict=True))
        print(json.dumps(rows[0] if rows else []))
    except csv.Error:
        print("null")
`

// byPython are the fields of lines; nil where a line is refused.
func byPython(t *testing.T, lines []string) [][]string {
	t.Helper()
	input := make([]string, len(lines))
	for i, line := range lines {
		text, err := json.Marshal(line)
		require.NoError(t, err)
		input[i] = string(text)
	}
	fields := make([][]string, len(lines))
	for i, answer := range tooltest.Lines(t, input, "python3", "-c", pythonReader) {
		require.NoError(t, json.Unmarshal([]byte(answer), &fields[i]))
	}
	return fields
}

// taken are the fields of a line by this package.
func taken(line string) ([]*node, bool) {
	table := marksTable{d: &decoder{file: "m.yaml", sources: diag.Sources{}, places: Places{}}, file: "m.csv"}
	return table.split([]byte(line), 1)
}

// written is a field of a random text, and how it is written.
func written(random *rand.Rand) (raw string, quoted bool) {
	letters := []rune("ab1,\"\"' \t.°é\u00a0木#;")
	var text strings.Builder
	for range random.IntN(7) {
		text.WriteRune(letters[random.IntN(len(letters))])
	}
	if random.IntN(2) == 0 {
		return `"` + strings.ReplaceAll(text.String(), `"`, `""`) + `"`, true
	}
	return strings.TrimLeft(strings.ReplaceAll(text.String(), ",", ""), `"`), false // a quotation mark within it is one
}

func TestFieldsAgainstPython(t *testing.T) {
	random := rand.New(rand.NewPCG(4180, 1))
	var lines []string
	var quotes [][]bool
	for range 5_000 {
		var raws []string
		var quoted []bool
		for range 1 + random.IntN(6) {
			raw, q := written(random)
			raws, quoted = append(raws, raw), append(quoted, q)
		}
		if line := strings.Join(raws, ","); line != "" {
			lines, quotes = append(lines, line), append(quotes, quoted)
		}
	}
	withSpaces := 0
	for i, want := range byPython(t, lines) {
		require.NotNil(t, want, "%q", lines[i])
		fields, ok := taken(lines[i])
		require.True(t, ok, "%q", lines[i])
		require.Len(t, fields, len(want), "%q", lines[i])
		for j, field := range fields {
			text := want[j]
			if !quotes[i][j] {
				text = strings.Trim(text, " \t")
			}
			if text != want[j] {
				withSpaces++
			}
			require.Equal(t, text, field.text, "field %d of %q", j, lines[i])
		}
	}
	assert.Greater(t, withSpaces, 500)
}

// Any text on one line: what is refused here is refused there.
func TestRefusedLinesAgainstPython(t *testing.T) {
	random := rand.New(rand.NewPCG(4180, 2))
	var lines []string
	for range 20_000 {
		var line strings.Builder
		for range 1 + random.IntN(9) {
			line.WriteByte(`a,",", "`[random.IntN(8)])
		}
		lines = append(lines, line.String())
	}
	refused := 0
	for i, want := range byPython(t, lines) {
		fields, ok := taken(lines[i])
		if want == nil {
			refused++
		}
		require.Equal(t, want != nil, ok, "%q: %q", lines[i], want)
		if !ok {
			continue
		}
		require.Len(t, fields, len(want), "%q", lines[i])
		for j, field := range fields {
			if field.text != want[j] {
				require.Equal(t, strings.Trim(want[j], " \t"), field.text, "field %d of %q", j, lines[i])
			}
		}
	}
	assert.Greater(t, refused, 2_000)
	assert.Less(t, refused, 18_000)
}

// Marks files as people and programs write them, and as nobody should: what is read
// of the mark C, or what rule refuses the file.
func TestMarksFilesOddlyWritten(t *testing.T) {
	const header = "name,latitude,longitude,height,uncertainty\n"
	for _, c := range []struct {
		name, text string
		rule       diag.ID
		at         string // line:column of the first finding
	}{
		{"as it should be", header + "C,45.3,6.1,412.6 m,2 cm\n", "", ""},
		{"a byte order mark", "\ufeff" + header + "C,45.3,6.1,412.6 m,2 cm\n", "", ""},
		{"two byte order marks", "\ufeff\ufeff" + header, ruleNotText, "1:1"},
		{"CR LF", strings.ReplaceAll(header+"C,45.3,6.1,412.6 m,2 cm\n", "\n", "\r\n"), "", ""},
		{"LF and CR LF", header + "C,45.3,6.1,412.6 m,2 cm\r\n\r\n", "", ""},
		{"CR alone", strings.ReplaceAll(header+"C,45.3,6.1,,", "\n", "\r"), ruleNotText, "1:43"},
		{"CR within a field", header + "C,45\r.3,6.1,,\n", ruleNotText, "2:5"},
		{"CR CR LF", header + "C,45.3,6.1,412.6 m,2 cm\r\r\n", ruleNotText, "2:24"},
		{"no line end at the end", header + "C,45.3,6.1,412.6 m,2 cm", "", ""},
		{"empty lines", "\n\n" + header + "\nC,45.3,6.1,412.6 m,2 cm\n \t\n\n", "", ""},
		{"comments", "# a\n" + header + "#,,,,,,,,\"\nC,45.3,6.1,412.6 m,2 cm\n#", "", ""},
		{"a comment behind a space", header + " # a\nC,45.3,6.1,,\n", ruleBadCSV, "2:1"},
		{"a comment behind a space before the header", " # a\n" + header, ruleMissingKey, "1:1"},
		{"a comment behind fields", header + "C,45.3,6.1,412.6 m,2 cm # a\n", ruleBadQuantity, "2:20"},
		{"spaces and tabs around fields", " name ,\tlatitude,longitude\t, height,uncertainty \n C\t, 45.3 ,\t6.1, 412.6 m\t, 2 cm \n", "", ""},
		{"all quoted", `"name","latitude","longitude","height","uncertainty"` + "\n" + `"C","45.3","6.1","412.6 m","2 cm"`, "", ""},
		{"spaces within quotation marks", header + "\"C \",45.3,6.1,,\n", "", ""},
		{"spaces before a quotation mark", header + "C, \"45.3\",6.1,,\n", ruleBadCoordinate, "2:4"},
		{"spaces behind a quotation mark", header + "C,\"45.3\" ,6.1,,\n", ruleBadCSV, "2:3"},
		{"a quotation mark in the middle", header + "C\"D,45.3,6.1,,\n", ruleBadName, "2:1"},
		{"a line end within quotation marks", header + "\"C\n\",45.3,6.1,,\n", ruleBadCSV, "2:1"},
		{"a comma within quotation marks", header + "\"C,D\",45.3,6.1,,\n", ruleBadName, "2:1"},
		{"a column twice", "name,latitude,longitude,latitude\nC,45.3,6.1,46\n", ruleDuplicateKey, "1:25"},
		{"a column twice, oddly written", "name,latitude,longitude,\" latitude\"\nC,45.3,6.1,46\n", ruleDuplicateKey, "1:25"},
		{"a column in capitals", "Name,latitude,longitude\nC,45.3,6.1\n", ruleUnknownKey, "1:1"},
		{"a column without a name", "name,latitude,longitude,\nC,45.3,6.1,\n", ruleExtraColumn, "1:1"},
		{"a comma at the end", header + "C,45.3,6.1,412.6 m,2 cm,\n", ruleBadCSV, "2:1"},
		{"a tab within a number", header + "C,45\t.3,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"a tab within a height", header + "C,45.3,6.1,41\t2.6 m,\n", ruleBadQuantity, "2:12"},
		{"a tab within a quoted number", header + "C,\"45.3\t\",6.1,,\n", ruleBadCoordinate, "2:3"},
		{"a tab within a name", header + "C\tD,45.3,6.1,,\n", ruleBadName, "2:1"},
		{"a no-break space before a number", header + "C,\u00a045.3,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"a no-break space behind a number", header + "C,45.3\u00a0,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"an ideographic space before a number", header + "C,\u300045.3,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"a no-break space before a height", header + "C,45.3,6.1,\u00a0412.6 m,\n", ruleBadQuantity, "2:12"},
		{"an ideographic space behind a height", header + "C,45.3,6.1,412.6 m\u3000,\n", ruleBadQuantity, "2:12"},
		{"a no-break space within a height", header + "C,45.3,6.1,1\u00a0412.6 m,\n", ruleBadQuantity, "2:12"},
		{"a tab before a unit", header + "C,45.3,6.1,412.6\tm,\n", ruleBadQuantity, "2:12"},
		{"a thin space within a height", header + "C,45.3,6.1,1\u2009412.6 m,\n", ruleBadQuantity, "2:12"},
		{"a no-break space in a name", header + "C\u00a0,45.3,6.1,,\n", ruleBadName, "2:1"},
		{"a line of a no-break space", header + "\u00a0\nC,45.3,6.1,,\n", ruleBadCSV, "2:1"},
		{"a zero-width space", header + "C\u200b,45.3,6.1,,\n", ruleBadName, "2:1"},
		{"a right-to-left override", header + "\u202eC,45.3,6.1,,\n", ruleNotText, "2:1"},
		{"digits of full width", header + "C,４５.3,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"digits of full width in a height", header + "C,45.3,6.1,４１２ m,\n", ruleBadQuantity, "2:12"},
		{"a sign", header + "C,+45.3,+6.1,+412.6 m,2 cm\n", "", ""},
		{"two signs", header + "C,+-45.3,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"an exponent", header + "C,1e1,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"an exponent in a height", header + "C,45.3,6.1,1e3 m,\n", ruleBadQuantity, "2:12"},
		{"digits in groups", header + "C,4_5.3,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"digits in groups in a height", header + "C,45.3,6.1,1_000 m,\n", ruleBadQuantity, "2:12"},
		{"a hexadecimal number", header + "C,0x2d,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"not a number", header + "C,NaN,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"a formula", header + "C,=45.3,6.1,,\n", ruleBadCoordinate, "2:3"},
		{"a control character", header + "C,45.3,6.1,,\x1b\n", ruleNotText, "2:13"},
		{"nothing", "", ruleBadCSV, "0:0"},
		{"a line as long as any may be", header + "C,45.3,6.1,412.6 m,2 cm" + strings.Repeat(" ", maxMarksLine-23) + "\n", "", ""},
		{"a line one longer", header + "C,45.3,6.1,412.6 m,2 cm" + strings.Repeat(" ", maxMarksLine-22) + "\n", ruleBadCSV, "2:1"},
		{"as many fields as are counted", header + "C" + strings.Repeat(",", maxMarksFields-1) + "\n", ruleBadCSV, "2:1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			mission := strings.Replace(small(t), "route:", "marks_file: marks.csv\nroute:", 1)
			result := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(c.text), nil })
			if c.rule != "" {
				require.NotEmpty(t, result.Findings)
				first := result.Findings[0]
				assert.Equal(t, c.rule, first.Rule, first.Message())
				assert.Equal(t, "marks.csv "+c.at, fmt.Sprintf("%s %d:%d", first.At.File, first.At.Line, first.At.Column))
				return
			}
			require.Empty(t, printed(t, result))
			mark := result.Mission.Marks[len(result.Mission.Marks)-1]
			assert.Equal(t, "C", strings.TrimSpace(mark.Name))
			assert.EqualValues(t, []int64{45_300_000_000, 6_100_000_000}, []int64{int64(mark.Latitude.Value), int64(mark.Longitude.Value)})
			if mark.Name == "C" {
				assert.EqualValues(t, []int64{412_600_000, 20_000}, []int64{int64(*mark.Height), int64(*mark.Uncertainty)})
			}
		})
	}
}

func TestAMarksFileWithoutAName(t *testing.T) {
	for written, rule := range map[string]diag.ID{`""`: ruleBadFile, `''`: ruleBadFile, "": ruleEmptyValue, "[]": ruleWrongType, "{}": ruleWrongType, `" "`: ruleBadFile} {
		mission := strings.Replace(small(t), "[A, B]", "[A, Q]", 1) // Q would be in the file
		mission = strings.Replace(mission, "route:", "marks_file: "+written+"\nroute:", 1)
		open := func(string) ([]byte, error) { return nil, fmt.Errorf("nothing is there") }
		result := Parse("mission.yaml", []byte(mission), open)
		require.NotEmpty(t, result.Findings, written)
		assert.Equal(t, rule, result.Findings[0].Rule, written)
		if rule == ruleBadFile {
			assert.Len(t, result.Findings, 1, written)
		}
	}
}

// Each mark has its own height, though the same keys read all of them.
func TestHeightsOfAMarksFile(t *testing.T) {
	mission := strings.Replace(small(t), "route:", "marks_file: marks.csv\nroute:", 1)
	csv := "name,height,latitude,longitude\nC,1 m,45,6\nD,,45,6\nE,2 m,45,6\n"
	result := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(csv), nil })
	require.Empty(t, result.Findings)
	marks := result.Mission.Marks[len(result.Mission.Marks)-3:]
	assert.Nil(t, marks[1].Height)
	assert.EqualValues(t, []int64{1_000_000, 2_000_000}, []int64{int64(*marks[0].Height), int64(*marks[2].Height)})
	assert.Nil(t, marks[2].Uncertainty)
}
