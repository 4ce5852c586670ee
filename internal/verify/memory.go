// What a firmware file puts into the memory of a board: pieces of bytes, each at an
// address.
package verify

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"
)

// What may be in an image. Small boards have flash of up to 16 MiB, which is what the
// 24 bits of an address of serial flash reach; an ELF file of that with its debug
// information is several times as large, and as lines of 16 bytes it takes 45 MB.
const (
	MaxImageBytes  = 128 << 20
	maxHexBytes    = 64 << 20  // of an Intel HEX or S-record file
	maxPieces      = 1_100_000 // apart from each other; the lines of 16 bytes of such flash, in any order
	maxRecords     = 100       // different ones
	maxPlaces      = 10_000    // of records; a copy for each source file that includes the header
	maxComparisons = 1 << 30   // bytes of tables compared while looking for the place of an image
)

// piece is bytes that are loaded to an address.
type piece struct {
	address uint64
	data    string
}

// end is where it ends; a piece does not go round the end of all addresses.
func (p piece) end() uint64 { return p.address + uint64(len(p.data)) }

// section is a named part of the addresses, for the answer alone.
type section struct {
	name          string
	address, size uint64
}

// memory is an image as it is loaded.
type memory struct {
	pieces []piece // by address, none over another
	// exact: pointers are addresses of the pieces. Where it is false, they may be so
	// but for one distance: an ELF file says where all is when the program runs,
	// while one of a programmer says where it is written to, and a raw binary nothing.
	exact    bool
	placed   bool               // the addresses are not only places in the file
	orders   []binary.ByteOrder // that numbers may have
	pointers []int              // bytes that a pointer may have
	sections []section
	loader   *relocations // what is written when the program is loaded; nil for nothing
}

// anyBoard are the byte orders and sizes of pointers of a file that does not say its own.
func anyBoard(pieces []piece, placed bool) memory {
	return memory{pieces: pieces, placed: placed, orders: []binary.ByteOrder{binary.LittleEndian, binary.BigEndian}, pointers: []int{4, 8}}
}

// at are n bytes at an address, if all are there.
func (m *memory) at(address uint64, n int) (string, bool) {
	i := sort.Search(len(m.pieces), func(i int) bool { return m.pieces[i].address > address }) - 1
	if i < 0 {
		return "", false
	}
	p := m.pieces[i]
	from := address - p.address
	if from > uint64(len(p.data)) || uint64(n) > uint64(len(p.data))-from {
		return "", false
	}
	return p.data[from : from+uint64(n)], true
}

// section is the name of the part that an address is in.
func (m *memory) section(address uint64) string {
	for _, s := range m.sections {
		if address >= s.address && address-s.address < s.size {
			return s.name
		}
	}
	return ""
}

// places are all addresses at which some bytes are, one within another too; not more
// than a number of them.
func (m *memory) places(what string, most int) (found []uint64, err error) {
	for _, p := range m.pieces {
		for from := 0; ; {
			i := strings.Index(p.data[from:], what)
			if i < 0 {
				break
			}
			if len(found) == most {
				return nil, fmt.Errorf("the same bytes are in more than %d places", most)
			}
			found = append(found, p.address+uint64(from+i))
			from += i + 1
		}
	}
	return found, nil
}

// lines gathers what the lines of a text file put into memory.
type lines struct {
	data  []byte
	parts []part
}

// part is bytes that lines put side by side, one after the other.
type part struct {
	address  uint32
	from, to uint32 // of the data
	line     uint32 // that begins it
}

func (p part) end() uint64 { return uint64(p.address) + uint64(p.to-p.from) }

// add puts the bytes of a line at an address.
func (l *lines) add(address uint32, data []byte, line int) error {
	switch {
	case len(data) == 0:
		return nil
	case uint64(address)+uint64(len(data)) > 1<<32:
		return errors.New("its bytes go beyond the last address of 32 bits")
	}
	from := uint32(len(l.data))
	l.data = append(l.data, data...)
	to := uint32(len(l.data))
	if last := len(l.parts) - 1; last >= 0 && l.parts[last].end() == uint64(address) {
		l.parts[last].to = to
		return nil
	}
	if len(l.parts) == maxPieces {
		return fmt.Errorf("there are more than %d pieces apart from each other, so it is no firmware", maxPieces)
	}
	l.parts = append(l.parts, part{address, from, to, uint32(line)})
	return nil
}

// memory joins what stands side by side. What two lines write to one address is an
// error: which of them a programmer leaves there is its own affair.
func (l *lines) memory() (memory, error) {
	slices.SortFunc(l.parts, func(a, b part) int { return cmp.Compare(a.address, b.address) })
	var joined strings.Builder
	joined.Grow(len(l.data))
	type span struct {
		address  uint32
		from, to int
	}
	var spans []span
	for i, p := range l.parts {
		if i > 0 && l.parts[i-1].end() > uint64(p.address) {
			a, b := l.parts[i-1].line, p.line
			return memory{}, fmt.Errorf("address 0x%08x is written twice, by line %d or one that goes on from it, and by line %d or one that goes on from it", p.address, min(a, b), max(a, b))
		}
		from := joined.Len()
		joined.Write(l.data[p.from:p.to])
		if i > 0 && l.parts[i-1].end() == uint64(p.address) {
			spans[len(spans)-1].to = joined.Len()
			continue
		}
		spans = append(spans, span{p.address, from, joined.Len()})
	}
	all := joined.String()
	pieces := make([]piece, len(spans))
	for i, s := range spans {
		pieces[i] = piece{uint64(s.address), all[s.from:s.to]}
	}
	return anyBoard(pieces, true), nil
}
