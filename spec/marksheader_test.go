// A marks_file in another shape than is read is one finding, with what mends it, and no
// mark of it is told to be unknown.
package spec

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

// rows are so many marks, C1 and on, written by a format with the number in it.
func rows(n int, format string) string {
	var out strings.Builder
	for i := range n {
		out.WriteString(strings.ReplaceAll(format, "#", string(rune('1'+i%9))+strings.Repeat("0", i/9)))
	}
	return out.String()
}

// utf16 is a text of ASCII as two bytes a character.
func utf16(text string) string {
	var out strings.Builder
	for i := range len(text) {
		out.WriteString(text[i:i+1] + "\x00")
	}
	return out.String()
}

func TestTablesInOtherShapes(t *testing.T) {
	const header = "name,latitude,longitude\n"
	good := rows(9, "C#,45.3#,6.1#\n")
	for _, c := range []struct {
		name, text, message, remedy string
		severity                    diag.Severity
	}{
		{"no header", good, "the file has no header: its first line looks like a mark", "put a line above it that names the columns: name,latitude,longitude", diag.Error},
		{"no header, the longitude first, and more", rows(9, "120.3#,45.1#,C#,168.2 m,2 cm\n"), "the file has no header: its first line looks like a mark", "put a line above it that names the columns: longitude,latitude,name,height,uncertainty", diag.Error},
		{"semicolons", "name;latitude;longitude\n" + rows(9, "C#;45.3#;6.1#\n"), "the columns are separated by semicolons, and commas are due", "save the table with commas between the columns", diag.Error},
		{"semicolons and decimal commas", "name;latitude;longitude\n" + rows(9, "C#;45,30123#;6,12345#\n"), "the columns are separated by semicolons, and commas are due", "save the table with commas between the columns, and points for the commas in its decimals", diag.Error},
		{"semicolons and no header", rows(9, "C#;45,30123#;6,12345#\n"), "the columns are separated by semicolons, and commas are due", "save the table with commas between the columns, and points for the commas in its decimals; above it goes a line that names the columns: name,latitude,longitude", diag.Error},
		{"tabs", "name\tlatitude\tlongitude\n" + rows(9, "C#\t45.3#\t6.1#\n"), "the columns are separated by tabs, and commas are due", "save the table with commas between the columns", diag.Error},
		{"spaces", "name  latitude longitude\n" + rows(9, "C#   45.3#  6.1#\n"), "the columns are separated by spaces, and commas are due", "put commas between the columns", diag.Error},
		{"vertical bars", "name | latitude | longitude\n" + rows(9, "C# | 45.3# | 6.1#\n"), "the columns are separated by vertical bars, and commas are due", "save the table with commas between the columns", diag.Error},
		{"other names", "id,lat,lon\n" + good, `a marks_file has no columns "id", "lat", "lon": what seems to be meant is name, latitude, longitude`, "make it name,latitude,longitude", diag.Error},
		{"other names with units", "Name,Latitude (deg),LON_DEG\n" + good, `a marks_file has no columns "Name", "Latitude (deg)", "LON_DEG": what seems to be meant is name, latitude, longitude`, "make it name,latitude,longitude", diag.Error},
		{"a name misspelt", "name,latitude,longitude,heigth\n" + rows(9, "C#,45.3#,6.1#,168 m\n"), `a marks_file has no column "heigth": what seems to be meant is height`, "make it name,latitude,longitude,height", diag.Error},
		{"a map grid", "name,easting,northing\n" + rows(9, "C#,512345.6#,5012345.6#\n"), "the header has no columns latitude, longitude", `have the table written with latitude and longitude, in degrees of WGS 84; "easting" and "northing" are metres of a map grid`, diag.Error},
		{"a column lacks", "name,latitude,height\n" + rows(9, "C#,45.3#,168 m\n"), "the header has no column longitude", "where what is missing stands in the table, name its column; the header is then such as name,latitude,height,longitude", diag.Error},
		{"a column lacks, and another is called otherwise", "name,lat,height\n" + rows(9, "C#,45.3#,168 m\n"), `the header has no column longitude, and "lat" is called latitude`, "where what is missing stands in the table, name its column; the header is then such as name,latitude,height,longitude", diag.Error},
		{"nothing", "", "the file is empty: it has no header and no marks", "make the first line name,latitude,longitude,height,uncertainty, and write a line for each mark below it", diag.Error},
		{"comments alone", "# marks\n\n", "the file is empty: it has no header and no marks", "make the first line name,latitude,longitude,height,uncertainty, and write a line for each mark below it", diag.Error},
		{"a header alone", header, "the file has a header and no marks", "write a line for each mark, or take marks_file out of the mission", diag.Error},
		{"a spreadsheet", "PK\x03\x04\x14\x00\x06\x00\x08", "the file is a spreadsheet or another archive, and no text", "save the table as comma-separated values, in the encoding UTF-8", diag.Error},
		{"UTF-16", "\xff\xfe" + utf16(header+good), "the file is text of two bytes a character (UTF-16), and UTF-8 is due", "save the file in the encoding UTF-8", diag.Error},
		{"UTF-16 without its mark", utf16(header + good), "the file is text of two bytes a character (UTF-16), and UTF-8 is due", "save the file in the encoding UTF-8", diag.Error},
		{"bytes", "\x7fELF\x00\x01\x02\x03\x04\x05\x06\x07\x08\x09", "the file is no text: it has bytes of zero in it", "save the table as comma-separated values, in the encoding UTF-8", diag.Error},
		{"another encoding", header + "Br\xfccke,45.3,6.1\n" + good, "the byte FC here is not UTF-8", "save the file in the encoding UTF-8", diag.Error},
		{"a field too many in every row", header + rows(9, "C#,45.3#,6.1#,oak\n"), "this line has 4 fields, and the header has 3; so it is on lines 3 to 10", "put fields with commas in them into quotation marks; decimals are written with a point", diag.Error},
		{"a comma at the end of every row", header + rows(9, "C#,45.3#,6.1#,\n"), "this line has 4 fields, and the header has 3; so it is on lines 3 to 10", "take the comma at the end of the line out", diag.Error},
		{"decimal commas", header + rows(9, "C#,45,3#,6,1#\n"), "this line has 5 fields, and the header has 3; so it is on lines 3 to 10", "put fields with commas in them into quotation marks; decimals are written with a point", diag.Error},
		{"no unit in any row", "name,latitude,longitude,height\n" + rows(9, "C#,45.3#,6.1#,16#\n"), "marks.C1.height: 161 has no unit, and a length needs one; so it is with marks.C2.height, marks.C3.height, marks.C4.height, marks.C5.height and 4 more", "write 161 m (units: cm, km, m, mm)", diag.Error},
		{"exchanged", header + rows(9, "C#,145.3#,6.1#\n"), `marks.C1.latitude: latitude "145.31": a latitude lies from -90 to 90 degrees (are latitude and longitude swapped?); so it is with marks.C2.latitude, marks.C3.latitude, marks.C4.latitude, marks.C5.latitude and 4 more`, "", diag.Error},
		{"names that are not ASCII", header + rows(9, "É#,45.3#,6.1#\n"), `the name "É1" has 'É' in it, which is not ASCII; so it is on lines 3 to 10`, "write it in the letters A to Z: it becomes part of C identifiers", diag.Error},
		{"other columns", "name,latitude,longitude,code,date\n" + rows(9, "C#,45.3#,6.1#,oak,2026-05-01\n"), `the marks_file has columns that are not read: "code", "date"`, "nothing, if that is meant", diag.Note},
		{"a column that sounds like one", "name,latitude,longitude,elevation\n" + rows(9, "C#,45.3#,6.1#,12\n"), `the marks_file has a column that is not read: "elevation"; perhaps meant is "elevation" for height`, "call a column what it is; leave it as it is if it is something else, such as a height above the sea or a radius", diag.Warning},
		{"a column beside the one that it sounds like", "name,latitude,longitude,lat\n" + rows(9, "C#,45.3#,6.1#,12\n"), `the marks_file has a column that is not read: "lat"`, "nothing, if that is meant", diag.Note},
	} {
		t.Run(c.name, func(t *testing.T) {
			mission := strings.Replace(small(t), "route:", "marks_file: marks.csv\nroute:", 1)
			mission = strings.Replace(mission, "[A, B]", "[C1, A, B, C2, C3, C4, C5, C6]", 1)
			if strings.Contains(c.name, "ASCII") {
				mission = strings.NewReplacer("[C1", "[É1").Replace(strings.ReplaceAll(mission, ", C2, C3, C4, C5, C6", ""))
			}
			result := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(c.text), nil })
			require.Len(t, result.Findings, 1, "%v", result.Findings)
			f := result.Findings[0]
			assert.Equal(t, c.message, f.Message())
			assert.Equal(t, c.remedy, f.Remedy)
			assert.Equal(t, c.severity, f.Severity)
			assert.Equal(t, "marks.csv", f.At.File)
		})
	}
}

// What a row of a table without a header suggests is read when it is written above it.
func TestTheHeaderThatIsProposedIsRead(t *testing.T) {
	for _, row := range []string{
		"C,45.301,6.101", "45.301,6.101,C", "6.101,C,45.301", "C,6°06'03.6\"E,45°18'03.6\"N", "C,145.301,45.101,168.2 m", "C,45.301,6.101,168.20 m,2 cm", "C,45.301,6.101,2 cm,168.20 m", "7,45.301,6.101", "C,oak,45.301,6.101,x,h,z",
	} {
		mission := strings.Replace(small(t), "route:", "marks_file: marks.csv\nroute:", 1)
		read := func(table string) Result {
			return Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(table), nil })
		}
		found := read(row).Findings
		require.Len(t, found, 1, row)
		_, header, ok := strings.Cut(found[0].Remedy, "names the columns: ")
		require.True(t, ok, found[0].Remedy)
		for _, f := range read(header + "\n" + row).Findings {
			assert.NotEqual(t, diag.Error, f.Severity, "%s\n%s: %v", header, row, f)
		}
	}
}
