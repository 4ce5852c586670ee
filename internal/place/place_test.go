// What is replaced, what is refused, and what is swept away.
package place

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
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

// age makes all temporary files old enough for Windows, where the age tells, too,
// that they are abandoned.
func age(t *testing.T, folder string) {
	t.Helper()
	for _, name := range names(t, folder) {
		if strings.HasSuffix(name, temporaryEnding) && !strings.Contains(name, ".link.") {
			past := time.Now().Add(-2 * time.Hour)
			require.NoError(t, os.Chtimes(filepath.Join(folder, name), past, past))
		}
	}
}

// A file that is replaced, not written over: another name keeps the old one.
func TestFilesAreReplacedWhole(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.h")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	require.NoError(t, os.Link(path, filepath.Join(folder, "other name")))
	placed, err := Files(t.Context(), folder, []File{{"a.h", []byte("new")}, {"b.h", nil}})
	require.NoError(t, err)
	assert.Equal(t, []Placed{{path, 3, false}, {filepath.Join(folder, "b.h"), 0, false}}, placed)

	assert.Equal(t, "old", text(t, filepath.Join(folder, "other name")))
	assert.Equal(t, "new", text(t, path))
	assert.Equal(t, []string{"a.h", "b.h", "other name"}, names(t, folder))

	placed, err = Files(t.Context(), folder, []File{{"a.h", []byte("new")}, {"b.h", []byte("b")}})
	require.NoError(t, err)
	assert.True(t, placed[0].Unchanged)
	assert.False(t, placed[1].Unchanged)
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

	age(t, folder)
	_, err = Files(t.Context(), folder, []File{{"a.h", nil}})
	require.NoError(t, err)
	assert.ElementsMatch(t, append(stay, "a.h"), names(t, folder))
	// Let go as by a process that is killed, it is swept away, too.
	require.NoError(t, busy.file.Close())
	_, err = Files(t.Context(), folder, []File{{"a.h", nil}})
	require.NoError(t, err)
	assert.ElementsMatch(t, append(stay[:len(stay)-1], "a.h"), names(t, folder))
}

// A stamp has the time that it is given, is replaced also where it would not change, and
// leaves nothing behind where it cannot be.
func TestStamps(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "folder")
	path := filepath.Join(folder, "a.stamp")
	for _, began := range []time.Time{time.Now().Add(-time.Minute), time.Now().Add(-time.Second), time.Now().Add(-time.Hour)} {
		require.NoError(t, Stamp(t.Context(), path, []byte("done"), began))
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.WithinDuration(t, began, info.ModTime(), 2*time.Second) // as exact as any file system has it
		assert.False(t, info.ModTime().After(began))
		assert.Equal(t, "done", text(t, path))
		assert.Equal(t, []string{"a.stamp"}, names(t, folder))
	}

	ended, end := context.WithCancel(t.Context())
	end()
	assert.ErrorIs(t, Stamp(ended, path, []byte("not done"), time.Now()), context.Canceled)
	require.NoError(t, os.Mkdir(filepath.Join(folder, "b.stamp"), 0o755))
	assert.ErrorContains(t, Stamp(t.Context(), filepath.Join(folder, "b.stamp"), nil, time.Now()), "a folder of that name is in the way")
	assert.ErrorContains(t, Stamp(t.Context(), filepath.Join(path, "c.stamp"), nil, time.Now()), "cannot create the folder")
	assert.Equal(t, "done", text(t, path))
	assert.Equal(t, []string{"a.stamp", "b.stamp"}, names(t, folder))
}

// A file that is there is never touched, whoever is faster; one that fails leaves nothing.
func TestNewFiles(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "deep", "mission.yaml")
	require.NoError(t, New(t.Context(), path, []byte("new")))
	assert.Equal(t, "new", text(t, path))
	assert.ErrorIs(t, New(t.Context(), path, []byte("newer")), fs.ErrExist)
	assert.Equal(t, "new", text(t, path))

	ended, end := context.WithCancel(t.Context())
	end()
	other := filepath.Join(folder, "deep", "other.yaml")
	assert.ErrorIs(t, New(ended, other, []byte("new")), context.Canceled)
	assert.Equal(t, []string{"mission.yaml"}, names(t, filepath.Join(folder, "deep")))

	const runs = 20
	written := make(chan string, runs)
	for i := range runs {
		go func() {
			data := strings.Repeat(string(rune('a'+i)), 1000)
			if New(t.Context(), other, []byte(data)) != nil {
				data = ""
			}
			written <- data
		}()
	}
	var won []string
	for range runs {
		if data := <-written; data != "" {
			won = append(won, data)
		}
	}
	require.Len(t, won, 1)
	assert.Equal(t, won[0], text(t, other))
}
