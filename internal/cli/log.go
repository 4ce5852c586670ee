// Receivers' logs that a command names.
package cli

import (
	"merestone/internal/nmea"
	"merestone/internal/occupy"
	"merestone/internal/source"
	"merestone/internal/words"
)

// printCounts prints what a log was made of: sentences that were taken, those that were
// refused and why, and what was odd.
func (a app) printCounts(log *occupy.Log) {
	rows := append([][]string{{"in " + log.Name, "how many", "first line"}}, log.Counts.Rows()...)
	for _, line := range words.Table(rows, words.UsualColumns) {
		say(a.out, "  %s", line)
	}
}

// readLog reads a receiver's log, packed or not, or standard input for "-".
func (a app) readLog(path string, o occupy.Options) (*occupy.Log, error) {
	file, err := source.OpenData(path, a.in)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	fixes := nmea.NewReader(file)
	name := path
	if path == "-" {
		name = "<stdin>"
	}
	log, err := occupy.ReadLog(name, fixes, o)
	if err != nil {
		return nil, err
	}
	log.Counts, log.Digest = fixes.Counts(), file.Digest()
	return log, nil
}
