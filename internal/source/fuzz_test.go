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
	f.Add([]byte("c1\x00:100644 100644 aa bb M\x00a b\nc\x00c1\x00"), "a b\nc", uint8(1))
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
		// As git diff-tree --stdin -m -z writes it: a merge once for each parent.
		const hash = "abcdef0123456789abcdef0123456789abcdef01"
		var good strings.Builder
		n := 1 + int(parents)%8
		for i := range n {
			fmt.Fprintf(&good, "%s\x00:100644 100755 %040x %040x M\x00%s\x00", hash, i+1, 15, file)
		}
		got := changesOf([]byte(good.String()))
		require.Len(t, got, n)
		for i := range got {
			require.Equal(t, change{hash, fmt.Sprintf("%040x", i+1), fmt.Sprintf("%040x", 15), file}, got[i])
		}
	})
}

// git's answers about the index and about renames as what was put into them.
func FuzzPathsOfGit(f *testing.F) {
	f.Add([]byte("100644 aa 0\ta\tb\x00cut off"), "a\nb", "-c")
	f.Add([]byte(":100644 100644 aa bb R100\x00a\x00b\x00"), "", "")
	f.Fuzz(func(t *testing.T, answer []byte, one, other string) {
		for _, s := range stagedIn(answer) {
			require.Contains(t, string(answer), "\t"+s.file+"\x00")
		}
		for _, r := range renamesIn(answer) {
			require.Contains(t, string(answer), "\x00"+r.was+"\x00"+r.is+"\x00")
		}
		if strings.Contains(one+other, "\x00") {
			return
		}
		index := "100644 aa 0\t" + one + "\x00120000 bb 2\t" + other + "\x00100644 cc 0\tcut"
		require.Equal(t, []stagedFile{{entry{"100644", "aa"}, "0", one}, {entry{"120000", "bb"}, "2", other}}, stagedIn([]byte(index)))
		renamed := ":100644 100644 aa bb R087\x00" + one + "\x00" + other + "\x00:100644 100644 cc dd R100\x00" + other + "\x00" + one + "\x00"
		require.Equal(t, []rename{{one, other}, {other, one}}, renamesIn([]byte(renamed)))
	})
}

// A tree as the names that were put into it, whatever bytes they are of.
func FuzzNamesIn(f *testing.F) {
	f.Add([]byte("100644 a\x00aaaaaaaaaaaaaaaaaaaa"), "m.yaml", uint8(20))
	f.Add([]byte("40000 "), "\xff \n", uint8(32))
	f.Fuzz(func(t *testing.T, text []byte, name string, size uint8) {
		names := 0
		if err := namesIn(text, 20, func(one string, e entry) {
			names++
			require.Contains(t, string(text), e.mode+" "+one+"\x00")
			require.Len(t, e.hash, 40)
		}); err == nil {
			require.Equal(t, len(text) > 0, names > 0)
		}
		if strings.Contains(name, "\x00") {
			return
		}
		hash := strings.Repeat("\x0f", int(size))
		tree := "40000 " + name + "\x00" + hash + "120000 b\x00" + hash
		var got []entry
		require.NoError(t, namesIn([]byte(tree), int(size), func(one string, e entry) {
			require.Equal(t, []string{name, "b"}[len(got)], one)
			got = append(got, e)
		}))
		require.Equal(t, []entry{{"40000", strings.Repeat("0f", int(size))}, {"120000", strings.Repeat("0f", int(size))}}, got)
		if size > 0 {
			require.Error(t, namesIn([]byte(tree[:len(tree)-1]), int(size), func(string, entry) {}), "cut off")
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
