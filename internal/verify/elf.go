// ELF files: what the loader puts into memory, which is the segments, and not the
// sections; those only name the places that are found. What is said of sizes is
// compared with the file: one that is cut short is refused. What a loader writes into
// the program once it knows where that lies (relocations) is read as well.
package verify

import (
	"cmp"
	"debug/elf"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// What ELF files say of themselves is believed up to these limits alone: a linked
// program has some dozens of sections and segments, with names of a few kilobytes.
const (
	maxSections    = 1_000
	maxSegments    = 1_000
	maxNamesBytes  = 64 << 10 // of the table of the sections' names
	maxRelocations = 500_000
)

// isELF reports whether a file begins as an ELF file does.
func isELF(data string) bool { return strings.HasPrefix(data, elf.ELFMAG) }

// readELF reads a linked program.
func readELF(data string) (memory, error) {
	if err := modest(data); err != nil {
		return memory{}, err
	}
	file, err := elf.NewFile(strings.NewReader(data))
	if err != nil {
		return memory{}, err
	}
	defer file.Close()
	switch file.Type {
	case elf.ET_EXEC, elf.ET_DYN:
	case elf.ET_REL:
		return memory{}, errors.New("it is an object file, which is not linked: what of it gets into a program is not known yet")
	default:
		return memory{}, fmt.Errorf("it is no program, but of the type %v", file.Type)
	}
	m := memory{exact: true, placed: true, orders: []binary.ByteOrder{file.ByteOrder}, pointers: []int{4}}
	if file.Class == elf.ELFCLASS64 {
		m.pointers[0] = 8
	}
	for _, s := range file.Sections {
		if s.Type != elf.SHT_NOBITS && s.Type != elf.SHT_NULL && beyond(s.Offset, s.FileSize, data) {
			return memory{}, fmt.Errorf("it is cut short: its section %q goes beyond its end", shown(s.Name))
		}
		if s.Flags&elf.SHF_ALLOC != 0 && s.Type != elf.SHT_NOBITS {
			m.sections = append(m.sections, section{shown(s.Name), s.Addr, s.Size})
		}
	}
	var written []reach // of flash, at the addresses of which a programmer goes by
	var taken []reach   // of memory, also where it begins as zeros: these leave nothing of a table
	for _, p := range file.Progs {
		switch {
		case p.Type != elf.PT_LOAD:
			continue
		case p.Filesz > 0 && beyond(p.Off, p.Filesz, data):
			return memory{}, errors.New("it is cut short: a segment that is loaded goes beyond its end")
		case p.Filesz > p.Memsz:
			return memory{}, errors.New("a segment has more bytes in the file than in memory")
		case p.Vaddr+p.Memsz < p.Vaddr || p.Paddr+p.Filesz < p.Paddr:
			return memory{}, errors.New("a segment goes beyond the last address")
		}
		if p.Memsz > 0 {
			taken = append(taken, reach{p.Vaddr, p.Vaddr + p.Memsz})
		}
		if p.Filesz > 0 {
			m.pieces = append(m.pieces, piece{p.Vaddr, data[p.Off : p.Off+p.Filesz]})
			written = append(written, reach{p.Paddr, p.Paddr + p.Filesz})
		}
	}
	if len(m.pieces) == 0 {
		return memory{}, errors.New("nothing of it is loaded")
	}
	slices.SortFunc(m.pieces, func(a, b piece) int { return cmp.Compare(a.address, b.address) })
	if over(taken) || over(written) && slices.ContainsFunc(written, func(r reach) bool { return r.from != 0 }) { // of 0 alone: not given
		return memory{}, errors.New("segments that are loaded lie over each other")
	}
	m.loader, err = readRelocations(file, &m, data)
	return m, err
}

// reach is addresses from one up to another, that one not included.
type reach struct{ from, to uint64 }

// over sorts reaches and reports whether one lies over another.
func over(reaches []reach) bool {
	slices.SortFunc(reaches, func(a, b reach) int { return cmp.Compare(a.from, b.from) })
	for i := 1; i < len(reaches); i++ {
		if reaches[i-1].to > reaches[i].from {
			return true
		}
	}
	return false
}

// beyond: some bytes are not all in a file.
func beyond(offset, size uint64, data string) bool {
	return offset > uint64(len(data)) || size > uint64(len(data))-offset
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

// relocations are what a loader writes into a program of the kind that may lie
// anywhere: addresses, known but for where the program lies.
type relocations struct {
	moves  bool              // the program may lie anywhere
	word   uint64            // bytes that are written
	at     []uint64          // the places written to, in order
	values map[uint64]uint64 // of those that only add where the program lies: the address without that
}

// within: the loader writes into some bytes.
func (r *relocations) within(address, size uint64) bool { return r.times(address, size) > 0 }

// times is how often the loader writes into some bytes: 0, 1, or 2 for more.
func (r *relocations) times(address, size uint64) (n int) {
	if r == nil {
		return 0
	}
	i, _ := slices.BinarySearch(r.at, address-min(address, r.word-1)) // one before them that reaches into them
	for n < 2 && i+n < len(r.at) && r.at[i+n] < address+size {
		n++
	}
	return n
}

// pointer is what the loader makes of a pointer, but for where the program lies, when
// it writes all of it, and once.
func (r *relocations) pointer(address uint64) (uint64, bool) {
	if r == nil || !r.moves || r.times(address, r.word) != 1 {
		return 0, false
	}
	value, ok := r.values[address]
	return value, ok
}

// relative is the kind of relocation of a processor that adds where the program lies.
func relative(machine elf.Machine) (uint64, bool) {
	switch machine {
	case elf.EM_386:
		return uint64(elf.R_386_RELATIVE), true
	case elf.EM_X86_64:
		return uint64(elf.R_X86_64_RELATIVE), true
	case elf.EM_ARM:
		return uint64(elf.R_ARM_RELATIVE), true
	case elf.EM_AARCH64:
		return uint64(elf.R_AARCH64_RELATIVE), true
	case elf.EM_RISCV:
		return uint64(elf.R_RISCV_RELATIVE), true
	default:
		return 0, false
	}
}

// readRelocations reads what the dynamic table of a program names: entries of offset
// and kind, with what is added behind them (RELA) or at the place itself (REL). The
// compressed form (RELR) names places alone.
func readRelocations(file *elf.File, m *memory, data string) (*relocations, error) {
	r := &relocations{moves: file.Type == elf.ET_DYN, word: uint64(m.pointers[0]), values: map[uint64]uint64{}}
	i := slices.IndexFunc(file.Progs, func(p *elf.Prog) bool { return p.Type == elf.PT_DYNAMIC })
	if i < 0 {
		return r, nil
	}
	dynamic := file.Progs[i]
	if beyond(dynamic.Off, dynamic.Filesz, data) {
		return nil, errors.New("it is cut short: its dynamic table goes beyond its end")
	}
	word := m.pointers[0]
	number := func(text string) uint64 { return numberOf(text, m.orders[0]) }
	tags := map[elf.DynTag]uint64{}
	for rest := data[dynamic.Off : dynamic.Off+dynamic.Filesz]; len(rest) >= 2*word; rest = rest[2*word:] {
		tag := elf.DynTag(number(rest[:word]))
		if tag == elf.DT_NULL {
			break
		}
		tags[tag] = number(rest[word : 2*word])
	}
	const relr, relrSize = elf.DynTag(36), elf.DynTag(35) // DT_RELR, DT_RELRSZ of the generic ELF specification; from memory
	table := func(at, size elf.DynTag) (string, error) {
		if tags[size] == 0 {
			return "", nil
		}
		text, ok := "", false
		if tags[size] <= uint64(len(data)) {
			text, ok = m.at(tags[at], int(tags[size]))
		}
		if !ok {
			return "", errors.New("the table of what its loader writes is not loaded")
		}
		return text, nil
	}
	kind, known := relative(file.Machine)
	entries := func(at, size elf.DynTag, added bool) error {
		text, err := table(at, size)
		entry := 2 * word
		if added {
			entry = 3 * word
		}
		if len(text)/entry+len(r.at) > maxRelocations {
			return fmt.Errorf("its loader writes to more than %d places", maxRelocations)
		}
		for ; err == nil && len(text) >= entry; text = text[entry:] {
			place, info := number(text[:word]), number(text[word:2*word])
			r.at = append(r.at, place)
			of, value := info&0xffffffff, uint64(0)
			if word == 4 {
				of = info & 0xff
			}
			symbol := info != of
			if added {
				value = number(text[2*word : 3*word])
			} else if there, ok := m.at(place, word); ok {
				value = number(there)
			}
			if known && of == kind && !symbol {
				r.values[place] = value
			}
		}
		return err
	}
	if tags[relrSize] != 0 || tags[relr] != 0 {
		return nil, errors.New("what its loader writes is packed (RELR), which is not read: link it without")
	}
	err := entries(elf.DT_RELA, elf.DT_RELASZ, true)
	if err == nil {
		err = entries(elf.DT_REL, elf.DT_RELSZ, false)
	}
	if err == nil {
		err = entries(elf.DT_JMPREL, elf.DT_PLTRELSZ, tags[elf.DT_PLTREL] == uint64(elf.DT_RELA))
	}
	slices.Sort(r.at)
	return r, err
}
