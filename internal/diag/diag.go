// Package diag holds the one message type of every stage: a Finding, with the
// rule that was broken, the place in the source, the things that it is about, the
// numbers that were compared and what to do about it. Parsing, resolving and
// checking all return findings; the printers (text.go, and the JSON and SARIF
// writers built on the same type) are the only code that prints them.
//
// This file: findings and rules. subject.go has what findings are about,
// phrase.go what they say.
package diag

import (
	"cmp"
	"fmt"
	"slices"
	"testing"
)

// ID names a rule, such as "geometry.clearance". Each stage declares those that
// it can emit.
type ID string

// Severity says what a finding means for compilation.
type Severity uint8

const (
	// Note is worth knowing and changes nothing.
	Note Severity = iota + 1
	// Warning asks for a person's judgement; the mission still compiles.
	Warning
	// Error stops compilation.
	Error
)

// String is the severity in one lower-case word, as printed.
func (s Severity) String() string {
	switch s {
	case Error:
		return "error"
	case Warning:
		return "warning"
	default:
		return "note"
	}
}

// Position is a place in a source file. Line and Column count from 1, Column in
// characters (Unicode code points); Width is how many characters are meant, at
// least 1 where the place is known. A zero Line means the file as a whole.
type Position struct {
	File   string `json:"file"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Width  int    `json:"width,omitempty"`
}

// Source is where something was written: its place in the file, and the keys that
// lead there, such as "geofence.obstacles[2]".
type Source struct {
	At   Position
	Path string
}

// Number is one quantity that a rule compared, for programs that read findings.
type Number struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Related is a second place that helps to understand a finding.
type Related struct {
	At      Position `json:"at"`
	Message string   `json:"message"`
}

// Finding is one fault, doubt or remark about a mission.
type Finding struct {
	Rule     ID
	Severity Severity
	At       Position // what the finding points to
	Phrase            // what is the case, with its numbers; see Message
	// About is what the finding is about, the first thing mainly.
	About   []Subject
	Remedy  string    // what to do; one line, may be empty
	Fixes   []Fix     // ways to do it as changes of text, see edit.go
	Wishes  []Wish    // the same by keys, before their places were looked up, see wish.go
	Numbers []Number  // the numbers compared, in SI units or as named
	Related []Related // other places involved
}

// New begins a finding at a place. It is about the things among its arguments, in
// the order in which it names them.
func New(at Position, format string, args ...any) Finding {
	return Finding{At: at, Phrase: Say(format, args...), About: Things(args...)}
}

// Add says more at the end of a finding.
func (f *Finding) Add(format string, args ...any) {
	more := Say(format, args...)
	f.Format += more.Format
	f.Args = append(f.Args[:len(f.Args):len(f.Args)], more.Args...)
	f.About = Things(append([]any{Names(f.About, "")}, more.Args...)...)
}

// Message is what the finding says, in one line.
func (f Finding) Message() string { return f.Phrase.String() }

// String is the finding as it is printed, without its place.
func (f Finding) String() string { return fmt.Sprintf("%v: %s [%s]", f.Severity, f.Message(), f.Rule) }

// fault says in what way a finding is one that no stage may make.
func (f Finding) fault() string {
	switch {
	case f.Rule == "":
		return "no rule"
	case f.At.File == "":
		return "no place"
	case f.Severity == 0:
		return "no severity"
	case len(f.About) == 0:
		return "about nothing"
	case f.mismatch():
		return "a format that does not go with its arguments"
	case f.doubtful():
		return "a fix that is certain and not the only one, or that changes nothing"
	default:
		return ""
	}
}

// Rule documents one rule: what Finding.Rule refers to.
type Rule struct {
	ID       ID
	Severity Severity // the usual one; single findings may be milder
	Title    string   // one line
	Help     string   // a page of Markdown: what is compared, why, what to do
}

// Worst is the highest severity among the findings, zero when there are none.
func Worst(findings []Finding) Severity {
	var worst Severity
	for _, f := range findings {
		worst = max(worst, f.Severity)
	}
	return worst
}

// Count counts the findings of one severity.
func Count(findings []Finding, s Severity) int {
	n := 0
	for _, f := range findings {
		if f.Severity == s {
			n++
		}
	}
	return n
}

// Sort orders findings by file, line, column, then rule and message, so that
// the same mission prints the same report. The sort is stable.
//
// Every stage sorts what it found, so this is where a finding that was made badly
// is caught: a panic in tests, where somebody looks.
func Sort(findings []Finding) {
	if testing.Testing() {
		for _, f := range findings {
			if fault := f.fault(); fault != "" {
				panic(fmt.Sprintf("a finding with %s: %v", fault, f))
			}
		}
	}
	slices.SortStableFunc(findings, func(a, b Finding) int {
		if n := cmp.Or(cmp.Compare(a.At.File, b.At.File), cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.At.Column, b.At.Column), cmp.Compare(a.Rule, b.Rule)); n != 0 {
			return n
		}
		return cmp.Compare(a.Message(), b.Message())
	})
}
