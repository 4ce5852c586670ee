// Names that a mission can have: plain letters, digits, spaces, hyphens and underscores.
// What a file calls its points is brought to that, and told where it changes; two names are
// never one, also once they are identifiers of C.
package interchange

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"

	"merestone/internal/words"
	"merestone/spec"
)

// Renamed is a name of the file and what it became. Points without a name that follow each
// other are told together: how many, and what the first and the last are called.
type Renamed struct {
	Line     int
	From     string // empty where the file has no name
	To, Last string
	Count    int
}

// namer gives names, each once.
type namer struct {
	taken   map[string]bool   // identifiers
	open    map[string]string // the names of gaps, by identifier
	next    map[string]int    // the number to try next, by name
	renamed []Renamed
}

func newNamer(taken []Known) *namer {
	n := &namer{taken: map[string]bool{}, open: map[string]string{}, next: map[string]int{}}
	for _, k := range taken {
		if id := words.Identifier(k.Name); k.Open {
			n.open[id] = k.Name
		} else {
			n.taken[id] = true
		}
	}
	return n
}

// free gives the name, if it is good and nobody has it.
func (n *namer) free(what, name string) bool {
	if spec.NameFault(what, name) != "" || n.taken[words.Identifier(name)] {
		return false
	}
	if open, is := n.open[words.Identifier(name)]; is && open != name {
		return false
	}
	n.taken[words.Identifier(name)] = true
	return true
}

// give gives a name as near to the wanted one as can be: numbered where it is taken, and
// where the file has none named by the fallback, which is always numbered.
func (n *namer) give(what, wanted, fallback string, line int) string {
	base := mild(wanted)
	name := base
	if base == "" || !n.free(what, base) {
		mark, first := "-", 2
		if base == "" {
			base, first = fallback, 1
			if last := base[len(base)-1]; last < '0' || last > '9' {
				mark = ""
			}
		} else if spec.NameFault(what, base) != "" { // a keyword of C
			base += " " + what
			if base = cut(base, 0); n.free(what, base) {
				n.tell(line, wanted, base)
				return base
			}
		}
		for i := max(n.next[base], first); ; i++ {
			tail := fmt.Sprintf("%s%d", mark, i)
			if name = cut(base, len(tail)) + tail; n.free(what, name) {
				n.next[base] = i + 1
				break
			}
		}
	}
	if name != wanted {
		n.tell(line, wanted, name)
	}
	return name
}

// tell notes a name that is another than in the file.
func (n *namer) tell(line int, from, to string) {
	if from == "" && len(n.renamed) > 0 {
		if last := &n.renamed[len(n.renamed)-1]; last.From == "" && unnumbered(last.To) == unnumbered(to) {
			last.Last = to
			last.Count++
			return
		}
	}
	n.renamed = append(n.renamed, Renamed{line, from, to, to, 1})
}

func unnumbered(name string) string { return strings.TrimRight(name, "0123456789") }

// cut leaves room for so many characters more.
func cut(name string, room int) string {
	return strings.TrimRight(name[:min(len(name), spec.MaxName-room)], " -_")
}

// mild is a name in the letters of a mission: accents off, what is left over as hyphens.
// It is empty where nothing is left.
func mild(name string) string {
	name = strings.NewReplacer("ß", "ss", "Æ", "Ae", "æ", "ae", "Ø", "O", "ø", "o", "Ł", "L", "ł", "l", "đ", "d", "Đ", "D", "°", "deg").Replace(name)
	if plain, _, err := transform.String(transform.Chain(norm.NFKD, runes.Remove(runes.In(unicode.Mn))), name); err == nil {
		name = plain
	}
	var out []byte
	gap := false
	word := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	for _, r := range name {
		if r >= 0x80 || !word(r) && r != ' ' && r != '-' && r != '_' {
			gap = true
			continue
		}
		last := rune(' ')
		if len(out) > 0 {
			last = rune(out[len(out)-1])
		}
		if gap && word(last) && word(r) {
			out = append(out, '-')
		}
		if gap = false; r != ' ' || last != ' ' {
			out = append(out, byte(r))
		}
	}
	return cut(strings.TrimLeft(string(out), " -_"), 0)
}
