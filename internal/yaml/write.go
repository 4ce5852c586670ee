// Writing single values, so that both readers have them back as they were meant.
package yaml

import (
	"regexp"
	"strings"
)

// plainScalar is what YAML and its second reader take for one value without quotation
// marks wherever it stands.
var plainScalar = regexp.MustCompile(`^(?:[A-Za-z0-9]|[+-]?\.?[0-9])(?:[A-Za-z0-9._+/%()'"°-]| [A-Za-z0-9._+/%()°-])*$`)

// IsPlain reports whether a text needs no quotation marks, in brackets or outside. (The
// other words for nothing begin with a sign that is not plain.)
func IsPlain(text string) bool {
	return plainScalar.MatchString(text) && !strings.EqualFold(text, "null")
}

// Write is a text of one line as a value in one piece: plain where that is enough.
func Write(text string) string {
	if IsPlain(text) {
		return text
	}
	return "'" + strings.ReplaceAll(text, "'", "''") + "'"
}
