// Opening what a user names on the command line: a file, or a pipe such as the
// shell's <(command). Whatever else is there is refused by what it is, and nothing
// is waited for that may never come.
package source

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"time"
)

// writerPatience is how long a pipe that nobody writes to is given, since the two
// programs at its ends start at the same time. Common practice, no source.
const writerPatience = 2 * time.Second

// Open opens a file to be read once, from its beginning. A pipe with a writer is
// read for as long as the writer takes; one without is refused. So is a device,
// which may never end, or block, or act on being opened; but for the null device,
// which git names for a file that is not there.
func Open(path string) (io.ReadCloser, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if err := readable(info); err != nil { // before it is opened: that alone can act
		return nil, err
	}
	file, err := os.OpenFile(path, os.O_RDONLY|doNotWait, 0)
	if err != nil {
		return nil, err
	}
	if info, err = file.Stat(); err == nil {
		err = readable(info)
	}
	if err != nil {
		_ = file.Close()
		return nil, err
	}
	if info.Mode()&fs.ModeNamedPipe == 0 {
		return file, nil
	}
	return awaitWriter(file)
}

// readable says what of a kind of file speaks against reading it.
func readable(info fs.FileInfo) error {
	switch mode := info.Mode(); {
	case mode.IsRegular() || mode&fs.ModeNamedPipe != 0:
		return nil
	case mode.IsDir():
		return errors.New("it is a folder; name the file in it")
	case mode&fs.ModeSocket != 0:
		return errors.New("it is a socket, not a file")
	case mode&fs.ModeDevice != 0:
		if null, err := os.Stat(os.DevNull); err == nil && os.SameFile(null, info) {
			return nil
		}
		return errors.New("it is a device, not a file; pipe what it gives to standard input")
	}
	return errors.New("it is not a regular file")
}

// begun is a file of which the first bytes are read already.
type begun struct {
	io.Reader
	io.Closer
}
