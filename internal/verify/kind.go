// What kind of file it is, by its name and by what is in it. Where the two say
// different things the file is refused: one of them is not what somebody meant.
package verify

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"
)

// Kind is what a file is.
type Kind uint8

// The kinds. A text that is none of the others is a header.
const (
	TextFile Kind = iota
	ELFFile
	HexFile
	SRecordFile
	RawFile
)

// String is the kind in words.
func (k Kind) String() string {
	switch k {
	case ELFFile:
		return "ELF file"
	case HexFile:
		return "Intel HEX file"
	case SRecordFile:
		return "S-record file"
	case RawFile:
		return "raw binary"
	default:
		return "header"
	}
}

// named is the kind with its article.
func (k Kind) named() string {
	switch k {
	case ELFFile, HexFile, SRecordFile:
		return "an " + k.String()
	default:
		return "a " + k.String()
	}
}

// byName is the kind that a name ends in, if it says one: the endings that compilers,
// linkers and programmers of flash write (common practice, no source).
func byName(file string) (Kind, bool) {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".h", ".hh", ".hpp", ".hxx":
		return TextFile, true
	case ".elf", ".axf":
		return ELFFile, true
	case ".hex", ".ihex", ".ihx":
		return HexFile, true
	case ".srec", ".s19", ".s28", ".s37", ".mot", ".sre":
		return SRecordFile, true
	case ".bin", ".raw":
		return RawFile, true
	default:
		return 0, false
	}
}

// byContent is the kind of what is in a file; why says what makes it no text.
func byContent(data string) (kind Kind, why string) {
	switch {
	case isELF(data):
		return ELFFile, ""
	case beginsWithDigits(data, 1) && data[0] == ':':
		return HexFile, ""
	case beginsWithDigits(data, 1) && data[0] == 'S':
		return SRecordFile, ""
	}
	at := strings.IndexFunc(data, func(r rune) bool { return r < ' ' && (r < '\t' || r > '\r') || r == 0x7f })
	what := "a control character"
	if at < 0 {
		if utf8.ValidString(data) {
			return TextFile, ""
		}
		at, what = invalidAt(data), "a byte that is not UTF-8"
	} else if data[at] == 0 {
		what = "a zero byte"
	}
	return RawFile, fmt.Sprintf("%s in line %d", what, 1+strings.Count(data[:at], "\n"))
}

func invalidAt(data string) int {
	for i, r := range data {
		if r == utf8.RuneError && !strings.HasPrefix(data[i:], string(utf8.RuneError)) {
			return i
		}
	}
	return 0
}

// beginsWithDigits: as many hexadecimal digits as the shortest record of either
// format has, from a place on.
func beginsWithDigits(data string, from int) bool {
	const shortest = 9 // S, its type, count, address of two bytes, checksum: 1 + 1 + 2 + 4 + 2
	if len(data) < from+shortest {
		return false
	}
	for _, c := range []byte(data[from : from+shortest]) {
		if nibble(c) > 15 {
			return false
		}
	}
	return true
}

// KindOf is the kind of a file, or why it is refused.
func KindOf(file, data string) (Kind, error) {
	if data == "" {
		return 0, errors.New("it is empty")
	}
	is, why := byContent(data)
	says, ok := byName(file)
	switch {
	case !ok || says == is:
		return is, nil
	case is == TextFile && (says == HexFile || says == SRecordFile):
		return says, nil // a bad one: its reader says in which line
	case says == TextFile && is == RawFile:
		return is, fmt.Errorf("it is named as a header, but is no text: it has %s", why)
	case is == TextFile:
		return is, fmt.Errorf("it is named as %s, but is text", says.named())
	default:
		return is, fmt.Errorf("it is named as %s, but is %s", says.named(), is.named())
	}
}
