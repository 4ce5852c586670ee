// The keys of the language for programs that write missions: what each means, how its
// value is found, and whether a text can be its value. They are the tables of
// language.go, seen from outside.
package spec

import (
	"fmt"

	"merestone/internal/diag"
)

// Key is one key of a block.
type Key struct {
	Name    string
	Path    string // with [] for the entries of a list and NAME for names that the author chooses
	Words   string // what it holds: "length, more than 0 m, at most 20 m"
	Meaning string
	How     string // how the value is found, where the meaning does not say it
	Usual   string // what holds if it is not written; "" of one that must be
	Asked   bool   // a new mission asks for it: it must be written, or should be
	Listed  bool   // it holds a list of blocks, or of single values where Within is empty
	Named   bool   // it holds blocks under names
	Within  []Key  // of its block, or of its blocks
}

// Keys are those of a mission file, in the order of the reference.
func Keys() []Key { return exported(missionKeys(&Mission{}), "") }

func exported(keys []key, path string) []Key {
	var all []Key
	for _, k := range keys {
		at := join(path, k.name)
		out := Key{Name: k.name, Path: at, Words: k.value.words, Meaning: k.meaning, How: k.how, Usual: k.usual,
			Asked: k.required || k.asked, Listed: k.value.listed, Named: k.value.named}
		out.Within = exported(k.value.keys, inside(k, at))
		all = append(all, out)
	}
	return all
}

// Judge says what is wrong with a text as the value of a key, which is given by its path
// and holds a single value; "" where nothing is. A text that passes can stand behind the
// key as it is, without quotation marks.
func Judge(path, text string) string {
	d := &decoder{file: path, places: Places{}, unread: map[string]bool{}}
	fault := "there is no key " + path
	walk(missionKeys(&Mission{}), "", func(at string, k key) {
		if at == path {
			fault = ""
			d.readKey(k, &node{kind: scalarKind, text: text, at: diag.Position{File: path, Line: 1, Column: 1}}, path)
		}
	})
	switch found := d.findings.report(); {
	case len(found) == 0:
		return fault
	case found[0].Remedy == "":
		return found[0].Message()
	default:
		return fmt.Sprintf("%s: %s", found[0].Message(), found[0].Remedy)
	}
}
