//go:build !windows

// What Unix alone has: permissions, files that can be replaced while they are open,
// folders that go away while they are used.
package place

import (
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

// Whoever has the old file open keeps reading the old one.
func TestReadersKeepTheOldFile(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.h")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	reader, err := os.Open(path)
	require.NoError(t, err)
	defer reader.Close()
	_, err = Files(t.Context(), folder, []File{{"a.h", []byte("new")}})
	require.NoError(t, err)
	old := make([]byte, 10)
	n, err := reader.Read(old)
	require.NoError(t, err)
	assert.Equal(t, "old", string(old[:n]))
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
	_, err := Files(t.Context(), folder, []File{{"b.h", nil}})
	require.NoError(t, err)
	info, err := os.Stat(filepath.Join(folder, "b.h"))
	require.NoError(t, err)
	assert.Zero(t, info.Mode().Perm()&0o133, "no file for others to write or run")
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
