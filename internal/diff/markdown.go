// The Markdown writer: for a comment on a code review. GitHub Flavored Markdown,
// but only headings, lists and bold, which every dialect has.
package diff

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"merestone/internal/words"
)

// WriteMarkdown writes a result as a comment for a code review. Where anything
// loosens, that comes first.
func WriteMarkdown(w io.Writer, r Result) error {
	var out bytes.Buffer
	fmt.Fprintf(&out, "### %s\n\n", escaped(heading(r)))
	for _, s := range remarks(r) {
		fmt.Fprintf(&out, "> %s\n\n", escaped(s))
	}
	if loose := loosening(r.Changes, ""); len(loose) > 0 {
		fmt.Fprintf(&out, "**Loosens safety**\n\n")
		for _, s := range loose {
			fmt.Fprintf(&out, "- %s\n", escaped(s))
		}
		fmt.Fprintf(&out, "\n**All changes**\n\n")
	}
	markdownLines(&out, r.Changes, 0)
	_, err := w.Write(out.Bytes())
	return err
}

// loosening lists what loosens, with its cause.
func loosening(changes []Change, cause string) []string {
	var out []string
	for _, g := range grouped(changes) {
		line := g.sentence()
		if g.change.Kind == Loosens {
			if cause != "" {
				line += " (" + cause + ")"
			}
			out = append(out, line)
		}
		top := cause
		if top == "" {
			top = sentence(g.change)
		}
		out = append(out, loosening(g.change.Effects, top)...)
	}
	return out
}

func markdownLines(out *bytes.Buffer, changes []Change, depth int) {
	for _, g := range grouped(changes) {
		kind := g.change.Kind.String()
		if g.change.Kind == Loosens {
			kind = "**" + kind + "**"
		}
		fmt.Fprintf(out, "%s- %s: %s\n", strings.Repeat("  ", depth), kind, escaped(g.sentence()))
		markdownLines(out, g.change.Effects, depth+1)
	}
}

// escaped keeps names from being read as Markdown or HTML.
func escaped(s string) string {
	var out strings.Builder
	for _, r := range words.Visible(s) {
		if strings.ContainsRune("\\`*_{}[]<>#|~&@", r) {
			out.WriteByte('\\')
		}
		out.WriteRune(r)
	}
	return out.String()
}
