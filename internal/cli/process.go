// The process around the command line: streams that it was started without,
// signals that come while files are being replaced, and how it ends.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"merestone/gen"
	"merestone/internal/place"
)

// Main runs the program and ends the process.
func Main() {
	status := Run(os.Args[1:], os.Stdin, stream(os.Stdout), stream(os.Stderr))
	if status > exitSignal {
		dieOf(syscall.Signal(status - exitSignal))
	}
	os.Exit(status)
}

// stream is a standard stream, or in place of one that was closed when the program
// started a writer that fails. Go opens the null device there, so that no file gets
// its number, and what is printed would be lost without a word.
func stream(file *os.File) io.Writer {
	if wasClosed(file) {
		return closedStream{}
	}
	return file
}

type closedStream struct{}

func (closedStream) Write([]byte) (int, error) {
	return 0, errors.New("it is closed; to print nothing, send it to " + os.DevNull + ", opened for writing alone")
}

// interruption is the error of work that a signal ended.
type interruption struct {
	signal syscall.Signal
	state  string
}

func (i interruption) Error() string { return fmt.Sprintf("%v; %s", i.signal, i.state) }

// place puts files into a folder. SIGINT, SIGTERM and SIGHUP end that between two
// steps, when all temporary files are removed. At all other times nothing is half
// done, and a signal ends the program at once, as the system has it.
func (a app) place(folder string, files []gen.File) (placed []place.Placed, err error) {
	var list []place.File
	for _, f := range files {
		list = append(list, place.File(f))
	}
	err = untilDone("nothing was replaced", "all files were in their place already", func(ctx context.Context) error {
		placed, err = place.Files(ctx, folder, list)
		return err
	})
	return placed, err
}

// untilDone puts something into place, unless a signal ends that: it then says whether it
// was done.
func untilDone(not, done string, put func(context.Context) error) error {
	ctx, release := untilSignal()
	err := put(ctx)
	sig := release()
	switch {
	case sig == 0:
		return err
	case errors.Is(err, context.Canceled):
		return interruption{sig, not}
	case err != nil:
		return interruption{sig, err.Error()}
	}
	return interruption{sig, done}
}

// untilSignal is a context that the first signal ends; those after it change
// nothing, since what is left to do is short. A signal that the program was started
// to ignore, as by nohup, stays ignored. release ends the waiting, and gives the
// signal that came, or 0.
func untilSignal() (ctx context.Context, release func() syscall.Signal) {
	ctx, cancel := context.WithCancel(context.Background())
	caught := make(chan os.Signal, 1)
	for _, sig := range []os.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP} {
		if !signal.Ignored(sig) {
			signal.Notify(caught, sig)
		}
	}
	first := make(chan syscall.Signal, 1)
	go func() {
		defer close(first)
		for sig := range caught {
			if number, ok := sig.(syscall.Signal); ok && ctx.Err() == nil {
				first <- number
				cancel()
			}
		}
	}()
	return ctx, func() syscall.Signal {
		signal.Stop(caught) // from here on nothing is sent to it
		close(caught)
		defer cancel()
		return <-first
	}
}
