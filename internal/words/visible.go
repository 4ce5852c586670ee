// Text that comes from outside, as it may be shown.
package words

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Visible is a text on one line of a terminal, every character of it to be seen: a
// character that would act on the terminal, end the line, reorder the text around it
// or not show is written as in a Go string, \x1b or \n or \u202e. File names, flags
// and what programs answer go through it, so that none of them can pass for something
// else; two names that differ look different. A backslash stays one, as file names of
// some systems are full of them. Visible of a visible text is the same text.
func Visible(text string) string {
	if utf8.ValidString(text) && !strings.ContainsFunc(text, invisible) {
		return text
	}
	var out strings.Builder
	for i, size := 0, 0; i < len(text); i += size {
		var r rune
		r, size = utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && size == 1 || invisible(r) {
			out.WriteString(strings.Trim(strconv.QuoteToASCII(text[i:i+size]), `"`))
		} else {
			out.WriteRune(r)
		}
	}
	return out.String()
}

// VisibleRune is the character, or a space for one that Visible writes out: where
// characters must stay under each other.
func VisibleRune(r rune) rune {
	if invisible(r) {
		return ' '
	}
	return r
}

// invisible says whether a character does not show as itself. Those that do are the
// space, and what Unicode calls
// letter, mark, number, punctuation or symbol (so none that controls, formats or
// separates, categories C and Z: UAX 44, table 12), but not those of them that are by
// default ignored where text is drawn (Other_Default_Ignorable_Code_Point, variation
// selectors).
func invisible(r rune) bool {
	return !unicode.IsPrint(r) || unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
}
