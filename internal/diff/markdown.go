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

// WriteMarkdown writes a result as a comment for a code review. What loosens comes
// first, then what is to be looked at.
func WriteMarkdown(w io.Writer, r Result) error {
	var out bytes.Buffer
	fmt.Fprintf(&out, "### %s\n\n", escaped(heading(r)))
	for _, s := range remarks(r) {
		fmt.Fprintf(&out, "> %s\n\n", escaped(s))
	}
	heads := 0
	for _, h := range []struct {
		kind Kind
		head string
	}{{Loosens, "Loosens safety"}, {Look, "To be looked at"}} {
		list := ofKind(h.kind, r.Changes, "")
		if len(list) == 0 {
			continue
		}
		heads++
		fmt.Fprintf(&out, "**%s**\n\n", h.head)
		for _, s := range list {
			fmt.Fprintf(&out, "- %s\n", escaped(s))
		}
		fmt.Fprintln(&out)
	}
	if heads > 0 {
		fmt.Fprintf(&out, "**All changes**\n\n")
	}
	markdownLines(&out, r.Changes, 0)
	if list := standing(r); len(list) > 0 {
		fmt.Fprintf(&out, "\n**In both missions**\n\n")
		for _, s := range list {
			fmt.Fprintf(&out, "- %s\n", escaped(s))
		}
	}
	_, err := w.Write(out.Bytes())
	return err
}

// ofKind lists the changes of a kind, with their causes.
func ofKind(kind Kind, changes []Change, cause string) []string {
	var out []string
	for _, g := range grouped(changes) {
		line := g.sentence()
		if g.change.Kind == kind {
			if cause != "" {
				line += " (" + cause + ")"
			}
			out = append(out, line)
		}
		top := cause
		if top == "" {
			top = sentence(g.change)
		}
		out = append(out, ofKind(kind, g.change.Effects, top)...)
	}
	return out
}

func markdownLines(out *bytes.Buffer, changes []Change, depth int) {
	for _, g := range grouped(changes) {
		kind := g.change.Kind.String()
		if g.change.Kind == Loosens || g.change.Kind == Look {
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
