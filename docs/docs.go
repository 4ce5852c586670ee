// Package docs carries the pages of the rules, so that the program can print
// them and a browser can read them: rules/ID.md, one a rule.
package docs

import "embed"

// Rules holds rules/ID.md for every rule of every stage.
//
//go:embed rules/*.md
var Rules embed.FS

// Page is the page of a rule. A missing one is a fault of the build, which a test
// finds.
func Page(id string) string {
	text, err := Rules.ReadFile("rules/" + id + ".md")
	if err != nil {
		return ""
	}
	return string(text)
}
