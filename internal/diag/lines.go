// The lines of a file, found in a time that does not grow with the file: a route that
// goes to and fro has tens of thousands of findings, and to count lines from the
// beginning for each took minutes, as did to count the characters of one long line.
package diag

import (
	"bytes"
	"cmp"
	"slices"
	"unicode/utf8"
)

// lineBlock is how many bytes are looked through to find a line or a column.
const lineBlock = 4096

// lines is a file with what stands before each of its blocks.
type lines struct {
	text   []byte
	blocks []counts
}

// counts are line ends and characters.
type counts struct{ ends, characters int }

func linesOf(text []byte) *lines {
	l := &lines{text: text}
	var before counts
	for at := 0; at < len(text); at += lineBlock {
		l.blocks = append(l.blocks, before)
		block := text[at:min(at+lineBlock, len(text))]
		before.ends += bytes.Count(block, []byte{'\n'})
		before.characters += charactersOf(block)
	}
	return l
}

// charactersOf counts the bytes that begin a character. Of the bytes of a text that is
// valid UTF-8 it is right wherever the text is cut; no other text has lines shown.
func charactersOf(text []byte) int {
	n := 0
	for _, b := range text {
		if utf8.RuneStart(b) {
			n++
		}
	}
	return n
}

// line is where a line, counted from 1, begins and ends, without what ends it.
func (l *lines) line(n int) (start, end int, ok bool) {
	start, ok = l.start(n)
	if !ok {
		return 0, 0, false
	}
	if end, ok = l.start(n + 1); ok {
		end--
	} else {
		end = len(l.text)
	}
	if end > start && l.text[end-1] == '\r' {
		end--
	}
	return start, end, true
}

// start is behind the line end before a line.
func (l *lines) start(n int) (int, bool) {
	if n <= 1 || len(l.blocks) == 0 {
		return 0, n == 1
	}
	block, _ := slices.BinarySearchFunc(l.blocks, n-1, func(c counts, ends int) int { return cmp.Compare(c.ends, ends) })
	left := n - 1 - l.blocks[block-1].ends // of the first block there are none before
	for at := (block - 1) * lineBlock; at < len(l.text); at++ {
		if l.text[at] == '\n' {
			if left--; left == 0 {
				return at + 1, true
			}
		}
	}
	return 0, false
}

// before counts the characters before a byte.
func (l *lines) before(at int) int {
	block := min(at/lineBlock, len(l.blocks)-1)
	if block < 0 {
		return 0
	}
	return l.blocks[block].characters + charactersOf(l.text[block*lineBlock:at])
}

// byteOf is where a character begins, counted from 0 over the whole file.
func (l *lines) byteOf(character int) int {
	block, found := slices.BinarySearchFunc(l.blocks, character, func(c counts, n int) int { return cmp.Compare(c.characters, n) })
	if !found {
		block--
	}
	at := max(block, 0) * lineBlock
	left := character
	if block >= 0 {
		left -= l.blocks[block].characters
	}
	for ; at < len(l.text); at++ {
		if utf8.RuneStart(l.text[at]) {
			if left == 0 {
				return at
			}
			left--
		}
	}
	return len(l.text)
}

// piece is a part of a line, with the column that is asked about counted in it from 1.
type piece struct {
	text                 string
	column               int
	cutBefore, cutBehind bool // there is more of the line
}

// around is so much of a line as may be shown about a column, so many characters to
// either side at least. A column behind the end of the line is that of the end.
func (l *lines) around(start, end, column, characters int) piece {
	first := l.before(start)
	column = min(column, l.before(end)-first+1)
	from, to := start, end
	if column > characters {
		from = l.byteOf(first + column - characters)
		column = characters
	}
	if most := 2 * 4 * characters; to-from > most { // a character has four bytes at most
		to = from + most
		for !utf8.RuneStart(l.text[to]) {
			to--
		}
	}
	return piece{text: string(l.text[from:to]), column: column, cutBefore: from > start, cutBehind: to < end}
}
