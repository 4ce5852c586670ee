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

// collect adds the things among arguments to a list, each once, in the order in
// which they are said.
func collect(list []Subject, args []any) []Subject {
	seen := make(map[Subject]bool, len(list))
	for _, s := range list {
		seen[s] = true
	}
	var look func(arg any)
	look = func(arg any) {
		switch a := arg.(type) {
		case Subject:
			if !seen[a] {
				seen[a] = true
				list = append(list, a)
			}
		case Name:
			look(Subject(a))
		case List:
			each(a.Items, look)
		case Phrase:
			each(a.Args, look)
		}
	}
	each(args, look)
	return list
}

func each(args []any, look func(any)) {
	for _, arg := range args {
		look(arg)
	}
}

// mismatch reports whether a phrase, or one within it, does not go with its
// arguments. What package fmt writes then begins with "%!", as a name in a
// mission file may, too.
func (p Phrase) mismatch() bool {
	for _, arg := range p.Args {
		switch a := arg.(type) {
		case Phrase:
			if a.mismatch() {
				return true
			}
		case List:
			if (Phrase{strings.Repeat("%v", len(a.Items)), a.Items}).mismatch() {
				return true
			}
		}
	}
	said := fmt.Sprintf(p.Format, p.Args...)
	for _, arg := range p.Args {
		said = strings.ReplaceAll(said, fmt.Sprint(arg), "")
	}
	return strings.Contains(said, "%!")
}
