// What the terminal takes on which a stream ends, if it ends on one: how wide text may
// be there, and whether it may have colours.
package cli

import (
	"io"
	"os"
	"strconv"

	"github.com/mattn/go-isatty"

	"merestone/internal/diag"
	"merestone/internal/words"
)

// Between these is the width that text is given on a terminal. What is narrower breaks
// tables and places that do not fold; longer lines are hard to read (of the eye's way back
// to the next line; common practice, no source).
const (
	leastColumns = 60
	mostColumns  = 120
)

// terminal says what a stream takes.
func terminal(w io.Writer) diag.Terminal {
	file, ok := w.(*os.File)
	if !ok {
		return diag.Terminal{Columns: columns(os.Getenv("COLUMNS"), 0)}
	}
	return diag.Terminal{Columns: columns(os.Getenv("COLUMNS"), terminalColumns(file)), Colours: takesColours(file)}
}

// columns is how wide text may be, by the environment's COLUMNS, and by the width of the
// terminal, 0 where there is none. Who sets COLUMNS has a reason, such as to search what
// is printed, and may have lines as long as wanted.
func columns(environment string, terminal int) int {
	if set, err := strconv.Atoi(environment); err == nil && set > 0 {
		return max(set, leastColumns)
	}
	if terminal <= 0 {
		return words.UsualColumns
	}
	return min(max(terminal, leastColumns), mostColumns)
}

// takesColours says whether a file takes colours: a terminal does, unless the
// environment declines them (the NO_COLOR convention: set and not empty).
func takesColours(file *os.File) bool {
	return os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && colourTerminal(file)
}

// isTerminal says whether somebody sits at a stream.
func isTerminal(stream any) bool {
	file, ok := stream.(*os.File)
	return ok && isatty.IsTerminal(file.Fd())
}
