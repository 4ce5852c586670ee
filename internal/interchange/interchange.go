// Package interchange reads what other programs and instruments know of a site: tables of
// named points (CSV), GeoJSON (RFC 7946), GPX 1.1, KML 2.2 and the tracks of receivers' logs.
// What it reads becomes marks, a route and the rings of a fence.
//
// Coordinates go from the digits of the text to whole nanodegrees and never through a
// float. What a file does not say (which height, which order of axes) is not guessed in
// silence: it is left out, or refused, or taken as the user said, and each of these is told
// in a note. Files are those of strangers: their size, depth and number of points are
// bounded, and every error is one line with the line of the file.
//
//	interchange.go  what is read, and which reader it is given to
//	digits.go       decimals, exactly
//	csv.go          tables; columns.go what their columns are
//	geojson.go, gpx.go, kml.go  the others; xml.go what the last two share
//	kinds.go        what a drawing of this program says that each thing is
//	notes.go        what is told of many points at once
//	heights.go      above the ellipsoid, above the sea, or neither
//	log.go          fixes as a track
//	walk.go         walked tracks, thinned
//	yaml.go         lines of a mission
//	names.go        names that a mission can have
//	take.go         what becomes of it: marks, a route, a boundary, obstacles
package interchange

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"merestone/internal/geodesy"
	"merestone/internal/nmea"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// Limits of a file. A walk of a day at five fixes a second has 144,000 points.
const (
	MaxBytes  = 64 << 20
	maxPoints = 250_000
	maxDepth  = 64    // of what is within what
	maxText   = 1_000 // bytes of a name, a number
)

// Point is a place as the file has it.
type Point struct {
	Name                string // empty for none
	Line                int    // of the file
	Latitude, Longitude geodesy.Coordinate
	Height              *quantity.Length // nil where there is none that can be taken
	Uncertainty         *quantity.Length // of a table written as a marks_file
}

// Form is what a path is called in its format.
type Form string

// The forms.
const (
	Route   Form = "route" // of GPX: it is one by what it says
	Track   Form = "track"
	Line    Form = "line"
	Polygon Form = "polygon"
	Hole    Form = "hole" // of the polygon before it
)

// Path is points in order. Of a closed one the last is not the first again.
type Path struct {
	Name   string
	Kind   string // what a file of this program says that it is: "boundary"
	Form   Form
	Line   int
	Points []Point
	// Centre and Radius are what a file of this program says that a ring stands for: a circle
	// around a point of that name.
	Centre, Radius string
}

// Closed reports whether the path is a ring.
func (p Path) Closed() bool { return p.Form == Polygon || p.Form == Hole }

// Data is what a file holds, in its order.
type Data struct {
	Format string
	Fixed  bool // all points are fixed solutions of a receiver's log
	Points []Point
	Paths  []Path
	// Notes are what was assumed, and what was left out.
	Notes []string
}

// Options are what the user says of the file.
type Options struct {
	Zone        *geodesy.Zone    // the numbers are of this zone of the UTM grid
	Separation  *quantity.Length // heights are above the sea, and the sea is so high above the ellipsoid
	Ellipsoidal bool             // heights are above the ellipsoid
	Swapped     bool             // latitude and longitude are in each other's place
}

// Fault is what is wrong with a file, in one line.
type Fault struct {
	Line    int // 0 where it is the file as a whole
	Message string
}

func (f *Fault) Error() string {
	if f.Line == 0 {
		return f.Message
	}
	return fmt.Sprintf("line %d: %s", f.Line, f.Message)
}

// reading is one file being read.
type reading struct {
	text    []byte
	opt     Options
	data    Data
	points  int // so far, those of paths among them
	counted [noteCount]int
	first   [noteCount]int // the line of the first

	at, line int // of lineAt: how far lines were counted
}

// fault is an error at a line.
func fault(line int, format string, args ...any) error {
	return &Fault{line, words.Visible(fmt.Sprintf(format, args...))}
}

// Read reads a file by what is in it.
func Read(text []byte, opt Options) (Data, error) {
	if len(text) > MaxBytes {
		return Data{}, fault(0, "it is larger than %d MB", MaxBytes>>20)
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	r := &reading{text: text, opt: opt, line: 1}
	begin := bytes.TrimLeft(text, " \t\r\n")
	ofLog := isLog(begin)
	if err := r.isText(); err != nil && !ofLog { // what is broken in a log, its checksums show
		return Data{}, err
	}
	var err error
	switch {
	case len(begin) == 0:
		return Data{}, fault(0, "it is empty")
	case ofLog:
		err = r.log()
	case begin[0] == '{' || begin[0] == '[':
		r.data.Format = "GeoJSON"
		err = r.geojson()
	case begin[0] == '<':
		err = r.xml()
	default:
		r.data.Format = "table (CSV)"
		err = r.csv()
	}
	if err != nil {
		return Data{}, err
	}
	if r.points == 0 {
		return Data{}, fault(0, "there is no point, line or polygon in it")
	}
	r.tell()
	if bytes.Contains(text, []byte(Refused)) {
		r.data.Notes = append(r.data.Notes, "it is the drawing of a mission that was refused, and what its errors are in may be missing")
	}
	return r.data, nil
}

// isLog reports whether a text is a receiver's log: it begins with a sentence, or has one with
// a right checksum near its beginning, behind a time stamp, the rest of another or binary
// frames. What begins as JSON or XML is none, whatever its texts hold.
func isLog(text []byte) bool {
	const near = 4096
	head := text[:min(len(text), near)]
	switch {
	case len(head) > 1 && head[0] == '$' && head[1] >= 'A' && head[1] <= 'Z':
		return true
	case len(head) == 0 || head[0] == '{' || head[0] == '<' || bytes.IndexByte(head, '$') < 0:
		return false
	}
	sentences := nmea.NewReader(bytes.NewReader(head))
	for {
		if _, err := sentences.Next(); err != nil {
			taken, _ := sentences.Counts().Sentences()
			return taken > 0
		}
	}
}

// isText refuses what is no text in UTF-8, by what it looks like.
func (r *reading) isText() error {
	head := r.text[:min(len(r.text), 4096)]
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return fault(0, "it is an archive (such as KMZ or a spreadsheet), and no text: unpack it, or save the table as CSV")
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("\xfe\xff")):
		return fault(0, "it is text of two bytes a character (UTF-16): save it in UTF-8")
	}
	if i := bytes.IndexByte(r.text, 0); i >= 0 {
		return fault(r.lineAt(i), "there is a byte of zero: it is no text in UTF-8")
	}
	if utf8.Valid(r.text) {
		return nil
	}
	at := 0
	for line := range bytes.Lines(r.text) {
		if !utf8.Valid(line) {
			break
		}
		at += len(line)
	}
	return fault(r.lineAt(at), "there is a byte that is not UTF-8: save the file in that encoding")
}

// lineAt is the line of a byte. It is asked for in order, but for errors.
func (r *reading) lineAt(offset int) int {
	offset = min(max(offset, 0), len(r.text))
	if offset < r.at {
		r.at, r.line = 0, 1
	}
	r.line += bytes.Count(r.text[r.at:offset], []byte("\n"))
	r.at = offset
	return r.line
}

// point counts a point, and refuses one too many.
func (r *reading) point(line int) error {
	if r.points++; r.points > maxPoints {
		return fault(line, "there are more than %d points: take out what is not of the site", maxPoints)
	}
	return nil
}

// add adds a path. What is no path is left out, and told.
func (r *reading) add(p Path) error {
	if p.Closed() {
		n := len(p.Points)
		if n < 4 || p.Points[0].Latitude.Value != p.Points[n-1].Latitude.Value || p.Points[0].Longitude.Value != p.Points[n-1].Longitude.Value {
			return fault(p.Line, "a ring has at least three corners, and the first once more at the end")
		}
		p.Points = p.Points[:n-1]
	}
	if len(p.Points) < 2 {
		r.count(shortPath, p.Line)
		return nil
	}
	r.data.Paths = append(r.data.Paths, p)
	return nil
}

// oneLine keeps a name to what can be shown.
func oneLine(text string) string {
	text = text[:min(len(text), 4*maxText)]
	text = strings.Join(strings.Fields(text), " ")
	if len(text) > maxText {
		text = text[:maxText]
	}
	return strings.ToValidUTF8(text, "")
}
