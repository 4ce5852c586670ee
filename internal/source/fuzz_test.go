// What comes from a command line, from git's command line for a driver, and from
// git's answers.
package source

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Put together again, the two parts are the argument; there is no colon in the
// revision but within braces; a revision that has no braces ends at the first colon.
func FuzzSplitRevision(f *testing.F) {
	for _, arg := range []string{"", ":", "a:", ":b", "HEAD~1:a.yaml", "HEAD@{12:00}:m.yaml", "a{:b", "}:b", "{}}:{:x", ":/message", "a:b:c", "é:ü", "\xff:\xfe"} {
		f.Add(arg)
	}
	f.Fuzz(func(t *testing.T, arg string) {
		rev, file, ok := splitRevision(arg)
		if !ok {
			// Balanced braces hide no colon with something behind it.
			if i := strings.IndexByte(arg, ':'); i >= 0 && !strings.ContainsAny(arg, "{}") {
				require.Empty(t, arg[i+1:])
			}
			return
		}
		require.Equal(t, arg, rev+":"+file)
		require.NotEmpty(t, file)
		if !strings.ContainsAny(arg, "{}") {
			require.NotContains(t, rev, ":")
		}
		require.Equal(t, strings.Count(rev, "{"), strings.Count(rev, "}"))
	})
}

// git's answer as the commits and files that were put into it; whatever else it may
// be, nothing is read out of it that is not in it.
func FuzzChangesOf(f *testing.F) {
	f.Add([]byte("c1\x00:100644 100644 aa bb M\x00a.yaml\x00"), "m.yaml", uint8(2))
	f.Add([]byte("c1\x00::100644 100644 100644 aa bb cc MM\x00a b\nc\x00\x00"), "a b\nc", uint8(1))
	f.Add([]byte("c\x00d\x00: : : : :"), "", uint8(0))
	f.Fuzz(func(t *testing.T, answer []byte, file string, parents uint8) {
		for _, c := range changesOf(answer) {
			for _, part := range []string{c.commit, c.before, c.after, c.file} {
				require.Contains(t, string(answer), part)
			}
			require.NotContains(t, c.file, "\x00")
			require.Len(t, strings.Fields(c.before), 1)
			require.Len(t, strings.Fields(c.after), 1)
		}
		if strings.Contains(file, "\x00") {
			return
		}
		// As git log --raw -z writes it: n parents, n+1 modes and hashes.
		n := 1 + int(parents)%8
		line := strings.Repeat(":", n) + "100644" + strings.Repeat(" 100644", n)
		for i := range n {
			line += fmt.Sprintf(" %040x", i+1)
		}
		line += " " + strings.Repeat("f", 40) + " " + strings.Repeat("M", n)
		good := strings.Repeat("a", 40) + "\x00" + line + "\x00" + file + "\x00" + strings.Repeat("b", 40) + "\x00" + line + "\x00" + file + "\x00"
		got := changesOf([]byte(good))
		require.Len(t, got, 2)
		for i, commit := range []string{"a", "b"} {
			// Of one parent, the one hash before; of several, the last parent's.
			require.Equal(t, change{strings.Repeat(commit, 40), got[0].before, strings.Repeat("f", 40), file}, got[i])
			require.Contains(t, line, got[i].before)
		}
	})
}

// Arguments of a driver: git is asked for nothing that begins like an option, files
// are those that were named, and both sides keep the paths that git gave.
func FuzzDriver(f *testing.F) {
	folder := f.TempDir()
	file := filepath.Join(folder, "git-blob-x.yaml")
	require.NoError(f, os.WriteFile(file, []byte("mission: x\n"), 0o644))
	f.Setenv("GIT_DIR", filepath.Join(folder, "none")) // no repository: git answers with an error
	for _, path := range []string{"m.yaml", "-x", "a b/ü.yaml", "../m.yaml", "", ":(top)m", "a\nb", "--upload-pack=x"} {
		f.Add(path, "0123456789abcdef", "100644", path, false)
		f.Add(path, "0000000", "-", path+"2", true)
		f.Add(path, "--output="+folder, ".", path, true)
	}
	f.Fuzz(func(t *testing.T, path, hash, mode, newPath string, renamed bool) {
		args := []string{path, os.DevNull, ".", ".", file, hash, mode}
		want := path
		if renamed {
			args, want = append(args, newPath, "similarity index 90%\n"), newPath
		}
		before, after, err := Driver(args)
		require.NoError(t, err)
		require.True(t, before.Absent)
		require.Equal(t, Source{Name: "a/" + path, Path: path, Absent: true}, before)
		require.Equal(t, "b/"+want, after.Name)
		require.Equal(t, want, after.Path)
		require.Equal(t, "mission: x\n", string(after.Text))
		entries, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Len(t, entries, 1, "nothing is written")
	})
}
