package circuit

import (
	"errors"
	"io"
)

// Text writes the table aligned for a terminal.
func (t Table) Text(w io.Writer) error { return errors.New("circuit: not written yet") }

// Markdown writes the table in Markdown.
func (t Table) Markdown(w io.Writer) error { return errors.New("circuit: not written yet") }
