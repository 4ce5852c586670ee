// The reference of the mission language in Markdown, from the tables of keys.
package spec

import (
	"fmt"
	"strings"
)

// Reference is a Markdown table with a line for each key: its path, what it
// holds, what is usual if it is not written, and what it means. Paths have [] for
// the entries of a list and NAME for a name that the author chooses.
func Reference() string {
	var out strings.Builder
	out.WriteString("| key | value | if not written | meaning |\n| --- | --- | --- | --- |\n")
	walk(missionKeys(&Mission{}), "", func(path string, k key) {
		usual := k.usual
		if k.required {
			usual = "**required**"
		}
		fmt.Fprintf(&out, "| `%s` | %s | %s | %s |\n", path, k.value.words, usual, k.meaning)
	})
	return out.String()
}

// walk visits every key of the language in order, with its path.
func walk(keys []key, path string, visit func(path string, k key)) {
	for _, k := range keys {
		at := join(path, k.name)
		visit(at, k)
		walk(k.value.keys, inside(k, at), visit)
	}
}

// inside is the path of what a key holds: one of its blocks, where there may be several.
func inside(k key, path string) string {
	switch {
	case k.value.named:
		return path + ".NAME"
	case k.value.listed:
		return path + "[]"
	}
	return path
}
