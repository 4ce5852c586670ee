// What is replaced, what is refused, and what is swept away.
package place

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// names lists a folder.
func names(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	list := []string{}
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return list
}

func text(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

// A file that is replaced, not written over: whoever has the old one open keeps
// reading the old one, another name keeps it, and its permissions live on.
func TestFilesAreReplacedWhole(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.h")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	require.NoError(t, os.Link(path, filepath.Join(folder, "other name")))
	reader, err := os.Open(path)
	require.NoError(t, err)
	defer reader.Close()

	placed, err := Files(t.Context(), folder, []File{{"a.h", []byte("new")}, {"b.h", nil}})
	require.NoError(t, err)
	assert.Equal(t, []Placed{{path, 3, false}, {filepath.Join(folder, "b.h"), 0, false}}, placed)

	old := make([]byte, 10)
	n, err := reader.Read(old)
	require.NoError(t, err)
	assert.Equal(t, "old", string(old[:n]))
	assert.Equal(t, "old", text(t, filepath.Join(folder, "other name")))
	assert.Equal(t, "new", text(t, path))
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
	info, err = os.Stat(filepath.Join(folder, "b.h"))
	require.NoError(t, err)
	assert.Zero(t, info.Mode().Perm()&0o133, "no file for others to write or run")
	assert.Equal(t, []string{"a.h", "b.h", "other name"}, names(t, folder))

	placed, err = Files(t.Context(), folder, []File{{"a.h", []byte("new")}, {"b.h", []byte("b")}})
	require.NoError(t, err)
	assert.True(t, placed[0].Unchanged)
	assert.False(t, placed[1].Unchanged)
}

// Permissions live on whatever they are, and a read-only header is replaced: what
// the user asked for is a new one.
func TestPermissionsLiveOn(t *testing.T) {
	folder := t.TempDir()
	for _, mode := range []fs.FileMode{0, 0o200, 0o400, 0o444, 0o666, 0o755} {
		path := filepath.Join(folder, "a.h")
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
		require.NoError(t, os.Chmod(path, mode))
		_, err := Files(t.Context(), folder, []File{{"a.h", []byte(mode.String())}})
		require.NoError(t, err)
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, mode, info.Mode().Perm())
		require.NoError(t, os.Remove(path))
	}
}

// Something in the way of one file is found before any other is replaced.
func TestNothingIsReplacedWhereOneCannotBe(t *testing.T) {
	for what, put := range map[string]func(path string) error{
		"a folder of that name is in the way":     func(path string) error { return os.Mkdir(path, 0o755) },
		"what is there is not a regular file":     func(path string) error { return os.Symlink("first.h", path) },
		"what is there is not a regular file\x00": func(path string) error { return os.Symlink("nowhere", path) },
	} {
		folder := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(folder, "first.h"), []byte("old"), 0o644))
		path := filepath.Join(folder, "second.h")
		require.NoError(t, put(path))
		for _, files := range [][]File{{{"first.h", []byte("new")}, {"second.h", []byte("new")}}, {{"second.h", []byte("new")}, {"first.h", []byte("new")}}} {
			_, err := Files(t.Context(), folder, files)
			assert.EqualError(t, err, "cannot replace "+path+": "+strings.TrimRight(what, "\x00"))
			assert.Equal(t, "old", text(t, filepath.Join(folder, "first.h")))
			assert.Equal(t, []string{"first.h", "second.h"}, names(t, folder))
		}
	}
}

// A name may be as long as the file system takes, and one that is longer is
// refused by it.
func TestLongNames(t *testing.T) {
	folder := t.TempDir()
	longest := strings.Repeat("é", 126) + "a.h" // 255 bytes
	_, err := Files(t.Context(), folder, []File{{longest, []byte("new")}})
	require.NoError(t, err)
	assert.Equal(t, []string{longest}, names(t, folder))
	_, err = Files(t.Context(), folder, []File{{"a" + longest, []byte("new")}})
	assert.ErrorContains(t, err, "name too long")
	assert.Equal(t, []string{longest}, names(t, folder))
}

// A context that ends, at whatever look at it, leaves everything as it was or
// everything replaced; and no temporary file.
func TestAnEndedContextReplacesNothing(t *testing.T) {
	files := []File{{"a.h", []byte("new a")}, {"b.h", []byte("new b")}, {"c.h", []byte("new c")}}
	for looks := range 100 {
		folder := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(folder, "a.h"), []byte("old a"), 0o644))
		ctx := &endsAt{Context: t.Context(), looks: looks}
		_, err := Files(ctx, folder, files)
		if err == nil {
			assert.Equal(t, []string{"a.h", "b.h", "c.h"}, names(t, folder))
			assert.Greater(t, looks, 6, "it is looked at before and after each file")
			return
		}
		assert.ErrorIs(t, err, context.Canceled)
		assert.Equal(t, []string{"a.h"}, names(t, folder))
		assert.Equal(t, "old a", text(t, filepath.Join(folder, "a.h")))
	}
	t.Fatal("it never ran to the end")
}

// endsAt is done from a number of looks on.
type endsAt struct {
	context.Context
	looks int
}

func (e *endsAt) Err() error {
	if e.looks--; e.looks < 0 {
		return context.Canceled
	}
	return nil
}

// Value hides the parent's, so that Cause asks Err.
func (e *endsAt) Value(any) any { return nil }

// Ours are removed, whatever file they were of; all that is only like them stays.
func TestWhatIsSweptAway(t *testing.T) {
	folder := t.TempDir()
	in := func(name string) string { return filepath.Join(folder, name) }
	const hex = ".0123456789abcdef"
	var stay []string
	for _, name := range []string{
		"merestone_guidance.h", ".gitignore", "a.h" + hex + temporaryEnding, "." + hex + temporaryEnding,
		".a.h.0123456789abcde" + temporaryEnding, ".a.h.0123456789abcdef0" + temporaryEnding, ".a.h.0123456789ABCDEF" + temporaryEnding,
		".a.h" + hex + ".tmp", ".a.h" + hex + temporaryEnding + "~", ".a.h1234567890",
	} {
		require.NoError(t, os.WriteFile(in(name), nil, 0o644))
		stay = append(stay, name)
	}
	// Of our kind of name, but no file of ours.
	require.NoError(t, os.Mkdir(in(".folder.h"+hex+temporaryEnding), 0o755))
	require.NoError(t, os.Symlink("merestone_guidance.h", in(".link.h"+hex+temporaryEnding)))
	require.NoError(t, os.WriteFile(in("named"), nil, 0o644))
	require.NoError(t, os.Link(in("named"), in(".hard.h"+hex+temporaryEnding)))
	stay = append(stay, ".folder.h"+hex+temporaryEnding, ".link.h"+hex+temporaryEnding, "named", ".hard.h"+hex+temporaryEnding)
	// One that a run is writing.
	busy, err := newTemporary(in("busy.h"))
	require.NoError(t, err)
	stay = append(stay, filepath.Base(busy.path))
	for _, name := range []string{".a.h" + hex + temporaryEnding, ".another mission.h" + hex + temporaryEnding, ".x" + hex + hex + temporaryEnding} {
		require.NoError(t, os.WriteFile(in(name), []byte("half"), 0o600))
	}

	_, err = Files(t.Context(), folder, []File{{"a.h", nil}})
	require.NoError(t, err)
	assert.ElementsMatch(t, append(stay, "a.h"), names(t, folder))
	// Let go as by a process that is killed, it is swept away, too.
	require.NoError(t, busy.file.Close())
	_, err = Files(t.Context(), folder, []File{{"a.h", nil}})
	require.NoError(t, err)
	assert.ElementsMatch(t, append(stay[:len(stay)-1], "a.h"), names(t, folder))
}

// Runs at the same time in one folder do not sweep each other's files away, nor
// see half of one.
func TestRunsAtTheSameTime(t *testing.T) {
	folder := t.TempDir()
	var all sync.WaitGroup
	for writer := range 8 {
		all.Go(func() {
			for turn := range 25 {
				content := strings.Repeat(fmt.Sprintf("%d.%d ", writer, turn), 1000)
				_, err := Files(t.Context(), folder, []File{{"a.h", []byte(content)}, {"b.h", []byte(content)}})
				assert.NoError(t, err)
				now, err := os.ReadFile(filepath.Join(folder, "a.h"))
				assert.NoError(t, err)
				first, _, _ := strings.Cut(string(now), " ")
				assert.Equal(t, strings.Repeat(first+" ", 1000), string(now))
			}
		})
	}
	all.Wait()
	assert.Equal(t, []string{"a.h", "b.h"}, names(t, folder))
}

// The folder goes away while files are put into it: they are all there, or an
// error says that they are not.
func TestTheFolderGoesAway(t *testing.T) {
	top := t.TempDir()
	folder := filepath.Join(top, "out")
	stop, gone := make(chan struct{}), make(chan int)
	go func() {
		n := 0
		for {
			select {
			case <-stop:
				gone <- n
				return
			default:
				if os.Rename(folder, filepath.Join(top, fmt.Sprint(n))) == nil {
					n++
				}
			}
		}
	}()
	failed := 0
	for end := time.Now().Add(20 * time.Second); failed < 10 && time.Now().Before(end); {
		if _, err := Files(t.Context(), folder, []File{{"a.h", []byte("a")}, {"b.h", []byte("b")}}); err != nil {
			failed++
			assert.Regexp(t, `^cannot (write|replace|create|make sure) .*: no such file or directory$`, err.Error())
		}
	}
	close(stop)
	assert.NotZero(t, <-gone)
	assert.NotZero(t, failed, "never while it was at work")
	for _, found := range names(t, top) {
		for _, name := range names(t, filepath.Join(top, found)) {
			if !strings.HasSuffix(name, temporaryEnding) { // out of reach in a folder of another name
				assert.Contains(t, []string{"a.h", "b.h"}, name)
				assert.Equal(t, name[:1], text(t, filepath.Join(top, found, name)))
			}
		}
	}
}
