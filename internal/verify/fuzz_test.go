// Headers and images from anywhere: whatever the bytes, the readers answer, and what
// they say of an edited header is what a compiler would see.
package verify

import (
	"bytes"
	"debug/elf"
	"encoding/binary"
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
	files, err := gen.Files(p, tool)
	require.NoError(f, err)
	text := string(files[0].Data)
	original := spaced(seen(text))
	middle := uint(strings.Index(text, "static const mere_leg_t"))
	for _, passage := range []string{"", " ", "// x \\\n", "// x ??/\n", "/* x", "*/", "//", "\r", "\\\n", "\n#", "//\r#define a b\r", "\"", "/\\\n/", "%:", "'\"'", "\f#", "\x00"} {
		f.Add(middle, uint(0), passage)
		f.Add(uint(strings.Index(text, "/*")+4), uint(1), passage)
		f.Add(middle+uint(strings.Index(text[middle:], "\n")+1), uint(0), passage)
	}
	f.Fuzz(func(t *testing.T, at, cut uint, passage string) {
		from := at % uint(len(text)+1)
		to := min(from+cut%256, uint(len(text)))
		edited := text[:from] + passage + text[to:]
		r, err := Header(edited, p, tool)
		require.NoError(t, err)
		same := slices.Equal(original, spaced(seen(edited)))
		switch r.Verdict {
		case Same:
			require.Equal(t, text, edited)
		case OtherText:
			require.True(t, same, "%q in place of %q", passage, text[from:to])
		case OtherTool:
			require.NotEqual(t, tool, r.Header.Tool)
		default:
			require.True(t, len(r.Differences) > 0 || r.Unreadable != nil, "a reason")
		}
	})
}

// Every record that is found is there, at its address; records put into an image are
// found, whatever is around them.
func FuzzRecords(f *testing.F) {
	record := slices.Concat(magic(), []byte{1, 0, 0, 0}, bytes.Repeat([]byte{7}, 32), append([]byte("yard"), make([]byte, 60)...), append([]byte("1.2.3"), make([]byte, 27)...))
	require.Len(f, record, recordSize)
	f.Add([]byte("x"), []byte("y"))
	f.Add(magic(), magic())
	f.Add(record, record[:40])
	f.Add([]byte("\x7fELF"), []byte{})
	f.Add(smallELF(record), []byte{})
	f.Fuzz(func(t *testing.T, before, after []byte) {
		found, err := Records(string(before))
		if err != nil {
			require.True(t, isELF(string(before)))
			require.Empty(t, found)
		}
		addresses := 0
		for _, one := range found {
			require.NotZero(t, one.Record.Format)
			require.NotEmpty(t, one.Record.Mission)
			require.NotEmpty(t, one.Record.Tool)
			require.NotEmpty(t, one.Addresses)
			addresses += len(one.Addresses)
			require.Contains(t, string(before), one.Record.Mission)
			if !isELF(string(before)) {
				for _, at := range one.Addresses {
					require.True(t, bytes.HasPrefix(before[at:], magic()))
				}
			}
		}
		if !isELF(string(before)) {
			require.LessOrEqual(t, addresses, bytes.Count(before, magic()))
		}
		image := slices.Concat(before, record, after)
		if isELF(string(image)) {
			return
		}
		found, err = Records(string(image))
		require.NoError(t, err)
		at := uint64(len(before))
		require.True(t, slices.ContainsFunc(found, func(one Found) bool {
			return one.Record.Mission == "yard" && slices.Contains(one.Addresses, at)
		}), "the record at %d", at)
	})
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

func TestARecordOfASegment(t *testing.T) {
	record := slices.Concat(magic(), []byte{1, 0, 0, 0}, bytes.Repeat([]byte{7}, 32), append([]byte("yard"), make([]byte, 60)...), append([]byte("1.2.3"), make([]byte, 27)...))
	found, err := Records(string(smallELF(record)))
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.Equal(t, []uint64{0x1000}, found[0].Addresses)
}

// magic is what a record begins with.
func magic() []byte { return []byte(guidance.Magic + "\x00") }
