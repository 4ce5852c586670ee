// Records in firmware images. Every data header places one, mere_record_t: bytes
// only, so that it reads the same whatever the byte order, and it begins with a
// text that is in nothing else.
package verify

import (
	"debug/elf"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
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

// What an image may be. Small boards have flash of up to 16 MiB, which is what the
// 24 bits of an address of serial flash reach; an ELF file of that with its debug
// information is several times as large. What ELF files say of themselves is believed
// up to these limits alone: a linked program has some dozens of sections and
// segments, with names of a few kilobytes.
const (
	MaxImageBytes = 128 << 20
	maxSections   = 1_000
	maxSegments   = 1_000
	maxNamesBytes = 64 << 10 // of the table of the sections' names
	maxRecords    = 100      // different ones
	maxPlaces     = 10_000   // of records; a copy for each source file that includes the header
)

// isELF reports whether a file begins as an ELF file does.
func isELF(data string) bool { return strings.HasPrefix(data, elf.ELFMAG) }

// Records finds the records of an image, equal ones together, in the order of
// their first place. In an ELF file only what is loaded to the target is looked
// at, not the debug information. No record is no error.
func Records(data string) ([]Found, error) {
	places, err := search(data)
	if err != nil {
		return nil, err
	}
	var found gathered
	if !isELF(data) {
		if err := found.within(data, places, "", 0, uint64(len(data)), 0); err != nil {
			return nil, err
		}
		return found.list, nil
	}
	if err := modest(data); err != nil {
		return nil, fmt.Errorf("the ELF file cannot be read: %w", err)
	}
	file, err := elf.NewFile(strings.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the ELF file cannot be read: %w", err)
	}
	defer file.Close()
	for _, s := range file.Sections {
		if s.Type == elf.SHT_PROGBITS && s.Flags&elf.SHF_ALLOC != 0 && err == nil {
			err = found.within(data, places, shown(s.Name), s.Offset, s.FileSize, s.Addr)
		}
	}
	for _, p := range file.Progs {
		if len(file.Sections) == 0 && p.Type == elf.PT_LOAD && err == nil { // stripped of its section table
			err = found.within(data, places, "", p.Off, p.Filesz, p.Vaddr)
		}
	}
	if err != nil {
		return nil, err
	}
	return found.list, nil
}

// shown is the name of a section as it is printed, beside each address.
func shown(name string) string {
	const most = 40
	if len(name) > most {
		name = strings.ToValidUTF8(name[:most], "") + "..."
	}
	return name
}

// modest refuses an ELF file that says more of itself than a program does. debug/elf
// is not made for hostile files: it makes an object for each section of as many as
// the file says that it has, copies the name of each, and unpacks the table of the
// names when that is said to be compressed.
func modest(data string) error {
	var order binary.ByteOrder = binary.LittleEndian
	if len(data) > elf.EI_DATA && elf.Data(data[elf.EI_DATA]) == elf.ELFDATA2MSB {
		order = binary.BigEndian
	}
	read := func(at uint64, into any) error {
		if at > uint64(len(data)) {
			return io.ErrUnexpectedEOF
		}
		return binary.Read(strings.NewReader(data[at:]), order, into)
	}
	var sections, segments, sectionSize, segmentSize, names uint16
	var table, flags, size uint64
	var err error
	wide := len(data) > elf.EI_CLASS && elf.Class(data[elf.EI_CLASS]) == elf.ELFCLASS64
	if wide {
		var h elf.Header64
		err = read(0, &h)
		sections, segments, names, table = h.Shnum, h.Phnum, h.Shstrndx, h.Shoff
		sectionSize, segmentSize = h.Shentsize, h.Phentsize
	} else {
		var h elf.Header32
		err = read(0, &h)
		sections, segments, names, table = h.Shnum, h.Phnum, h.Shstrndx, uint64(h.Shoff)
		sectionSize, segmentSize = h.Shentsize, h.Phentsize
	}
	switch {
	case err != nil:
		return err
	case sections == 0 && table != 0:
		return errors.New("its sections are counted elsewhere than in its header, as only those of huge files are")
	case sections > maxSections:
		return fmt.Errorf("it has %d sections, more than %d", sections, maxSections)
	case segments > maxSegments:
		return fmt.Errorf("it has %d segments, more than %d", segments, maxSegments)
	case sectionSize > maxHeaderEntry || segmentSize > maxHeaderEntry:
		return errors.New("the entries of its tables are too large")
	case sections == 0:
		return nil
	}
	at := table + uint64(names)*uint64(sectionSize)
	if wide {
		var s elf.Section64
		err = read(at, &s)
		flags, size = s.Flags, s.Size
	} else {
		var s elf.Section32
		err = read(at, &s)
		flags, size = uint64(s.Flags), uint64(s.Size)
	}
	switch {
	case err != nil:
		return err
	case size > maxNamesBytes:
		return fmt.Errorf("the names of its sections take %d bytes, more than %d", size, maxNamesBytes)
	case elf.SectionFlag(flags)&elf.SHF_COMPRESSED != 0:
		return errors.New("the names of its sections are compressed")
	}
	return nil
}

// maxHeaderEntry bounds an entry of the tables of sections and segments: 64 and 56
// bytes in the larger of the two classes.
const maxHeaderEntry = 64

// search returns where records begin in some bytes.
func search(data string) (places []int, err error) {
	for from := 0; ; {
		i := strings.Index(data[from:], guidance.Magic+"\x00")
		if i < 0 {
			return places, nil
		}
		at := from + i
		from = at + 1
		if _, ok := parseRecord(data[at:]); !ok {
			continue // the text by itself, as in a tool that looks for records
		}
		if len(places) == maxPlaces {
			return nil, tooManyPlaces()
		}
		places = append(places, at)
	}
}

func tooManyPlaces() error {
	return fmt.Errorf("there are records in more than %d places, so it is no firmware", maxPlaces)
}

// gathered are records that were found, and in how many places.
type gathered struct {
	list   []Found
	places int
}

// within adds the records in a part of the bytes that is loaded to an address.
func (g *gathered) within(data string, places []int, section string, offset, size, address uint64) error {
	if offset > uint64(len(data)) {
		return nil
	}
	end := offset + min(size, uint64(len(data))-offset)
	first, _ := slices.BinarySearch(places, int(offset))
	for _, at := range places[first:] {
		if uint64(at)+recordSize > end {
			return nil
		}
		if g.places++; g.places > maxPlaces {
			return tooManyPlaces()
		}
		record, _ := parseRecord(data[at:])
		k := slices.IndexFunc(g.list, func(f Found) bool { return f.Record == record })
		if k < 0 {
			if len(g.list) == maxRecords {
				return fmt.Errorf("there are more than %d different records, so it is no firmware", maxRecords)
			}
			k, g.list = len(g.list), append(g.list, Found{Record: record, Section: section})
		}
		g.list[k].Addresses = append(g.list[k].Addresses, address+uint64(at)-offset)
	}
	return nil
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
