// Names and contents that agree or do not.
package verify

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestKinds(t *testing.T) {
	const elf, hex, srec, raw, text = "\x7fELF\x01\x01\x01", ":00000001FF\n", "S9030000FC\n", "\x00\x20\x00\x20 code", "int x;\n"
	for _, c := range []struct {
		file, data string
		kind       Kind
		err        string
	}{
		{"a.h", text, TextFile, ""}, {"a.elf", elf, ELFFile, ""}, {"a.hex", hex, HexFile, ""}, {"a.srec", srec, SRecordFile, ""}, {"a.bin", raw, RawFile, ""},
		{"a", text, TextFile, ""}, {"a", elf, ELFFile, ""}, {"a", hex, HexFile, ""}, {"a", srec, SRecordFile, ""}, {"a", raw, RawFile, ""},
		{"a.out", elf, ELFFile, ""}, {"a.c", text, TextFile, ""}, {"A.HEX", hex, HexFile, ""}, {"a.S19", srec, SRecordFile, ""},
		{"a.h", "", 0, "it is empty"}, {"a.bin", "", 0, "it is empty"},
		{"a.h", "int x;\n\x00", 0, "it is named as a header, but is no text: it has a zero byte in line 2"},
		{"a.h", "int x;\x01", 0, "it is named as a header, but is no text: it has a control character in line 1"},
		{"a.hpp", "/* \xe9 */", 0, "it is named as a header, but is no text: it has a byte that is not UTF-8 in line 1"},
		{"a.h", "\xff\xfei\x00n\x00t\x00", 0, "it is named as a header, but is no text: it has a zero byte in line 1"},
		{"a.h", elf, 0, "it is named as a header, but is an ELF file"},
		{"a.h", hex, 0, "it is named as a header, but is an Intel HEX file"},
		{"a.elf", raw, 0, "it is named as an ELF file, but is a raw binary"},
		{"a.elf", text, 0, "it is named as an ELF file, but is text"},
		{"a.elf", hex, 0, "it is named as an ELF file, but is an Intel HEX file"},
		{"a.bin", elf, 0, "it is named as a raw binary, but is an ELF file"},
		{"a.bin", srec, 0, "it is named as a raw binary, but is an S-record file"},
		{"a.bin", text, 0, "it is named as a raw binary, but is text"},
		{"a.hex", raw, 0, "it is named as an Intel HEX file, but is a raw binary"},
		{"a.hex", elf, 0, "it is named as an Intel HEX file, but is an ELF file"},
		{"a.hex", srec, 0, "it is named as an Intel HEX file, but is an S-record file"},
		{"a.mot", hex, 0, "it is named as an S-record file, but is an Intel HEX file"},
		{"a.hex", text, HexFile, ""}, // its reader tells the line
	} {
		kind, err := KindOf(c.file, c.data)
		if c.err != "" {
			assert.EqualError(t, err, c.err, "%s %q", c.file, c.data)
			continue
		}
		assert.NoError(t, err, "%s %q", c.file, c.data)
		assert.Equal(t, c.kind, kind, "%s %q", c.file, c.data)
	}
	_, err := asked("a.hex", text).Answer()
	assert.EqualError(t, err, "a.hex: the Intel HEX file cannot be read: line 1: it does not begin with a colon")
}
