// What Windows gives: MoveFileEx replaces a file as a whole, but neither one that
// another program holds open nor one that is read-only; an open file cannot be
// removed, which protects it as a lock would.
package place

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

const (
	// patience is for programs that hold a header for a moment: an editor that
	// saves, a compiler, a virus scanner. Common practice, no source.
	patience = 2 * time.Second
	// A temporary file is closed the instant before it is renamed, so that being
	// open does not protect it then. One so old is of no running program.
	abandonedAfter = time.Hour
)

// claim has nothing to do: the open file cannot be removed.
func claim(*os.File, string) bool { return true }

// move closes first, for an open file cannot be renamed. MoveFileEx returns when
// the move is on the disk (MOVEFILE_WRITE_THROUGH).
func (t *temporary) move() error {
	from, err := windows.UTF16PtrFromString(t.path)
	if err != nil {
		return err
	}
	to, err := windows.UTF16PtrFromString(t.target)
	if err != nil {
		return err
	}
	if err := t.file.Close(); err != nil {
		return err
	}
	err = patiently(func() error {
		return windows.MoveFileEx(from, to, windows.MOVEFILE_REPLACE_EXISTING|windows.MOVEFILE_WRITE_THROUGH)
	})
	if err == nil {
		t.file = nil
	}
	return err
}

// patiently tries until others let go of the file.
func patiently(try func() error) error {
	for end := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) {
		err := try()
		switch {
		case err == nil || !isHeld(err) && !errors.Is(err, windows.ERROR_ACCESS_DENIED):
			return err
		case time.Now().Before(end):
		case isHeld(err):
			return fmt.Errorf("another program holds it open; close it there and run this again: %w", err)
		default:
			return fmt.Errorf("another program may hold it open, or its permissions forbid it: %w", err)
		}
	}
}

func isHeld(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION)
}

// removeOpen closes first, as an open file cannot be removed.
func removeOpen(file *os.File, path string) {
	_ = file.Close()
	_ = os.Remove(path)
}

// removeAbandoned removes a temporary file that is old and that nobody has open.
func removeAbandoned(path string) {
	if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > abandonedAfter {
		_ = os.Remove(path)
	}
}

// replaceable asks, before anything is replaced, whether a file could be now: what
// the system wants for a rename is the right to delete the file.
func replaceable(path string, info fs.FileInfo) error {
	if info.Mode().Perm()&0o200 == 0 {
		return errors.New("it is read-only")
	}
	name, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return err
	}
	return patiently(func() error {
		file, err := windows.CreateFile(name, windows.DELETE, windows.FILE_SHARE_READ|windows.FILE_SHARE_WRITE|windows.FILE_SHARE_DELETE,
			nil, windows.OPEN_EXISTING, windows.FILE_ATTRIBUTE_NORMAL, 0)
		if errors.Is(err, windows.ERROR_FILE_NOT_FOUND) {
			return nil
		}
		if err != nil {
			return err
		}
		return windows.CloseHandle(file)
	})
}

// syncFolder has nothing to do: see move.
func syncFolder(string) error { return nil }
