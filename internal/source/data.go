// What is no mission: receivers' logs and other data, which may be packed by gzip. Whether
// they are is told by their first two bytes, whatever the name says. They are unpacked as
// they are read, so that what a small file unpacks to takes time and no memory.
package source

import (
	"bufio"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"

	"merestone/internal/words"
)

// gzipMagic are the first bytes of a member of a gzip file (RFC 1952, section 2.3.1).
const gzipMagic = "\x1f\x8b"

// EndsEarly is the error of packed data that end before they should, after all that they
// hold was read: what a copy leaves that was broken off, or a logger that lost its power.
type EndsEarly struct{}

func (EndsEarly) Error() string { return "its gzip data end early; all that is there was read" }

// Data is a file of data that is being read.
type Data struct {
	unpacked io.Reader
	digest   hash.Hash
	file     io.Closer
}

// OpenData opens a file of data to be read once, or in for "-". Members of gzip that
// follow one another are read as one. An error of opening names the file, those of reading
// do not; see EndsEarly for one that is none for those who can do with the beginning.
func OpenData(path string, in io.Reader) (*Data, error) {
	var file io.ReadCloser = io.NopCloser(in)
	name := "standard input"
	if path != "-" {
		opened, err := Open(path)
		if err != nil {
			return nil, fmt.Errorf("cannot read %s: %w", path, words.PlainCause(err))
		}
		file, name = opened, path
	}
	d := &Data{digest: sha256.New(), file: file}
	buffered := bufio.NewReaderSize(io.TeeReader(file, d.digest), 64<<10)
	d.unpacked = buffered
	first, err := buffered.Peek(len(gzipMagic))
	if err != nil && !errors.Is(err, io.EOF) {
		_ = file.Close()
		return nil, fmt.Errorf("cannot read %s: %w", name, words.PlainCause(err))
	}
	if string(first) == gzipMagic {
		unpacked, err := gzip.NewReader(buffered)
		if err != nil {
			_ = file.Close()
			return nil, fmt.Errorf("cannot read %s: %w", name, packedCause(err))
		}
		d.unpacked = unpacked
	}
	return d, nil
}

// Close closes the file.
func (d *Data) Close() error { return d.file.Close() }

// Digest is the SHA-256 of the file as it is stored, in hexadecimal, once it was read.
func (d *Data) Digest() string { return hex.EncodeToString(d.digest.Sum(nil)) }

// Read reads on.
func (d *Data) Read(p []byte) (int, error) {
	n, err := d.unpacked.Read(p)
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		err = EndsEarly{}
	case err != nil && !errors.Is(err, io.EOF):
		err = packedCause(err)
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
