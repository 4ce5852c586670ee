// Package draft writes a mission file to start from: every key that must be written, and
// those that it should have, each under a comment of what it is,
// with the answer that was given or with a gap. Keys, meanings and how a value is found
// are those of the language (spec.Keys); here is only what a new mission has several of,
// and the names that it gives them.
//
// No figure is made up: what was not answered is a gap, and a mission with gaps is
// refused. Names and kinds of holds and parts are there to be changed.
package draft

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"merestone/spec"
)

// Question is one of the few that a new mission is begun with.
type Question struct {
	Flag    string // its option of the command line
	Path    string // of the key that the answer is the value of
	Example string
}

// Questions are asked in this order.
func Questions() []Question {
	return []Question{
		{"latitude", "site.origin.latitude", "51.6204"},
		{"longitude", "site.origin.longitude", "25.9137"},
		{"height", "site.origin.height", "168.00 m"},
		{"date", "site.date", "2026-06-15"},
		{"base", "base.position", "averaged"},
		{"fix-rate", "receiver.fix_rate", "10 Hz"},
		{"width", "rover.width", "0.40 m"},
		{"length", "rover.length", "0.50 m"},
		{"speed", "rover.speed.cruise", "0.60 m/s"},
		{"coast", "rover.coast[].distance", "0.30 m"},
		{"coast-from", "rover.coast[].from", "0.60 m/s"},
	}
}

// Key is the key of a path.
func Key(path string) spec.Key {
	found, _ := find(spec.Keys(), path)
	return found
}

func find(keys []spec.Key, path string) (spec.Key, bool) {
	for _, k := range keys {
		if k.Path == path {
			return k, true
		}
		if within, ok := find(k.Within, path); ok {
			return within, true
		}
	}
	return spec.Key{}, false
}

// Gaps counts those of a file that Mission wrote.
func Gaps(text []byte) int {
	count := 0
	for line := range bytes.Lines(text) {
		if bytes.HasSuffix(bytes.TrimSpace(line), []byte(": "+spec.Gap)) {
			count++
		}
	}
	return count
}

// entry is one block of a list, by the keys that are given in it.
type entry map[string]string

// lists are the entries of the lists of blocks that a new mission has.
func lists() map[string][]entry {
	return map[string][]entry{
		"rover.coast": {{}},
		"holds": {
			{"name": "thumb switch", "kind": "hold-to-run"},
			{"name": "mushroom button", "kind": "emergency-stop"},
		},
		"drive_path": {
			{"name": "main relay", "kind": "relay", "coil_diode": spec.Gap},
			{"name": "motor driver", "kind": "semiconductor", "pulled_off": spec.Gap},
		},
	}
}

// marks are the names that fence and route have in a new mission: four corners, and
// three waypoints within.
func marks() []string { return []string{"F1", "F2", "F3", "F4", "A", "B", "C"} }

// values are those that a new mission has unasked: names, and the stricter choice.
func values() map[string]string {
	return map[string]string{
		"receiver.required": "fixed",
		"route.waypoints":   "[" + strings.Join(marks()[4:], ", ") + "]",
		"geofence.boundary": "[" + strings.Join(marks()[:4], ", ") + "]",
	}
}

// Mission is the text of a mission file of that name, with the answers by the path of
// their keys. Name and answers are what spec.Judge has nothing against.
func Mission(name string, answers map[string]string) []byte {
	w := writer{values: values(), lists: lists()}
	for path, answer := range answers {
		w.values[path] = answer
	}
	w.values["mission"] = name
	w.comment(0, "A mission of a small ground rover, begun by 'merestone new'.")
	w.comment(0, "")
	w.comment(0, spec.Gap+" marks what is to be filled in. 'merestone check' names each, with what it is and how "+
		"it is found, and checks all the rest; 'merestone compile' makes headers when none is left. "+
		"Names, and how many marks, holds and parts there are, are yours to change.")
	w.keys(spec.Keys(), 0, true)
	return []byte(w.out.String())
}

// writer writes blocks, with the values that there are.
type writer struct {
	out    strings.Builder
	values map[string]string
	lists  map[string][]entry
}

// width is the widest line of a comment: what a terminal has.
const width = 80

// comment writes a text as comment lines, indented by some levels.
func (w *writer) comment(level int, text string) {
	margin := strings.Repeat("  ", level) + "#"
	line := margin
	for _, word := range strings.Fields(text) {
		if line != margin && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			fmt.Fprintln(&w.out, line)
			line = margin
		}
		line += " " + word
	}
	fmt.Fprintln(&w.out, line)
}

// keys writes the keys of a block, and names those that it may have besides.
func (w *writer) keys(keys []spec.Key, level int, commented bool) {
	var others []string
	for _, k := range keys {
		_, given := w.values[k.Path]
		if !k.Asked && !given && !k.Named && w.lists[k.Path] == nil {
			others = append(others, k.Name)
			continue
		}
		if level == 0 {
			fmt.Fprintln(&w.out)
		}
		w.key(k, level, commented)
	}
	if commented && len(others) > 0 {
		if level == 0 {
			fmt.Fprintln(&w.out)
		}
		w.comment(level, "There may be, too: "+strings.Join(others, ", ")+".")
	}
}

func (w *writer) key(k spec.Key, level int, commented bool) {
	text, given := w.values[k.Path]
	entries := w.lists[k.Path]
	block := !given && !k.Named && len(k.Within) > 0 && (!k.Listed || len(entries) > 0)
	if !given {
		text = spec.Gap
	}
	if commented {
		what := k.Meaning
		if !block && !k.Named {
			what += " (" + k.Words + ")"
		}
		w.comment(level, what)
		if text == spec.Gap && k.How != "" {
			w.comment(level, "To find it: "+k.How+".")
		}
	}
	margin := strings.Repeat("  ", level) + k.Name + ":"
	switch {
	case k.Named:
		fmt.Fprintln(&w.out, margin)
		for _, name := range marks() {
			fmt.Fprintf(&w.out, "%s  %s: %s\n", strings.Repeat("  ", level), name, spec.Gap)
		}
	case !block:
		fmt.Fprintln(&w.out, margin, text)
	case len(entries) < 2: // one block may stand for a list of one
		fmt.Fprintln(&w.out, margin)
		w.keys(k.Within, level+1, commented)
	default:
		fmt.Fprintln(&w.out, margin)
		for i, e := range entries {
			w.entry(k, e, level+1, commented && i == 0)
		}
	}
}

// entry writes one block of a list behind its dash. Comments stand in the first alone,
// and those before its first key before the dash.
func (w *writer) entry(k spec.Key, e entry, level int, commented bool) {
	within := &writer{values: map[string]string{}, lists: w.lists}
	for name, value := range e {
		within.values[k.Path+"[]."+name] = value
	}
	within.keys(k.Within, level+1, commented)
	lines := strings.SplitAfter(within.out.String(), "\n")
	inner := strings.Repeat("  ", level+1)
	first := slices.IndexFunc(lines, func(line string) bool { return !strings.HasPrefix(line, inner+"#") })
	for i, line := range lines {
		switch {
		case i < first:
			line = strings.TrimPrefix(line, "  ")
		case i == first:
			line = strings.Repeat("  ", level) + "- " + strings.TrimPrefix(line, inner)
		}
		w.out.WriteString(line)
	}
}
