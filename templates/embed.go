// Package templates holds the text that merestone writes out: the guidance
// header, which goes out as it stands, and the templates of the data header and of
// a site shift.
package templates

import "embed"

// Files are the headers (*.h, written as they are) and the text/template files
// (*.tmpl) of this folder.
//
//go:embed *.h *.tmpl
var Files embed.FS
