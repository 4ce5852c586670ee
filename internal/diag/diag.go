// Package diag holds the one message type of every stage: a Finding, with the
// rule that was broken, the place in the source, the numbers that were
// compared and what to do about it. Parsing, resolving and checking all return
// findings; the printers (text.go, and the JSON and SARIF writers built on the
// same type) are the only code that turns them into text.
package diag

import "sort"

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
	Rule     string    // id of the rule, such as "geometry.clearance"
	Severity Severity  //
	At       Position  // what the finding points to
	Message  string    // what is the case, with its numbers; one line
	Remedy   string    // what to do; one line, may be empty
	Numbers  []Number  // the numbers compared, in SI units or as named
	Related  []Related // other places involved
}

// Rule documents one rule: what Finding.Rule refers to.
type Rule struct {
	ID       string
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
func Sort(findings []Finding) {
	sort.SliceStable(findings, func(i, j int) bool {
		a, b := findings[i], findings[j]
		switch {
		case a.At.File != b.At.File:
			return a.At.File < b.At.File
		case a.At.Line != b.At.Line:
			return a.At.Line < b.At.Line
		case a.At.Column != b.At.Column:
			return a.At.Column < b.At.Column
		case a.Rule != b.Rule:
			return a.Rule < b.Rule
		default:
			return a.Message < b.Message
		}
	})
}
