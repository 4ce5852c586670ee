// What missions, marks, obstacles and holds may be called. Names end up in the
// identifiers, comments and strings of C headers, in drawings and in file
// names, so they are plain ASCII and short, and what they become in C is
// checked here, where the mission's author can still be told.
package spec

import (
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/words"
)

const (
	maxName        = 40 // characters
	maxMissionName = 48
)

// nameFault says what is wrong with a name, and what to do; both are empty if it
// is good. What names the kind of thing: "mark".
func nameFault(what, name string, longest int) (message diag.Phrase, remedy string) {
	const rule = "use letters, digits, spaces, hyphens and underscores, the first a letter or digit"
	switch {
	case name == "":
		return diag.Say("the name of this %s is empty", what), rule
	case strings.ContainsAny(name, "\n\r"):
		return diag.Say("the name %s of this %s runs over a line end", quote(name), what), rule
	case strings.Contains(name, "*/"):
		return diag.Say("the name %s has */ in it, which would end a comment in the C header", quote(name)), rule
	}
	for _, r := range name {
		switch {
		case r >= 0x80:
			return diag.Say("the name %s has %q in it, which is not ASCII", quote(name), r),
				"write it in the letters A to Z: it becomes part of C identifiers"
		case !isNameCharacter(r):
			return diag.Say("the name %s has %q in it", quote(name), r), rule
		}
	}
	if len(name) > longest {
		return diag.Say("the name %s has %d characters; the name of a %s has at most %d", quote(name), len(name), what, longest), "shorten it"
	}
	if strings.ContainsAny(name[:1], " -_") {
		return diag.Say("the name %s begins with %q", quote(name), name[0]), rule
	}
	if what == "hold" && (name == DriveEnable || name == Watchdog) {
		return diag.Say("the name %s of a hold is taken: in opened_by it stands for something else", quote(name)), "give the hold another name"
	}
	return identifierFault(what, name)
}

// nameCharacter drops what no name has in it.
func nameCharacter(r rune) rune {
	if isNameCharacter(r) {
		return r
	}
	return -1
}

// textPattern is what textFault lets through, but for what would end a comment.
const textPattern = "^[ -~]*$"

// textFault says what is wrong with a text of the author's own words, and what to do;
// both are empty if it is good. A line of a comment in C may hold it.
func textFault(path, text string) (message diag.Phrase, remedy string) {
	strange := strings.IndexFunc(text, func(r rune) bool { return r < ' ' || r > '~' })
	switch {
	case strings.TrimSpace(text) == "":
		return diag.Say("%s is an empty text", keyOf(path)), "write how, or take the key out"
	case strings.Contains(text, "*/") || strings.Contains(text, "/*"):
		return diag.Say("the text of %s has %s in it, which begins or ends a comment in the C header", keyOf(path), quote("*/")), "write it without"
	case strings.HasSuffix(text, "\\") || strings.Contains(text, "??/"):
		return diag.Say("the text of %s has %s in it, which joins lines in C", keyOf(path), quote("\\")), "write it without"
	case strange >= 0:
		return diag.Say("the text of %s has %q in it, which is not plain ASCII on one line", keyOf(path), []rune(text[strange:])[0]), "write it in plain characters, on one line"
	case len(text) > maxText:
		return diag.Say("the text of %s has %d characters; it has at most %d", keyOf(path), len(text), maxText), "shorten it"
	}
	return diag.Phrase{}, ""
}

func isNameCharacter(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune(" -_", r)
}

// identifierFault refuses names whose C identifier belongs to the languages or
// to the guidance header.
func identifierFault(what, name string) (message diag.Phrase, remedy string) {
	id := words.Identifier(name)
	if slices.Contains(keywords, id) {
		return diag.Say("the name %s becomes %s in C, a keyword of C or C++", quote(name), id), "add a word to it: " + name + " " + what
	}
	if reservedInteger(id) {
		return diag.Say("the name %s becomes %s in C, which the standard keeps for <stdint.h>", quote(name), id), "choose another name"
	}
	if what != "mission" {
		return diag.Phrase{}, ""
	}
	if id[0] >= '0' && id[0] <= '9' {
		return diag.Say("the name of the mission, %s, begins with a digit, and C identifiers cannot", quote(name)), "begin it with a letter"
	}
	if id == "mere" || strings.HasPrefix(id, "mere_") || id == "merestone" || strings.HasPrefix(id, "merestone_") {
		return diag.Say("the name of the mission, %s, begins as the names of the guidance functions do", quote(name)), "begin it with another word"
	}
	return diag.Phrase{}, ""
}

// reservedInteger reports names that C11 keeps for future integer types and
// their limits: 7.31.10, "Integer types <stdint.h>".
func reservedInteger(id string) bool {
	if !strings.HasPrefix(id, "int") && !strings.HasPrefix(id, "uint") {
		return false
	}
	return slices.ContainsFunc([]string{"_t", "_max", "_min", "_c"}, func(end string) bool { return strings.HasSuffix(id, end) })
}

// keywords of C11 (ISO/IEC 9899:2011, 6.4.1) without those that begin with an
// underscore, of C++17 (ISO/IEC 14882:2017, 5.11, tables 5 and 6, with the two
// identifiers of special meaning), and the C23 spellings bool, true, false,
// nullptr, constexpr, typeof that <stdbool.h> or newer compilers define.
var keywords = strings.Fields(`
	alignas alignof and and_eq asm auto bitand bitor bool break case catch char char16_t char32_t class compl const
	const_cast constexpr continue decltype default delete do double dynamic_cast else enum explicit export extern false
	final float for friend goto if inline int long mutable namespace new noexcept not not_eq nullptr operator or or_eq
	override private protected public register reinterpret_cast restrict return short signed sizeof static static_assert
	static_cast struct switch template this thread_local throw true try typedef typeid typename typeof typeof_unqual
	union unsigned using virtual void volatile wchar_t while xor xor_eq null`)

// maxSearched bounds the search for words that were probably meant: those of a file
// that is wrong everywhere are not all looked up, and not all printed either.
const maxSearched = 2 * (maxFindings + maxMarksFindings)

// nearest is the word that was probably meant.
func (d *decoder) nearest(word string, candidates []string) (string, bool) {
	if d.searched++; d.searched > maxSearched || len(word) > maxMissionName {
		return "", false
	}
	return words.Nearest(word, candidates)
}

// MaxName is how many characters the name of a mark or an obstacle may have.
const MaxName = maxName

// NameFault says what is wrong with a name of a "mark" or an "obstacle"; it is empty for a
// good one.
func NameFault(what, name string) string {
	message, _ := nameFault(what, name, maxName)
	return message.String()
}
