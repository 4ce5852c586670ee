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
	for _, variable := range []string{"GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_CONFIG_GLOBAL"} {
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

// names are folders that are spelt in some other way somewhere between a command
// line, a path of git and its output.
func names() []string {
	return []string{".", "grove", "two words/and: a colon", "gröve", "tab\tand\nline", `quo"ted`, "[a]*?", ":(top)x", "-dash", "{brace"}
}

func TestTheMarksAreOfTheSameRevision(t *testing.T) {
	for _, folder := range names() {
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
			check("side/way:"+file, "side/way:"+file, "mission two", "marks two")
			check("HEAD@{0}~1:./"+file, "HEAD@{0}~1:"+file, "mission one", "marks one")
			check(":"+file, ":"+file, "staged", "marks staged")
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
			check("one:./m.yaml", "one:m.yaml", "mission one", "marks one")
			check("one:"+file, "one:"+file, "mission one", "marks one")
			before, _, err = Between("one", "m.yaml", nil)
			holds(t, before, err, "mission one", "marks one")
			require.NoError(t, os.Mkdir("beside", 0o755))
			t.Chdir("beside")
			check("two:../m.yaml", "two:../m.yaml", "mission two", "marks two")
			before, after, err = Between("side/way...one", "../m.yaml", nil)
			holds(t, before, err, "mission one", "marks one")
			holds(t, after, err, "mission one", "marks one")
		})
	}
}

// A driver is told contents and hashes, a textconv filter contents alone; both
// find the revision, whatever the names and whatever is configured.
func TestWhatGitCallsFindsTheRevision(t *testing.T) {
	for _, folder := range names() {
		t.Run(folder, func(t *testing.T) {
			repository(t)
			for _, setting := range []string{"log.showRoot=false", "log.follow=true", "log.showSignature=true", "diff.relative=true", "color.ui=always", "core.abbrev=5", "diff.renames=copies"} {
				name, value, _ := strings.Cut(setting, "=")
				git(t, "config", name, value)
			}
			file := path.Join(folder, "m.yaml")
			commit(t, folder, "mission one", "marks one", "one")
			commit(t, folder, "mission one", "marks one and a half", "more")
			commit(t, folder, "mission two", "marks two", "two")
			commit(t, "abc", "mission one", "marks of another", "another") // which [a]*? matches
			hash := func(revision string) string { return git(t, "rev-parse", revision+":./"+file) }
			copied := filepath.Join(t.TempDir(), "git-blob-x", "m.yaml")
			put(t, filepath.Dir(copied), "", "marks of a stranger")
			write := func(text string) { require.NoError(t, os.WriteFile(copied, []byte(text), 0o644)) }

			// The old side is as it was last, the new side as it was first.
			write("mission one")
			args := []string{file, copied, hash("one"), "100644", copied, hash("one"), "100644"}
			before, after, err := Driver(args)
			holds(t, before, err, "mission one", "marks one and a half")
			holds(t, after, err, "mission one", "marks one")
			assert.Equal(t, []string{"a/" + file, "b/" + file}, []string{before.Name, after.Name})

			write("mission two")
			s, err := Textconv(copied, nil)
			holds(t, s, err, "mission two", "marks two")
			assert.Equal(t, file, s.Name)
			t.Run("from within", func(t *testing.T) {
				t.Chdir("abc")
				s, err := Textconv(copied, nil)
				holds(t, s, err, "mission two", "marks two")
			})
			write("mission one")

			// What is in no commit has the staged marks; the file itself those beside it.
			put(t, folder, "now", "marks staged")
			git(t, "add", "-A")
			put(t, folder, "now", "marks now")
			write("staged only")
			_, after, err = Driver([]string{file, copied, hash("one"), "100644", copied, strings.Repeat("5", 40), "100644"})
			holds(t, after, err, "staged only", "marks staged")
			_, after, err = Driver([]string{file, copied, hash("one"), "100644", file, strings.Repeat("0", 40), "100644"})
			holds(t, after, err, "now", "marks now")
			s, err = Textconv(file, nil)
			holds(t, s, err, "now", "marks now")

			before, after, err = Driver([]string{file, os.DevNull, ".", ".", copied, hash("one"), "100644", "new name", "a remark"})
			require.NoError(t, err)
			assert.Equal(t, Source{Name: "a/" + file, Path: file, Absent: true}, before)
			assert.Equal(t, "b/new name", after.Name)
		})
	}
}

// What came from another name is not looked for under that, and a signature is not
// taken for a commit.
func TestRenamedAndSigned(t *testing.T) {
	repository(t)
	long := strings.Repeat("a line of a mission\n", 50)
	commit(t, "old", long, "marks old", "old")
	git(t, "mv", "old", "new")
	git(t, "config", "diff.renames", "true")
	git(t, "config", "log.follow", "true")
	commit(t, "new", long+"one more\n", "marks new", "new")
	_, ok := holding(git(t, "rev-parse", "old:old/m.yaml"), "new/m.yaml", true)
	assert.False(t, ok)
	_, file, ok := find([]byte(long + "one more\n"))
	require.True(t, ok)
	assert.Equal(t, "new/m.yaml", file)

	signer := filepath.Join(t.TempDir(), "signer")
	require.NoError(t, os.WriteFile(signer, []byte(`#!/bin/sh
case "$*" in *--verify*) echo 'a good signature of a surveyor, made today' >&2; exit ;; esac
cat >/dev/null # git gives up when it cannot write all that is to be signed
printf '\n[GNUPG:] SIG_CREATED \n' >&2
printf -- '-----BEGIN PGP SIGNATURE-----\nx\n-----END PGP SIGNATURE-----\n'
`), 0o755))
	for name, value := range map[string]string{"gpg.program": signer, "commit.gpgSign": "true", "log.showSignature": "true"} {
		git(t, "config", name, value)
	}
	commit(t, "new", "signed", "marks signed", "signed")
	require.Contains(t, git(t, "log", "-1"), "a good signature")
	revision, ok := holding(git(t, "rev-parse", "signed:new/m.yaml"), "new/m.yaml", false)
	assert.True(t, ok)
	assert.Equal(t, git(t, "log", "-1", "--no-show-signature", "--format=%H"), revision)
}

// Contents that a merge made itself are of the merge; those that it took over are
// of the commit on its branch.
func TestRevisionsOfMerges(t *testing.T) {
	repository(t)
	commit(t, ".", "root", "marks root", "root")
	git(t, "checkout", "-q", "-b", "side")
	commit(t, ".", "side", "marks side", "of-side")
	git(t, "checkout", "-q", "main")
	commit(t, ".", "main", "marks main", "of-main")
	_ = exec.Command("git", "merge", "side").Run() // in conflict
	commit(t, ".", "both", "marks both", "merge")
	commit(t, ".", "after", "marks after", "after")
	for contents, want := range map[string][2]string{ // as first seen, as last seen
		"merge": {"merge", "merge"}, "of-side": {"of-side", ""}, "root": {"root", ""}, "after": {"after", "after"},
	} {
		hash := git(t, "rev-parse", contents+":m.yaml")
		for i, newest := range []bool{false, true} {
			revision, ok := holding(hash, "m.yaml", newest)
			require.True(t, ok, contents)
			assert.Equal(t, hash, git(t, "rev-parse", revision+":m.yaml"), "%s by %s", contents, revision)
			if want[i] != "" {
				assert.Equal(t, git(t, "rev-parse", want[i]), git(t, "rev-parse", revision), contents)
			}
		}
	}
}

func TestAFileGoesBeforeARevision(t *testing.T) {
	repository(t)
	commit(t, ".", "committed", "marks", "one")
	require.NoError(t, os.WriteFile("one:m.yaml", []byte("a file"), 0o644))
	s, err := FileOrRevision("one:m.yaml", nil)
	require.NoError(t, err)
	assert.Equal(t, "a file", string(s.Text))
}

func TestWhatGitCannotGive(t *testing.T) {
	repository(t)
	cannot := func(arg, why string) {
		t.Helper()
		_, err := FileOrRevision(arg, nil)
		assert.ErrorContains(t, err, "cannot read "+arg+": ")
		assert.ErrorContains(t, err, why)
		assert.NotContains(t, err.Error(), "\n")
	}
	cannot("HEAD:m.yaml", "invalid object name 'HEAD'") // nothing is committed
	_, _, ok := find([]byte("anything"))
	assert.False(t, ok)
	_, ok = holding(strings.Repeat("5", 40), "m.yaml", true)
	assert.False(t, ok)

	commit(t, "grove", "text", "marks", "one")
	cannot("HEAD:nowhere.yaml", "nowhere.yaml")
	cannot("HEAD:grove", "bad file")
	cannot("HEAD:../m.yaml", "outside repository")
	cannot("two:grove/m.yaml", "two")
	cannot("--output=x:grove/m.yaml", "is not a revision")
	cannot("HEAD:grove/m.yaml\x00", "git cannot be run")
	for _, revisions := range []string{"..two", "two..", "one..--output=x", "--output=x...one", "one...--output=x", "two"} {
		_, _, err := Between(revisions, "grove/m.yaml", nil)
		assert.Error(t, err, revisions)
	}
	assert.NoFileExists(t, "x")
	for _, hash := range []string{"", strings.Repeat("0", 40)} { // what is not there has no contents
		_, ok := holding(hash, "grove/m.yaml", true)
		assert.False(t, ok)
	}

	// A file of any size is read no further than to see that it is too large.
	commit(t, "large", strings.Repeat("#", 3*spec.MaxFileBytes), strings.Repeat("#", 3*spec.MaxMarksFileBytes), "large")
	s, err := FileOrRevision("HEAD:large/m.yaml", nil)
	require.NoError(t, err)
	assert.Len(t, s.Text, spec.MaxFileBytes+1)
	marks, err := s.Open("marks.csv")
	require.NoError(t, err)
	assert.Len(t, marks, spec.MaxMarksFileBytes+1)

	t.Chdir(t.TempDir())
	cannot("HEAD:grove/m.yaml", "not a git repository")
	t.Setenv("PATH", t.TempDir())
	cannot("HEAD:grove/m.yaml", "git cannot be run")
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
	from, to, err := revisionRange("a..")
	require.NoError(t, err)
	assert.Equal(t, []string{"a", "HEAD"}, []string{from, to})
	_, _, err = revisionRange("a")
	assert.Error(t, err)
	_, err = blob("--output=x", "m", 10)
	assert.ErrorContains(t, err, "is not a revision")
}
