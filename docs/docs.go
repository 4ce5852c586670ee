// Package docs carries the pages of the rules, so that the program can print
// them and a browser can read them: rules/ID.md, one a rule.
package docs

import "embed"

// Rules holds rules/ID.md for every rule of internal/check.
//
//go:embed rules/*.md
var Rules embed.FS
