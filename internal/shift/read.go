// The reader of a file of fixes taken on control marks: CSV (RFC 4180) with a
// header.
//
//	name,latitude,longitude,height,uncertainty
//	C1,45.301204417,6.123399812,412.61 m,2 cm
//
// name, latitude and longitude must be there; height, of which nothing is made, and
// uncertainty may be; columns may be in any order. A mark may have any number of
// rows, in the order in which they were taken. Lines that begin with # are comments.
// Values are handed on as they are written: coordinates must not pass through a float
// before they are local, and units are read elsewhere.
package shift

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Row is one fix as written in the file. Optional values are empty when absent.
type Row struct {
	// Line is where the row begins in the file, counted from 1.
	Line                int
	Name                string
	Latitude, Longitude string
	Uncertainty         string
}

// LineError is a fault at a line of the file.
type LineError struct {
	Line    int
	Message string
}

// Error returns "line 7: ...".
func (e *LineError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Message) }

// Limits that no honest file meets: five fixes a second for a day are 432,000, of
// some 80 bytes each.
const (
	maxFileBytes   = 64 << 20
	maxRows        = 440_000
	maxErrors      = 20
	maxOccupied    = 1_000   // marks; the fit is made again without each, so time goes by their square
	maxColumns     = 20      // there are five
	maxValue       = 100     // bytes of a value that is read; the longest useful ones have some 40
	maxRecordBytes = 1 << 20 // of a row with the comments and blank lines before it
)

var columnNames = []string{"name", "latitude", "longitude", "height", "uncertainty"}

// ReadRows reads a file of fixes. All faults are returned together, joined, up
// to the first twenty, each a *LineError; an error of the reader itself is
// returned as it is.
func ReadRows(r io.Reader) ([]Row, error) {
	limited := &limiter{from: r}
	reader := csv.NewReader(limited)
	reader.Comment = '#'
	reader.TrimLeadingSpace = true
	reader.FieldsPerRecord = -1 // counted here, with a clearer message

	reader.ReuseRecord = true
	header, err := reader.Read()
	if errors.Is(err, io.EOF) {
		return nil, &LineError{1, "the file is empty; the first line must name the columns, at least name,latitude,longitude"}
	}
	if err != nil {
		return nil, lineErrorOf(err)
	}
	limited.done = reader.InputOffset()
	headerLine, _ := reader.FieldPos(0)
	columns, err := readHeader(header, headerLine)
	if err != nil {
		return nil, err
	}

	var rows []Row
	var errs []error
	for len(errs) < maxErrors {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			errs = append(errs, lineErrorOf(err))
			break // after a stray quote the lines no longer mean anything
		}
		limited.done = reader.InputOffset()
		line, _ := reader.FieldPos(0)
		row, err := readRow(record, columns, line)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		if len(rows) == maxRows {
			errs = append(errs, &LineError{line, fmt.Sprintf("more than %d fixes", maxRows)})
			break
		}
		rows = append(rows, row)
	}
	if len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	if len(rows) == 0 {
		return nil, &LineError{headerLine, "no fix follows the header"}
	}
	return rows, nil
}

// limiter bounds a file, and each record of it, by what a CSV reader has asked for:
// it asks for more only where a record has not ended in what it has. What it would
// keep of a record is several times as large as the record.
type limiter struct {
	from  io.Reader
	given int64 // bytes
	done  int64 // bytes before the record that is being read
}

// Read reads on.
func (l *limiter) Read(p []byte) (int, error) {
	switch {
	case l.given > maxFileBytes:
		return 0, fmt.Errorf("the file is larger than %d MiB", maxFileBytes>>20)
	case l.given-l.done > maxRecordBytes:
		return 0, fmt.Errorf("no row ends within %d MiB; is a quotation mark never closed?", maxRecordBytes>>20)
	}
	n, err := l.from.Read(p)
	l.given += int64(n)
	return n, err
}

// readHeader returns the name of each column.
func readHeader(header []string, line int) ([]string, error) {
	if len(header) > maxColumns {
		return nil, &LineError{line, fmt.Sprintf("%d columns; there are %d: %s", len(header), len(columnNames), strings.Join(columnNames, ", "))}
	}
	columns := make([]string, len(header))
	var errs []error
	for i, cell := range header {
		// Some programs begin a file with a byte order mark.
		name := strings.TrimSpace(strings.TrimPrefix(cell, "\ufeff"))
		switch {
		case len(name) > maxValue:
			errs = append(errs, &LineError{line, fmt.Sprintf("the name of a column has more than %d bytes", maxValue)})
		case !slices.Contains(columnNames, name):
			errs = append(errs, &LineError{line, fmt.Sprintf("unknown column %q; the columns are %s", name, strings.Join(columnNames, ", "))})
		case slices.Contains(columns[:i], name):
			errs = append(errs, &LineError{line, fmt.Sprintf("column %s is there twice", name)})
		}
		columns[i] = name
	}
	for _, name := range columnNames[:3] {
		if !slices.Contains(columns, name) {
			errs = append(errs, &LineError{line, "column " + name + " is missing"})
		}
	}
	return columns, errors.Join(errs...)
}

// readRow puts the cells of a record under their columns.
func readRow(record, columns []string, line int) (Row, error) {
	if len(record) != len(columns) {
		return Row{}, &LineError{line, fmt.Sprintf("%d values where the header names %d columns", len(record), len(columns))}
	}
	row := Row{Line: line}
	for i, cell := range record {
		cell = strings.TrimSpace(cell)
		if len(cell) > maxValue && columns[i] != "height" {
			return Row{}, &LineError{line, fmt.Sprintf("%s has %d bytes, more than %d", columns[i], len(cell), maxValue)}
		}
		switch columns[i] {
		case "name":
			row.Name = cell
		case "latitude":
			row.Latitude = cell
		case "longitude":
			row.Longitude = cell
		case "uncertainty":
			row.Uncertainty = cell
		}
	}
	for _, due := range []struct{ name, value string }{
		{"name", row.Name}, {"latitude", row.Latitude}, {"longitude", row.Longitude},
	} {
		if due.value == "" {
			return Row{}, &LineError{line, due.name + " is empty"}
		}
	}
	return row, nil
}

// lineErrorOf gives an error of the CSV reader its line in our form.
func lineErrorOf(err error) error {
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		return &LineError{parse.Line, parse.Err.Error()}
	}
	return err
}
