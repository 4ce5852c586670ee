// Whether a console of Windows can be coloured, and how wide it is. It shows escape
// sequences as text
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

// terminalColumns is how wide the console's window is, 0 where there is none.
func terminalColumns(file *os.File) int {
	var info windows.ConsoleScreenBufferInfo
	if windows.GetConsoleScreenBufferInfo(windows.Handle(file.Fd()), &info) != nil {
		return 0
	}
	return int(info.Window.Right) - int(info.Window.Left) + 1
}
