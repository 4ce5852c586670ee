//go:build !windows

// Whether a terminal can be coloured: here every terminal can.
package cli

import (
	"os"

	"github.com/mattn/go-isatty"
)

func colourTerminal(file *os.File) bool { return isatty.IsTerminal(file.Fd()) }
