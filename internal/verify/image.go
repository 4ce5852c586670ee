// Records in firmware images. Every data header places one, mere_record_t: bytes
// only, so that it reads the same whatever the byte order, and it begins with a
// text that is in nothing else.
package verify

import (
	"bytes"
	"debug/elf"
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
	// Section is the ELF section that it is in; empty for a raw image.
	Section string
	// Addresses are where it is: on the target for an ELF file, else the offset
	// in the image. There is one for each copy; several source files that
	// include the header may each have one.
	Addresses []uint64
}

const (
	magicSize  = 16
	recordSize = magicSize + 1 + 3 + 32 + board.MissionNameSize + board.ToolSize
)

// isELF reports whether a file begins as an ELF file does.
func isELF(data []byte) bool { return bytes.HasPrefix(data, []byte(elf.ELFMAG)) }

func magic() []byte { return append([]byte(guidance.Magic), 0) }

// Records finds the records of an image, equal ones together, in the order of
// their first place. In an ELF file only what is loaded to the target is looked
// at, not the debug information. No record is no error.
func Records(data []byte) ([]Found, error) {
	if !isELF(data) {
		return search(nil, data, "", 0), nil
	}
	file, err := elf.NewFile(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the ELF file cannot be read: %w", err)
	}
	defer file.Close()
	var found []Found
	look := func(name string, offset, size, address uint64) {
		if offset < uint64(len(data)) {
			end := min(offset+size, uint64(len(data)))
			found = search(found, data[offset:max(end, offset)], name, address)
		}
	}
	for _, s := range file.Sections {
		if s.Type == elf.SHT_PROGBITS && s.Flags&elf.SHF_ALLOC != 0 {
			look(s.Name, s.Offset, s.FileSize, s.Addr)
		}
	}
	for _, p := range file.Progs {
		if len(file.Sections) == 0 && p.Type == elf.PT_LOAD { // stripped of its section table
			look("", p.Off, p.Filesz, p.Vaddr)
		}
	}
	return found, nil
}

// search adds the records in some bytes that begin at an address.
func search(found []Found, data []byte, section string, address uint64) []Found {
	for from := 0; ; {
		i := bytes.Index(data[from:], magic())
		if i < 0 {
			return found
		}
		at := from + i
		from = at + 1
		record, ok := parseRecord(data[at:])
		if !ok {
			continue // the text by itself, as in a tool that looks for records
		}
		k := slices.IndexFunc(found, func(f Found) bool { return f.Record == record })
		if k < 0 {
			k, found = len(found), append(found, Found{Record: record, Section: section})
		}
		found[k].Addresses = append(found[k].Addresses, address+uint64(at))
	}
}

// parseRecord reads a record; its texts must be texts that end in zeros.
func parseRecord(data []byte) (guidance.Record, bool) {
	if len(data) < recordSize {
		return guidance.Record{}, false
	}
	data = data[magicSize:recordSize]
	r := guidance.Record{Format: data[0]}
	if r.Format == 0 || !bytes.Equal(data[1:4], []byte{0, 0, 0}) {
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

func fixedText(field []byte) (string, bool) {
	text, rest, ok := bytes.Cut(field, []byte{0})
	return string(text), ok && len(text) > 0 && utf8.Valid(text) &&
		len(bytes.Trim(rest, "\x00")) == 0 && strings.IndexFunc(string(text), func(r rune) bool { return r < ' ' || r == 0x7f }) < 0
}
