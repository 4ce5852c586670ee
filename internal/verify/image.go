// Records in firmware images. Every data header places one, mere_record_t, at the
// beginning of its mission: bytes only, so that it reads the same whatever the byte
// order, and it begins with a text that is in nothing else.
package verify

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"merestone/internal/board"
	"merestone/internal/guidance"
)

// Found is a record in an image.
type Found struct {
	Record guidance.Record
	// Section is the ELF section that it is in; empty in other files.
	Section string
	// Addresses are where it is: on the board, or the offset in a raw image. There is
	// one for each copy; several source files that include the header may each have
	// one.
	Addresses []uint64
}

const (
	magicSize  = 16
	recordSize = magicSize + 1 + 3 + 32 + board.MissionNameSize + board.ToolSize
)

// readImage reads a file of a kind as it is loaded.
func readImage(kind Kind, data string) (memory, error) {
	read := func(string) (memory, error) { return anyBoard([]piece{{0, data}}, false), nil }
	switch kind {
	case ELFFile:
		read = readELF
	case HexFile:
		read = readHex
	case SRecordFile:
		read = readSRecords
	}
	m, err := read(data)
	if err != nil {
		return m, fmt.Errorf("the %v cannot be read: %w", kind, err)
	}
	return m, nil
}

// records are those of an image, equal ones together, in the order of their first
// place. torn are places with the text of a record and none behind it. No record is
// no error.
func (m *memory) records() (found []Found, torn []uint64, err error) {
	places := 0
	for _, p := range m.pieces {
		for from := 0; ; {
			i := strings.Index(p.data[from:], guidance.Magic+"\x00")
			if i < 0 {
				break
			}
			at := from + i
			from = at + 1
			address := p.address + uint64(at)
			record, ok := parseRecord(p.data[at:])
			if !ok {
				if len(torn) < maxRecords { // more tell no more
					torn = append(torn, address)
				}
				continue
			}
			if places++; places > maxPlaces {
				return nil, nil, fmt.Errorf("there are records in more than %d places, so it is no firmware", maxPlaces)
			}
			k := slices.IndexFunc(found, func(f Found) bool { return f.Record == record })
			if k < 0 {
				if len(found) == maxRecords {
					return nil, nil, fmt.Errorf("there are more than %d different records, so it is no firmware", maxRecords)
				}
				k, found = len(found), append(found, Found{Record: record, Section: m.section(address)})
			}
			found[k].Addresses = append(found[k].Addresses, address)
		}
	}
	return found, torn, nil
}

// parseRecord reads a record; its texts must be texts that end in zeros.
func parseRecord(data string) (guidance.Record, bool) {
	if len(data) < recordSize {
		return guidance.Record{}, false
	}
	data = data[magicSize:recordSize]
	r := guidance.Record{Format: data[0]}
	if r.Format == 0 || data[1:4] != "\x00\x00\x00" {
		return r, false
	}
	data = data[4:]
	copy(r.Digest[:], data)
	data = data[len(r.Digest):]
	var ok1, ok2 bool
	r.Mission, ok1 = fixedText(data[:board.MissionNameSize])
	r.Tool, ok2 = fixedText(data[board.MissionNameSize:])
	return r, ok1 && ok2
}

func fixedText(field string) (string, bool) {
	text, rest, ok := strings.Cut(field, "\x00")
	return text, ok && len(text) > 0 && utf8.ValidString(text) &&
		len(strings.Trim(rest, "\x00")) == 0 && strings.IndexFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f }) < 0
}
