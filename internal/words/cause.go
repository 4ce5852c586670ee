// What went wrong with a file, in the words of a message that names the file.
package words

import (
	"errors"
	"io/fs"
	"os"
)

// PlainCause drops the system call and the path from an error of package os,
// which messages name in their own words.
func PlainCause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
