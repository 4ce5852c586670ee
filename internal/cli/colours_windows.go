// Whether a console of Windows can be coloured. It shows escape sequences as text
// until it is told to follow them (Microsoft's documentation of SetConsoleMode,
// ENABLE_VIRTUAL_TERMINAL_PROCESSING), which consoles before Windows 10 refuse.
package cli

import (
	"os"

	"golang.org/x/sys/windows"
)

func colourTerminal(file *os.File) bool {
	console := windows.Handle(file.Fd())
	var mode uint32
	if windows.GetConsoleMode(console, &mode) != nil {
		return false // no console
	}
	return windows.SetConsoleMode(console, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
