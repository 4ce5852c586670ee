// What a command may replace: files that this program has written, told by how they begin.
package cli

import (
	"fmt"
	"io"
	"os"

	"merestone/internal/words"
)

// own refuses to replace a file that is not what it would be replaced by.
func own(path, what string, is func(begin []byte) bool) error {
	if info, err := os.Lstat(path); err != nil || !info.Mode().IsRegular() {
		return nil // what else is there is refused where files are put into place
	}
	file, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("cannot read %s, which it would replace: %w", path, words.PlainCause(err))
	}
	defer file.Close()
	begin, err := io.ReadAll(io.LimitReader(file, 4096))
	if err != nil {
		return fmt.Errorf("cannot read %s, which it would replace: %w", path, words.PlainCause(err))
	}
	if !is(begin) {
		return fmt.Errorf("%s is there, is no %s, and stays as it is; remove it, or choose another name", path, what)
	}
	return nil
}

// notRead refuses to replace a file that was read: a marks_file that began as a drawing still
// looks like one.
func notRead(path string, sources []string) error {
	at, err := os.Stat(path)
	if err != nil {
		return nil
	}
	for _, source := range sources {
		if of, err := os.Stat(source); err == nil && os.SameFile(at, of) {
			return fmt.Errorf("%q was read, and is not to be replaced: choose another name", path)
		}
	}
	return nil
}
