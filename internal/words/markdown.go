// Pages of Markdown on a terminal.
package words

import (
	"regexp"
	"strings"
)

// listItem begins an entry of a list: a sign or a number, and a space.
var listItem = regexp.MustCompile(`^ *([-*]|[0-9]+\.) +`)

// Reflow breaks the paragraphs and lists of a page of Markdown anew, for a terminal of so
// many columns, and headings that are longer. Tables and code stay, whose lines mean
// something.
func Reflow(page string, columns int) string {
	var out, text []string
	first, rest := "", ""
	end := func() { // of a paragraph
		for i, line := range Wrap(strings.Join(text, " "), columns-Cells(first)) {
			switch {
			case text == nil:
			case i == 0:
				out = append(out, first+line)
			default:
				out = append(out, rest+line)
			}
		}
		text, first, rest = nil, "", ""
	}
	fenced := false
	for line := range strings.SplitSeq(strings.TrimSuffix(page, "\n"), "\n") {
		item := listItem.FindString(line)
		fence := strings.HasPrefix(strings.TrimLeft(line, " "), "```")
		switch {
		case !fenced && strings.HasPrefix(line, "#") && Cells(line) > columns:
			end()
			sign, title, _ := strings.Cut(line, " ")
			text, first, rest = []string{title}, sign+" ", strings.Repeat(" ", len(sign)+1)
			end()
		case fence || fenced || line == "" || strings.HasPrefix(line, "#") || strings.HasPrefix(line, "|") || strings.HasPrefix(line, "<!--"),
			text == nil && strings.HasPrefix(line, "    "):
			end()
			out = append(out, line)
			fenced = fenced != fence
		case item != "":
			end()
			text, first, rest = []string{line[len(item):]}, item, strings.Repeat(" ", len(item))
		default:
			text = append(text, line)
		}
	}
	end()
	return strings.Join(out, "\n") + "\n"
}
