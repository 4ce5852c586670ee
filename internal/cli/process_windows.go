// How a process of Windows ends. There is no death by a signal: the exit status
// says it.
package cli

import (
	"os"
	"syscall"
)

func dieOf(syscall.Signal) {}

// wasClosed says whether a standard stream was closed when the program started.
func wasClosed(file *os.File) bool {
	_, err := file.Stat()
	return err != nil
}
