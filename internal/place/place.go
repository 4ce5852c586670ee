// Package place puts a set of files into a folder so that a reader of the folder,
// such as a firmware build running at the same time, never sees half a file, and
// so that a full disk, a missing permission or a signal leaves all earlier files
// as they were. Every other package hands its files over as bytes.
//
//	place.go          the set: prepared in full, then replaced one by one; a stamp
//	temporary.go      one file on its way; what killed runs left behind
//	place_unix.go     renames, locks and what outlives a power cut, on Unix
//	place_windows.go  the same on Windows
package place

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"merestone/internal/words"
)

// File is a file to be put into a folder.
type File struct {
	Name string // without a folder
	Data []byte
}

// Placed is one file in its place.
type Placed struct {
	Path      string
	Bytes     int
	Unchanged bool // it was there already, byte for byte
}

// Files puts files into a folder, which it creates where needed. First every new
// file is written under a temporary name in the same folder and synced; only when
// all are on the disk is the first renamed into place. What can be known to make a
// rename fail is refused before that. Temporary files are removed on failure, and
// those that a killed run left in the folder before anything is written.
//
// A file may need the files behind it in the list, as a header needs what it
// includes. So the last is replaced first, and each is safely in the folder, also
// after a power cut, before the next: a new file never stands beside an older one
// of those that it needs.
//
// Once the context is done nothing more is begun: before the first rename nothing
// is replaced, and the error is the context's cause; after it the others follow at
// once. A rename that fails after an earlier one succeeded is reported with the
// names already replaced: the files differ in age then, but each is whole.
func Files(ctx context.Context, folder string, files []File) ([]Placed, error) {
	if err := open(folder); err != nil {
		return nil, err
	}
	var placed []Placed
	var pending []*temporary
	defer func() {
		for _, t := range pending {
			t.remove()
		}
	}()
	for _, f := range files {
		path := filepath.Join(folder, f.Name)
		same, err := ready(path, f.Data)
		if err != nil {
			return nil, err
		}
		placed = append(placed, Placed{Path: path, Bytes: len(f.Data), Unchanged: same})
		if same {
			continue
		}
		t, err := prepare(ctx, path, f.Data)
		if err != nil {
			return nil, err
		}
		pending = append(pending, t)
	}
	return placed, replace(ctx, folder, pending)
}

// Stamp puts a file into its folder, which it creates where needed, whose time says when
// work began: a build that compares times sees what was changed since. The file is
// replaced whole, and also where it would not change. The time is that of this machine's
// clock. Where the sources lie on another one that is ahead, they look newer than the stamp,
// and the work is done once more, until this clock has passed them: the harmless side.
func Stamp(ctx context.Context, path string, data []byte, began time.Time) error {
	folder := filepath.Dir(path)
	if err := open(folder); err != nil {
		return err
	}
	if _, err := ready(path, data); err != nil {
		return err
	}
	t, err := prepare(ctx, path, data)
	if err != nil {
		return err
	}
	defer t.remove()
	if err := os.Chtimes(t.path, began, began); err != nil {
		return fmt.Errorf("cannot set the time of %s: %w", path, words.PlainCause(err))
	}
	return replace(ctx, folder, []*temporary{t})
}

// New puts a file where none of its name is; one that is there is left as it is, and the
// error is fs.ErrExist. The name is taken first, by an empty file, so that of two programs
// that begin the same one alone writes it. A run that is killed in between leaves it empty.
func New(ctx context.Context, path string, data []byte) error {
	folder := filepath.Dir(path)
	if err := open(folder); err != nil {
		return err
	}
	if _, err := ready(path, data); err != nil {
		return err
	}
	taken, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return fmt.Errorf("cannot create %s: %w", path, words.PlainCause(err))
	}
	_ = taken.Close() // nothing was written
	t, err := prepare(ctx, path, data)
	if err == nil {
		defer t.remove()
		err = replace(ctx, folder, []*temporary{t})
	}
	if err != nil {
		_ = os.Remove(path)
	}
	return err
}

// open creates a folder where needed, and clears it of what killed runs left.
func open(folder string) error {
	if err := makeFolder(folder); err != nil {
		return fmt.Errorf("cannot create the folder %s: %w", folder, words.PlainCause(err))
	}
	sweep(folder)
	return nil
}

// ready says whether a file has these bytes already; it is an error when it cannot be
// replaced.
func ready(path string, data []byte) (bool, error) {
	if !filepath.IsLocal(filepath.Base(path)) { // NUL.h and such, on Windows
		return false, fmt.Errorf("cannot write %s: on this system that is a device and no file", path)
	}
	same, err := alreadyHolds(path, data)
	if err != nil {
		return false, fmt.Errorf("cannot replace %s: %w", path, words.PlainCause(err))
	}
	return same, nil
}

// prepare brings the bytes of a file onto the disk, under a temporary name.
func prepare(ctx context.Context, path string, data []byte) (*temporary, error) {
	t, err := newTemporary(path)
	if err == nil {
		if err = t.fill(ctx, data); err == nil && context.Cause(ctx) == nil {
			return t, nil
		}
		t.remove()
	}
	if context.Cause(ctx) != nil {
		return nil, context.Cause(ctx)
	}
	return nil, fmt.Errorf("cannot write %s: %w", path, words.PlainCause(err))
}

// replace renames what is pending, the last first.
func replace(ctx context.Context, folder string, pending []*temporary) error {
	if context.Cause(ctx) != nil {
		return context.Cause(ctx)
	}
	var replaced []string
	for _, t := range slices.Backward(pending) {
		if err := t.move(); err != nil {
			return fmt.Errorf("cannot replace %s (replaced before it: %q): %w", t.target, replaced, words.PlainCause(err))
		}
		replaced = append(replaced, t.target)
		if err := syncFolder(folder); err != nil {
			return fmt.Errorf("cannot make sure that %s outlives a power cut (replaced: %q): %w", t.target, replaced, words.PlainCause(err))
		}
	}
	return nil
}

// makeFolder creates a folder and those above it, to outlive a power cut.
func makeFolder(folder string) error {
	var missing []string
	for at := filepath.Clean(folder); ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		missing = append(missing, at)
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for _, made := range slices.Backward(missing) {
		if err := syncFolder(filepath.Dir(made)); err != nil {
			return err
		}
	}
	return nil
}

// alreadyHolds says whether a file has exactly these bytes. It is an error when
// something is there that a file must not, or cannot, replace.
func alreadyHolds(path string, data []byte) (bool, error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, err
	case info.IsDir():
		return false, errors.New("a folder of that name is in the way")
	case !info.Mode().IsRegular():
		return false, errors.New("what is there is not a regular file")
	}
	if info.Size() == int64(len(data)) {
		old, err := os.ReadFile(path)
		if err == nil && bytes.Equal(old, data) {
			return true, nil
		} // one that cannot be compared can perhaps be replaced
	}
	return false, replaceable(path, info)
}
