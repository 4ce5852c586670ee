// What reaches a terminal. Text for people passes a writer that leaves nothing in it
// that a terminal obeys, whoever wrote it: a name of a file, a flag, an answer of git.
// Only the line ends and colours of this program remain, and a line that is longer than
// the terminal is wide goes on in the next one. That a name does not forge a
// line is up to where the line is made, which is say. Data - JSON, headers, canonical
// text, completion scripts - is written as it is.
package cli

import (
	"fmt"
	"io"
	"regexp"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// textWriter writes text for people.
type textWriter struct {
	w  io.Writer
	on diag.Terminal
}

// colourCode is what internal/diag sets words off by.
var colourCode = regexp.MustCompile("\x1b\\[(0|1;3[0-9])m")

// Write takes whole lines, as every caller here has them.
func (t textWriter) Write(p []byte) (int, error) {
	var out strings.Builder
	lines := strings.Split(string(p), "\n")
	for i, line := range lines {
		if i > 0 {
			out.WriteByte('\n')
		}
		if t.on.Colours {
			for at := colourCode.FindStringIndex(line); at != nil; at = colourCode.FindStringIndex(line) {
				out.WriteString(words.Visible(line[:at[0]]) + line[at[0]:at[1]])
				line = line[at[1]:]
			}
		}
		out.WriteString(words.Visible(line))
	}
	if _, err := io.WriteString(t.w, words.FoldAll(out.String(), t.on.Wide())); err != nil {
		return 0, err
	}
	return len(p), nil
}

// say writes one line, whatever is in the arguments. A failure shows when the run ends,
// too; who would write a file after what could not be said looks at it before.
func say(w io.Writer, format string, args ...any) error {
	_, err := fmt.Fprintln(w, words.Visible(fmt.Sprintf(format, args...)))
	return err
}

// complain writes an error for people, on one line; several that were joined on a line
// each.
func complain(w io.Writer, before string, err error) {
	for _, one := range apart(err) {
		say(w, "%s%v", before, one)
		before = ""
	}
}

// apart are the errors that were joined in one.
func apart(err error) []error {
	switch e := err.(type) {
	case interface{ Unwrap() []error }:
		return e.Unwrap()
	case troubleError:
		return apart(e.error)
	}
	return []error{err}
}

// checkedWriter remembers the first failure of writing.
type checkedWriter struct {
	w      io.Writer
	failed error
}

func (c *checkedWriter) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	if err != nil && c.failed == nil {
		c.failed = err
	}
	return n, err
}
