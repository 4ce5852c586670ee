// JSON, as every command writes it.
package words

import (
	"encoding/json"
	"io"
)

// WriteJSON writes JSON for people too: indented, and without the escapes that
// only matter inside HTML.
func WriteJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
