// The header of a marks_file: which column holds what. A table that another program has
// written has other names for its columns, other signs between them, or no header at all;
// whatever it is, it is one finding, with the line that mends it.
package spec

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/words"
)

const usualHeader = "make the first line name,latitude,longitude,height,uncertainty"

// csvColumns are the columns: the name, and the keys of a mark that was surveyed.
func csvColumns() []string { return append([]string{"name"}, keyNames(surveyedKeys(&Mark{}))...) }

// needed are those of them that every table has.
func needed() []string { return csvColumns()[:3] }

// otherNames are what other programs call these columns (from memory), as columnName writes
// them. Those of the second list may be something else: a height above the sea, a radius.
func otherNames() map[string]string {
	return map[string]string{
		"lat": "latitude", "lon": "longitude", "long": "longitude", "lng": "longitude",
		"id": "name", "point": "name", "pointname": "name", "pointid": "name", "pt": "name", "mark": "name", "station": "name", "label": "name", "number": "name", "no": "name",
	}
}

func doubtfulNames() map[string]string {
	return map[string]string{
		"h": "height", "z": "height", "elevation": "height", "elev": "height", "altitude": "height", "alt": "height", "ellipsoidalheight": "height", "heightellipsoidal": "height",
		"accuracy": "uncertainty", "precision": "uncertainty", "sigma": "uncertainty", "std": "uncertainty", "stddev": "uncertainty", "hrms": "uncertainty", "rms": "uncertainty", "hacc": "uncertainty", "cep": "uncertainty",
		"session": "setup", "identical": "same_as",
	}
}

// projected are columns of a map grid, in metres.
func projected() []string {
	return []string{"northing", "easting", "north", "east", "n", "e", "x", "y"}
}

// columnName is the name of a column without its unit, and in one way to write it: of
// "Lat (deg)" and "LAT_DEG" it is "lat".
func columnName(text string) string {
	text = strings.ToLower(text)
	if i := strings.IndexAny(text, "([/°"); i > 0 {
		text = text[:i]
	}
	text = strings.NewReplacer(" ", "_", "-", "_", ".", "_").Replace(text)
	for _, unit := range []string{"_deg", "_dd", "_degrees", "_wgs84", "_m"} {
		text = strings.TrimSuffix(text, unit)
	}
	return strings.ReplaceAll(text, "_", "")
}

// column is what a field of a header was taken for.
type column struct {
	is    string // the column that it is, empty for one that is not read
	meant string // the column that it seems to be meant for
	weak  bool   // and perhaps is not
}

func (t *marksTable) columnOf(text string) column {
	if slices.Contains(csvColumns(), text) {
		return column{is: text}
	}
	plain := columnName(text)
	for _, c := range csvColumns() {
		if plain == columnName(c) {
			return column{meant: c}
		}
	}
	if meant, ok := otherNames()[plain]; ok {
		return column{meant: meant}
	}
	if meant, ok := doubtfulNames()[plain]; ok {
		return column{meant: meant, weak: true}
	}
	if meant, ok := t.d.nearest(text, csvColumns()); ok && text != "" {
		return column{meant: meant}
	}
	return column{}
}

// readHeader reports whether the rows can be read by it. The rest is what stands below.
func (t *marksTable) readHeader(line string, fields []*node, number int, rest []byte) bool {
	t.header = diag.Position{File: t.file, Line: number, Column: 1, Width: max(utf8.RuneCountInString(line), 1)}
	columns := make([]column, len(fields))
	recognised := 0
	for i, f := range fields {
		columns[i] = t.columnOf(f.text)
		if columns[i] != (column{}) {
			recognised++
		}
	}
	switch {
	case recognised < 2 && t.otherSeparator(line, rest):
		return false
	case coordinates(fields) >= 2:
		t.d.fail(ruleBadCSV, t.header, "put a line above it that names the columns: "+guessed(fields), "the file has no header: its first line looks like a mark")
		return false
	case len(fields) > maxMarksFields:
		t.d.fail(ruleBadCSV, t.header, usualHeader, "the header has more than %d columns", maxMarksFields)
		return false
	}
	return t.take(fields, columns)
}

// take decides what each column is, and tells what is wrong with the header in one.
func (t *marksTable) take(fields []*node, columns []column) bool {
	there, twice := map[string]bool{}, false
	again := func(at diag.Position, name string) {
		twice = true
		t.d.fail(ruleDuplicateKey, at, "take one of the two out", "there is already a column %s", name)
	}
	for i, c := range columns {
		if c.is != "" && there[c.is] {
			again(fields[i].at, c.is)
		}
		there[c.is] = true
	}
	delete(there, "")
	renamed, called := diag.List{By: ", "}, diag.List{By: ", "}
	extra := diag.List{By: ", "}
	doubtful := diag.List{By: ", "}
	var at diag.Position
	mended := make([]string, len(fields))
	var edits []diag.Edit
	for i, c := range columns {
		text := fields[i].text
		mended[i] = text
		switch {
		case c.is != "":
		case c.meant == "" || there[c.meant] && columnName(text) != columnName(c.meant):
			extra.Items = append(extra.Items, unnamed(text, i))
		case there[c.meant]:
			again(fields[i].at, c.meant)
		case c.weak:
			extra.Items = append(extra.Items, quote(text))
			doubtful.Items = append(doubtful.Items, diag.Say("%s for %s", quote(text), c.meant))
		default:
			there[c.meant] = true
			columns[i].is, mended[i] = c.meant, c.meant
			edits = append(edits, diag.Replace(fields[i].at, c.meant))
			if renamed.Items = append(renamed.Items, quote(text)); len(renamed.Items) == 1 {
				at = fields[i].at
			}
			called.Items = append(called.Items, c.meant)
		}
	}
	missing := diag.List{By: ", "}
	for _, name := range needed() {
		if !there[name] {
			missing.Items = append(missing.Items, name)
			mended = append(mended, name)
		}
	}
	if len(missing.Items)+len(renamed.Items) > 0 {
		f := t.failHeader(at, fields, missing, renamed, called, mended)
		if len(missing.Items) == 0 {
			t.d.offer(f, false, f.Remedy, edits...)
		}
	}
	if twice || len(missing.Items) > 0 {
		return false
	}
	for _, c := range columns {
		t.columns = append(t.columns, c.is)
	}
	t.name = slices.Index(t.columns, "name")
	t.guessed = len(renamed.Items) > 0
	if len(extra.Items) > 0 {
		t.extra(extra, doubtful)
	}
	return true
}

func unnamed(text string, i int) any {
	if text == "" {
		return fmt.Sprintf("one without a name (column %d)", i+1)
	}
	return quote(text)
}

// failHeader tells what is wrong with the names of the columns.
func (t *marksTable) failHeader(at diag.Position, fields []*node, missing, renamed, called diag.List, mended []string) *diag.Finding {
	remedy := "make it " + strings.Join(mended, ",")
	of := "column"
	if len(renamed.Items) > 1 {
		of = "columns"
	}
	if len(missing.Items) == 0 {
		if len(renamed.Items) > 1 {
			at = t.header
		}
		return t.d.fail(ruleUnknownKey, at, remedy, "a marks_file has no "+of+" %s: what seems to be meant is %s", renamed, called)
	}
	lacks := "column"
	if len(missing.Items) > 1 {
		lacks = "columns"
	}
	var grid []string
	for _, f := range fields {
		if slices.Contains(projected(), columnName(f.text)) {
			grid = append(grid, quote(f.text))
		}
	}
	if len(grid) > 1 {
		remedy = "have the table written with latitude and longitude, in degrees of WGS 84; " + words.And(grid) + " are metres of a map grid"
	} else if len(missing.Items) == len(needed()) && len(renamed.Items) == 0 {
		remedy = usualHeader
	} else {
		remedy = "where what is missing stands in the table, name its column; the header is then such as " + strings.Join(mended, ",")
	}
	f := t.d.fail(ruleMissingKey, t.header, remedy, "the header has no "+lacks+" %s", missing)
	if len(renamed.Items) > 0 {
		f.Add(", and %s is called %s", renamed, called)
	}
	return f
}

// extra names the columns that are not read. One that sounds like a column that is not there
// is a warning: without it that is what is usual.
func (t *marksTable) extra(extra, doubtful diag.List) {
	what := "the marks_file has a column that is not read: %s"
	if len(extra.Items) > 1 {
		what = "the marks_file has columns that are not read: %s"
	}
	f := diag.New(t.header, what, extra)
	f.Severity, f.Remedy = diag.Note, "nothing, if that is meant"
	if len(doubtful.Items) > 0 {
		f.Add("; perhaps meant is %s", doubtful)
		f.Severity, f.Remedy = diag.Warning, "call a column what it is; leave it as it is if it is something else, such as a height above the sea or a radius"
	}
	f.Rule, f.About = ruleExtraColumn, []diag.Subject{diag.The(diag.File, t.file)}
	t.d.findings.file(t.file, maxMarksFindings, false)
	t.d.findings.add(f)
}

// otherSeparator tells that something other than commas stands between the columns.
func (t *marksTable) otherSeparator(line string, rest []byte) bool {
	for _, other := range []struct {
		split func(string) []string
		name  string
	}{
		{by(";"), "semicolons"}, {by("\t"), "tabs"}, {by("|"), "vertical bars"}, {strings.Fields, "spaces"},
	} {
		var fields []*node
		known := 0
		for _, text := range other.split(line) {
			text = strings.Trim(text, around+`"`)
			fields = append(fields, &node{text: strings.Replace(text, ",", ".", 1)})
			if t.columnOf(text) != (column{}) {
				known++
			}
		}
		headless := coordinates(fields) >= 2
		if len(fields) < 3 || known < 2 && !headless {
			continue
		}
		remedy := "save the table with commas between the columns"
		if other.name == "spaces" {
			remedy = "put commas between the columns"
		}
		if decimalComma.MatchString(line) || decimalComma.Match(rest[:min(len(rest), maxMarksLine)]) {
			remedy += ", and points for the commas in its decimals"
		}
		if headless {
			remedy += "; above it goes a line that names the columns: " + guessed(fields)
		}
		t.d.fail(ruleBadCSV, t.header, remedy, "the columns are separated by %s, and commas are due", other.name)
		return true
	}
	return false
}

func by(sign string) func(string) []string {
	return func(line string) []string { return strings.Split(line, sign) }
}

// decimalComma is a number of many digits with a comma for a point.
var decimalComma = regexp.MustCompile(`\b[0-9]{1,3},[0-9]{3,}\b`)

// asCoordinate says whether a field may be a latitude, and whether a longitude.
func asCoordinate(text string) (latitude, longitude bool) {
	if !strings.ContainsAny(text, ".°'") {
		return false, false // a number, or a name that is one
	}
	_, noLatitude := geodesy.ParseLatitude(text)
	_, noLongitude := geodesy.ParseLongitude(text)
	return noLatitude == nil, noLongitude == nil
}

func coordinates(fields []*node) (count int) {
	for _, f := range fields {
		if latitude, longitude := asCoordinate(f.text); latitude || longitude {
			count++
		}
	}
	return count
}

var (
	finely = regexp.MustCompile(`^[0-9.]+ *(mm|cm)$`)
	metres = regexp.MustCompile(`^-?[0-9.]+ *m?$`)
)

// guessed is the header of a row, by what is in it: the first two coordinates are taken for
// latitude and longitude, in this order unless they cannot be.
func guessed(fields []*node) string {
	var header []string
	var first int // the column of the first coordinate
	has := map[string]bool{}
	give := func(name string) {
		if has[name] {
			name = fmt.Sprintf("column%d", len(header)+1)
		}
		has[name] = true
		header = append(header, name)
	}
	for _, f := range fields {
		latitude, longitude := asCoordinate(f.text)
		switch {
		case has["longitude"] && has["latitude"] && finely.MatchString(f.text):
			give("uncertainty")
		case has["longitude"] && has["latitude"] && metres.MatchString(f.text):
			give("height")
		case has["longitude"] && has["latitude"], !latitude && !longitude:
			give("name")
		case has["latitude"] && longitude:
			give("longitude")
		case has["latitude"]: // the first was the longitude
			header[first], has["longitude"] = "longitude", true
			delete(has, "latitude")
			give("latitude")
		case latitude:
			first = len(header)
			give("latitude")
		case has["longitude"]:
			give(fmt.Sprintf("column%d", len(header)+1))
		default:
			give("longitude")
		}
	}
	return strings.Join(header, ",")
}

// binary says of a file that is no text what it is, and what to do; empty for a text.
func binary(text []byte) (message, remedy string) {
	const save = "save the table as comma-separated values, in the encoding UTF-8"
	switch head := text[:min(len(text), 4_096)]; {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return "the file is a spreadsheet or another archive, and no text", save
	case bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")):
		return "the file is a spreadsheet of an old kind, and no text", save
	case bytes.HasPrefix(head, []byte("%PDF")):
		return "the file is a document for printing, and no table", save
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("\xfe\xff")), evenNUL(head):
		return "the file is text of two bytes a character (UTF-16), and UTF-8 is due", "save the file in the encoding UTF-8"
	case bytes.IndexByte(head, 0) >= 0:
		return "the file is no text: it has bytes of zero in it", save
	}
	return "", ""
}

// evenNUL reports whether about every second byte is zero, as in text of two bytes a
// character.
func evenNUL(head []byte) bool {
	return len(head) >= 8 && 3*bytes.Count(head, []byte{0}) >= len(head) && utf8.Valid(bytes.ReplaceAll(head, []byte{0}, nil))
}
