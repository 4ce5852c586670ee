// Missions out of real git repositories, under names and settings that people
// have.
package source

import (
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/spec"
)

// repository makes an empty one, and works in it.
func repository(t *testing.T) {
	t.Helper()
	folder := t.TempDir()
	t.Chdir(folder)
	for _, variable := range []string{"GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_CONFIG_GLOBAL", "GIT_CONFIG_COUNT"} {
		t.Setenv(variable, "")
		require.NoError(t, os.Unsetenv(variable))
	}
	for variable, value := range map[string]string{
		"HOME": folder, "GIT_CONFIG_NOSYSTEM": "1", "LC_ALL": "C",
		"GIT_AUTHOR_NAME": "surveyor", "GIT_AUTHOR_EMAIL": "surveyor@example.org",
		"GIT_COMMITTER_NAME": "surveyor", "GIT_COMMITTER_EMAIL": "surveyor@example.org",
	} {
		t.Setenv(variable, value)
	}
	git(t, "init", "-q", "-b", "main", ".")
}

func git(t *testing.T, args ...string) string {
	t.Helper()
	out, err := exec.Command("git", args...).CombinedOutput()
	require.NoErrorf(t, err, "git %q: %s", args, out)
	return strings.TrimSpace(string(out))
}

// put writes a mission and the marks beside it.
func put(t *testing.T, folder, mission, marks string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(folder, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "m.yaml"), []byte(mission), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "marks.csv"), []byte(marks), 0o644))
}

// commit commits a mission and its marks.
func commit(t *testing.T, folder, mission, marks, tag string) {
	t.Helper()
	put(t, folder, mission, marks)
	git(t, "add", "-A")
	git(t, "commit", "-q", "-m", tag)
	git(t, "tag", tag)
}

// holds checks what a source has, the marks as spec asks for them.
func holds(t *testing.T, s Source, err error, mission, marks string) {
	t.Helper()
	require.NoError(t, err)
	assert.Equal(t, mission, string(s.Text), s.Name)
	text, err := s.Open("marks.csv")
	require.NoError(t, err, s.Name)
	assert.Equal(t, marks, string(text), s.Name)
}

// spellings are folders that are spelt in some other way somewhere between a command
// line, a path of git and its output.
func spellings() []string {
	return []string{".", "grove", "two words/and: a colon", "gröve", "tab\tand\nline", `quo"ted\`, "[a]*?", ":(top)x", "-dash", "{brace", "HEAD", "\xff\xfe latin", "2:", "end\n"}
}

func TestTheMarksAreOfTheSameRevision(t *testing.T) {
	for _, folder := range spellings() {
		t.Run(folder, func(t *testing.T) {
			repository(t)
			commit(t, folder, "mission one", "marks one", "one")
			commit(t, folder, "mission two", "marks two", "two")
			git(t, "branch", "side/way")
			put(t, folder, "staged", "marks staged")
			git(t, "add", "-A")
			put(t, folder, "now", "marks now")
			file := path.Join(folder, "m.yaml")

			check := func(arg, name, mission, marks string) {
				t.Helper()
				s, err := FileOrRevision(arg, nil)
				holds(t, s, err, mission, marks)
				assert.Equal(t, name, s.Name)
			}
			check("one:"+file, "one:"+file, "mission one", "marks one")
			staged := ":" + file
			if folder == "2:" { // else it is stage 2
				staged = ":0:" + file
			}
			check(":0:"+file, staged, "staged", "marks staged")
			check(staged, staged, "staged", "marks staged")
			check("side/way:"+file, "side/way:"+file, "mission two", "marks two")
			check("HEAD@{0}~1:./"+file, "HEAD@{0}~1:"+file, "mission one", "marks one")
			check("./"+file, "./"+file, "now", "marks now")

			before, after, err := Between("one..", "./"+file, nil)
			holds(t, before, err, "mission one", "marks one")
			holds(t, after, err, "mission two", "marks two")
			assert.Equal(t, []string{"one:" + file, "HEAD:" + file}, []string{before.Name, after.Name})
			here, err := os.Getwd()
			require.NoError(t, err)
			before, after, err = Between("one", filepath.Join(here, file), nil)
			holds(t, before, err, "mission one", "marks one")
			holds(t, after, err, "now", "marks now")

			// From within the folder, and from beside it.
			t.Chdir(folder)
			check("one:./m.yaml", "one:"+file, "mission one", "marks one")
			check("one:"+file, "one:"+file, "mission one", "marks one")
			before, _, err = Between("one", "m.yaml", nil)
			holds(t, before, err, "mission one", "marks one")
			require.NoError(t, os.Mkdir("beside", 0o755))
			t.Chdir("beside")
			check("two:../m.yaml", "two:"+file, "mission two", "marks two")
			before, after, err = Between("side/way...one", "../m.yaml", nil)
			holds(t, before, err, "mission one", "marks one")
			holds(t, after, err, "mission one", "marks one")
		})
	}
}

// A file goes before a revision; where git knows one of that name, too, neither is
// taken.
func TestAFileOfTheNameOfARevision(t *testing.T) {
	repository(t)
	commit(t, ".", "committed", "marks", "one")
	require.NoError(t, os.WriteFile("two:m.yaml", []byte("a file"), 0o644))
	require.NoError(t, os.WriteFile("one:m.yaml", []byte("a file"), 0o644))
	s, err := FileOrRevision("two:m.yaml", nil)
	require.NoError(t, err)
	assert.Equal(t, "a file", string(s.Text))
	_, err = FileOrRevision("one:m.yaml", nil)
	assert.EqualError(t, err, "cannot read one:m.yaml: there is a file of that name, and git has one:m.yaml; write ./one:m.yaml for the file, or a revision's hash")
	s, err = FileOrRevision("./one:m.yaml", nil)
	require.NoError(t, err)
	assert.Equal(t, "a file", string(s.Text))
}

func TestWhatGitCannotGive(t *testing.T) {
	repository(t)
	cannot := func(arg, why string) {
		t.Helper()
		_, err := FileOrRevision(arg, nil)
		assert.EqualError(t, err, "cannot read "+arg+": "+why)
	}
	cannot("HEAD:m.yaml", `there is no revision "HEAD"`) // nothing is committed
	cannot(":m.yaml", "there is no m.yaml in the index")

	commit(t, "grove", "text", "marks", "one")
	first := git(t, "rev-parse", "HEAD")
	require.NoError(t, os.Symlink("grove", "way"))
	require.NoError(t, os.Symlink("/etc/passwd", "out"))
	require.NoError(t, os.Symlink("../m.yaml", "grove/up"))
	require.NoError(t, os.Symlink("round", "grove/round"))
	require.NoError(t, os.Symlink("grove/../grove/m.yaml", "back"))
	require.NoError(t, os.WriteFile("large.yaml", []byte("version https://git-lfs.github.com/spec/v1\noid sha256:12\nsize 3\n"), 0o644))
	git(t, "update-index", "--add", "--cacheinfo", "160000,"+first+",part")
	git(t, "add", "way", "out", "grove", "back", "large.yaml")
	git(t, "commit", "-q", "-m", "links")
	git(t, "branch", "twice")
	git(t, "tag", "twice", first)
	for _, c := range [][2]string{
		{"HEAD:nowhere.yaml", "there is no nowhere.yaml in HEAD"},
		{"HEAD:Grove/m.yaml", "there is no Grove/m.yaml in HEAD"},
		{"HEAD:grove/M.yaml", "there is no grove/M.yaml in HEAD; grove/m.yaml is spelt otherwise"},
		{":grove/M.yaml", "there is no grove/M.yaml in the index; grove/m.yaml is spelt otherwise"},
		{"HEAD:grove", "grove is a folder in HEAD; name the file in it"},
		{":grove", "grove is a folder in the index; name the file in it"},
		{"HEAD:grove/m.yaml/x", "there is no grove/m.yaml/x in HEAD"},
		{"HEAD:../m.yaml", "../m.yaml is outside of the repository"},
		{"HEAD:/grove/m.yaml", "/grove/m.yaml is not a path from the top of the repository; write it without the first slash"},
		{"HEAD:part", "part is a submodule in HEAD, and its files are in a repository of its own; run this in its folder"},
		{":part/m.yaml", "part is a submodule in the index, and its files are in a repository of its own; run this in its folder"},
		{"HEAD:out", `out is a symbolic link in HEAD, to "/etc/passwd" outside of the repository`},
		{"HEAD:grove/up/../../../x", "grove/up/../../../x is outside of the repository"},
		{"HEAD:grove/up", "there is no m.yaml in HEAD"},
		{"HEAD:grove/round", "grove/round leads through more than 40 symbolic links in HEAD"},
		{"HEAD:back", `back is a symbolic link in HEAD, to "grove/../grove/m.yaml": it goes up behind a name, and is not followed`},
		{"HEAD:large.yaml", "git has a pointer of its large file storage in place of the contents; keep missions and marks in git itself"},
		{"two:grove/m.yaml", `there is no revision "two"`},
		{"HEAD~9:grove/m.yaml", `there is no revision "HEAD~9"`},
		{"twice:grove/m.yaml", `"twice" is ambiguous, more than one revision is called so; write refs/tags/twice, refs/heads/twice or a whole hash`},
		{"HEAD@{2001-01-01}:grove/m.yaml", `"HEAD@{2001-01-01}" is not known for certain: `},
		{"--output=x:grove/m.yaml", `"--output=x" is not a revision`},
		{"-:grove/m.yaml", `"-" is not a revision`},
		{"HEAD\n:grove/m.yaml", "no such file or directory"},
		{"HEAD:grove/m.yaml\x00", "there is no grove/m.yaml\x00 in HEAD"},
	} {
		_, err := FileOrRevision(c[0], nil)
		if assert.ErrorContains(t, err, "cannot read "+c[0]+": "+c[1]) && !strings.HasSuffix(c[1], ": ") {
			cannot(c[0], c[1])
		}
	}
	s, err := FileOrRevision("HEAD:way/m.yaml", nil)
	holds(t, s, err, "text", "marks")
	s, err = FileOrRevision(":way/m.yaml", nil)
	holds(t, s, err, "text", "marks")
	for _, revisions := range []string{"..two", "two..", "one..--output=x", "--output=x...one", "one...--output=x", "two"} {
		_, _, err := Between(revisions, "grove/m.yaml", nil)
		assert.Error(t, err, revisions)
	}
	assert.NoFileExists(t, "x")

	// A file of any size is read no further than to see that it is too large.
	commit(t, "large", strings.Repeat("#", 3*spec.MaxFileBytes), strings.Repeat("#", 3*spec.MaxMarksFileBytes), "large")
	s, err = FileOrRevision("HEAD:large/m.yaml", nil)
	require.NoError(t, err)
	assert.Len(t, s.Text, spec.MaxFileBytes+1)
	marks, err := s.Open("marks.csv")
	require.NoError(t, err)
	assert.Len(t, marks, spec.MaxMarksFileBytes+1)

	t.Chdir(t.TempDir())
	cannot("HEAD:grove/m.yaml", "not a git repository (or any of the parent directories): .git")
	cannot(":grove/m.yaml", "not a git repository (or any of the parent directories): .git")
	t.Setenv("PATH", t.TempDir())
	cannot("HEAD:grove/m.yaml", "git cannot be run: there is no program git in the folders of PATH")
}

func TestRevisions(t *testing.T) {
	for _, c := range []struct {
		arg, rev, path string
		ok             bool
	}{
		{"HEAD~1:a/m.yaml", "HEAD~1", "a/m.yaml", true},
		{"HEAD@{12:00}:m.yaml", "HEAD@{12:00}", "m.yaml", true},
		{":m.yaml", "", "m.yaml", true},
		{"v1:./m.yaml", "v1", "./m.yaml", true},
		{"v1:a:b.yaml", "v1", "a:b.yaml", true},
		{"m.yaml", "", "", false},
		{"HEAD:", "HEAD", "", false},
	} {
		rev, path, ok := splitRevision(c.arg)
		assert.Equal(t, c.ok, ok, c.arg)
		if ok {
			assert.Equal(t, []string{c.rev, c.path}, []string{rev, path})
		}
	}
	for text, want := range map[string][]string{"a..": {"a", "HEAD"}, "..a": {"HEAD", "a"}, "a..b": {"a", "b"}, "HEAD^{/up..}..b": {"HEAD^{/up..}", "b"}} {
		from, to, err := revisionRange(text)
		require.NoError(t, err)
		assert.Equal(t, want, []string{from, to})
	}
	_, _, err := revisionRange("a")
	assert.Error(t, err)
}
