// Revisions of repositories of every kind: bare, shallow, in the middle of a merge,
// with several working trees, and with files that are called otherwise now.
package source

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// long is a text that stays alike when one line is added.
var long = strings.Repeat("a line of a mission\n", 50)

func TestRenamedMissionsAreFollowed(t *testing.T) {
	for _, folder := range spellings() {
		t.Run(folder, func(t *testing.T) {
			if folder == "." {
				folder = "top"
			}
			repository(t)
			git(t, "config", "diff.renames", "false")
			git(t, "config", "diff.renameLimit", "1")
			commit(t, "old", long, "marks old", "one")
			commit(t, "other", "other", "marks other", "two")
			require.NoError(t, os.MkdirAll(folder, 0o755))
			require.NoError(t, os.Remove(folder))
			git(t, "mv", "--", "./old", "./"+folder)
			git(t, "mv", "--", "./other", "elsewhere")
			commit(t, folder, long+"one more\n", "marks new", "three")
			file := folder + "/m.yaml"

			names := func(revisions, mission, was, is string) {
				t.Helper()
				before, after, err := Between(revisions, mission, nil)
				holds(t, before, err, long, "marks old")
				holds(t, after, err, long+"one more\n", "marks new")
				assert.Equal(t, []string{was, is}, []string{before.Name, after.Name})
			}
			names("one..three", "./"+file, "one:old/m.yaml", "three:"+file)
			names("one...three", "old/m.yaml", git(t, "rev-parse", "one")+":old/m.yaml", "three:"+file)
			names("one", "./"+file, "one:old/m.yaml", "./"+file)
			t.Chdir(folder)
			names("two..three", "m.yaml", "two:old/m.yaml", "three:"+file)
			// Backwards it has the older name afterwards.
			before, after, err := Between("three..two", "m.yaml", nil)
			holds(t, before, err, long+"one more\n", "marks new")
			holds(t, after, err, long, "marks old")
		})
	}
}

func TestWhatWasNotRenamed(t *testing.T) {
	repository(t)
	commit(t, "a", long, "marks a", "one")
	commit(t, "b", long, "marks b", "two") // a copy is no rename
	git(t, "config", "diff.renames", "copies")
	require.NoError(t, os.RemoveAll("a"))
	git(t, "commit", "-q", "-a", "-m", "three")
	git(t, "tag", "three")
	for _, c := range [][3]string{
		{"one..two", "b/m.yaml", "there is no b/m.yaml in one, and none that was renamed to it by two"},
		{"two..three", "a/m.yaml", "there is no a/m.yaml in three, and none that it was renamed to"},
		{"one..two", "c/m.yaml", "there is no c/m.yaml in one, nor in two"},
	} {
		_, _, err := Between(c[0], c[1], nil)
		assert.EqualError(t, err, "cannot read "+c[1]+" in --git "+c[0]+": "+c[2])
	}
	put(t, "d", long, "marks")
	_, _, err := Between("two", "d/m.yaml", nil)
	assert.EqualError(t, err, "cannot read d/m.yaml in --git two: there is no d/m.yaml in two, and none that was renamed to it by now, as far as the index knows")
	// Two that have changed places are compared under their names.
	commit(t, "d", "first", "marks d", "four")
	commit(t, "e", "second", "marks e", "five")
	git(t, "mv", "d", "x")
	git(t, "mv", "e", "d")
	git(t, "mv", "x", "e")
	git(t, "commit", "-q", "-m", "six")
	before, after, err := Between("five..", "d/m.yaml", nil)
	holds(t, before, err, "first", "marks d")
	holds(t, after, err, "second", "marks e")
}

func TestBareRepositories(t *testing.T) {
	for _, folder := range spellings() {
		t.Run(folder, func(t *testing.T) {
			repository(t)
			commit(t, folder, long, "marks one", "one")
			commit(t, folder, long+"two", "marks two", "two")
			file := filepath.ToSlash(filepath.Join(folder, "m.yaml"))
			bare := filepath.Join(t.TempDir(), "bare")
			git(t, "clone", "-q", "--bare", ".", bare)
			check := func() {
				t.Helper()
				before, after, err := Between("one..two", "./"+file, nil)
				holds(t, before, err, long, "marks one")
				holds(t, after, err, long+"two", "marks two")
				s, err := FileOrRevision("two:"+file, nil)
				holds(t, s, err, long+"two", "marks two")
				s, err = oneSide(t, file, copied(t, "m.yaml", long), long)
				holds(t, s, err, long, "marks one")
			}
			t.Chdir(bare)
			check()
			_, err := FileOrRevision(":0:"+file, nil)
			assert.ErrorContains(t, err, "in the index")
			// By the environment, from anywhere.
			t.Chdir(t.TempDir())
			t.Setenv("GIT_DIR", bare)
			check()
		})
	}
}

func TestSeveralWorkingTrees(t *testing.T) {
	repository(t)
	commit(t, "grove", "one", "marks one", "one")
	other := filepath.Join(t.TempDir(), "other")
	git(t, "worktree", "add", "-q", "--detach", other)
	t.Chdir(other)
	put(t, "grove", "there", "marks there")
	git(t, "add", "-A")
	s, err := FileOrRevision(":grove/m.yaml", nil)
	holds(t, s, err, "there", "marks there")
	git(t, "commit", "-q", "-m", "on no branch")
	s, err = oneSide(t, "grove/m.yaml", copied(t, "m.yaml", "there"), "there")
	holds(t, s, err, "there", "marks there")
	// Another index, as git gives to a hook of `git commit PATH`.
	t.Setenv("GIT_INDEX_FILE", filepath.Join(t.TempDir(), "index"))
	_, err = FileOrRevision(":grove/m.yaml", nil)
	assert.EqualError(t, err, "cannot read :grove/m.yaml: there is no grove/m.yaml in the index")
	git(t, "read-tree", "one")
	s, err = FileOrRevision(":grove/m.yaml", nil)
	holds(t, s, err, "one", "marks one")
}

// GIT_DIR with a working tree somewhere else, a folder reached by a link, and paths
// that are taken in other ways by the environment.
func TestTheEnvironment(t *testing.T) {
	repository(t)
	commit(t, "[a]", "one", "marks one", "one")
	here, err := os.Getwd()
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	for variable, value := range map[string]string{"GIT_DIR": filepath.Join(here, ".git"), "GIT_WORK_TREE": here, "GIT_LITERAL_PATHSPECS": "1", "GIT_ICASE_PATHSPECS": "", "GIT_TRACE": "1", "LC_ALL": "de_DE.UTF-8",
		"GIT_CONFIG_COUNT": "2", "GIT_CONFIG_KEY_0": "core.fsmonitor", "GIT_CONFIG_VALUE_0": "touch " + filepath.Join(here, "ran"), "GIT_CONFIG_KEY_1": "core.warnAmbiguousRefs", "GIT_CONFIG_VALUE_1": "false"} {
		t.Setenv(variable, value)
	}
	for _, arg := range []string{"one:[a]/m.yaml", ":[a]/m.yaml"} {
		s, err := FileOrRevision(arg, nil)
		holds(t, s, err, "one", "marks one")
	}
	s, err := oneSide(t, "[a]/m.yaml", copied(t, "m.yaml", "one"), "one")
	holds(t, s, err, "one", "marks one")
	_, err = FileOrRevision("two:m.yaml", nil)
	assert.EqualError(t, err, `cannot read two:m.yaml: there is no revision "two"`)
	require.NoError(t, exec.Command("git", "branch", "one").Run())
	_, err = FileOrRevision("one:[a]/m.yaml", nil)
	assert.ErrorContains(t, err, `"one" is ambiguous`)
	require.NoError(t, exec.Command("git", "branch", "-D", "one").Run())
	assert.NoFileExists(t, filepath.Join(here, "ran"))
	link := filepath.Join(t.TempDir(), "link")
	require.NoError(t, os.Symlink(here, link))
	before, after, err := Between("one..one", filepath.Join(link, "[a]", "m.yaml"), nil)
	holds(t, before, err, "one", "marks one")
	holds(t, after, err, "one", "marks one")
	_, _, err = Between("one..one", "/m.yaml", nil)
	assert.EqualError(t, err, "cannot find /m.yaml in the repository: /m.yaml is outside of the repository")
}

// Hashes of 32 bytes, and a repository without a commit.
func TestOtherHashes(t *testing.T) {
	repository(t)
	require.NoError(t, os.RemoveAll(".git"))
	git(t, "init", "-q", "-b", "main", "--object-format=sha256", ".")
	put(t, "grove", "staged", "marks staged")
	git(t, "add", "-A")
	s, err := oneSide(t, "grove/m.yaml", copied(t, "m.yaml", "staged"), "staged")
	holds(t, s, err, "staged", "marks staged")
	s, err = FileOrRevision(":grove/m.yaml", nil)
	holds(t, s, err, "staged", "marks staged")
	commit(t, "grove", "one", "marks one", "one")
	s, err = FileOrRevision("one:grove/m.yaml", nil)
	holds(t, s, err, "one", "marks one")
	s, err = Textconv(copied(t, "m.yaml", "one"), nil)
	holds(t, s, err, "one", "marks one")
}

func TestStagesOfAMerge(t *testing.T) {
	repository(t)
	commit(t, "a", "root", "marks root", "root")
	git(t, "checkout", "-q", "-b", "side")
	commit(t, "a", "side", "marks root", "of-side")
	git(t, "checkout", "-q", "main")
	commit(t, "a", "main", "marks main", "of-main")
	require.Error(t, exec.Command("git", "merge", "side").Run())
	_, err := FileOrRevision(":a/m.yaml", nil)
	assert.EqualError(t, err, "cannot read :a/m.yaml: a/m.yaml is not merged; the index has 3 stages of it: name one, such as :3:a/m.yaml")
	for arg, want := range map[string]string{":1:a/m.yaml": "root", ":2:a/m.yaml": "main", ":3:./a/m.yaml": "side"} {
		s, err := FileOrRevision(arg, nil)
		require.NoError(t, err)
		assert.Equal(t, want, string(s.Text))
		assert.Equal(t, strings.Replace(arg, "./", "", 1), s.Name)
		hasNone(t, s, err, "a/marks.csv is merged and has no stage "+arg[1:2]+" in the index; name the revision, such as HEAD:a/marks.csv")
	}
	_, err = FileOrRevision(":2:nowhere", nil)
	assert.EqualError(t, err, "cannot read :2:nowhere: there is no nowhere in stage 2 of the index")
	git(t, "reset", "-q", "--hard")
	put(t, "a", "main", "marks of main")
	git(t, "commit", "-q", "-a", "-m", "other marks")
	git(t, "checkout", "-q", "side")
	put(t, "a", "side", "marks of side")
	git(t, "commit", "-q", "-a", "-m", "other marks")
	require.Error(t, exec.Command("git", "merge", "main").Run())
	s, err := FileOrRevision(":2:a/m.yaml", nil)
	holds(t, s, err, "side", "marks of side")
	require.NoError(t, os.WriteFile("a/m.yaml", []byte("both"), 0o644))
	git(t, "add", "a/m.yaml")
	s, err = FileOrRevision(":a/m.yaml", nil)
	hasNone(t, s, err, "a/marks.csv is not merged")
}

// Three dots begin where two revisions parted, where that is sure.
func TestWhereRevisionsParted(t *testing.T) {
	repository(t)
	folder, err := os.Getwd()
	require.NoError(t, err)
	commit(t, ".", "root", "marks", "root")
	git(t, "checkout", "-q", "-b", "side")
	commit(t, ".", "side", "marks", "of-side")
	git(t, "checkout", "-q", "main")
	for _, text := range []string{"one", "two", "three"} {
		commit(t, ".", text, "marks", text)
	}
	git(t, "checkout", "-q", "--orphan", "apart")
	commit(t, ".", "apart", "marks", "apart-tag")
	from, _, err := revisionRange("main...side")
	require.NoError(t, err)
	assert.Equal(t, git(t, "rev-parse", "root"), from)
	parts := func(text, why string) {
		t.Helper()
		_, _, err := revisionRange(text)
		assert.ErrorContains(t, err, why)
	}
	parts("main...apart", "main and apart have no commit in common")
	parts("main...none", `there is no revision "none"`)

	// Each has merged the other.
	git(t, "checkout", "-q", "-b", "x", "one")
	git(t, "merge", "-q", "-s", "ours", "side", "-m", "x")
	git(t, "checkout", "-q", "-b", "y", "side")
	git(t, "merge", "-q", "-s", "ours", "one", "-m", "y")
	parts("x...y", "x and y parted at 2 commits, since each has merged the other; name one: ")

	clone := func(depth string) {
		t.Helper()
		to := filepath.Join(t.TempDir(), "clone")
		git(t, "clone", "-q", "--depth", depth, "--no-tags", "--no-single-branch", "file://"+folder, to)
		t.Chdir(to)
	}
	clone("2")
	parts("origin/main...origin/side", "origin/main and origin/side have no commit in common; this clone is shallow: fetch more of the history (git fetch --unshallow)")
	parts("origin/main~3...origin/side", `there is no revision "origin/main~3"; this clone is shallow and has only the end of the history`)
	from, _, err = revisionRange("origin/main...origin/main~1")
	require.NoError(t, err)
	assert.Equal(t, git(t, "rev-parse", "origin/main~1"), from)

	// A base that is found by a short way, while a later one is cut off.
	t.Chdir(folder)
	late := git(t, "commit-tree", "-p", "three", "-p", "root", "-m", "left", "root^{tree}")
	early := git(t, "commit-tree", "-p", "root", "-p", "two", "-m", "right", "root^{tree}")
	git(t, "checkout", "-q", "--detach", early)
	git(t, "branch", "left", late)
	git(t, "branch", "right", early)
	git(t, "branch", "-q", "-D", "main", "side", "x", "y", "apart")
	from, _, err = revisionRange("left...right")
	require.NoError(t, err)
	assert.Equal(t, git(t, "rev-parse", "two"), from)
	clone("2") // root is there, and three and two; that one leads to the other is not
	_, err = treeOf("origin/right")
	require.NoError(t, err)
	parts("origin/left...origin/right", "where origin/left and origin/right parted cannot be told; this clone is shallow")
}
