// What a finding says, format and arguments apart until it is printed. A program
// that compares two findings compares their arguments: nobody takes a sentence
// to pieces.
//
// An argument is one of
//
//   - a figure: a whole number, a float, or a type of internal/words or
//     internal/quantity that knows how it is written;
//   - a thing: a Subject, or its Name alone;
//   - a word: a string, or an error;
//   - a List of arguments, a Phrase within the phrase, or an Aside.
package diag

import (
	"fmt"
	"strings"
	"unicode"

	"merestone/internal/words"
)

// Phrase is a text with its arguments, as package fmt formats them.
type Phrase struct {
	Format string
	Args   []any
}

// Say makes a phrase.
func Say(format string, args ...any) Phrase {
	if false {
		_ = fmt.Sprintf(format, args...) // so that go vet compares format and arguments of the callers
	}
	return Phrase{format, args}
}

// String is the phrase in words, on one line whatever the arguments hold.
func (p Phrase) String() string { return OneLine(fmt.Sprintf(p.Format, p.Args...)) }

// OneLine has a space for every control character of a text.
func OneLine(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text)
}

// Name is a thing that goes by its name alone, where the phrase has the noun.
type Name Subject

// String is the name.
func (n Name) String() string { return n.Name }

// List is several arguments, of which the first few are said.
type List struct {
	Items []any
	By    string // between them: ", "
}

// Names is a list of things by their names alone.
func Names(things []Subject, by string) List {
	list := List{By: by}
	for _, s := range things {
		list.Items = append(list.Items, Name(s))
	}
	return list
}

// String is the list in words.
func (l List) String() string {
	said := make([]string, len(l.Items))
	for i, item := range l.Items {
		said[i] = fmt.Sprint(item)
	}
	return words.Few(said, l.By)
}

// Aside is text that explains the rest of a finding and follows from it, such as
// what the board reads at a fault. Two findings that differ in an aside alone say
// the same.
type Aside string

// walk visits an argument and all within it.
func walk(arg any, visit func(any)) {
	visit(arg)
	var within []any
	switch a := arg.(type) {
	case List:
		within = a.Items
	case Phrase:
		within = a.Args
	}
	for _, arg := range within {
		walk(arg, visit)
	}
}

// Things lists the things among arguments, each once, in the order in which they
// are said.
func Things(args ...any) []Subject {
	var list []Subject
	seen := map[Subject]bool{}
	walk(Phrase{Args: args}, func(arg any) {
		s, ok := arg.(Subject)
		if name, alone := arg.(Name); alone {
			s, ok = Subject(name), true
		}
		if ok && !seen[s] {
			seen[s] = true
			list = append(list, s)
		}
	})
	return list
}

// mismatch reports whether a phrase, or one within it, does not go with its
// arguments. What package fmt writes then begins with "%!", as an argument from a
// mission file may, too.
func (p Phrase) mismatch() (found bool) {
	walk(p, func(arg any) {
		if q, ok := arg.(Phrase); ok {
			said := fmt.Sprintf(q.Format, q.Args...)
			for _, arg := range q.Args {
				said = strings.ReplaceAll(said, fmt.Sprint(arg), "")
			}
			found = found || strings.Contains(said, "%!")
		}
	})
	return found
}
