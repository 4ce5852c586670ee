//go:build !windows

// What Unix gives: a rename replaces at once and whole, an advisory lock ends with
// its process, and a folder can be synced.
package place

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// claim locks a new temporary file for as long as it is open, which tells other
// runs that it is not abandoned. It is false when one of them was faster. Where the
// file system has no locks, other runs cannot lock it either and leave it alone.
func claim(file *os.File, path string) bool {
	if err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB); errors.Is(err, unix.EWOULDBLOCK) {
		return false
	}
	return stillNamed(file, path)
}

func stillNamed(file *os.File, path string) bool {
	opened, err := file.Stat()
	if err != nil {
		return false
	}
	named, err := os.Lstat(path)
	return err == nil && os.SameFile(opened, named)
}

// move gives the file its name while it is still locked: without the lock, another
// run could take it for abandoned.
func (t *temporary) move() error {
	if err := os.Rename(t.path, t.target); err != nil {
		return err
	}
	_ = t.file.Close() // it is on the disk already
	t.file = nil
	return nil
}

// removeOpen removes before it unlocks.
func removeOpen(file *os.File, path string) {
	_ = os.Remove(path)
	_ = file.Close()
}

// removeAbandoned removes a temporary file of this user's that nobody has locked. It
// is opened for writing since some network file systems lock nothing else.
func removeAbandoned(path string) {
	file, err := os.OpenFile(path, os.O_RDWR|unix.O_NOFOLLOW|unix.O_NONBLOCK, 0)
	if err != nil {
		return
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return
	}
	owned, ok := info.Sys().(*syscall.Stat_t)
	if !ok || owned.Nlink != 1 || int(owned.Uid) != os.Geteuid() {
		return
	}
	if unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB) == nil && stillNamed(file, path) {
		_ = os.Remove(path)
	}
}

// replaceable knows nothing that would make a rename onto a regular file fail.
func replaceable(string, fs.FileInfo) error { return nil }

// syncFolder brings the names in a folder onto the disk: a rename without it can be
// undone by a power cut. A folder that may not be read, or a file system without
// such a thing, is left to the system.
func syncFolder(folder string) error {
	d, err := os.Open(folder)
	if errors.Is(err, fs.ErrPermission) {
		return nil
	}
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, unix.EINVAL) && !errors.Is(err, unix.ENOTSUP) {
		return err
	}
	return nil
}
