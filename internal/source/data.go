// What is no mission: receivers' logs and other data, which may be packed by gzip. Whether
// they are is told by their first two bytes, whatever the name says. They are unpacked as
// they are read, so that what a small file unpacks to takes time and no memory.
package source

import (
	"bufio"
	"compress/gzip"
	"errors"
	"fmt"
	"io"

	"merestone/internal/words"
)

// gzipMagic are the first bytes of a member of a gzip file (RFC 1952, section 2.3.1).
const gzipMagic = "\x1f\x8b"

// EndsEarly is the error of packed data that end before they should, once all that they
// hold was read, which not everybody takes: what a copy leaves that was broken off, or a
// logger that lost its power.
type EndsEarly struct{ Name string }

func (e EndsEarly) Error() string {
	return e.Name + ": its gzip data end early"
}

// OpenData opens a file of data to be read once, or in for "-". Members of gzip that follow
// one another are read as one. Errors name the file; see EndsEarly for one that is none
// for those who can do with the beginning.
func OpenData(path string, in io.Reader) (io.ReadCloser, error) {
	var file io.ReadCloser = io.NopCloser(in)
	name := "standard input"
	if path != "-" {
		opened, err := Open(path)
		if err != nil {
			return nil, fmt.Errorf("cannot read %s: %w", path, words.PlainCause(err))
		}
		file, name = opened, path
	}
	return Unpacked(file, name)
}

// Unpacked is a file of data that was opened, of the name that errors give it.
func Unpacked(file io.ReadCloser, name string) (io.ReadCloser, error) {
	buffered := bufio.NewReaderSize(file, 64<<10)
	first, err := buffered.Peek(len(gzipMagic))
	if err != nil && !errors.Is(err, io.EOF) {
		_ = file.Close()
		return nil, fmt.Errorf("cannot read %s: %w", name, words.PlainCause(err))
	}
	if string(first) != gzipMagic {
		return data{buffered, file, name}, nil
	}
	unpacked, err := gzip.NewReader(buffered)
	if err != nil {
		_ = file.Close()
		return nil, fmt.Errorf("cannot read %s: %w", name, packedCause(err))
	}
	return data{unpacked, file, name}, nil
}

// data gives errors of reading the name of the file.
type data struct {
	io.Reader
	io.Closer
	name string
}

// Read reads on.
func (d data) Read(p []byte) (int, error) {
	n, err := d.Reader.Read(p)
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		err = EndsEarly{d.name}
	case err != nil && !errors.Is(err, io.EOF):
		err = fmt.Errorf("cannot read %s to its end: %w", d.name, packedCause(err))
	}
	return n, err
}

// packedCause says what is wrong with packed data.
func packedCause(err error) error {
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("its gzip data end within their header")
	case errors.Is(err, gzip.ErrHeader):
		return errors.New("its gzip data have no header, or bytes follow them")
	case errors.Is(err, gzip.ErrChecksum):
		return errors.New("its gzip data have another checksum than they say")
	}
	return words.PlainCause(err)
}
