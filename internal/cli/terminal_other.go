//go:build !windows

// Whether a terminal can be coloured, here every terminal can, and how wide it is.
package cli

import (
	"os"

	"github.com/mattn/go-isatty"
	"golang.org/x/sys/unix"
)

func colourTerminal(file *os.File) bool { return isatty.IsTerminal(file.Fd()) }

// terminalColumns is how wide the terminal is, 0 where there is none or it does not know.
func terminalColumns(file *os.File) int {
	size, err := unix.IoctlGetWinsize(int(file.Fd()), unix.TIOCGWINSZ)
	if err != nil {
		return 0
	}
	return int(size.Col)
}
