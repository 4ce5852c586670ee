// Receivers' logs that a command names.
package cli

import (
	"merestone/internal/nmea"
	"merestone/internal/occupy"
	"merestone/internal/source"
)

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
