//go:build !windows

// How a process of Unix ends of a signal, and what is left of a closed stream.
package cli

import (
	"os"
	"os/signal"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// dieOf ends the process by the signal itself: a shell or make that started it
// then sees that it did not end of its own will, and stops too. The status 130 by
// itself would not tell that.
func dieOf(sig syscall.Signal) {
	signal.Reset(sig)
	if syscall.Kill(os.Getpid(), sig) == nil {
		time.Sleep(time.Second) // it comes to any thread, in a moment, unless it is blocked
	}
}

// wasClosed says whether a standard stream was closed when the program started. Go's
// runtime has then opened the null device for reading and writing (checkfds in
// runtime/fds_unix.go), where a shell's >/dev/null opens it for writing. A program
// that hands over one opened for both cannot be told from one that closed it.
func wasClosed(file *os.File) bool {
	null, err := os.Stat(os.DevNull)
	if err != nil {
		return false
	}
	info, err := file.Stat()
	if err != nil {
		return true
	}
	flags, err := unix.FcntlInt(file.Fd(), unix.F_GETFL, 0)
	return os.SameFile(null, info) && err == nil && flags&unix.O_ACCMODE == unix.O_RDWR
}
