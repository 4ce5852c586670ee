// Tables of named points: a line of column names, and a line for each point. Between the
// columns are commas, semicolons, tabs, bars or blanks; decimals have a point, or a comma
// where something else separates the columns. Coordinates are degrees, or metres of a zone
// of the UTM grid where the user says which.
package interchange

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"merestone/internal/geodesy"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

const (
	maxColumns = 200
	maxLine    = 64 << 10 // bytes
)

// table is a table being read.
type table struct {
	*reading
	rows    func() (fields []string, line int, err error) // io.EOF at the end
	header  []string
	column  map[role]int
	comma   bool // may separate decimals
	commaAt int  // the line of the first number with a comma for the point
	pointAt int  // and of the first with a point
	grid    bool
	skipped []string
	unsaid  [2]bool // of latitude and longitude: what the column is called does not leave numbers degrees
}

func (r *reading) csv() error {
	t := &table{reading: r, column: map[role]int{}}
	if !bytes.Contains(r.text, []byte{'\n'}) { // lines end as they did on some systems of old
		r.text = bytes.ReplaceAll(r.text, []byte{'\r'}, []byte{'\n'})
	}
	number := 0
	for line := range bytes.Lines(r.text) {
		if number++; len(line) > maxLine {
			return fault(number, "it is longer than %d bytes, and no line of a table of points", maxLine)
		}
	}
	if err := t.open(); err != nil {
		return err
	}
	rows := 0
	for {
		fields, line, err := t.rows()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		if strings.Join(fields, "") == "" {
			continue
		}
		if len(fields) > len(t.header) && strings.Join(fields[len(t.header):], "") != "" {
			return t.otherLength(fields, line) // before its numbers are taken for what they are not
		}
		if rows++; rows == 1 {
			if err := t.frame(fields, line); err != nil {
				return err
			}
		}
		if err := t.row(fields, line); err != nil {
			return err
		}
	}
	if rows == 0 {
		return fault(0, "the table has no line beneath its header")
	}
	if t.commaAt > 0 && t.pointAt > 0 {
		return fault(max(t.commaAt, t.pointAt), "decimals have commas in line %d and points in line %d: write them in one way", t.commaAt, t.pointAt)
	}
	if t.commaAt > 0 {
		t.note("decimals have commas")
	}
	return nil
}

func (t *table) note(format string, args ...any) {
	t.data.Notes = append(t.data.Notes, words.Visible(fmt.Sprintf(format, args...)))
}

// separator is what may stand between columns; ' ' stands for any run of blanks.
func separators() []struct {
	sign rune
	name string
} {
	return []struct {
		sign rune
		name string
	}{{',', "commas"}, {';', "semicolons"}, {'\t', "tabs"}, {'|', "bars"}, {' ', "blanks"}}
}

// open reads the header by the separator that makes the most columns of it that are known.
func (t *table) open() error {
	best, most, name := ' ', 0, ""
	for _, s := range separators() {
		rows := t.split(s.sign)
		header, _, err := rows()
		if err != nil || len(header) > maxColumns {
			continue
		}
		known := 0
		for _, text := range header {
			if roleOf(text) != noRole {
				known++
			}
		}
		if known > most {
			best, most, name = s.sign, known, s.name
		}
	}
	if most < 2 {
		return fault(1, "the first line does not name the columns of a table: put one above, such as name,latitude,longitude")
	}
	t.rows = t.split(best)
	header, line, err := t.rows()
	if err != nil {
		return err
	}
	t.header, t.comma = header, best != ','
	t.note("columns are separated by %s", name)
	return t.columns(line)
}

// split cuts the table into rows by a separator.
func (t *table) split(sign rune) func() ([]string, int, error) {
	if sign == ' ' {
		return t.blanks()
	}
	dec := csv.NewReader(bytes.NewReader(t.text))
	dec.Comma, dec.Comment, dec.FieldsPerRecord, dec.ReuseRecord = sign, '#', -1, true
	dec.LazyQuotes = true // as in a marks_file, a quotation mark counts at the start of a field alone: 45°18'04.4"N
	return func() ([]string, int, error) {
		record, err := dec.Read()
		if err != nil {
			return nil, 0, err
		}
		line, _ := dec.FieldPos(0)
		fields := make([]string, len(record))
		for i := range record {
			if fields[i] = strings.TrimSpace(record[i]); strings.ContainsAny(fields[i], "\r\n") {
				return nil, 0, fault(line, "a field runs over the end of the line: a quotation mark is not closed")
			}
		}
		return fields, line, nil
	}
}

func (t *table) blanks() func() ([]string, int, error) {
	rest, line := t.text, 0
	return func() ([]string, int, error) {
		for len(rest) > 0 {
			row, after, _ := bytes.Cut(rest, []byte("\n"))
			rest = after
			line++
			if fields := strings.Fields(string(row)); len(fields) > 0 && fields[0][0] != '#' {
				return fields, line, nil
			}
		}
		return nil, 0, io.EOF
	}
}

// columns finds what each column is. Of two that may be the same, neither is taken.
func (t *table) columns(line int) error {
	for i, text := range t.header {
		is := roleOf(text)
		switch j, twice := t.column[is]; {
		case is == noRole:
			if text != "" {
				t.skipped = append(t.skipped, strconv.Quote(shown(text)))
			}
		case twice:
			return fault(line, "the columns %q and %q both look like the %s: give the one that is not meant another name", shown(t.header[j]), shown(text), is)
		case otherUnit(text) != "" && is != nameRole && is != uncertaintyRole: // an uncertainty has its unit in each row
			if is == heightRole || is == seaRole || is == ellipsoidRole {
				t.skipped = append(t.skipped, fmt.Sprintf("%q (in %s)", shown(text), otherUnit(text)))
				continue
			}
			return fault(line, "the column %q is in %s: convert it to metres", shown(text), otherUnit(text))
		default:
			t.column[is] = i
		}
	}
	pairs := [][2]role{{latitudeRole, longitudeRole}, {northRole, eastRole}, {yRole, xRole}}
	var there []string
	for _, p := range pairs {
		if t.has(p[0]) && t.has(p[1]) {
			there = append(there, fmt.Sprintf("%q and %q", shown(t.header[t.column[p[0]]]), shown(t.header[t.column[p[1]]])))
		}
	}
	switch {
	case len(there) == 0:
		return fault(line, "there are no two columns for a place, such as latitude and longitude: the columns are %s", words.Few(t.header, ", "))
	case len(there) > 1 && t.has(latitudeRole) && t.has(longitudeRole) && t.opt.Zone == nil:
		t.note("the place is that of the columns %s; %s are left out", there[0], words.And(there[1:]))
	case len(there) > 1:
		t.note("the place is that of the columns %s; the others are left out", there[min(1, len(there)-1)])
	}
	if len(t.skipped) > 0 {
		t.note("columns that are not read: %s", words.Few(t.skipped, ", "))
	}
	var heights []string
	for _, h := range []role{ellipsoidRole, heightRole, seaRole} {
		if t.has(h) {
			heights = append(heights, fmt.Sprintf("%q", shown(t.header[t.column[h]])))
		}
	}
	if len(heights) > 1 {
		t.note("heights are those of the column %s; %s are left out", heights[0], words.And(heights[1:]))
	}
	return nil
}

func (t *table) has(r role) bool {
	_, there := t.column[r]
	return there
}

// get is the field of a column, empty where there is none.
func (t *table) get(fields []string, r role) string {
	if i, there := t.column[r]; there && i < len(fields) {
		return fields[i]
	}
	return ""
}

// number is a field with a point for the decimal comma, if it is a number with one.
func (t *table) number(text string, line int) (string, error) {
	whole, fraction, comma := strings.Cut(text, ",")
	if !comma {
		if strings.Contains(text, ".") && t.pointAt == 0 {
			t.pointAt = line
		}
		return text, nil
	}
	if !t.comma || strings.ContainsAny(fraction, ",.") || strings.Contains(whole, ".") {
		return "", fault(line, "%q has a comma that may separate thousands or decimals: write numbers without, and decimals in one way", shown(text))
	}
	if t.commaAt == 0 {
		t.commaAt = line
	}
	return whole + "." + fraction, nil
}

// pair is the place of a row: its two fields as numbers.
func (t *table) pair(fields []string, line int) (north, east string, err error) {
	if north, err = t.number(t.get(fields, latitudeRole), line); err == nil {
		east, err = t.number(t.get(fields, longitudeRole), line)
	}
	return north, east, err
}

// frame decides by the first row whether places are degrees or metres of a grid, and what
// x and y are.
func (t *table) frame(fields []string, line int) error {
	switch {
	case t.has(latitudeRole) && t.has(longitudeRole) && (t.opt.Zone == nil || !t.has(eastRole) && !t.has(xRole)):
	case t.has(northRole) && t.has(eastRole):
		t.grid = true
		t.column[latitudeRole], t.column[longitudeRole] = t.column[northRole], t.column[eastRole]
	default:
		t.column[latitudeRole], t.column[longitudeRole] = t.column[yRole], t.column[xRole]
	}
	north, east, err := t.pair(fields, line)
	if err != nil {
		return err
	}
	n, isNorth := metres(north)
	e, isEast := metres(east)
	named := [2]string{shown(t.header[t.column[longitudeRole]]), shown(t.header[t.column[latitudeRole]])}
	large := isNorth && isEast && (n > 180 || n < -180 || e > 360 || e < -360)
	xy := t.column[latitudeRole] == t.column[yRole] && t.has(yRole)
	switch {
	case large && t.opt.Zone == nil:
		return fault(line, "the numbers in the columns %q and %q (%s, %s) are no degrees, and look like metres of a map grid: if they are UTM on WGS 84, say the zone, as --utm 33N; from any other grid or datum convert them first, with what its authority publishes", named[0], named[1], shown(east), shown(north))
	case t.grid && t.opt.Zone == nil:
		return fault(line, "the columns %q and %q are metres of a map grid or of a frame of their own: if they are UTM on WGS 84, say the zone, as --utm 33N; from any other convert them first", named[0], named[1])
	case !large && t.opt.Zone != nil:
		return fault(line, "a zone of UTM is said, but the numbers in the columns %q and %q (%s, %s) are no metres of that grid", named[0], named[1], shown(east), shown(north))
	case t.opt.Zone != nil:
		t.grid = true
		if t.opt.Swapped {
			n, e = e, n
		}
		swapped := geodesy.InGrid(n, e) && !geodesy.InGrid(e, n)
		if xy && geodesy.InGrid(n, e) && geodesy.InGrid(e, n) {
			return fault(line, "%s and %s may each be the easting or the northing: name the columns easting and northing", shown(east), shown(north))
		}
		if xy && swapped {
			t.column[latitudeRole], t.column[longitudeRole] = t.column[longitudeRole], t.column[latitudeRole]
			t.note("the column %q is the northing and %q the easting, by the size of their numbers", named[0], named[1])
		} else if swapped {
			return fault(line, "%s can be no easting and %s could be one: where the columns are in each other's place, say --swap", shown(east), shown(north))
		}
		t.note("numbers are metres of the UTM grid on WGS 84, %s, as you say", t.opt.Zone)
		return nil
	}
	if err := t.wholePlace(fields, line); err != nil {
		return err
	}
	// Metres of a frame of somebody's own are small numbers, too, with three or four decimals.
	if xy && isNorth && isEast && !t.unsaid[0] && !t.unsaid[1] && !(fine(north) && fine(east)) && !saysDegrees(named[0]) && !saysDegrees(named[1]) {
		return fault(line, "%s and %s in the columns %q and %q may be degrees, or metres of a frame of their own: name the columns latitude and longitude if they are degrees", shown(east), shown(north), named[0], named[1])
	}
	if xy {
		t.note("the column %q is taken for the longitude and %q for the latitude", named[0], named[1])
	}
	t.note("coordinates are degrees of WGS 84 by what the columns are called; a table does not say the datum")
	return nil
}

// wholePlace refuses degrees of which a part stands in a column that is not read, and notes
// columns by whose names their numbers may be no degrees.
func (t *table) wholePlace(fields []string, line int) error {
	isPlace := func(i int) bool { return i == t.column[latitudeRole] || i == t.column[longitudeRole] }
	part := false // of the column before
	for i, text := range t.header {
		if isPlace(i) || roleOf(text) != noRole {
			part = false
			continue
		}
		beside := part || isPlace(i-1) || isPlace(i+1)
		side := text == "" && beside && i < len(fields) && len(fields[i]) == 1 && strings.ContainsAny(fields[i], "NSEWO")
		if part = side || partOfPlace(text, beside); part {
			return fault(line, "the column %q looks like a part of a coordinate (its minutes, or north or south), which is read from one column alone: write 45°18'04.4412\"S, or -45.3012, in one", shown(text))
		}
	}
	for i, r := range []role{latitudeRole, longitudeRole} {
		_, beside := columnName(t.header[t.column[r]])
		t.unsaid[i] = !r.degrees(beside)
	}
	return nil
}

// sayable refuses a number of degrees in a column that is called otherwise.
func (t *table) sayable(number string, r role, line int) error {
	if _, isNumber := plain(number); !isNumber || !t.unsaid[r-latitudeRole] {
		return nil
	}
	name := shown(t.header[t.column[r]])
	_, beside := columnName(name)
	return fault(line, "the column %q says %q beside its name, and numbers alone are read as degrees, south and west with a minus sign: convert them, or write them in full (45°18'04.4412\"S)", name, beside)
}

// cutOff tells digits that are the decimals of another number rather than degrees: they are
// more than three, or begin with a zero.
func cutOff(text string) bool {
	digits := strings.TrimLeft(text, "+-")
	return strings.Trim(digits, "0123456789") == "" && (len(digits) > 3 || len(digits) > 1 && digits[0] == '0')
}

// fine tells a number with five decimals or more, by which degrees are told from metres.
func fine(text string) bool {
	number, ok := plain(text)
	_, fraction, _ := strings.Cut(number, ".")
	return ok && len(fraction) >= 5
}

// saysDegrees reports whether the name of a column says what its numbers are.
func saysDegrees(column string) bool {
	_, beside := columnName(column)
	return strings.Contains(beside, "deg") || strings.Contains(column, "°")
}

// metres is a number of metres of a grid.
func metres(text string) (float64, bool) {
	number, ok := plain(text)
	if !ok {
		return 0, false
	}
	value, err := strconv.ParseFloat(number, 64)
	return value, err == nil
}

func (t *table) otherLength(fields []string, line int) error {
	return fault(line, "there are %d fields, and the header has %d", len(fields), len(t.header))
}

func (t *table) row(fields []string, line int) error {
	if last := len(fields); last < len(t.header) && last <= max(t.column[latitudeRole], t.column[longitudeRole]) {
		return t.otherLength(fields, line)
	}
	if err := t.point(line); err != nil {
		return err
	}
	north, east, err := t.pair(fields, line)
	if err != nil {
		return err
	}
	var p Point
	if t.grid {
		p, err = t.gridPlace(north, east, line)
	} else if !t.comma && (cutOff(north) || cutOff(east)) {
		err = fault(line, "%s and %s look like the two parts of one number: does a comma separate decimals here, too? Write them with points, or separate the columns by semicolons", shown(north), shown(east))
	} else if err = cmp.Or(t.sayable(north, latitudeRole, line), t.sayable(east, longitudeRole, line)); err == nil {
		p, err = t.place(north, east, line, true)
	}
	if err != nil {
		return err
	}
	p.Name = oneLine(t.get(fields, nameRole))
	if p.Height, err = t.heightOf(fields, line); err != nil {
		return err
	}
	if text := t.get(fields, uncertaintyRole); text != "" {
		value, err := quantity.Parse(text, quantity.Length(0).Dimension())
		if err != nil {
			return fault(line, "uncertainty: %v", err)
		}
		uncertainty := quantity.Length(value)
		p.Uncertainty = &uncertainty
	}
	t.data.Points = append(t.data.Points, p)
	return nil
}

func (t *table) gridPlace(north, east string, line int) (p Point, err error) {
	if t.opt.Swapped {
		t.count(swappedPair, line)
		north, east = east, north
	}
	n, isNorth := metres(north)
	e, isEast := metres(east)
	if !isNorth || !isEast {
		return p, fault(line, "easting %q and northing %q are not both numbers of metres", shown(east), shown(north))
	}
	latitude, longitude, err := geodesy.FromUTM(*t.opt.Zone, e, n)
	if err != nil {
		return p, fault(line, "easting %s, northing %s: %v", shown(east), shown(north), err)
	}
	t.count(gridPoint, line)
	p.Line = line
	p.Latitude, p.Longitude = geodesy.Coordinate{Value: latitude, Resolution: 1}, geodesy.Coordinate{Value: longitude, Resolution: 1}
	return p, nil
}

// heightOf reads the height of a row. One with a unit is written as in a marks_file, and
// above the ellipsoid as there.
func (t *table) heightOf(fields []string, line int) (*quantity.Length, error) {
	for _, h := range []struct {
		role role
		over above
	}{{ellipsoidRole, ellipsoid}, {heightRole, unknown}, {seaRole, sea}} {
		if !t.has(h.role) {
			continue
		}
		text, err := t.number(t.get(fields, h.role), line)
		if err != nil {
			return nil, err
		}
		if h.over == ellipsoid && text != "" && t.opt.Separation != nil {
			return nil, fault(line, "the column %q says that heights are above the ellipsoid, and --separation that they are above the sea: one of them is wrong", shown(t.header[t.column[h.role]]))
		}
		if _, isNumber := plain(text); text != "" && !isNumber && h.over == unknown && slices.Contains(t.header, "height") {
			h.over = ellipsoid
		}
		return t.height(text, "", h.over, line)
	}
	return nil, nil
}
