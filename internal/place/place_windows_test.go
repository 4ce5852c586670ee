// What Windows alone has: files that cannot be replaced while another program holds
// them open.
package place

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAHeaderThatIsHeldOpen(t *testing.T) {
	folder := t.TempDir()
	files := []File{{"a.h", []byte("new a")}, {"b.h", []byte("new b")}}
	path := filepath.Join(folder, "a.h")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o644))

	editor, err := os.Open(path)
	require.NoError(t, err)
	_, err = Files(t.Context(), folder, files)
	assert.ErrorContains(t, err, "cannot replace "+path+": another program holds it open; close it there and run this again")
	assert.Equal(t, []string{"a.h"}, names(t, folder), "found out before anything is replaced")
	assert.Equal(t, "old", text(t, path))

	go func() { // it lets go in time
		time.Sleep(patience / 4)
		_ = editor.Close()
	}()
	_, err = Files(t.Context(), folder, files)
	require.NoError(t, err)
	assert.Equal(t, "new a", text(t, path))
}

func TestAReadOnlyHeaderIsRefused(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.h")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o444))
	_, err := Files(t.Context(), folder, []File{{"a.h", []byte("new")}})
	assert.EqualError(t, err, "cannot replace "+path+": it is read-only")
	assert.Equal(t, "old", text(t, path))
}

// A temporary file that is not old is left alone: it may be about to be renamed.
func TestYoungTemporariesStay(t *testing.T) {
	folder := t.TempDir()
	young := ".a.h.0123456789abcdef" + temporaryEnding
	require.NoError(t, os.WriteFile(filepath.Join(folder, young), nil, 0o644))
	_, err := Files(t.Context(), folder, nil)
	require.NoError(t, err)
	assert.Equal(t, []string{young}, names(t, folder))
}
