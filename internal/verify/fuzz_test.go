// Headers and images from anywhere: whatever the bytes, the readers answer, and what
// they say of an edited header is what a compiler would see.
package verify

import (
	"bytes"
	"debug/elf"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/guidance"
)

// What is read is the same with comments around it and with Windows line ends.
func FuzzReadHeader(f *testing.F) {
	f.Add([]byte(header(f, resolve(f, "walnut-grove"), tool)))
	f.Add([]byte("static const mere_mission_t m = {{{{-(-(INT64_C("))
	f.Add([]byte("# /*"))
	f.Add([]byte("static const mere_mission_t m = {m, 0x1u, -2147483647 - 1, \"a\", {}};"))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := ReadHeader(string(text))
		if err != nil {
			require.Equal(t, guidance.Mission{Record: m.Record}, m)
			require.NotEmpty(t, err.Error())
			return
		}
		for _, other := range []string{"/* static */" + string(text), string(text) + "\n// static const\n", strings.ReplaceAll(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n", "\r\n")} {
			again, err := ReadHeader(other)
			require.NoError(t, err)
			require.Equal(t, m, again)
		}
	})
}

// seen are the characters that a compiler is left with, its white space aside: the
// first three phases of translation of C11, 5.1.1.2, and what gcc adds to them. It
// keeps the ends of lines that begin with #, where they have a meaning.
func seen(text string) string {
	for from, to := range map[string]string{"??=": "#", "??/": "\\", "??'": "^", "??(": "[", "??)": "]", "??!": "|", "??<": "{", "??>": "}", "??-": "~"} {
		text = strings.ReplaceAll(text, from, to)
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	lines := strings.Split(text, "\n")
	var joined strings.Builder
	for i, line := range lines {
		if whole := strings.TrimRight(line, " \t\v\f"); strings.HasSuffix(whole, "\\") && i+1 < len(lines) {
			joined.WriteString(strings.TrimSuffix(whole, "\\"))
			continue
		}
		joined.WriteString(line + "\n")
	}
	text = joined.String()
	var out strings.Builder
	for i := 0; i < len(text); {
		switch rest := text[i:]; {
		case strings.HasPrefix(rest, "/*"):
			end := strings.Index(rest[2:], "*/")
			if end < 0 {
				return "a comment without an end"
			}
			out.WriteByte(' ')
			i += end + 4
		case strings.HasPrefix(rest, "//"):
			i += strings.IndexByte(rest+"\n", '\n')
		case rest[0] == '"':
			end := 1
			for end < len(rest) && rest[end] != '"' && rest[end] != '\n' {
				if rest[end] == '\\' {
					end++
				}
				end++
			}
			end = min(end+1, len(rest))
			out.WriteString(rest[:end])
			i += end
		default:
			out.WriteByte(rest[0])
			i++
		}
	}
	var words []string
	for line := range strings.Lines(out.String()) {
		line = strings.Join(strings.Fields(line), " ")
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "%:") {
			line = "\n" + line + "\n"
		}
		words = append(words, line)
	}
	return strings.Join(words, " ")
}

// spaced sets the marks of C apart, so that only what stands between them counts.
func spaced(text string) []string {
	var out strings.Builder
	for _, r := range text {
		if r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r > 0x7f {
			out.WriteRune(r)
		} else if r == '\n' {
			out.WriteString(" \\n ")
		} else {
			out.WriteString(" " + string(r) + " ")
		}
	}
	return strings.Fields(out.String())
}

// A header with a passage of it replaced: the verdict, that the plan is the same, is
// never given where a compiler would see other code.
func FuzzEditedHeader(f *testing.F) {
	p := resolve(f, "salt-pan")
	own, err := compiled(p, tool)
	require.NoError(f, err)
	text := own.data
	original := spaced(seen(text))
	middle := uint(strings.Index(text, "static const mere_leg_t"))
	for _, passage := range []string{"", " ", "// x \\\n", "// x ??/\n", "/* x", "*/", "//", "\r", "\\\n", "\n#", "//\r#define a b\r", "\"", "/\\\n/", "%:", "'\"'", "\f#", "\x00", " /*\n*/ ", "<:", "\u00e9"} {
		f.Add(middle, uint(0), passage)
		f.Add(uint(strings.Index(text, "/*")+4), uint(1), passage)
		f.Add(middle+uint(strings.Index(text[middle:], "\n")+1), uint(0), passage)
	}
	f.Fuzz(func(t *testing.T, at, cut uint, passage string) {
		from := at % uint(len(text)+1)
		to := min(from+cut%256, uint(len(text)))
		edited := text[:from] + passage + text[to:]
		r := own.compare(edited)
		same := slices.Equal(original, spaced(seen(edited)))
		switch r.Verdict {
		case Same:
			require.Equal(t, text, edited)
		case OtherText:
			require.True(t, same, "%q in place of %q", passage, text[from:to])
		case OtherTool:
			require.NotEqual(t, tool, r.Header.Tool)
			require.True(t, slices.Equal(spaced(seen(header(t, p, r.Header.Tool))), spaced(seen(edited))), "%q in place of %q", passage, text[from:to])
		default:
			require.True(t, len(r.Differences) > 0 || r.Unreadable != nil, "a reason")
		}
	})
}

// Any bytes as any kind of file: read or refused; pieces in order and apart; records
// where they are said to be. Built from a plan is only what has the bytes of all its
// tables; and an image of the plan with other bytes around it is.
func FuzzRecords(f *testing.F) {
	p := resolve(f, "salt-pan")
	board, err := gen.Board(p, tool)
	require.NoError(f, err)
	whole := laidOut(board, layout{binary.LittleEndian, 4, 8}, 0x1000)
	record := []byte(whole[:recordSize])
	f.Add(uint8(RawFile), []byte("x"), []byte("y"))
	f.Add(uint8(RawFile), magic(), magic())
	f.Add(uint8(RawFile), record, record[:40])
	f.Add(uint8(RawFile), []byte(whole), []byte{})
	f.Add(uint8(ELFFile), []byte("\x7fELF"), []byte{})
	f.Add(uint8(ELFFile), smallELF(record), []byte{})
	f.Add(uint8(ELFFile), smallELF([]byte(whole)), []byte{})
	f.Add(uint8(ELFFile), []byte(relocating(3)), []byte{})
	f.Add(uint8(HexFile), []byte(hexOf(0x1000, whole)), []byte{})
	f.Add(uint8(SRecordFile), []byte(sRecordsOf(0x1000, whole)), []byte{})
	dues := duesOf(f, p)
	head := missionBlock(board, layout{binary.LittleEndian, 4, 8})
	table := func(k int) string { return dues[0].table(head, k) } // 0 the legs, 1 the edges
	f.Fuzz(func(t *testing.T, kind uint8, before, after []byte) {
		read := func(data string) (memory, bool) {
			m, err := readImage(Kind(kind%5), data)
			return m, err == nil
		}
		if m, ok := read(string(before)); ok {
			for i, p := range m.pieces[min(1, len(m.pieces)):] {
				require.LessOrEqual(t, m.pieces[i].end(), p.address)
			}
			found, torn, err := m.records()
			require.NoError(t, err)
			for _, one := range found {
				require.NotZero(t, one.Record.Format)
				require.NotEmpty(t, one.Record.Mission)
				require.NotEmpty(t, one.Record.Tool)
				require.NotEmpty(t, one.Addresses)
				for _, at := range one.Addresses {
					there, ok := m.at(at, recordSize)
					require.True(t, ok && strings.HasPrefix(there, string(magic())))
				}
			}
			if len(found) > 0 && len(torn) == 0 && judged(t, m, dues) == Same {
				for k := range missionBlock(board, m.layouts()[0]).links {
					there := false
					for _, p := range m.pieces {
						for _, little := range []bool{true, false} {
							text, ok := dues[0].tables[tableKey{k, little}]
							there = there || ok && strings.Contains(p.data, text)
						}
					}
					require.True(t, there || head.links[k].table.Len() == 0, "table %d", k)
				}
			}
		}
		for _, own := range []string{string(magic())[:4], table(0), table(1)} {
			if strings.Contains(string(before), own) || strings.Contains(string(after), own) {
				return // records or tables of its own
			}
		}
		require.Equal(t, Same, judged(t, anyBoard([]piece{{0, string(before) + whole + string(after)}}, false), dues))
	})
}

// A text of either kind that is read: written anew it is the same memory, and with
// any one digit changed it is refused.
func FuzzHex(f *testing.F) {
	f.Add([]byte(":00000001FF\n"), uint(3))
	f.Add([]byte("S9030000FC"), uint(3))
	f.Add([]byte(hexOf(0xfff8, "merestone-image")), uint(20))
	f.Add([]byte(sRecordsOf(0xfffff8, "merestone-image")), uint(20))
	f.Add([]byte(":020000021000EC\r\n:0100000041BE\r\n:04000003000000F009\r\n:00000001FF\r\n"), uint(2))
	f.Fuzz(func(t *testing.T, text []byte, at uint) {
		for kind, read := range map[Kind]func(string) (memory, error){HexFile: readHex, SRecordFile: readSRecords} {
			m, err := read(string(text))
			if err != nil {
				require.Empty(t, m.pieces)
				continue
			}
			again := "S9030000FC\n"
			if kind == HexFile {
				again = ":00000001FF\n"
			}
			for _, p := range slices.Backward(m.pieces) {
				one := sRecordsOf(uint32(p.address), p.data)
				if kind == HexFile {
					one = hexOf(uint32(p.address), p.data)
				}
				lines := strings.SplitAfter(one, "\n")
				again = strings.Join(lines[:len(lines)-2], "") + again
			}
			back, err := read(again)
			require.NoError(t, err, again)
			require.Equal(t, m.pieces, back.pieces)

			i := int(at % uint(len(text)))
			if nibble(text[i]) < 16 && text[i] != 'S' {
				other := slices.Clone(text)
				other[i] = "0123456789ABCDEF"[(nibble(text[i])+1+byte(at%15))%16]
				_, err := read(string(other))
				if kind == SRecordFile && i > 0 && text[i-1] == 'S' {
					continue // the type is in no checksum
				}
				require.Error(t, err, "%s", other)
			}
		}
	})
}

// hexOf writes Intel HEX, sRecordsOf S-records with addresses of four bytes.
func hexOf(address uint32, data string) string {
	var out strings.Builder
	record := func(kind byte, address uint16, data string) {
		b := append([]byte{byte(len(data)), byte(address >> 8), byte(address), kind}, data...)
		sum := byte(0)
		for _, v := range b {
			sum += v
		}
		fmt.Fprintf(&out, ":%X%02X\n", b, -sum)
	}
	for len(data) > 0 {
		n := min(16, len(data), 1<<16-int(address&0xffff))
		record(4, 0, string([]byte{byte(address >> 24), byte(address >> 16)}))
		record(0, uint16(address), data[:n])
		address, data = address+uint32(n), data[n:]
	}
	record(1, 0, "")
	return out.String()
}

func sRecordsOf(address uint32, data string) string {
	var out strings.Builder
	for len(data) > 0 {
		n := min(16, len(data))
		b := binary.BigEndian.AppendUint32([]byte{byte(n + 5)}, address)
		b = append(b, data[:n]...)
		sum := byte(0)
		for _, v := range b {
			sum += v
		}
		fmt.Fprintf(&out, "S3%X%02X\n", b, ^sum)
		address, data = address+uint32(n), data[n:]
	}
	out.WriteString("S70500000000FA\n")
	return out.String()
}

// smallELF is a file of one loaded segment with some bytes.
func smallELF(data []byte) []byte {
	var out bytes.Buffer
	h := elf.Header32{Type: uint16(elf.ET_EXEC), Machine: uint16(elf.EM_ARM), Version: 1, Phoff: 52, Ehsize: 52, Phentsize: 32, Phnum: 1, Shentsize: 40}
	copy(h.Ident[:], elf.ELFMAG+"\x01\x01\x01")
	p := elf.Prog32{Type: uint32(elf.PT_LOAD), Off: 84, Vaddr: 0x1000, Filesz: uint32(len(data)), Memsz: uint32(len(data)), Flags: uint32(elf.PF_R), Align: 4}
	_ = binary.Write(&out, binary.LittleEndian, h) // to memory: cannot fail
	_ = binary.Write(&out, binary.LittleEndian, p)
	out.Write(data)
	return out.Bytes()
}

// magic is what a record begins with.
func magic() []byte { return []byte(guidance.Magic + "\x00") }

// The text alone, as this program has it in itself, is no record.
func TestTextAloneIsNoRecord(t *testing.T) {
	for _, data := range [][]byte{magic(), append(magic(), make([]byte, 200)...), append(magic(), bytes.Repeat([]byte{1}, 200)...)} {
		m, err := readImage(RawFile, string(data))
		require.NoError(t, err)
		found, torn, err := m.records()
		require.NoError(t, err)
		require.Empty(t, found)
		require.Equal(t, []uint64{0}, torn)
	}
}
