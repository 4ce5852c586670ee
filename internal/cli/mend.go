// merestone check --fix: the certain changes that findings offer, made in the files.
package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"merestone/internal/mend"
	"merestone/internal/pipeline"
	"merestone/internal/place"
	"merestone/internal/source"
	"merestone/internal/words"
)

// mended shows what is certain to be changed in a mission, makes the changes unless it is
// only to be shown, and gives the mission as it is then.
func (a app) mended(path string, dry bool) (pipeline.Mission, error) {
	found, err := a.changeable(path)
	if err != nil {
		return pipeline.Mission{}, err
	}
	result, err := mend.Mend(found)
	if err != nil {
		return result.Mission, err
	}
	done, err := a.change(path, result.Files, dry)
	if err != nil {
		return result.Mission, err
	}
	if result.Edits() == 0 {
		done = "nothing can be changed without a choice"
	}
	return result.Mission, say(a.out, "%s: %s", result.Mission.Name, done)
}

// changeable reads a mission whose files may be changed.
func (a app) changeable(path string) (source.Source, error) {
	if path == "-" {
		return source.Source{}, errors.New("standard input has no file that could be changed; name the file")
	}
	return source.File(path, a.in)
}

// change shows what is changed in the files of a mission, puts them in their place unless it
// is only to be shown, and says how much was done.
func (a app) change(path string, files []mend.File, dry bool) (done string, err error) {
	n := 0
	for _, f := range files {
		n += f.Edits
		if _, err := io.WriteString(a.out, f.Diff()); err != nil {
			return "", err
		}
	}
	if dry {
		return words.Plural(n, "change") + " to be made", nil
	}
	return words.Plural(n, "change") + " made", a.replace(path, files)
}

// replace puts changed files in the place of those that were read, each whole. The mission
// comes last: what it names was changed before it.
func (a app) replace(mission string, files []mend.File) error {
	for _, f := range files {
		if err := unchanged(pathOf(mission, f), f.Before); err != nil {
			return err
		}
	}
	return untilDone("no further file was replaced", "all files were in their place already", func(ctx context.Context) error {
		for i := len(files) - 1; i >= 0; i-- {
			path := pathOf(mission, files[i])
			if err := unchanged(path, files[i].Before); err != nil {
				return err
			}
			if _, err := place.Files(ctx, filepath.Dir(path), []place.File{{Name: filepath.Base(path), Data: files[i].After}}); err != nil {
				return err
			}
		}
		return nil
	})
}

func pathOf(mission string, f mend.File) string {
	if f.Name == "" {
		return mission
	}
	return filepath.Join(filepath.Dir(mission), filepath.FromSlash(f.Name))
}

// unchanged refuses what is no plain file, and one that somebody has written to since it
// was read. A link is refused since the file that it leads to is another one's to name.
func unchanged(path string, read []byte) error {
	info, err := os.Lstat(path)
	switch {
	case err != nil:
		return fmt.Errorf("cannot change %s: %w", path, words.PlainCause(err))
	case info.Mode()&fs.ModeSymlink != 0:
		return fmt.Errorf("cannot change %s: it is a link; name the file that it leads to", path)
	case !info.Mode().IsRegular():
		return fmt.Errorf("cannot change %s: it is not a regular file", path)
	}
	now, err := os.ReadFile(path)
	switch {
	case err != nil:
		return fmt.Errorf("cannot change %s: %w", path, words.PlainCause(err))
	case !bytes.Equal(now, read):
		return fmt.Errorf("cannot change %s: it was changed by somebody else since it was read; run again", path)
	}
	return nil
}
