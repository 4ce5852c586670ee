// One file on its way to its place, under a temporary name that nothing else
// bears; and the temporary files that are left when a run is killed, or the power
// fails, before it could remove its own.
package place

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

// temporary is a file that is written in full before it gets its name.
type temporary struct {
	file   *os.File // nil once it is in its place or removed
	path   string
	target string
	old    fs.FileInfo // of the file that it replaces; nil where there is none
}

// newTemporary creates an empty file in the folder of its target, since renaming
// is atomic within one file system only.
func newTemporary(target string) (*temporary, error) {
	t := &temporary{target: target}
	creation := fs.FileMode(0o644) // less what the user's mask takes away
	if info, err := os.Lstat(target); err == nil {
		t.old, creation = info, 0o600
	}
	for range 1000 {
		t.path = temporaryName(target)
		file, err := os.OpenFile(t.path, os.O_RDWR|os.O_CREATE|os.O_EXCL, creation)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if claim(file, t.path) {
			t.file = file
			return t, nil
		}
		// Another run took it for one left behind in the instant before it was
		// claimed, and removes it.
		_ = file.Close()
	}
	return nil, errors.New("no temporary name is free")
}

// A name is that of the target, with a dot before it and behind it 64 random bits
// and an ending of ours. Names may have 255 bytes; of a longer one less is told.
func temporaryName(target string) string {
	folder, name := filepath.Split(target)
	told := strings.ToValidUTF8(name[:min(len(name), 200)], "")
	return fmt.Sprintf("%s.%s.%016x%s", folder, told, rand.Uint64(), temporaryEnding)
}

const temporaryEnding = ".merestone-tmp"

// fill writes the contents, onto the disk, unless the context ends first.
func (t *temporary) fill(ctx context.Context, data []byte) error {
	if _, err := t.file.Write(data); err != nil {
		return err
	}
	if t.old != nil { // its permissions live on
		mode := t.old.Mode().Perm()
		if info, err := t.file.Stat(); err != nil || info.Mode().Perm() != mode {
			if err := t.file.Chmod(mode); err != nil {
				return err
			}
		}
	}
	if context.Cause(ctx) != nil {
		return context.Cause(ctx)
	}
	return t.file.Sync()
}

// remove removes the file, unless it is in its place.
func (t *temporary) remove() {
	if t.file == nil {
		return
	}
	removeOpen(t.file, t.path)
	t.file = nil
}

// sweep removes what earlier runs left in a folder: regular files of our kind of
// name, with no other name, that no running program writes. What cannot be removed
// is no reason not to go on.
func sweep(folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	ours := regexp.MustCompile(`^\..+\.[0-9a-f]{16}` + regexp.QuoteMeta(temporaryEnding) + `$`)
	for _, e := range entries {
		if e.Type().IsRegular() && ours.MatchString(e.Name()) {
			removeAbandoned(filepath.Join(folder, e.Name()))
		}
	}
}
