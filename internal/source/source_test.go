// Missions in files: what is read, what is refused, and what of their folder a
// mission may name.
package source

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/spec"
)

// endless never ends, unless in a failure.
type endless struct{ failure error }

func (e endless) Read(p []byte) (int, error) { return len(p), e.failure }

func TestFiles(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "grove", "text", "marks")
	require.NoError(t, os.WriteFile("marks.csv", []byte("marks here"), 0o644))
	require.NoError(t, os.Symlink("grove/m.yaml", "link.yaml"))

	s, err := File("grove/m.yaml", nil)
	holds(t, s, err, "text", "marks")
	s, err = File("-", strings.NewReader("typed"))
	holds(t, s, err, "typed", "marks here")
	assert.Equal(t, "<stdin>", s.Name)
	// The marks of a link lie beside the link, as its name says.
	s, err = FileOrRevision("link.yaml", nil)
	holds(t, s, err, "text", "marks here")

	for arg, why := range map[string]string{
		"grove":          "it is a folder; name the file in it",
		"nowhere.yaml":   "no such file or directory",
		"m.yaml/deeper":  "no such file or directory",
		"grove/m.yaml/x": "not a directory",
		"HEAD:":          "no such file or directory",
		"a\x00b":         "invalid argument",
		"":               "no such file or directory",
	} {
		_, err := FileOrRevision(arg, nil)
		assert.EqualError(t, err, "cannot read "+arg+": "+why)
	}
	_, err = File("-", endless{errors.New("the line is dead")})
	assert.EqualError(t, err, "cannot read standard input: the line is dead")

	s, err = File("-", endless{})
	require.NoError(t, err)
	assert.Len(t, s.Text, spec.MaxFileBytes+1, "enough to see that it is too large")
	_, err = File("/dev/zero", nil)
	assert.EqualError(t, err, "cannot read /dev/zero: it is a device, not a file; pipe what it gives to standard input")
	s, err = File(os.DevNull, nil)
	require.NoError(t, err)
	assert.Empty(t, s.Text)
}

// A file that is named "-" on git's command line is a file.
func TestTheDriverReadsNoStandardInput(t *testing.T) {
	repository(t)
	require.NoError(t, os.WriteFile("-", []byte("a file"), 0o644))
	_, after, err := Driver([]string{"-", os.DevNull, ".", ".", "-", strings.Repeat("0", 40), "100644"})
	require.NoError(t, err)
	assert.Equal(t, "a file", string(after.Text))
}

func TestAMissionReadsInItsFolderAlone(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "grove", "text", "marks")
	put(t, "grove/deep", "text", "deep marks")
	require.NoError(t, os.WriteFile("secret", []byte("secret"), 0o644))
	require.NoError(t, exec.Command("mkfifo", "grove/pipe").Run())
	for link, to := range map[string]string{"in": "deep/marks.csv", "out": "../secret", "up": "..", "loop": "loop", "null": os.DevNull} {
		require.NoError(t, os.Symlink(to, filepath.Join("grove", link)))
	}
	s, err := File("grove/m.yaml", nil)
	require.NoError(t, err)
	for name, want := range map[string]string{"marks.csv": "marks", "deep/marks.csv": "deep marks", "in": "deep marks"} {
		text, err := s.Open(name)
		require.NoError(t, err, name)
		assert.Equal(t, want, string(text))
	}
	for name, why := range map[string]string{
		"../secret": "path escapes", "out": "path escapes", "up/secret": "path escapes", "null": "path escapes",
		"pipe": "it is not a regular file", "deep": "it is not a regular file",
		"loop": "too many levels of symbolic links", "none": "no such file", "marks.csv/x": "not a directory",
	} {
		text, err := s.Open(name)
		assert.ErrorContains(t, err, why, name)
		assert.Empty(t, text)
	}
	_, err = s.Open("none")
	assert.ErrorIs(t, err, fs.ErrNotExist, "as spec tells a wrong name")

	require.NoError(t, os.Truncate("grove/marks.csv", 3*spec.MaxMarksFileBytes))
	text, err := s.Open("marks.csv")
	require.NoError(t, err)
	assert.Len(t, text, spec.MaxMarksFileBytes+1)
}
