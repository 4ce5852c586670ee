// What the commands that read other files than missions may cost. Any file, hostile
// or mistaken, is read or refused within the time and memory that spec/hostile_test.go
// has for missions; so are the largest honest ones. Each is given to the command
// itself, in a process of its own, beside a small mission.
package cli

import (
	"bytes"
	"debug/elf"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	twin "merestone/internal/guidance"
	"merestone/internal/tooltest"
	"merestone/internal/verify"
)

const (
	mostCPU    = 3 * time.Second
	mostMemory = 300_000_000
	// What a header and a file of fixes may be: the limits of internal/verify and
	// internal/shift, which TestLimitsPage holds to the same page.
	headerBytes = 51 << 20
	fixesBytes  = 64 << 20
)

// costs runs a command on a file and checks the status, what it says and what it
// took. FILE in the arguments stands for the file.
func costs(t *testing.T, text func() string, args []string, status int, says string) {
	t.Helper()
	said, cost := tooltest.Measured(t, func() []byte {
		file := filepath.Join(t.TempDir(), "file")
		require.NoError(t, os.WriteFile(file, []byte(text()), 0o600))
		return []byte(file)
	}, func(file []byte) string {
		var out bytes.Buffer
		var given []string
		for _, a := range args {
			given = append(given, strings.ReplaceAll(a, "FILE", string(file)))
		}
		got := Run(given, strings.NewReader(""), &out, &out)
		return fmt.Sprintf("status %d, %d bytes: %.600s", got, out.Len(), strings.ReplaceAll(out.String(), string(file), "FILE"))
	})
	t.Logf("%d ms, %d MB, %s", cost.CPU.Milliseconds(), cost.Peak/1_000_000, said)
	var got, printed int
	_, err := fmt.Sscanf(said, "status %d, %d bytes", &got, &printed)
	require.NoError(t, err)
	assert.Equal(t, status, got, said)
	assert.Less(t, printed, 200_000, "what is said is short")
	assert.Contains(t, said, says)
	assert.Less(t, cost.CPU, mostCPU)
	assert.Less(t, cost.Peak, int64(mostMemory))
}

// filled repeats a piece up to a size; what begins and ends it counts.
func filled(size int, begin, piece, end string) func() string {
	return func() string {
		return begin + strings.Repeat(piece, (size-len(begin)-len(end))/len(piece)) + end
	}
}

// numbered is filled with its number in each piece.
func numbered(size int, begin, format string) func() string {
	return func() string {
		var out strings.Builder
		out.Grow(size)
		out.WriteString(begin)
		for i := 0; out.Len()+len(format)+16 < size; i++ {
			fmt.Fprintf(&out, format, i)
		}
		return out.String()
	}
}

func TestHeadersWithinTimeAndMemory(t *testing.T) {
	const row = "{-112112,  -41997, -115409,  -41997, -1073741824,          0, 3297, 0u, 27000u, 600u, 400u, 400u, 80u, 1800u, 0u, {0u, 0u, 0u}},\n"
	full := func(begin, piece, end string) func() string { return filled(headerBytes, begin, piece, end) }
	for _, c := range []struct {
		name   string
		text   func() string
		status int
		says   string
	}{
		{"rows of legs and a comment as large as there may be", func() string {
			table := "static const mere_leg_t legs[65000] = {\n" + strings.Repeat(row, 65_000) + "};\n" +
				"static const uint16_t lists[] = {" + strings.Repeat("65535u, ", 1_200_000) + "};\n"
			return "/*" + strings.Repeat(" * a mark with the longest name                45.301200000   6.123400000\n", (headerBytes-len(table)-10)/75) + "*/\n" + table
		}, 1, "it defines no mere_mission_t"},
		{"a comment that does not end", full("", "/*\n", ""), 1, "a comment does not end"},
		{"comments", full("", "/**/", ""), 1, "no mere_mission_t"},
		{"comments behind lines of the preprocessor", full("", "#a/**/\n/*\n*/\n", ""), 1, "more than 100 lines of the preprocessor"},
		{"lines that go on", full("", "a\\\n", ""), 1, "a line goes on in the next"},
		{"question marks", full("", "?", ""), 1, "no mere_mission_t"},
		{"line ends", full("", "\n", ""), 1, "no mere_mission_t"},
		{"constants of one name", filled(5_000, "", "static const a b = 0;\n", ""), 1, "more than 100 constants"},
		{"macros", numbered(headerBytes, "", "#define a%d 1\n"), 1, "more than 100 lines of the preprocessor"},
		{"a line of the preprocessor", full("#define a ", "b ", ""), 1, "more than 1000 bytes"},
		{"an enum of one great sum", full("enum a { b = 0", "+1", "};"), 1, "more than 3000000 values"},
		{"enumerators", numbered(headerBytes, "enum a {", "a%d = 1,"), 1, "more than 3000000 values"},
		{"brackets in an enum", full("enum a { b = ", "(", "};"), 1, "no mere_mission_t"},
		{"braces", full("static const a b = ", "{", ""), 1, "more than 3000000 values"},
		{"braces of nothing", full("static const a b = {", "{},", "};"), 1, "more than 3000000 values"},
		{"signs", full("static const a b = ", "-", ""), 1, "too many brackets"},
		{"numbers", full("static const a b = {", "0,", "};"), 1, "more than 3000000 values"},
		{"a name without an end", full("static const a ", "b", ""), 1, "more than 1000 bytes"},
		{"a text without an end", full("static const a b = \"", "b", ""), 1, "a text has no end"},
		{"signs of nothing", full("", ";", ""), 1, "no mere_mission_t"},
		{"longer than a header", filled(headerBytes+10, "", "a ", ""), 1, "larger than any header"},
	} {
		t.Run(c.name, func(t *testing.T) {
			costs(t, c.text, []string{"verify", "FILE", filepath.Join(groveFolder, "mission.yaml")}, c.status, c.says)
		})
	}
}

// elfOf is an ELF file of 32 bits: its header, a table of sections behind it, and
// what follows. edit changes the header.
func elfOf(sections []elf.Section32, data string, edit func(h *elf.Header32)) string {
	var out bytes.Buffer
	h := elf.Header32{Type: uint16(elf.ET_EXEC), Machine: uint16(elf.EM_ARM), Version: 1, Shoff: 52, Ehsize: 52, Phentsize: 32, Shentsize: 40, Shnum: uint16(len(sections))}
	copy(h.Ident[:], elf.ELFMAG+"\x01\x01\x01")
	if edit != nil {
		edit(&h)
	}
	_ = binary.Write(&out, binary.LittleEndian, h) // to memory: cannot fail
	_ = binary.Write(&out, binary.LittleEndian, sections)
	out.WriteString(data)
	return out.String()
}

func TestImagesWithinTimeAndMemory(t *testing.T) {
	const most = verify.MaxImageBytes
	record := func(digest int) string {
		return fmt.Sprintf("%s\x00\x01\x00\x00\x00%032d%-64s%-32s", twin.Magic, digest, "yard", "1.2.3")
	}
	zeros := func(s string) string { return strings.ReplaceAll(s, " ", "\x00") }
	// Sections that all lie over the whole file, whose names are the same long one, and
	// one segment that is all of it.
	overlapping := func(n int, data string) string {
		names := uint32(52 + 40*n + 32)
		all := make([]elf.Section32, n)
		for i := range all {
			all[i] = elf.Section32{Type: uint32(elf.SHT_PROGBITS), Flags: uint32(elf.SHF_ALLOC), Off: 0, Size: names + uint32(len(data))}
		}
		all[0] = elf.Section32{}
		all[1] = elf.Section32{Type: uint32(elf.SHT_STRTAB), Off: names, Size: 64 << 10}
		var segment bytes.Buffer
		_ = binary.Write(&segment, binary.LittleEndian, elf.Prog32{Type: uint32(elf.PT_LOAD), Off: names, Filesz: uint32(len(data)), Memsz: uint32(len(data))})
		return elfOf(all, segment.String()+data, func(h *elf.Header32) { h.Shstrndx, h.Phoff, h.Phnum = 1, names-32, 1 })
	}
	long := strings.Repeat("n", 64<<10-1) + "\x00"
	for _, c := range []struct {
		name   string
		text   func() string
		status int
		says   string
	}{
		{"nothing but zeros", filled(most, "", "\x00", ""), 1, "there is no mission in this image"},
		{"the texts that begin records", filled(most, "", twin.Magic+"\x00", ""), 1, "there is no mission"},
		{"one record again and again", filled(most, "", zeros(record(1)), ""), 2, "records in more than 10000 places"},
		{"records, all different", func() string {
			var out strings.Builder
			for i := range 9_000 {
				out.WriteString(zeros(record(i)))
			}
			return out.String()
		}, 2, "more than 100 different records"},
		{"letters before one zero", filled(most, "", "m", "\x00"), 1, "there is no mission"},
		{"letters", filled(most, "", "m", ""), 2, "larger than any header"},
		{"more than an image", filled(most+1, "", "\x00", ""), 2, "larger than 128 MiB"},
		{"sections over each other", func() string {
			return overlapping(1_000, long+zeros(record(1))+strings.Repeat("m", most-1<<20))
		}, 0, "found"},
		{"records in sections over each other", func() string {
			return overlapping(1_000, long+strings.Repeat(zeros(record(1)), 10_001))
		}, 2, "records in more than 10000 places"},
		{"more sections than a program has", func() string { return overlapping(60_000, long) }, 2, "60000 sections, more than 1000"},
		{"sections counted elsewhere", func() string {
			all := make([]elf.Section32, 3_000_000)
			all[0].Size = uint32(len(all))
			return elfOf(all, "", func(h *elf.Header32) { h.Shnum = 0 })
		}, 2, "counted elsewhere"},
		{"segments", func() string {
			return elfOf(nil, strings.Repeat("\x01\x00\x00\x00", most/4-100), func(h *elf.Header32) { h.Phoff, h.Phnum, h.Shoff = 52, 65_000, 0 })
		}, 2, "65000 segments, more than 1000"},
		{"names said to be compressed", func() string {
			all := []elf.Section32{{}, {Type: uint32(elf.SHT_STRTAB), Flags: uint32(elf.SHF_COMPRESSED), Off: 52 + 80, Size: 100}}
			return elfOf(all, "\x01\x00\x00\x00\xff\xff\xff\xff\x01\x00\x00\x00"+long, func(h *elf.Header32) { h.Shstrndx = 1 })
		}, 2, "are compressed"},
		{"names of any length", func() string {
			all := []elf.Section32{{}, {Type: uint32(elf.SHT_STRTAB), Off: 52 + 80, Size: most - 200}}
			return elfOf(all, strings.Repeat("n", most-200), func(h *elf.Header32) { h.Shstrndx = 1 })
		}, 2, "the names of its sections take"},
	} {
		t.Run(c.name, func(t *testing.T) { costs(t, c.text, []string{"verify", "FILE"}, c.status, c.says) })
	}
}

func TestFixesWithinTimeAndMemory(t *testing.T) {
	const head = "name,latitude,longitude,height,uncertainty\n"
	full := func(begin, piece, end string) func() string { return filled(fixesBytes, begin, piece, end) }
	// rows are fixes on so many marks, in turn, each a little off the one before.
	rows := func(n, marks int, name, rest string) func() string {
		return func() string {
			var out strings.Builder
			out.WriteString(head)
			for i := range n {
				mark := fmt.Sprintf(name, 1+i*marks/n)
				fmt.Fprintf(&out, "%s,45.301%05d,6.1233%05d,412.61 m,%s\n", mark, 17300+i%7, 49000+i%11, rest)
			}
			return out.String()
		}
	}
	for _, c := range []struct {
		name   string
		text   func() string
		status int
		says   string
	}{
		{"a day at five fixes a second", rows(440_000, 1, "K%d", "2.125 cm"), 1, "[shift.missing-mark]"},
		{"more fixes than a day has", rows(440_001, 2, "K%d", ""), 2, "more than 440000 fixes"},
		{"a mark a fix", rows(440_000, 440_000, "M%d", "2 cm"), 2, "fixes on more than 1000 marks"},
		{"unknown marks", rows(900, 900, "M%d", "2 cm"), 2, "mark M1 is not a mark"},
		{"a line without an end", full(head+"K1,", "4", ""), 2, "no row ends within 1 MiB"},
		{"fields without an end", full(head, ",", ""), 2, "no row ends within 1 MiB"},
		{"columns without an end", full("", "name,", ""), 2, "no row ends within 1 MiB"},
		{"columns", filled(1_000_000, "", "name,", "\n"), 2, "200000 columns"},
		{"a quotation mark never closed", full(head+"\"", "K1\n", ""), 2, "no row ends within 1 MiB"},
		{"quotation marks", full(head, "\"\"", ""), 2, "no row ends within 1 MiB"},
		{"long rows of many fields", full(head, strings.Repeat(",", 1_000_000)+"\n", ""), 2, "1000001 values"},
		{"long names", full(head, strings.Repeat("n", 1_000_000)+",1,1,1,1\n", ""), 2, "name has 1000000 bytes"},
		{"long heights", full(head, "K1,45.30117300,6.12334900,"+strings.Repeat("4", 100_000)+",1 cm\n", ""), 1, "[shift.missing-mark]"},
		{"comments", full(head, "#\n", ""), 2, "no row ends within 1 MiB"},
		{"faults", full(head, "K1,x,y,,z\n", ""), 2, "more than 440000 fixes"},
		{"empty rows", full(head, "\n", ""), 2, "no row ends within 1 MiB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			costs(t, c.text, []string{"shift", filepath.Join(groveFolder, "mission.yaml"), "FILE"}, c.status, c.says)
		})
	}
}
