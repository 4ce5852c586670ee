// Gaps: values that the author does not know yet. A mission with gaps is refused, and
// each is told once, with what it is and how to find it; all the rest is read.
package spec

import "strings"

// Gap stands where a value is still to be filled in: of a key, of an entry of a list,
// of a whole block. It looks like the blank of a form, is a plain text to YAML in blocks
// and in brackets, and no key can hold it as a value but a text or a file name; in
// quotation marks it is one.
const Gap = "___"

func (n *node) gap() bool { return n.kind == scalarKind && !n.quoted && n.text == Gap }

// leftOpen reports a gap, whose value is due. One that an anchor gives a name is told
// where it stands, and not where it is meant.
func (d *decoder) leftOpen(n *node, path, due string) {
	if d.findings.at(n.at) {
		return
	}
	remedy := "write it in place of " + Gap + ": " + due
	if d.reading.value.listed && strings.HasPrefix(due, "list of") {
		remedy += ", in brackets, with commas between them"
	}
	if d.reading.how != "" {
		remedy += "; " + d.reading.how
	}
	d.fail(ruleGap, n.at, remedy, "%s is to be filled in: %s", keyOf(path), d.reading.meaning)
}
