// The bytes of a file before anything is read into them: size, encoding, line
// ends, tabs. A text that passes has only characters, in lines that every
// program counts alike.
package spec

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"merestone/internal/diag"
)

// source checks the mission file and returns its text with line feeds only. The
// text as it is printed keeps its line ends.
func (d *decoder) source(text []byte) ([]byte, bool) {
	if !d.characters(d.file, text, MaxFileBytes, "put long lists of marks into a marks_file") {
		return nil, false
	}
	text = d.sources[d.file]
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	if d.blank(text) {
		d.fail(ruleEmptyFile, diag.Position{File: d.file}, "start with the line mission: NAME", "the file is empty: it holds no keys")
		return nil, false
	}
	d.indentation(text)
	return text, true
}

// characters records a file among the sources and refuses what is not text: a
// file too large, invalid UTF-8, NUL and other control characters, carriage
// returns on their own (some programs count them as line ends and some do not).
func (d *decoder) characters(file string, text []byte, limit int, remedy string) bool {
	if len(text) > limit {
		d.fail(ruleTooLarge, diag.Position{File: file}, remedy, "the file is larger than %d MiB, the most that is read", limit>>20)
		return false
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	d.sources[file] = text
	line, start := 1, 0
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		var message diag.Phrase
		var remedy string
		switch {
		case r == utf8.RuneError && size == 1:
			message, remedy = diag.Say("the byte %02X here is not UTF-8", text[i]), "save the file in the encoding UTF-8"
		case r == '\r' && (i+1 == len(text) || text[i+1] != '\n'):
			message, remedy = diag.Say("a carriage return here stands without a line feed"), "save the file with line feeds (Unix) or both (Windows) as line ends"
		case r < ' ' && r != '\n' && r != '\r' && r != '\t', r == 0x7f, r >= 0x80 && r < 0xa0, r == 0xfeff:
			message, remedy = diag.Say("the control character U+%04X here does not belong in a text file", r), "delete it"
		case isBidi(r):
			message, remedy = diag.Say("the character U+%04X here changes the order in which the text around it is shown", r), "delete it: what a reader sees would not be what is read"
		case r == 0x2028 || r == 0x2029 || r == 0x0085:
			message, remedy = diag.Say("the line separator U+%04X here is not counted as a line end by every program", r), "delete it, or start a new line"
		}
		if remedy != "" {
			at := diag.Position{File: file, Line: line, Column: utf8.RuneCount(text[start:i]) + 1, Width: 1}
			f := d.fail(ruleNotText, at, remedy, "%s", message)
			if strings.HasPrefix(remedy, "delete it") {
				d.offer(f, false, "delete it", diag.Replace(at, ""))
			}
			return false
		}
		i += size
		if r == '\n' {
			line, start = line+1, i
		}
	}
	return true
}

// isBidi reports the characters that embed, override or isolate a direction of
// writing: they make a line look like another one (Unicode Technical Standard 55,
// "Source code handling"; from memory). The marks of direction U+200E, U+200F and
// U+061C are among them here, as they move what stands beside them.
func isBidi(r rune) bool {
	return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x200e || r == 0x200f || r == 0x061c
}

// blank reports whether a file has nothing but blank lines and comments.
func (d *decoder) blank(text []byte) bool {
	for line := range bytes.Lines(text) {
		if line = bytes.TrimSpace(line); len(line) > 0 && line[0] != '#' {
			return false
		}
	}
	return true
}

// maxIndented is how many lines are offered to be indented anew.
const maxIndented = 2_000

// indentation refuses tabs at the start of lines. YAML allows them in a few
// places where they do not indent; refusing them everywhere is easier to follow. What they
// indent is left out of what is read (torn.go).
func (d *decoder) indentation(text []byte) {
	var first diag.Position
	var edits []diag.Edit
	count, number, spaced := 0, 0, false
	for line := range bytes.Lines(text) {
		number++
		rest := bytes.TrimLeft(line, " \t\n")
		space := line[:len(line)-len(rest)]
		tab := bytes.IndexByte(space, '\t')
		spaced = spaced || len(rest) > 0 && rest[0] != '#' && bytes.IndexByte(space, ' ') >= 0
		if tab < 0 || len(rest) == 0 || rest[0] == '#' {
			continue
		}
		if len(edits) < maxIndented {
			at := diag.Position{File: d.file, Line: number, Column: tab + 1, Width: len(space) - tab}
			edits = append(edits, diag.Replace(at, strings.ReplaceAll(string(space[tab:]), "\t", "  ")))
		}
		d.tabbed = append(d.tabbed, number)
		if count == 0 {
			first = diag.Position{File: d.file, Line: number, Column: tab + 1, Width: len(space) - tab}
		}
		count++
	}
	if count == 0 {
		return
	}
	message := diag.Say("this line is indented with a tab")
	if count > 1 {
		message = diag.Say("this line and %d more are indented with tabs", count-1)
	}
	f := d.fail(ruleTab, first, "put two spaces in place of each tab", "%s, and YAML indents with spaces alone", message)
	if count <= maxIndented { // beside spaces, how wide a tab was meant to be is not known
		d.offer(f, !spaced, "put two spaces in place of each tab", edits...)
	}
}
