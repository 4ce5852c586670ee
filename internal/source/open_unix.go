//go:build !windows

// Pipes of Unix: opened without waiting for a writer, and then looked at whether
// there is one.
package source

import (
	"bytes"
	"errors"
	"io"
	"os"
	"syscall"
	"time"
)

// doNotWait makes opening a named pipe return when no writer has it open.
const doNotWait = syscall.O_NONBLOCK

// awaitWriter takes over a pipe that was opened with doNotWait and gives it back
// when a writer is there. Reading tells: it gives bytes; or EAGAIN, when a writer
// has it open and has not written yet; or nothing, when none has, or all are gone.
func awaitWriter(pipe *os.File) (io.ReadCloser, error) {
	first := make([]byte, 4096)
	for end := time.Now().Add(writerPatience); ; time.Sleep(5 * time.Millisecond) {
		n, err := nowFrom(pipe, first)
		switch {
		case n > 0 || errors.Is(err, syscall.EAGAIN):
			// From here on reading blocks in the system, and does not ask the
			// runtime's poller, which does not see the end of a pipe everywhere.
			if err := syscall.SetNonblock(int(pipe.Fd()), false); err != nil {
				_ = pipe.Close()
				return nil, err
			}
			return begun{io.MultiReader(bytes.NewReader(first[:max(n, 0)]), pipe), pipe}, nil
		case err != nil && !errors.Is(err, syscall.EINTR):
			_ = pipe.Close()
			return nil, err
		case time.Now().After(end):
			_ = pipe.Close()
			return nil, errors.New("it is a pipe that nothing was written to, and that no program has open for writing")
		}
	}
}

// nowFrom reads what is there at once.
func nowFrom(pipe *os.File, into []byte) (n int, err error) {
	connection, err := pipe.SyscallConn()
	if err != nil {
		return 0, err
	}
	if failed := connection.Read(func(fd uintptr) bool {
		n, err = syscall.Read(int(fd), into)
		return true // whatever came, no waiting
	}); failed != nil {
		return 0, failed
	}
	return n, err
}
