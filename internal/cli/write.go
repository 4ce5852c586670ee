// Writing a set of files so that a reader of the folder, such as a firmware
// build running at the same time, never sees half a file, and so that a full
// disk or a missing permission leaves all earlier files as they were. Every other
// package hands its files over as bytes.
package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/google/renameio/v2"

	"merestone/gen"
	"merestone/internal/source"
)

// written is one file in its place.
type written struct {
	path      string
	data      []byte
	unchanged bool // it was there already, byte for byte
}

// writeFiles puts files into a folder, which it creates where needed. First
// every new file is written under a temporary name in the same folder and
// synced; only when all are on the disk is the first renamed into place. What
// can be known to make a rename fail is refused before that. Temporary files are
// removed on failure.
//
// A rename that fails all the same, after an earlier one succeeded, is reported
// with the names already replaced: the files differ in age then, but each is
// whole.
func writeFiles(folder string, files []gen.File) ([]written, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("cannot create the folder %s: %w", folder, source.PlainCause(err))
	}
	var out []written
	var pending []*renameio.PendingFile
	defer func() {
		for _, p := range pending {
			p.Cleanup() // does nothing once renamed
		}
	}()
	var changed []string
	for _, f := range files {
		path := filepath.Join(folder, f.Name)
		same, err := alreadyHolds(path, f.Data)
		if err != nil {
			return nil, fmt.Errorf("cannot replace %s: %w", path, source.PlainCause(err))
		}
		out = append(out, written{path: path, data: f.Data, unchanged: same})
		if same {
			continue
		}
		p, err := prepare(path, f.Data)
		if p != nil {
			pending = append(pending, p)
		}
		if err != nil {
			return nil, fmt.Errorf("cannot write %s: %w", path, source.PlainCause(err))
		}
		changed = append(changed, path)
	}
	for i, p := range pending {
		if err := p.CloseAtomicallyReplace(); err != nil {
			return nil, fmt.Errorf("cannot replace %s (replaced before it: %q): %w", changed[i], changed[:i], source.PlainCause(err))
		}
	}
	return out, nil
}

// prepare writes one file, complete and synced, under a temporary name. The
// file returned is to be cleaned up even when there is an error.
func prepare(path string, data []byte) (*renameio.PendingFile, error) {
	p, err := renameio.NewPendingFile(path,
		renameio.WithTempDir(filepath.Dir(path)), // renaming is atomic within one file system only
		renameio.WithPermissions(0o644), renameio.WithExistingPermissions())
	if err != nil {
		return nil, err
	}
	if _, err := p.Write(data); err != nil {
		return p, err
	}
	return p, p.Sync()
}

// alreadyHolds says whether a file has exactly these bytes. It is an error when
// something is there that a file must not replace.
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
	case info.Size() != int64(len(data)):
		return false, nil
	}
	old, err := os.ReadFile(path)
	if err != nil {
		return false, nil // it cannot be compared, but perhaps it can be replaced
	}
	return bytes.Equal(old, data), nil
}
